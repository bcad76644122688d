"""Which known word was meant by one that is not known."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches


def meant(word: str, known: Iterable[str], *, nearness: float = 0.6) -> str:
    """The nearest known word, capitals aside; empty when none is near.

    Example:
        >>> meant("Q", ["m", "q"]), meant("plausable", ["plausible"]), meant("x", ["m"])
        ('q', 'plausible', '')
    """
    words = list(known)
    for other in words:
        if other.lower() == word.lower():
            return other
    close = get_close_matches(word, words, n=1, cutoff=nearness)
    return close[0] if close else ""
