"""Certification decisions as pure functions over plain facts."""
