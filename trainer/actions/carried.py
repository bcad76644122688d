"""What an older edition's acts are still worth under the edition in force."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trainer.library.catalogue import Module


@dataclass(frozen=True, slots=True)
class Carried:
    """What has to be done again by a person whose act was under an older edition."""

    work_again: frozenset[str] = frozenset()
    read_again: frozenset[str] = frozenset()
    acknowledge_again: frozenset[str] = frozenset()


NOTHING_AGAIN = Carried()


def carried(old: Module, new: Module) -> Carried:
    """Compare two editions of a module as far as acts under the old one are concerned.

    An exercise is worked again when its given, method, find or accept changed; a lesson is read
    again when it changed in an edition with a safety change; a caution is acknowledged again when
    its words changed.
    """
    from trainer.library import differences  # noqa: PLC0415 - only where two editions meet

    found = differences.between(old, new)
    return Carried(
        work_again=frozenset(found.exercises_to_redo),
        read_again=frozenset(found.lessons) if found.safety_change else frozenset(),
        acknowledge_again=frozenset(
            caution for caution, now in new.cautions.items() if old.cautions.get(caution) != now
        ),
    )
