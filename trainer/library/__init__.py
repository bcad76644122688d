"""Markdown folders read into a library of modules."""
