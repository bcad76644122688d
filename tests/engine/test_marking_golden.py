"""Marks of earlier days, worked out again from block, draw number, answers and engine edition."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from trainer.canonical import canonical_bytes
from trainer.engine.draw import draw_key_for
from trainer.engine.marking import EDITIONS, as_plain, from_plain, mark, mark_bytes
from trainer.engine.outcome import Marking, Outcome
from trainer.engine.reader import read_block
from trainer.engine.sheet import make

GOLDEN = Path(__file__).parent / "golden"


def cases() -> list[Any]:
    found = []
    for file in sorted(GOLDEN.glob("edition-*/*.json")):
        edition = int(file.parent.name.removeprefix("edition-"))
        block = file.with_suffix(".toml").read_text(encoding="utf-8")
        for number, row in enumerate(json.loads(file.read_text(encoding="utf-8"))):
            name = f"{file.parent.name}-{file.stem}-{number}"
            found.append(pytest.param(edition, block, row, id=name))
    return found


@pytest.mark.parametrize(("edition", "block", "row"), cases())
def test_marked_again_to_the_byte(edition: int, block: str, row: dict[str, Any]) -> None:
    exercise, findings = read_block(block)
    assert exercise is not None, findings
    key = draw_key_for(exercise.hash, row["draw"])
    again = mark(make(exercise, key), row["answers"], final=True, edition=edition)
    assert isinstance(again, Marking)
    assert as_plain(again) == row["marking"]
    assert mark_bytes(again) == canonical_bytes(row["marking"])
    assert from_plain(row["marking"]) == again


def test_every_edition_and_every_outcome_has_a_kept_mark() -> None:
    kept = [case.values for case in cases()]
    assert {edition for edition, _, _ in kept} == set(EDITIONS)
    outcomes = {find["outcome"] for _, _, row in kept for find in row["marking"]["finds"]}
    assert outcomes == {outcome.value for outcome in Outcome}
