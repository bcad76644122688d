"""Gristmark: training and certification for grinder technicians."""

__version__ = "0.1.0"
