"""Outcome of a sheet: every combination of two criteria."""

from __future__ import annotations

from itertools import product

import pytest

from trainer.rules.observation import sheet_verdict

CRITERIA = ("C04.1", "C04.2")
TABLE = {
    ("done", "done"): ("competent", ()),
    ("done", "not done"): ("not yet competent", ()),
    ("done", "not seen"): ("", ("C04.2",)),
    ("done", None): ("", ("C04.2",)),
    ("not done", "done"): ("not yet competent", ()),
    ("not done", "not done"): ("not yet competent", ()),
    ("not done", "not seen"): ("not yet competent", ("C04.2",)),
    ("not done", None): ("not yet competent", ("C04.2",)),
    ("not seen", "done"): ("", ("C04.1",)),
    ("not seen", "not done"): ("not yet competent", ("C04.1",)),
    ("not seen", "not seen"): ("", CRITERIA),
    ("not seen", None): ("", CRITERIA),
    (None, "done"): ("", ("C04.1",)),
    (None, "not done"): ("not yet competent", ("C04.1",)),
    (None, "not seen"): ("", CRITERIA),
    (None, None): ("", CRITERIA),
}


@pytest.mark.parametrize("values", list(product(["done", "not done", "not seen", None], repeat=2)))
def test_every_pair(values: tuple[str | None, str | None]) -> None:
    marks = {c: v for c, v in zip(CRITERIA, values, strict=True) if v is not None}
    verdict = sheet_verdict(CRITERIA, marks)
    assert (verdict.outcome, verdict.still_to_see) == TABLE[values]
    assert verdict.not_done == tuple(c for c in CRITERIA if marks.get(c) == "not done")


def test_an_empty_sheet_proves_nothing() -> None:
    assert sheet_verdict((), {}).outcome == ""


def test_marks_of_other_criteria_change_nothing() -> None:
    assert sheet_verdict(CRITERIA, {"C01.1": "not done"}).outcome == ""
