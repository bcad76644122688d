"""What every page shares: the house strip by role, dates as printed, addresses of our files."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from flask import Flask, Response, current_app, flash, jsonify, redirect, request, url_for

from trainer import clock
from trainer.web import sanitised
from trainer.web.access import WORKERS, current_actor, rule_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from flask.typing import ResponseReturnValue

    from trainer.actions.viewing import CompetencyLine

STATIC = Path(__file__).parent / "static"


@dataclass(frozen=True, slots=True)
class Paper:
    """One entry of the house strip."""

    words: str
    endpoint: str
    roles: frozenset[str]


def _paper(words: str, endpoint: str, *roles: str) -> Paper:
    return Paper(words, endpoint, frozenset(roles))


STAFF = ("supervisor", "trainer", "scheme administrator", "decision maker", "auditor")
PAPERS = (
    _paper("job card", "trainee.job_card", *WORKERS),
    _paper("programme", "trainee.programme", *WORKERS),
    _paper("observation list", "supervisor.observations", "supervisor"),
    _paper("skills matrix", "supervisor.matrix", *STAFF),
    _paper("editions", "lesson_bench.editions", "trainer", "second reader", "auditor"),
    _paper("decision desk", "deciding.desk", "decision maker", "scheme administrator", "auditor"),
    _paper("people", "people.listed", "scheme administrator", "auditor"),
)


FRONTS = (
    ("trainee", "trainee.job_card"),
    ("supervisor", "supervisor.observations"),
    ("trainer", "lesson_bench.editions"),
    ("second reader", "lesson_bench.editions"),
    ("technician", "trainee.job_card"),
    ("decision maker", "deciding.desk"),
    ("scheme administrator", "people.listed"),
    ("auditor", "supervisor.matrix"),
    ("client contact", "certificate.check"),
)


@lru_cache(maxsize=64)
def _strip(roles: frozenset[str] | None) -> tuple[tuple[str, str, str], ...]:
    """Words, endpoint and address of each entry for somebody with these roles, or for nobody."""
    shown = [(p.words, p.endpoint) for p in PAPERS if roles and p.roles & roles]
    if roles is None:
        shown = [("check a certificate", "certificate.check"), ("sign in", "front.sign_in")]
    return tuple((words, endpoint, url_for(endpoint)) for words, endpoint in shown)


def papers() -> list[tuple[str, str, bool]]:
    """The house strip for who is signed in: words, address, whether it is this page."""
    person = current_actor()
    roles = person.roles if person is not None else None
    shown = _strip(roles)
    if person is not None:
        shown = (*shown, (person.name, "front.own_papers", url_for("front.own_papers")))
    return [(words, address, request.endpoint == name) for words, name, address in shown]


def front_of(roles: frozenset[str]) -> str:
    """The endpoint of the page a person with these roles starts on: that of the first role held."""
    return next((page for role, page in FRONTS if role in roles), "front.own_papers")


def may_open(endpoint: str) -> bool:
    """Whether the person signed in may use this endpoint; for links that not everybody gets."""
    rule = rule_of(current_app, endpoint)
    return rule is not None and rule.lets_in(current_actor())


@lru_cache(maxsize=32)
def asset(name: str) -> str:
    """The address of a style sheet or script, with its digest in it so that it may be kept."""
    digest = hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:12]
    return f"/static/{name}?v={digest}"


def day(moment: date | datetime | None) -> str:
    """'2026-03-20', or a dash."""
    if moment is None:
        return "-"
    return (moment.date() if isinstance(moment, datetime) else moment).isoformat()


def hour(moment: datetime | None) -> str:
    """'14:06 UTC', or a dash."""
    return "-" if moment is None else f"{moment:%H:%M} UTC"


def second(moment: datetime) -> str:
    """'14:03:21 UTC'."""
    return f"{moment:%H:%M:%S} UTC"


def surname_first(name: str) -> str:
    """'Marrowick, Delphine' from 'Delphine Marrowick'; one word stays as it is."""
    first, _, last = name.rpartition(" ")
    return f"{last}, {first}" if first else name


def initials(name: str) -> str:
    """'D. Marrowick' from 'Delphine Marrowick', for the narrow cells of a title block."""
    first, _, last = name.rpartition(" ")
    return f"{first[0]}. {last}" if first else name


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def listed(words: Iterable[str]) -> str:
    """'M02, M03 and M04'."""
    found = list(words)
    return " and ".join(part for part in (", ".join(found[:-1]), *found[-1:]) if part)


def standing_words(line: CompetencyLine) -> str:
    """The small line under a competency on the job card: its state, with what one needs of it."""
    if line.letter in {"C", "D"} and line.until is not None:
        return f"{line.state}, in date to {day(line.until)}"
    if line.letter in {"T", "R"}:
        return line.state
    return "" if line.letter == "." else line.sentence


def done(words: str, endpoint: str, **values: object) -> ResponseReturnValue:
    """Go to a page after an act, and say there in a sentence what was done."""
    flash(words)
    return redirect(url_for(endpoint, **values), code=303)  # type: ignore[arg-type]


def saved(moment: datetime) -> Response:
    """The answer to a script of ours: the words it prints beside what was saved."""
    return jsonify(said=f"saved {second(moment)}")


def furnish(app: Flask) -> None:
    """Give the templates their filters and the values that every page prints."""
    app.jinja_env.filters.update(
        capital=capital,
        day=day,
        hour=hour,
        listed=listed,
        second=second,
        surname_first=surname_first,
        initials=initials,
        lesson_html=sanitised.lesson_html,
        numbers_strip=sanitised.numbers_strip,
        short_text=sanitised.short_text,
        one_line=sanitised.one_line,
    )
    app.jinja_env.globals.update(
        asset=asset,
        papers=papers,
        may_open=may_open,
        standing_words=standing_words,
        today=clock.today,
        qr_code=sanitised.qr_code,
        accept_strip=sanitised.accept_strip,
        caution_panel=sanitised.caution_panel,
    )
    app.context_processor(lambda: {"me": current_actor(), "firm": app.config["FIRM"]})
