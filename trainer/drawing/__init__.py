"""Drawings as SVG text."""
