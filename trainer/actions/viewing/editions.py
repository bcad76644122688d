"""The editions page: what is in force, what waits, and what came before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row, func, select
from sqlalchemy.orm import Session

from trainer.actions.house import NO_EDITION, SCHEME, Actor, House
from trainer.actions.permission import require
from trainer.errors import NotFoundError
from trainer.records.editions import Edition, EditionEvent
from trainer.records.people import PersonName
from trainer.rules.roles import Role
from trainer.rules.separation import may_put_in_force

READERS = (
    Role.TRAINER,
    Role.SECOND_READER,
    Role.SCHEME_ADMINISTRATOR,
    Role.DECISION_MAKER,
    Role.AUDITOR,
)


@dataclass(frozen=True, slots=True)
class EditionRow:
    """One edition of a module or of the scheme."""

    subject: str
    title: str
    number: int
    edition_hash: str
    state: str  # draft, in review, reviewed, in force, superseded, withdrawn
    since: datetime
    by: str
    reason: str
    may_confirm: str  # '' or why this actor may not confirm it; only for 'in review'


@dataclass(frozen=True, slots=True)
class EditionsView:
    """The editions page."""

    in_force: tuple[EditionRow, ...]
    waiting: tuple[EditionRow, ...]
    earlier: tuple[EditionRow, ...]


@dataclass(frozen=True, slots=True)
class EditionPage:
    """One edition with its whole story and its difference to the one before."""

    edition: EditionRow
    story: tuple[EditionRow, ...]
    changes: tuple[str, ...]
    lessons: tuple[tuple[str, str], ...]
    exercises: tuple[tuple[str, str], ...]


def editions(house: House, actor: Actor) -> EditionsView:
    """Every edition in force, those that wait for a second reader, and the earlier ones.

    Raises:
        RefusedError: SEP-002.
    """
    require(actor, *READERS)
    with house.database.reading() as session:
        pointers = house.in_force(session)
        rows = session.execute(_latest().order_by(Edition.subject, Edition.number.desc())).all()
        names = _names(session, rows)
    titles = {module.id: module.title for module in house.modules(pointers)}
    in_force, waiting, earlier = [], [], []
    for row in rows:
        found = _edition_row(actor, row, titles, names)
        if pointers.get(row.subject) == row.hash:
            in_force.append(found)
        elif row.state == "in review":
            waiting.append(found)
        else:
            earlier.append(found)
    return EditionsView(tuple(in_force), tuple(waiting), tuple(earlier))


def edition_page(house: House, actor: Actor, *, edition_hash: str) -> EditionPage:
    """One stored edition with its whole story.

    Raises:
        NotFoundError: HOU-003.
        RefusedError: SEP-002.
    """
    require(actor, *READERS)
    with house.database.reading() as session:
        story = session.execute(
            _events().where(Edition.hash == edition_hash).order_by(EditionEvent.id)
        ).all()
        if not story:
            raise NotFoundError(NO_EDITION, edition=edition_hash[:12])
        names = _names(session, story)
        head = story[-1]
        older = session.scalar(
            select(Edition.hash).where(
                Edition.subject == head.subject, Edition.number == head.number - 1
            )
        )
    title = SCHEME if head.subject == SCHEME else house.module(edition_hash).title
    rows = tuple(_edition_row(actor, row, {head.subject: title}, names) for row in story)
    if head.subject == SCHEME:
        scheme = house.scheme_edition(edition_hash)
        listed = tuple((one.id, one.title) for one in scheme.competencies.values())
        granted = tuple((one.id, one.title) for one in scheme.certificates.values())
        return EditionPage(rows[-1], rows, (), listed, granted)
    module = house.module(edition_hash)
    return EditionPage(
        rows[-1],
        rows,
        house.changes(older, module),
        tuple((one.id, one.title) for one in module.lessons),
        tuple((one.id, one.title) for one in module.exercises.values()),
    )


def _events() -> Any:  # noqa: ANN401 - a select of these columns
    return select(
        Edition.hash,
        Edition.subject,
        Edition.number,
        Edition.made_by_id,
        EditionEvent.state,
        EditionEvent.at,
        EditionEvent.by_person_id,
        EditionEvent.reason,
    ).join(EditionEvent, EditionEvent.edition_hash == Edition.hash)


def _latest() -> Any:  # noqa: ANN401 - a select of these columns
    newest = select(func.max(EditionEvent.id)).group_by(EditionEvent.edition_hash)
    return _events().where(EditionEvent.id.in_(newest))


def _names(session: Session, rows: Any) -> Mapping[int, str]:  # noqa: ANN401 - rows of _events
    ids = {row.by_person_id for row in rows} - {None}
    found = session.execute(
        select(PersonName.person_id, PersonName.short_name).where(PersonName.person_id.in_(ids))
    )
    return {row.person_id: row.short_name for row in found}


def _edition_row(
    actor: Actor, row: Row[Any], titles: Mapping[str, str], names: Mapping[int, str]
) -> EditionRow:
    title = titles.get(row.subject, row.subject)
    may_confirm = ""
    if row.state == "in review":
        refusal = may_put_in_force(
            actor.roles,
            subject=row.subject,
            is_safety_change=True,
            is_maker=row.made_by_id == actor.person_id,
        )
        may_confirm = refusal.sentence if refusal is not None else ""
    return EditionRow(
        row.subject,
        title,
        row.number,
        row.hash,
        row.state,
        row.at,
        names.get(row.by_person_id, "the server" if row.by_person_id is None else "a person"),
        row.reason,
        may_confirm,
    )
