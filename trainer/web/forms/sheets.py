"""The cells of a calculation, pick or order sheet, made from its open face.

Every cell is text: a person may write ``5,19`` or ``1h 20min``; the engine reads it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from flask import request
from markupsafe import Markup, escape
from wtforms import BooleanField, RadioField, StringField, TextAreaField
from wtforms.validators import Length

from trainer.web.forms.form import PARAGRAPH, Form

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.engine.outcome import Reading, Shown, ShownChoice, ShownFind

CELL = 80
MOST_PLACES = 2


@dataclass(frozen=True, slots=True)
class Cell:
    """One answer cell as the page draws it."""

    find: ShownFind
    text: Any
    unit: Any  # None when there is but one unit
    problem: str
    sure: Any  # the box to tick when the value is meant as it stands; None when not asked


class SheetForm(Form):
    """What is typed on a sheet: notes here, the cells by ``sheet_form``."""

    notes = TextAreaField("notes", [Length(max=PARAGRAPH)], name="method-notes")

    cells: tuple[Cell, ...] = ()
    picks: tuple[tuple[ShownChoice, Markup], ...] = ()
    places: tuple[tuple[ShownChoice, Any], ...] = ()
    problem: str = ""

    def said_wrong(self) -> list[tuple[str, str]]:
        """What is to be mended, cells first."""
        cells = [(c.text.id, f"{c.find.symbol}: {c.problem}") for c in self.cells if c.problem]
        choice = [("", self.problem)] if self.problem else []
        return cells + choice + super().said_wrong()


def sheet_form(
    shown: Shown,
    answers: Mapping[str, str],
    notes: str,
    problems: Mapping[str, Reading] | None = None,
) -> SheetForm:
    """The form of a sheet, filled with what was kept or just typed."""
    problems = problems or {}
    fields: dict[str, Any] = {}
    for index, find in enumerate(shown.finds):
        fields[f"cell_{index}"] = StringField(
            find.what,
            [Length(max=CELL)],
            name=find.symbol,
            id=f"find-{index}",
            default=answers.get(find.symbol, ""),
            render_kw={"inputmode": "decimal", "maxlength": CELL},
        )
        if len(find.units) > 1:
            chosen = answers.get(f"{find.symbol}-unit", "")
            fields[f"unit_{index}"] = RadioField(
                f"unit of {find.symbol}",
                name=f"{find.symbol}-unit",
                choices={unit: unit for unit in find.units},
                default=chosen if chosen in find.units else find.units[0],
            )
        fields[f"sure_{index}"] = BooleanField("sure", name=f"{find.symbol}-sure")
    is_order = shown.kind == "order"
    places = place_of(answers.get("order", ""))
    if is_order:
        for index, choice in enumerate(shown.choices):
            fields[f"place_{index}"] = StringField(
                choice.text,
                [Length(max=MOST_PLACES)],
                name=f"place-{choice.key}",
                id=f"place-{index}",
                default=answers.get(f"place-{choice.key}") or places.get(choice.key, ""),
                render_kw={
                    "inputmode": "numeric",
                    "maxlength": MOST_PLACES,
                    "autocomplete": "off",
                },
            )
    form = type("OneSheetForm", (SheetForm,), fields)(formdata=None, data={"notes": notes})
    form.cells = tuple(
        Cell(
            find,
            form[f"cell_{index}"],
            form[f"unit_{index}"] if len(find.units) > 1 else None,
            problems[find.symbol].problem if find.symbol in problems else "",
            form[f"sure_{index}"] if _asks_sure(problems.get(find.symbol)) else None,
        )
        for index, find in enumerate(shown.finds)
    )
    if is_order:
        form.places = tuple((c, form[f"place_{i}"]) for i, c in enumerate(shown.choices))
    else:
        chosen_keys = answers.get("pick", "").split()
        kind = "radio" if shown.pick == "one" else "checkbox"
        form.picks = tuple((c, _box(kind, c.key, chosen_keys)) for c in shown.choices)
    form.problem = next((problems[k].problem for k in ("pick", "order") if k in problems), "")
    return form  # type: ignore[no-any-return]


def typed(shown: Shown) -> tuple[dict[str, str], str]:
    """What was typed, by the engine's keys, and the notes; only this sheet's own cells are read.

    Of a repeated name the first value counts. An order is given as ids in the places written; while
    the numbers are not 1, 2, 3 … each once, it stays as ids with their numbers, and the engine says
    that it cannot read it.
    """
    sent = request.form
    answers: dict[str, str] = {}
    for find in shown.finds:
        for name in (find.symbol, f"{find.symbol}-unit", f"{find.symbol}-sure"):
            if sent.get(name):
                answers[name] = sent[name][:CELL]
        if answers.get(f"{find.symbol}-sure"):
            answers[f"{find.symbol}-sure"] = "yes"
    if shown.choices and shown.kind == "order":
        answers["order"] = _order(
            {c.key: sent.get(f"place-{c.key}", "").strip() for c in shown.choices}
        )
    elif shown.choices:
        keys = [choice.key for choice in shown.choices]
        chosen = [key for key in sent.getlist("pick") if key in keys]
        answers["pick"] = " ".join(chosen[:1] if shown.pick == "one" else sorted(set(chosen)))
    return answers, sent.get("method-notes", "")[:PARAGRAPH]


def place_of(order: str) -> dict[str, str]:
    """Act id -> the place written beside it, from an order as it is kept."""
    places: dict[str, str] = {}
    for index, word in enumerate(order.split(), start=1):
        ident, _, place = word.partition("=")
        places[ident] = place if "=" in word else str(index)
    return places


def _order(places: dict[str, str]) -> str:
    wanted = {str(number) for number in range(1, len(places) + 1)}
    if set(places.values()) == wanted and len(places) == len(wanted):
        return " ".join(sorted(places, key=lambda ident: int(places[ident])))
    # Kept as it was written, so that nothing typed is lost; no reader takes it for an order.
    return " ".join(f"{ident}={place}" for ident, place in places.items() if place)


def _asks_sure(reading: Reading | None) -> bool:
    return reading is not None and reading.asks and reading.value is not None


def _box(kind: str, key: str, chosen: list[str]) -> Markup:
    checked = " checked" if key in chosen else ""
    html = f'<input type="{kind}" name="pick" value="{escape(key)}"{checked}>'
    return Markup(html)  # noqa: S704 - the key is escaped, the rest is ours
