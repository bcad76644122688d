"""Loads the Hypothesis profile before any property of this room is made."""

from __future__ import annotations

import tests.strategies  # noqa: F401 - importing it loads the profile
