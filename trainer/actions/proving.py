"""Proofs of exercises: kept by hash in the process, in the database and beside the content."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer.actions.house import House, Shelf
from trainer.engine.outcome import ENGINE_EDITION, Proof
from trainer.findings import Finding
from trainer.records.proofs import ProofRun

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise

STORE = "proofs.json"
_PROVED: Shelf[str, Proof] = Shelf(4096)
"""Proofs of this process by exercise hash: the same text is proved once."""


def proofs(house: House, exercises: Iterable[Exercise], folder: Path) -> dict[str, Proof]:
    """The proof of each exercise by its hash; only what no store knows is proved now."""
    wanted = {one.hash: one for one in exercises}
    known = _known(house, set(wanted), folder)
    return {
        key: _PROVED.get(key, lambda one=one, key=key: known.get(key) or _prove(one))  # type: ignore[misc]
        for key, one in wanted.items()
    }


def proof_findings(proved: dict[str, Proof], exercises: Iterable[Exercise]) -> tuple[Finding, ...]:
    """What the proofs found, at the places where the exercises stand now."""
    from trainer.engine import proof  # noqa: PLC0415 - only where something is proved

    return tuple(
        finding
        for one in exercises
        for finding in proof.placed(proved[one.hash], one, one.file).findings
    )


def store(session: Session, proved: Iterable[Proof]) -> None:
    """Keep proofs that are not kept yet, within the caller's write."""
    from trainer.engine import proof  # noqa: PLC0415 - only where something is proved

    for one in proved:
        if session.get(ProofRun, (one.hash, one.engine_edition)) is None:
            session.add(
                ProofRun(
                    hash=one.hash, engine_edition=one.engine_edition, result=proof.as_plain(one)
                )
            )


def _known(house: House, hashes: set[str], folder: Path) -> dict[str, Proof]:
    from trainer.engine import proof  # noqa: PLC0415 - only where something is proved

    file = folder / STORE
    found = proof.read_store(file.read_text(encoding="utf-8")) if file.is_file() else {}
    with house.database.reading() as session:
        rows = session.scalars(
            select(ProofRun).where(
                ProofRun.hash.in_(hashes), ProofRun.engine_edition == ENGINE_EDITION
            )
        )
        return {**found, **{row.hash: proof.from_plain(row.result) for row in rows}}


def _prove(exercise: Exercise) -> Proof:
    from trainer.engine import proof  # noqa: PLC0415 - only where something is proved

    return proof.run(exercise, file=exercise.file)
