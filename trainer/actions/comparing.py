"""Two editions of a subject in words: what changed, and whether it is a safety change."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions.house import SCHEME, House

if TYPE_CHECKING:
    from trainer.library.catalogue import Module, Scheme
    from trainer.records.editions import Edition


def compared(
    house: House, pointer: str | None, new: Module | Scheme
) -> tuple[tuple[str, ...], bool]:
    """What a new edition changes against the one in force, and whether safety is touched."""
    from trainer.library import differences  # noqa: PLC0415 - only where two editions meet
    from trainer.library.catalogue import Module  # noqa: PLC0415

    if isinstance(new, Module):
        found = differences.between(house.module(pointer) if pointer else None, new)
        return found.words, found.safety_change
    return scheme_changes(house.scheme_edition(pointer) if pointer else None, new), False


def scheme_changes(old: Scheme | None, new: Scheme) -> tuple[str, ...]:
    """In words, which competencies and certificates differ between two editions of the scheme."""
    if old is None:
        return ("new scheme",)
    words: list[str] = []
    for kind, before, now in (
        ("competency", old.competencies, new.competencies),
        ("certificate", old.certificates, new.certificates),
    ):
        for name in sorted({*before, *now}):
            if name not in now:
                words.append(f"{kind} {name} left out")
            elif name not in before:
                words.append(f"{kind} {name} is new")
            elif before[name] != now[name]:
                words.append(f"{kind} {name} changed")
    return tuple(words or ["only its wording beside the rules changed"])


def changes_of(house: House, row: Edition, pointer: str | None) -> tuple[str, ...]:
    """What a stored edition changes against the one in force."""
    if row.subject == SCHEME:
        old = house.scheme_edition(pointer) if pointer is not None else None
        return scheme_changes(old, house.scheme_edition(row.hash))
    return house.changes(pointer, house.module(row.hash))
