"""Words that speak of electrical or burr work; the list is the engine's, which proves exercises."""

from __future__ import annotations

from trainer.engine.hazard_words import PATTERNS, PHRASES, Spoken, spoken_of

__all__ = ["PATTERNS", "PHRASES", "Spoken", "spoken_of"]
