"""The blocks an author may fence, by name: what each holds and what it puts on the page.

- ``exercise``: an exercise of this module, placed where it stands.
- ``sheet``: ids of exercises written elsewhere in the module, placed here; one a line.
- ``caution``: ``use = 'H02'``, or a panel of its own: ``id``, ``about``, ``word``, ``hazard``,
  ``harm``, ``avoid``, and ``for`` where not everybody is meant.
- ``steps``: a procedure (module ``steps``).
- ``formula``: LaTeX, a formula a line; a last line ``say: …`` says it for those who hear it.
- ``figure``: ``file``, ``alt``, ``caption``, and ``narrow`` for the drawing of a narrow screen.

A block of another room registers itself with ``register_block`` by name and priority: where two
claim a name, the higher priority has it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from trainer.engine.reader import read_block
from trainer.errors import InputError
from trainer.library import steps as procedure
from trainer.library.cautions import caution_from
from trainer.library.desk import Desk, Piece
from trainer.library.fences import Fence
from trainer.library.figures import plate
from trainer.library.formulae import to_mathml
from trainer.library.front_matter import table_of
from trainer.library.page import Page
from trainer.library.problems import did_you_mean, problem
from trainer.library.sanitise import clean_text

NO_IDS = problem("LIB-241", "The sheet block names no exercise.", "Write ids such as M03-E1.")
UNKNOWN_EXERCISE = problem("LIB-242", "There is no exercise '{text}' in this module.", "{cure}")
UNKNOWN_FIGURE = problem("LIB-243", "There is no file '{text}' in figures/.", "{cure}")
FORMULA = problem("LIB-244", "{message}", "{cure}")
UNKNOWN_CAUTION = problem("LIB-245", "There is no caution '{text}' in cautions.md.", "{cure}")

_ID = re.compile(r"[^\s,]+")


@dataclass(frozen=True, slots=True)
class Block:
    """A kind of block: its name, who has it, and how it is read."""

    name: str
    read: Callable[[Fence, Desk], list[Piece]]
    priority: int


BLOCKS: dict[str, Block] = {}


def register_block(
    name: str, read: Callable[[Fence, Desk], list[Piece]], *, priority: int = 50
) -> None:
    """Let a block of this name be read by ``read``, unless one of higher priority has the name."""
    known = BLOCKS.get(name)
    if known is None or known.priority < priority:
        BLOCKS[name] = Block(name, read, priority)


def slot(exercise: str, title: str) -> str:
    """The place in a lesson from which a calculation sheet is opened."""
    return (
        f'<div class="slot"><span><span class="num">{exercise}</span> {clean_text(title)}</span> '
        f'<a class="act" href="/sheet/{exercise}" data-sheet="{exercise}">open the sheet</a></div>'
    )


def _exercise(fence: Fence, desk: Desk) -> list[Piece]:
    exercise = desk.context.exercise_at.get(fence.line)
    title = desk.context.exercises.get(exercise or "", "")
    if exercise is None:
        read, findings = read_block(
            fence.body, file=desk.file, line=fence.line + 1, shipped=desk.context.shipped
        )
        desk.findings.extend(findings)
        exercise, title = (read.id, read.title) if read else ("", "")
    return [_placed(exercise, title)] if exercise else []


def _sheet(fence: Fence, desk: Desk) -> list[Piece]:
    pieces: list[Piece] = []
    known = desk.context.exercises
    for number, entry in enumerate(fence.body.split("\n"), start=fence.line + 1):
        for found in _ID.finditer(entry):
            name = found.group()
            if name in known:
                pieces.append(_placed(name, known[name]))
                continue
            otherwise = "Write it in exercises.md first."
            cure = did_you_mean(name, known, otherwise=otherwise)
            desk.note(UNKNOWN_EXERCISE, number, found.start() + 1, text=name, cure=cure)
    if not fence.body.strip():
        desk.note(NO_IDS, fence.line, 1)
    return pieces


def _placed(exercise: str, title: str) -> Piece:
    def place(page: Page, _html: str) -> None:
        page.exercises.append(exercise)
        page.thing(slot(exercise, title))

    return Piece(place)


def _caution(fence: Fence, desk: Desk) -> list[Piece]:
    table = table_of(fence.body, file=desk.file, line=fence.line + 1, findings=desk.findings)
    if table is None:
        return []
    if table.has("use"):
        name = table.text("use", "'H01'")
        table.close()
        caution = desk.context.cautions.get(name) or desk.own_cautions.get(name)
        if caution is None:
            cure = did_you_mean(name, desk.context.cautions, otherwise="Write it there first.")
            desk.note(UNKNOWN_CAUTION, *table.at("use"), text=name, cure=cure)
            return []
    else:
        caution = caution_from(table)
        desk.own_cautions[caution.id] = caution
    shown = caution
    desk.placed.add(shown.id)
    return [Piece(lambda page, _html: page.panel(shown))]


def _formula(fence: Fence, desk: Desk) -> list[Piece]:
    rows = [(n, row) for n, row in enumerate(fence.body.split("\n"), fence.line + 1) if row.strip()]
    said = ""
    if rows and rows[-1][1].strip().startswith("say:"):
        said = rows.pop()[1].strip().removeprefix("say:").strip()
    shown: list[str] = []
    for line, row in rows or [(fence.line, "")]:
        try:
            shown.append(to_mathml(row.strip(), block=True, said=said if len(rows) == 1 else ""))
        except InputError as refused:
            indent = len(row) - len(row.lstrip())
            column = int(str(refused.fields.get("column", 1))) + indent
            desk.note(
                FORMULA, line, column, text=row.strip(), message=str(refused), cure=refused.cure
            )
    html = f'<div class="formula">{"".join(shown)}</div>'
    return [Piece(lambda page, _html: page.thing(html))]


def _figure(fence: Fence, desk: Desk) -> list[Piece]:
    table = table_of(fence.body, file=desk.file, line=fence.line + 1, findings=desk.findings)
    if table is None:
        return []
    names = {"file": table.text("file", "'run-down.svg'")}
    alt = table.text("alt", "'what the picture shows, in words'")
    caption = table.text("caption", "'Run-down and wait'", required=False)
    if table.has("narrow"):
        names["narrow"] = table.text("narrow", "'run-down-narrow.svg'")
    table.close()
    for key, name in names.items():
        if name and name not in desk.context.figures:
            cure = did_you_mean(name, desk.context.figures, otherwise="Put the file there.")
            desk.note(UNKNOWN_FIGURE, *table.at(key), text=name, cure=cure)
    figure = desk.context.figures.get(names["file"])
    narrow = desk.context.figures.get(names.get("narrow", ""))
    if figure is None:
        return []

    def place(page: Page, html: str) -> None:
        page.figures += 1
        page.thing(plate(figure, narrow, alt=alt, caption=html, number=page.figures))

    return [Piece(place, " ".join(caption.split()))]


for _name, _read in {
    "exercise": _exercise,
    "sheet": _sheet,
    "caution": _caution,
    "steps": procedure.steps,
    "formula": _formula,
    "figure": _figure,
}.items():
    register_block(_name, _read)
