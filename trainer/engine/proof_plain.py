"""Proofs to plain values and back, and the store of proofs that stands beside the content.

A proof belongs to the hash of an exercise and to an engine edition. Its findings point at lines;
when the exercise has moved in its file since, ``placed`` moves them along.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, replace
from decimal import Decimal
from typing import Any

from trainer.canonical import Plain
from trainer.engine.definition import Exercise
from trainer.engine.outcome import ENGINE_EDITION, Extreme, Proof
from trainer.engine.proof_findings import place_of
from trainer.findings import Finding


def as_plain(proof: Proof) -> dict[str, Plain]:
    """The proof as text, whole numbers, truth values and lists of them."""
    return {
        "exercise": proof.exercise,
        "hash": proof.hash,
        "engine_edition": proof.engine_edition,
        "draws": proof.draws,
        "kept": proof.kept,
        "exhaustive": proof.exhaustive,
        "distinct": proof.distinct,
        "slips_apart": str(proof.slips_apart),
        "lowest": [asdict(extreme) for extreme in proof.lowest],
        "highest": [asdict(extreme) for extreme in proof.highest],
        "findings": [asdict(finding) for finding in proof.findings],
        "first_line": proof.first_line,
    }


def from_plain(plain: Mapping[str, Any]) -> Proof:
    """The proof that ``as_plain`` told."""
    return Proof(
        exercise=plain["exercise"],
        hash=plain["hash"],
        engine_edition=plain["engine_edition"],
        draws=plain["draws"],
        kept=plain["kept"],
        exhaustive=plain["exhaustive"],
        distinct=plain["distinct"],
        slips_apart=Decimal(plain["slips_apart"]),
        lowest=tuple(Extreme(**extreme) for extreme in plain["lowest"]),
        highest=tuple(Extreme(**extreme) for extreme in plain["highest"]),
        findings=tuple(Finding(**finding) for finding in plain["findings"]),
        first_line=plain["first_line"],
    )


def placed(proof: Proof, exercise: Exercise, file: str = "") -> Proof:
    """The proof with its findings at the places where the exercise stands now.

    Args:
        proof: a proof, perhaps stored some time ago.
        exercise: the same exercise (the same hash) as read now.
        file: the file it stands in.
    """
    first_line, _ = place_of(exercise)
    moved = tuple(
        finding.in_file(file, line_offset=first_line - proof.first_line if finding.line else 0)
        for finding in proof.findings
    )
    return replace(proof, findings=moved, first_line=first_line)


def write_store(proofs: Iterable[Proof]) -> str:
    """The text of a store: JSON, sorted, one line a proof, so that a change is easy to see."""
    rows = sorted((as_plain(proof) for proof in proofs), key=lambda row: str(row["hash"]))
    lines = [json.dumps(row, ensure_ascii=False, sort_keys=True) for row in rows]
    return "[\n" + ",\n".join(lines) + "\n]\n" if lines else "[]\n"


def read_store(text: str) -> dict[str, Proof]:
    """The proofs of a store by exercise hash, those of this engine edition only.

    A store that cannot be read holds nothing: the exercises are then proved again.
    """
    try:
        rows = json.loads(text)
        proofs = [from_plain(row) for row in rows if row["engine_edition"] == ENGINE_EDITION]
    except (ValueError, TypeError, KeyError, ArithmeticError):
        return {}
    return {proof.hash: proof for proof in proofs}
