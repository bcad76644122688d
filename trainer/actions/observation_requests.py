"""A person asks to be observed, or takes the request back."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions.house import Actor, House
from trainer.actions.permission import hold, refuse_other, require_worker
from trainer.actions.standing import read_board
from trainer.errors import NotFoundError, register
from trainer.records import states
from trainer.records.observations import ObservationRequest
from trainer.rules.separation import may_ask

NO_REQUEST = register(
    "OBS-002",
    "There is no standing request {request}.",
    "Your job card shows what you asked for.",
    audience="trainee",
    status=404,
)


def ask_to_be_observed(house: House, actor: Actor, *, competency: str) -> int:
    """A person's own request to be observed; returns the standing one if there is one.

    Raises:
        NotFoundError: HOU-002.
        RefusedError: SEP-008 while the theory is open or a waiting time runs, SEP-002.
    """
    require_worker(actor)
    with house.database.reading() as session:
        board = read_board(house, session, {actor.person_id})
        house.competency(competency, board.scheme)
        standing = board.of(actor.person_id)
        not_yet_on = standing.last_outcome_on(competency)
        state = standing.state(competency)
    standing_request = standing.rows.requests.get(competency)
    if standing_request:
        return standing_request[0]
    hold(may_ask(state, clock.today(), not_yet_on, competency=competency))
    now = clock.now()

    def act(session: Session) -> int:
        found = session.scalar(
            select(ObservationRequest.id).where(
                ObservationRequest.person_id == actor.person_id,
                ObservationRequest.competency == competency,
                ObservationRequest.withdrawn_at.is_(None),
                ObservationRequest.sheet_id.is_(None),
            )
        )
        if found is not None:
            return found
        request = ObservationRequest(person_id=actor.person_id, competency=competency, at=now)
        session.add(request)
        session.flush()
        states.fold_competency(session, actor.person_id, competency)
        return request.id

    return house.database.write(act)


def withdraw_request(house: House, actor: Actor, *, request: int) -> None:
    """Take back one's own request before a sheet is opened.

    Raises:
        NotFoundError: OBS-002 when it is gone, withdrawn or answered.
        RefusedError: PEO-001 for another person's.
    """
    now = clock.now()

    def act(session: Session) -> None:
        row = session.get(ObservationRequest, request)
        if row is None or row.withdrawn_at is not None or row.sheet_id is not None:
            raise NotFoundError(NO_REQUEST, request=request)
        refuse_other(actor, row.person_id)
        row.withdrawn_at = now
        states.fold_competency(session, row.person_id, row.competency)

    house.database.write(act)
