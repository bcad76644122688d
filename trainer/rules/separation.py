"""Who may act on whom: nobody on the own record, nobody without basis, two people where it matters.

Each rule answers None, or the first refusal that fits with the code of its catalogue sentence.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from trainer.errors import CATALOGUE, register
from trainer.rules.competency import CompetencyState, State
from trainer.rules.recheck import may_ask_again_on
from trainer.rules.roles import Role

OWN_RECORD = register(
    "SEP-001",
    "Nobody acts on the own record.",
    "Another person who holds the role has to do it.",
    audience="trainee",
    status=403,
)
NOT_THE_ROLE = register(
    "SEP-002",
    "This is for a {role}; you do not hold that role.",
    "Ask somebody who does, or the scheme administrator.",
    audience="trainee",
    status=403,
)
NOT_THE_TEAM = register(
    "SEP-003",
    "{person} was not in your team on {day}.",
    "A supervisor of the person's team has to do it.",
    audience="trainee",
    status=403,
)
NOT_COMPETENT = register(
    "SEP-004",
    "For {competency} the observer must be competent; yours is {state}.",
    "Ask a supervisor whose competency is in date.",
    audience="trainee",
    status=403,
)
NOT_THE_OBSERVER = register(
    "SEP-005",
    "Only {observer}, who watched this job, fills in and signs its sheet.",
    "Open a sheet of your own on another job.",
    audience="trainee",
    status=403,
)
SAME_OBSERVER = register(
    "SEP-006",
    "You signed the first observation of {competency}; the second needs another person.",
    "Ask another supervisor of the team to watch the next job.",
    audience="trainee",
    status=403,
)
SAME_JOB = register(
    "SEP-007",
    "The first observation of {competency} was on this job; the second needs another job.",
    "Watch another machine or another day.",
    audience="trainee",
    status=409,
)
THEORY_OPEN = register(
    "SEP-008",
    "{competency} is {state}: {reason}",
    "{missing}",
    audience="trainee",
    status=409,
)
OBSERVED = register(
    "SEP-009",
    "You observed or recognised this person's work, so another person decides.",
    "Leave the decision to a decision maker who was not involved.",
    audience="trainee",
    status=403,
)
TRAINED = register(
    "SEP-010",
    "You were a trainer of this person's team, so another person decides.",
    "Leave the decision to a decision maker who was not involved.",
    audience="trainee",
    status=403,
)
SECOND_READER = register(
    "SEP-011",
    "{subject} has a safety change; a second reader who did not write it confirms it first.",
    "Ask the second reader to look at the editions page.",
    status=409,
)
SET_IT = register(
    "SEP-012",
    "Whoever set a restriction does not release it.",
    "Ask another supervisor of the team.",
    audience="trainee",
    status=403,
)


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why not: the code of the catalogue and what fills its sentence."""

    code: str
    fields: Mapping[str, str] = field(default_factory=dict)

    @property
    def sentence(self) -> str:
        """The refusal in words."""
        return CATALOGUE[self.code].sentence.format_map(self.fields)


@dataclass(frozen=True, slots=True)
class Span:
    """A time in a role or a team, from ``since`` up to ``until`` (None: still)."""

    of: str  # the role, or the team's id as text
    since: datetime
    until: datetime | None = None

    def holds_at(self, moment: datetime) -> bool:
        """Whether it held at this moment."""
        return self.since <= moment and (self.until is None or moment < self.until)


@dataclass(frozen=True, slots=True)
class Party:
    """A person as the rules see him: roles and teams over time."""

    person: int
    name: str
    roles: tuple[Span, ...] = ()
    teams: tuple[Span, ...] = ()

    def has_role(self, role: str, moment: datetime) -> bool:
        """Whether the role was held at this moment."""
        return any(span.of == role and span.holds_at(moment) for span in self.roles)

    def teams_at(self, moment: datetime) -> frozenset[str]:
        """The teams at this moment."""
        return frozenset(span.of for span in self.teams if span.holds_at(moment))


@dataclass(frozen=True, slots=True)
class Job:
    """An observation already counted: who signed it and which job it was."""

    by: int
    job: str


def not_own(actor: int, person: int) -> Refusal | None:
    """Nobody acts on the own record."""
    return Refusal(OWN_RECORD) if actor == person else None


def may_supervise(actor: Party, person: Party, moments: Iterable[datetime]) -> Refusal | None:
    """Whether the actor is a supervisor of the person's team at every one of these moments."""
    if actor.person == person.person:
        return Refusal(OWN_RECORD)
    for moment in moments:
        if not actor.has_role(Role.SUPERVISOR, moment):
            return Refusal(NOT_THE_ROLE, {"role": Role.SUPERVISOR.value})
        if not actor.teams_at(moment) & person.teams_at(moment):
            fields = {"person": person.name, "day": moment.date().isoformat()}
            return Refusal(NOT_THE_TEAM, fields)
    return None


