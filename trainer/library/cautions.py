"""Cautions: one block for each hazard in ``cautions.md``, and panels of a lesson's own."""

from __future__ import annotations

import re

from trainer.findings import Finding
from trainer.library.catalogue import Caution
from trainer.library.fences import Fence, split
from trainer.library.front_matter import table_of
from trainer.library.panels import WORDS
from trainer.library.problems import finding, problem
from trainer.library.steps import ABOUT
from trainer.library.table import Table

BAD_ID = problem(
    "LIB-251", "'{text}' cannot be the id of a caution.", "Use letters, digits and -, such as H02."
)
TWICE = problem("LIB-252", "The caution '{text}' stands in this file twice.", "Leave one out.")
NOT_A_CAUTION = problem(
    "LIB-253", "A block '{text}' cannot stand in cautions.md.", "Only caution blocks stand here."
)
_ID = re.compile(r"[A-Za-z][A-Za-z0-9-]{0,19}")


def caution_from(table: Table) -> Caution:
    """One caution from its block; what is wrong with it is laid down in the table's findings."""
    name = table.text("id", "'H02'")
    if name and not _ID.fullmatch(name):
        table.note(BAD_ID, "id", text=name)
    caution = Caution(
        id=name,
        word=table.one_of("word", WORDS, default="warning"),
        hazard=table.text("hazard", "'what can hurt'"),
        harm=table.text("harm", "'what it does to a person'"),
        avoid=table.text("avoid", "'what to do so that it does not'"),
        about=table.some_of("about", ABOUT),
        to_whom=table.text("for", "'Everyone at the counter.'", required=False),
    )
    table.close()
    return caution


def read_cautions(
    text: str, *, file: str, line: int = 1
) -> tuple[dict[str, Caution], tuple[Finding, ...]]:
    """Every caution of ``cautions.md`` by its id, with all findings of the file."""
    cautions: dict[str, Caution] = {}
    findings: list[Finding] = []
    for part in split(text, line=line):
        if not isinstance(part, Fence):
            continue
        if part.name != "caution":
            findings.append(finding(NOT_A_CAUTION, file, part.line, 1, text=part.name))
            continue
        table = table_of(part.body, file=file, line=part.line + 1, findings=findings)
        if table is None:
            continue
        caution = caution_from(table)
        if caution.id in cautions:
            table.note(TWICE, "id", text=caution.id)
        elif caution.id:
            cautions[caution.id] = caution
    return cautions, tuple(findings)
