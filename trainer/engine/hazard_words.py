"""Words that speak of electrical or burr work: a text that uses one must show a caution.

The list is data. It holds words that a lesson of another kind does not need, so that a talk about
counters or coffee is left alone until it speaks of what can hurt. A ``?`` makes the letter before
it optional, ``|`` in brackets gives a choice, a space is any white space.
Source: the hazards of the house's own list of cautions; common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

About = Literal["electrical", "burrs"]

PHRASES: dict[About, tuple[str, ...]] = {
    "electrical": (
        "mains",
        "capacitors?",
        "terminals?",
        "windings?",
        "live (part|wire|terminal|pole|conductor)s?",
        "(earth|insulation) (test|fault)s?",
        "(open|opens|opened|opening|remove|removes|removed|removing) (the|a|any) (cover|housing)s?",
        "cover (is|comes) (off|open)",
        "cover off",
        "(rewire|rewires|rewiring|wiring) (the|a) (plug|motor|switch)",
    ),
    "burrs": (
        "burrs?",
        "(hopper|collar) (is|comes) off",
        "hopper off",
        "(open|opens|opened|opening) (the|a|any) (grinder|chamber|throat|machine)",
        "(remove|removes|removed|removing|lift|lifts) (the|a|any) (hopper|carrier|collar)",
        "(reach|reaches|reaching) (in|into)",
    ),
}
PATTERNS: dict[About, re.Pattern[str]] = {
    about: re.compile(rf"\b(?:{'|'.join(phrases)})\b".replace(" ", r"\s+"), re.IGNORECASE)
    for about, phrases in PHRASES.items()
}


@dataclass(frozen=True, slots=True)
class Spoken:
    """A hazard word in a text: what it is about, the word, and where it begins."""

    about: About
    word: str
    at: int


def spoken_of(text: str) -> Iterator[Spoken]:
    """The first hazard word of each kind in a text.

    Example:
        >>> next(spoken_of('The mains stay on.'))
        Spoken(about='electrical', word='mains', at=4)
    """
    for about, pattern in PATTERNS.items():
        found = pattern.search(text)
        if found:
            yield Spoken(about, " ".join(found.group().split()), found.start())