def may_observe(
    actor: Party,
    person: Party,
    moments: Iterable[datetime],
    *,
    competency: str,
    own_state: CompetencyState | None,
) -> Refusal | None:
    """Whether the actor may watch this person for a competency.

    Args:
        actor: The supervisor.
        person: Who is watched.
        moments: When both must belong to one team: the job, and now.
        competency: Its id, for the sentence.
        own_state: The actor's own state where the scheme asks for a competent observer; else None.
    """
    refusal = may_supervise(actor, person, moments)
    if refusal:
        return refusal
    if own_state is not None and not own_state.is_held:
        return Refusal(NOT_COMPETENT, {"competency": competency, "state": own_state.state.value})
    return None


def another_job(actor: int, job: str, counted: Iterable[Job], *, competency: str) -> Refusal | None:
    """Whether an observation by this actor on this job stands apart from those counted before."""
    for first in counted:
        if first.by == actor:
            return Refusal(SAME_OBSERVER, {"competency": competency})
        if first.job == job:
            return Refusal(SAME_JOB, {"competency": competency})
    return None


def may_be_observed(state: CompetencyState, *, competency: str) -> Refusal | None:
    """Whether a sheet may be opened for a person in this state: the theory is the basis."""
    if state.state in {State.NOT_STARTED, State.IN_TRAINING, State.RESTRICTED, State.WITHDRAWN}:
        return _theory(state, competency)
    return None


def may_ask(
    state: CompetencyState, today: date, not_yet_on: date | None, *, competency: str
) -> Refusal | None:
    """Whether a person may ask to be observed; after "not yet competent" only from a later day."""
    refusal = may_be_observed(state, competency=competency)
    if refusal or state.state is State.COMPETENT:
        return refusal or _theory(state, competency)
    if state.state is State.NOT_YET and not_yet_on and today < may_ask_again_on(not_yet_on):
        return _theory(state, competency)
    return None


def may_sign(
    actor: Party,
    person: Party,
    moments: Iterable[datetime],
    *,
    observer: tuple[int, str],
    competency: str,
    own_state: CompetencyState | None,
) -> Refusal | None:
    """Whether the actor may sign this sheet: only who watched the job, while all rules hold."""
    refusal = not_own(actor.person, person.person)
    if refusal:
        return refusal
    if actor.person != observer[0]:
        return Refusal(NOT_THE_OBSERVER, {"observer": observer[1]})
    return may_observe(actor, person, moments, competency=competency, own_state=own_state)


def may_decide(
    actor: Party, person: Party, involved: frozenset[int], moment: datetime
) -> Refusal | None:
    """Whether the actor may decide on this person's certificate.

    Args:
        actor: The decision maker.
        person: The candidate.
        involved: Who observed, signed, stopped or recognised this person's work.
        moment: Now.
    """
    if actor.person == person.person:
        return Refusal(OWN_RECORD)
    if not actor.has_role(Role.DECISION_MAKER, moment):
        return Refusal(NOT_THE_ROLE, {"role": Role.DECISION_MAKER.value})
    if actor.person in involved:
        return Refusal(OBSERVED)
    if _has_trained(actor, person):
        return Refusal(TRAINED)
    return None


def may_put_in_force(
    actor_roles: frozenset[str],
    *,
    subject: str,
    is_safety_change: bool,
    is_maker: bool,
    is_first_start: bool = False,
) -> Refusal | None:
    """Whether an edition goes in force by this act, or has to wait for a second reader.

    Args:
        actor_roles: Held now.
        subject: Module id or 'scheme', for the sentence.
        is_safety_change: A caution, hazard, marked step or safety exercise differs.
        is_maker: The actor wrote the edition or sent it to the second reader.
        is_first_start: Nothing was in force before; exempt, and logged.
    """
    if is_first_start:
        return None
    if not actor_roles & {Role.TRAINER, Role.SECOND_READER, Role.SCHEME_ADMINISTRATOR}:
        return Refusal(NOT_THE_ROLE, {"role": Role.TRAINER.value})
    if is_safety_change and (is_maker or Role.SECOND_READER not in actor_roles):
        return Refusal(SECOND_READER, {"subject": subject})
    return None


def may_release(actor: Party, person: Party, set_by: int, moment: datetime) -> Refusal | None:
    """Whether the actor may end a restriction: a supervisor of the team who did not set it."""
    refusal = may_supervise(actor, person, [moment])
    if refusal:
        return refusal
    return Refusal(SET_IT) if actor.person == set_by else None


def _has_trained(actor: Party, person: Party) -> bool:
    for role in actor.roles:
        if role.of != Role.TRAINER:
            continue
        for own in actor.teams:
            for theirs in person.teams:
                if own.of == theirs.of and _all_meet(role, own, theirs):
                    return True
    return False


def _all_meet(first: Span, second: Span, third: Span) -> bool:
    starts = max(first.since, second.since, third.since)
    ends = [end for end in (first.until, second.until, third.until) if end is not None]
    return not ends or starts < min(ends)


def _theory(state: CompetencyState, competency: str) -> Refusal:
    fields = {
        "competency": competency,
        "state": state.state.value,
        "reason": state.reason,
        "missing": " ".join(state.missing),
    }
    return Refusal(THEORY_OPEN, fields)
