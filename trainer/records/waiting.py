"""How long a writer waits for another one, and how it pauses meanwhile."""

from __future__ import annotations

import secrets
import time

GIVE_UP_S = 5.0
"""How long a write is tried again before the person is told that it is not saved."""
_FIRST_PAUSE_US = (200, 2_000)
_GROWTH_US = 5
_LONGEST_PAUSE_US = 5_000


def gives_up_at() -> float:
    """The monotonic time at which a write that begins now is given up."""
    return time.monotonic() + GIVE_UP_S


def pause(tries: int) -> None:
    """Sleep for a short random time, so that of several waiting writers none is always the last."""
    low, high = _FIRST_PAUSE_US
    longest = min(high + _GROWTH_US * tries, _LONGEST_PAUSE_US)
    time.sleep((low + secrets.randbelow(longest - low)) / 1_000_000)
