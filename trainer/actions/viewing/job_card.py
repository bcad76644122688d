"""The job card: what a person may do alone, with someone, not yet; and what comes next."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions.decision_reasons import reasons_given
from trainer.actions.house import Actor, House
from trainer.actions.permission import require_sight
from trainer.actions.role_lines import line_of
from trainer.actions.standing import Standing, read_board
from trainer.actions.viewing.card import BackToYou, CompetencyLine, JobCard, LastSlip
from trainer.actions.viewing.card_rows import CardRows, read_card_rows
from trainer.actions.viewing.next_acts import next_acts
from trainer.records.free_text import FreeText
from trainer.records.signoffs import Restriction
from trainer.rules.competency import CompetencyState, State
from trainer.rules.separation import may_ask


def job_card(house: House, actor: Actor, *, person_id: int | None = None) -> JobCard:
    """The job card of the actor, or of another person for those who may see it; four statements.

    Raises:
        RefusedError: PEO-001.
    """
    person = actor.person_id if person_id is None else person_id
    with house.database.reading() as session:
        if person != actor.person_id:
            require_sight(session, actor, person)
        standing = read_board(house, session, {person}).of(person)
        card = read_card_rows(session, person)
        reasons = _reasons(session, standing, person)
        decided = reasons_given(session, [row[0] for row in card.came_back()])
    lines = [competency_line(standing, one, reasons) for one in standing.board.scheme.competencies]
    kept = {place: tuple(line for where, line in lines if where == place) for place, _ in lines}
    return JobCard(
        person,
        card.number,
        card.name,
        line_of(card.roles, clock.now()),
        card.teams,
        standing.board.today,
        house.number(standing.board.scheme.hash),
        kept.get("alone", ()),
        kept.get("with someone", ()),
        kept.get("not yet", ()),
        next_acts(standing, card, [line for _, line in lines]),
        _back_to_you(standing, card, decided),
        _last_slip(standing),
        tuple(
            (attempt, exercise, _title(standing, exercise))
            for exercise, (attempt, _) in standing.rows.opened.items()
        ),
        card.certificates(standing.board),
    )


def competency_line(
    standing: Standing, competency: str, reasons: dict[str, str]
) -> tuple[str, CompetencyLine]:
    """One competency with where it belongs on the card."""
    row, state = standing.board.scheme.competencies[competency], standing.state(competency)
    request = standing.rows.requests.get(competency)
    sentence = state.reason
    if state.state is State.RESTRICTED and competency in reasons:
        sentence = f"{state.reason.rstrip('.')}: {reasons[competency]}"
    return state.standing, CompetencyLine(
        competency,
        row.title,
        row.short,
        state.state.value,
        state.letter,
        sentence,
        state.missing,
        state.until,
        row.safety_critical,
        may_ask=request is None and _may_ask(standing, competency, state),
        request_id=request[0] if request is not None else None,
    )


def _may_ask(standing: Standing, competency: str, state: CompetencyState) -> bool:
    row = standing.rows.competencies.get(competency)
    if row is not None and row.open_sheet_id is not None:
        return False
    not_yet_on = standing.last_outcome_on(competency)
    return may_ask(state, standing.board.today, not_yet_on, competency=competency) is None


def _reasons(session: Session, standing: Standing, person: int) -> dict[str, str]:
    """Competency -> why it is restricted; asked only where something is."""
    if not any(row.restrictions for row in standing.rows.competencies.values()):
        return {}
    rows = session.execute(
        select(Restriction.competency, FreeText.text)
        .join(FreeText, FreeText.id == Restriction.reason_id)
        .where(Restriction.person_id == person, Restriction.released_at.is_(None))
        .order_by(Restriction.id)
    )
    return {row.competency: row.text for row in rows}


def _back_to_you(
    standing: Standing, card: CardRows, decided: Mapping[int, str]
) -> tuple[BackToYou, ...]:
    found = []
    for competency in standing.board.scheme.competencies:
        state = standing.state(competency)
        if state.state is State.NOT_YET:
            found.append(
                BackToYou("not yet competent", competency, f"{competency}: {state.reason}")
            )
    for module in standing.board.modules:
        for missing in standing.progress(module.id).missing:
            if missing.kind == "work again":
                found.append(BackToYou("work again", missing.target, missing.sentence))
            elif missing.kind == "read again":
                found.append(BackToYou("read again", missing.target, missing.sentence))
    found += [
        BackToYou("decision", certificate, sentence)
        for certificate, sentence in card.decisions(standing.board, decided)
    ]
    return tuple(found)


def _last_slip(standing: Standing) -> LastSlip | None:
    slips = [row for row in standing.rows.exercises.values() if row.last_slip]
    if not slips:
        return None
    last = max(slips, key=lambda row: row.last_at)
    lesson = ""
    for module in standing.board.modules:
        lesson = lesson or module.lesson_of_exercise.get(last.exercise, "")
    return LastSlip(last.exercise, last.last_attempt_id, last.last_slip, lesson, last.last_at)


def _title(standing: Standing, exercise: str) -> str:
    for module in standing.board.modules:
        if exercise in module.exercises:
            return module.exercises[exercise].title
    return exercise
