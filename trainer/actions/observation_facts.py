"""One observation sheet with everything the rules ask about it, read in a few statements."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from sqlalchemy import select

from trainer.actions.house import House
from trainer.actions.parties import parties
from trainer.actions.standing import Board, Standing, read_board
from trainer.errors import NotFoundError, register
from trainer.records.free_text import FreeText
from trainer.records.observations import ObservationMark, ObservationSheet
from trainer.rules.competency import CompetencyState, counted, is_recheck
from trainer.rules.observation import SheetVerdict, sheet_verdict
from trainer.rules.separation import Job, Party

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from trainer.library.catalogue import Competency

NO_SHEET = register(
    "OBS-001",
    "There is no observation sheet {sheet}.",
    "The observation list shows the sheets of your teams.",
    audience="trainee",
    status=404,
)


@dataclass(frozen=True, slots=True)
class MarkSeen:
    """The mark of a criterion that holds."""

    value: str
    note: str
    at: datetime


@dataclass(frozen=True, slots=True)
class SheetFacts:
    """A sheet, its people, its marks, and the standing of the person observed."""

    row: ObservationSheet
    salt: str
    competency: Competency  # of the scheme edition the sheet was opened under
    marks: Mapping[str, MarkSeen]
    last_mark: int  # id of the newest mark, 0 for none: tells whether anything was ticked since
    people: Mapping[int, Party]
    board: Board
    verdict: SheetVerdict

    @property
    def number(self) -> str:
        """The sheet's number as printed."""
        return sheet_number(self.row)

    @property
    def person(self) -> Party:
        """Who is observed."""
        return self.people[self.row.person_id]

    @property
    def observer(self) -> Party:
        """Whose sheet it is."""
        return self.people[self.row.observer_id]

    @property
    def standing(self) -> Standing:
        """The standing of the person observed."""
        return self.board.of(self.row.person_id)

    def own_state(self, actor_id: int) -> CompetencyState | None:
        """The actor's state in the competency, where the scheme asks for a competent observer."""
        return own_state(self.board, self.competency, actor_id)


def sheet_number(row: ObservationSheet) -> str:
    """A sheet's number as printed, such as 'C04-0012'."""
    return f"{row.competency}-{row.id:04d}"


def job_of(site: str, machine: str, begun_at: datetime) -> str:
    """What tells one job from another: site, machine and day."""
    return f"{site}\n{machine}\n{begun_at.date()}".casefold()


def own_state(board: Board, competency: Competency, actor_id: int) -> CompetencyState | None:
    """An observer's own state, where the scheme asks for a competent observer; else None."""
    if not competency.observer_competent or competency.id not in board.scheme.competencies:
        return None
    return board.of(actor_id).state(competency.id)


def read_sheet(house: House, session: Session, sheet_id: int, actor_id: int) -> SheetFacts:
    """Read a sheet with all that belongs to it, as the actor is about to look at it or act on it.

    Raises:
        NotFoundError: OBS-001.
    """
    row = session.get(ObservationSheet, sheet_id)
    if row is None:
        raise NotFoundError(NO_SHEET, sheet=sheet_id)
    details = session.get(FreeText, row.details_id) if row.details_id is not None else None
    scheme = house.scheme_edition(row.scheme_hash)
    competency = house.competency(row.competency, scheme)
    marks, last = read_marks(session, sheet_id)
    people = parties(session, {row.person_id, row.observer_id, actor_id})
    board = read_board(house, session, {row.person_id, actor_id})
    verdict = sheet_verdict(
        [one.id for one in competency.criteria], {key: mark.value for key, mark in marks.items()}
    )
    salt = details.salt.hex() if details is not None else ""
    return SheetFacts(row, salt, competency, marks, last, people, board, verdict)


def read_marks(session: Session, sheet_id: int) -> tuple[dict[str, MarkSeen], int]:
    """The mark of each criterion that holds, and the id of the newest mark of the sheet."""
    rows = session.execute(
        select(
            ObservationMark.id,
            ObservationMark.criterion,
            ObservationMark.value,
            ObservationMark.at,
            FreeText.text,
        )
        .outerjoin(FreeText, FreeText.id == ObservationMark.note_id)
        .where(ObservationMark.sheet_id == sheet_id)
        .order_by(ObservationMark.criterion, ObservationMark.seq)
    ).all()
    marks = {row.criterion: MarkSeen(row.value, row.text or "", row.at) for row in rows}
    return marks, max((row.id for row in rows), default=0)


def jobs_counted(session: Session, standing: Standing, competency: str) -> tuple[Job, ...]:
    """The observations that count towards the next sign-off, as jobs."""
    facts = standing.observed(competency)
    found = counted(facts, standing.board.today)
    if not found or is_recheck(facts, standing.board.today):
        return ()
    ids = [int(event.job) for event in found]
    sheets = session.scalars(select(ObservationSheet).where(ObservationSheet.id.in_(ids))).all()
    return tuple(
        Job(row.observer_id, job_of(row.site, row.machine, row.begun_at)) for row in sheets
    )


def which_observation(standing: Standing, competency: Competency, *, is_open: bool) -> str:
    """Which observation an open sheet is: the only one, one of two, or a re-check."""
    facts = standing.observed(competency.id)
    if not is_open or competency.id not in standing.board.scheme.competencies:
        return "observation"
    if is_recheck(facts, standing.board.today):
        return "re-check"
    if competency.observers < 2:
        return "observation"
    place = len(counted(facts, standing.board.today)) + 1
    word = {1: "first", 2: "second", 3: "third"}.get(place, f"number {place}")
    return f"{word} of {competency.observers}"
