"""The state of a competency for a person on a day, computed from facts and never stored.

The first that fits: withdrawn; restricted; not yet competent; competent or due; first observation
done; lapsed; ready to observe; in training; not started. Only observations after the last
"not yet competent" or safety stop count. Whether a signature completes a sign-off is decided once,
when it is given, under the scheme of that day (``is_sign_off``), and stays a fact.

Source: house scheme, INVENTED.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from typing import Literal

from trainer.rules.progress import ModuleProgress
from trainer.rules.recheck import in_date, last_day, may_ask_again_on


class State(StrEnum):
    """The ten states, in the words of the pages."""

    NOT_STARTED = "not started"
    IN_TRAINING = "in training"
    READY = "ready to observe"
    NOT_YET = "not yet competent"
    FIRST_DONE = "first observation done"
    COMPETENT = "competent"
    DUE = "due"
    LAPSED = "lapsed"
    RESTRICTED = "restricted"
    WITHDRAWN = "withdrawn"


LETTERS: dict[State, str] = {
    State.NOT_STARTED: ".",
    State.IN_TRAINING: "T",
    State.READY: "R",
    State.NOT_YET: "N",
    State.FIRST_DONE: "1",
    State.COMPETENT: "C",
    State.DUE: "D",
    State.LAPSED: "L",
    State.RESTRICTED: "X",
    State.WITHDRAWN: "W",
}
Standing = Literal["alone", "with someone", "not yet"]
STANDING: dict[State, Standing] = {
    State.NOT_STARTED: "not yet",
    State.IN_TRAINING: "with someone",
    State.READY: "with someone",
    State.NOT_YET: "with someone",
    State.FIRST_DONE: "with someone",
    State.COMPETENT: "alone",
    State.DUE: "alone",
    State.LAPSED: "with someone",
    State.RESTRICTED: "not yet",
    State.WITHDRAWN: "not yet",
}
HELD = frozenset({State.COMPETENT, State.DUE})
"""The states in which a competency counts as held."""

EventKind = Literal["competent", "not yet competent", "stopped for safety", "recognised"]


@dataclass(frozen=True, slots=True)
class Event:
    """A signed sheet, a safety stop or a recognition; ``job`` tells one job from another."""

    kind: EventKind
    at: datetime
    by: int = 0
    job: str = ""
    completes: bool = False  # of a signature 'competent': it was the last one needed
    months: int = 0  # of a recognition; 0: the competency's own


@dataclass(frozen=True, slots=True)
class Restriction:
    """A competency taken away from ``since``; it ends by release or after the day ``until``."""

    since: datetime
    reason: str
    until: date | None = None
    released_at: datetime | None = None
    grinder_type: str = ""

    def holds_on(self, day: date) -> bool:
        """Whether the competency is restricted at the end of this day."""
        released = self.released_at is not None and self.released_at.date() <= day
        over = self.until is not None and self.until < day
        return self.since.date() <= day and not released and not over


@dataclass(frozen=True, slots=True)
class Need:
    """A competency that must be held first."""

    id: str
    title: str
    is_held: bool


@dataclass(frozen=True, slots=True)
class CompetencyFacts:
    """Everything the state depends on."""

    id: str
    months: int
    observers: int = 1
    modules: tuple[ModuleProgress, ...] = ()
    needs: tuple[Need, ...] = ()
    events: tuple[Event, ...] = ()
    restrictions: tuple[Restriction, ...] = ()
    sheet_open_since: datetime | None = None
    asked_at: datetime | None = None
    withdrawn_at: datetime | None = None
    withdrawn_reason: str = ""
    restarted_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class CompetencyState:
    """The state, its letter, why, what is missing to move on, and through which day it holds."""

    state: State
    reason: str
    missing: tuple[str, ...] = ()
    until: date | None = None

    @property
    def letter(self) -> str:
        """The sign in the skills matrix."""
        return LETTERS[self.state]

    @property
    def standing(self) -> Standing:
        """Alone, with someone, or not yet."""
        return STANDING[self.state]

    @property
    def is_held(self) -> bool:
        """Whether the person may do this alone."""
        return self.state in HELD


@dataclass(frozen=True, slots=True)
class _Proof:
    """What the observations amount to on a day."""

    proved_on: date | None = None
    until: date | None = None
    counted: tuple[Event, ...] = ()  # towards a proof that needs more observers
    refused: Event | None = None
    is_recognised: bool = False


def state_of(facts: CompetencyFacts, today: date, notice_days: int) -> CompetencyState:
    """The state of a competency at the end of a day.

    Args:
        facts: What happened; whatever lies after ``today`` is left out.
        today: Any day: the present one, or "as on" an earlier or later one.
        notice_days: How long before its end a proof shows as due.

    Returns:
        State, reason in a sentence, what is missing, and the last day it holds.
    """
    if _is_withdrawn(facts, today):
        return _withdrawn(facts)
    restricted = [rule for rule in facts.restrictions if rule.holds_on(today)]
    if restricted:
        return _restricted(restricted)
    proof = _proof(facts, today)
    if proof.refused:
        return _not_yet(proof.refused)
    if proof.counted and not _renews(proof, today):
        return _first_done(proof.counted, facts.observers)
    if proof.until:
        return _proved(proof, today, notice_days)
    return _in_training(facts, today)


def is_sign_off(facts: CompetencyFacts, signature: Event) -> bool:
    """Whether a signature 'competent' given now is the last one needed.

    While a proof is in date one observation renews it (the re-check). Otherwise the scheme's number
    of observers is needed, each another person on another job.
    """
    proof = _proof(facts, signature.at.date())
    if _renews(proof, signature.at.date()):
        return True
    return len(_with(proof.counted, signature)) >= facts.observers


def counted(facts: CompetencyFacts, today: date) -> tuple[Event, ...]:
    """The observations that already count towards the next sign-off."""
    return _proof(facts, today).counted


def is_recheck(facts: CompetencyFacts, today: date) -> bool:
    """Whether an observation on this day would renew a proof that is still in date."""
    return _renews(_proof(facts, today), today)


def _since_restart(facts: CompetencyFacts, today: date) -> list[Event]:
    start = facts.restarted_at
    if start is not None and start.date() > today:
        start = None
    chosen = [
        event
        for event in facts.events
        if event.at.date() <= today and (start is None or event.at >= start)
    ]
    return sorted(chosen, key=lambda event: event.at)


def _proof(facts: CompetencyFacts, today: date) -> _Proof:
    proof = _Proof()
    for event in _since_restart(facts, today):
        proof = _after(proof, event, facts.months)
    if not proof.counted:
        return proof
    fresh = tuple(e for e in proof.counted if last_day(e.at.date(), facts.months) >= today)
    return replace(proof, counted=fresh)


def _after(proof: _Proof, event: Event, months: int) -> _Proof:
    day = event.at.date()
    if event.kind == "recognised":
        return _Proof(day, last_day(day, event.months or months), is_recognised=True)
    if event.kind != "competent":
        return _Proof(refused=event)
    if event.completes:
        return _Proof(day, last_day(day, months))
    return replace(proof, counted=_with(proof.counted, event), refused=None)


def _with(counted: tuple[Event, ...], event: Event) -> tuple[Event, ...]:
    if any(event.by == other.by or event.job == other.job for other in counted):
        return counted
    return (*counted, event)


def _renews(proof: _Proof, day: date) -> bool:
    return proof.until is not None and day <= proof.until


def _is_withdrawn(facts: CompetencyFacts, today: date) -> bool:
    moment, again = facts.withdrawn_at, facts.restarted_at
    if moment is None or moment.date() > today:
        return False
    return again is None or again <= moment or again.date() > today


def _withdrawn(facts: CompetencyFacts) -> CompetencyState:
    assert facts.withdrawn_at is not None
    day = facts.withdrawn_at.date()
    reason = f"Withdrawn by the scheme on {day}{_because(facts.withdrawn_reason)}"
    return CompetencyState(State.WITHDRAWN, reason, ("A new start, by the scheme administrator.",))


def _restricted(restrictions: list[Restriction]) -> CompetencyState:
    rule = max(restrictions, key=lambda rule: (not rule.grinder_type, rule.until or date.max))
    on = f" on {rule.grinder_type}" if rule.grinder_type else ""
    end = f" to {rule.until}" if rule.until else ""
    return CompetencyState(
        State.RESTRICTED,
        f"Restricted{on} since {rule.since.date()}{end}{_because(rule.reason)}",
        ("A release by a supervisor who did not set it.",),
        rule.until,
    )


def _because(reason: str) -> str:
    return f": {reason}" if reason else "."


def _not_yet(event: Event) -> CompetencyState:
    day = event.at.date()
    what = "stopped for safety" if event.kind == "stopped for safety" else "not yet competent"
    return CompetencyState(
        State.NOT_YET,
        f"The last sheet was {what} on {day}.",
        (f"A new request, from {may_ask_again_on(day)} on.",),
    )


def _first_done(counted: tuple[Event, ...], observers: int) -> CompetencyState:
    day = counted[-1].at.date()
    left = max(1, observers - len(counted))
    more = "one more" if left == 1 else f"{left} more"
    return CompetencyState(
        State.FIRST_DONE,
        f"First observation done on {day}, {more} needed.",
        ("An observation by another supervisor, on another job.",),
    )


def _proved(proof: _Proof, today: date, notice_days: int) -> CompetencyState:
    assert proof.until is not None
    how = "Recognised on earlier evidence" if proof.is_recognised else "Signed off"
    standing = in_date(proof.until, today, notice_days)
    if standing == "lapsed":
        return CompetencyState(
            State.LAPSED,
            f"{how} on {proof.proved_on}, lapsed after {proof.until}.",
            ("A re-check or a new observation.",),
            proof.until,
        )
    if standing == "due":
        return CompetencyState(
            State.DUE,
            f"{how} on {proof.proved_on}; the re-check is due by {proof.until}.",
            (f"A re-check by {proof.until}.",),
            proof.until,
        )
    return CompetencyState(
        State.COMPETENT,
        f"{how} on {proof.proved_on}, in date to {proof.until}.",
        until=proof.until,
    )


def _in_training(facts: CompetencyFacts, today: date) -> CompetencyState:
    missing = [
        f"Module {module.id} {module.title}".rstrip() + f": {len(module.missing)} to do."
        for module in facts.modules
        if not module.is_done
    ]
    missing += [
        f"{need.id} {need.title}".rstrip() + " must be held first."
        for need in facts.needs
        if not need.is_held
    ]
    if not missing:
        return _ready(facts, today)
    if any(module.is_begun for module in facts.modules):
        open_modules = [module.id for module in facts.modules if not module.is_done]
        reason = (
            f"In training: {', '.join(open_modules)} open."
            if open_modules
            else "Theory met; a competency that comes first is not held."
        )
        return CompetencyState(State.IN_TRAINING, reason, tuple(missing))
    return CompetencyState(State.NOT_STARTED, "Nothing done yet.", tuple(missing))


def _ready(facts: CompetencyFacts, today: date) -> CompetencyState:
    opened, asked = facts.sheet_open_since, facts.asked_at
    if opened is not None and opened.date() <= today:
        reason = f"An observation sheet is open since {opened.date()}."
        return CompetencyState(State.READY, reason, ("The signature on the open sheet.",))
    if asked is not None and asked.date() <= today:
        reason = f"Theory met; asked to be observed on {asked.date()}."
        return CompetencyState(
            State.READY, reason, ("An observation by a supervisor of the team.",)
        )
    return CompetencyState(
        State.READY, "Theory met: ready to observe.", ("A request to be observed.",)
    )
