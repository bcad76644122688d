"""Catalogue rows: one file a module, each with a tuple ``ROWS`` of ``catalogue.Entry``."""
