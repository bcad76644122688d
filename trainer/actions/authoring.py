"""Editions: look at a folder, put it in force, let a second reader confirm, withdraw at once."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions.comparing import changes_of, compared
from trainer.actions.edition_rows import add_event, last_state, move_pointer, store_edition
from trainer.actions.house import NO_EDITION, NO_MODULE, SCHEME, Actor, House
from trainer.actions.permission import hold, require, required_text
from trainer.actions.proving import proof_findings, proofs, store
from trainer.actions.recording import log
from trainer.errors import NotFoundError, RefusedError, StateError, register
from trainer.findings import Finding, has_errors, worst_first
from trainer.records.attempts import Attempt
from trainer.records.editions import Edition, InForce
from trainer.rules.roles import Role
from trainer.rules.separation import SECOND_READER, may_put_in_force

if TYPE_CHECKING:
    from trainer.canonical import Plain
    from trainer.engine.outcome import Proof
    from trainer.library.catalogue import Library, Module, Scheme

NO_SUBJECT = register(
    "EDT-001",
    "The folder has no module {subject}.",
    "It has: {known}. The scheme is called scheme.",
    status=404,
)
NOT_WAITING = register(
    "EDT-002",
    "Edition {number} of {subject} does not wait for a second reader; it is {state}.",
    "The editions page shows what waits.",
    status=409,
)
NEWER = register(
    "EDT-003",
    "A newer edition of {subject} is in force.",
    "Put the folder in force again, so that the newest text is read.",
    status=409,
)
MEANWHILE = register(
    "EDT-004",
    "Another edition of {subject} came in force meanwhile.",
    "Look at the folder again.",
    status=409,
)
PutOutcome = Literal["in force", "unchanged", "kept out", "waits for a second reader"]
_KEEPERS = (Role.TRAINER, Role.SECOND_READER, Role.SCHEME_ADMINISTRATOR)


@dataclass(frozen=True, slots=True)
class PutResult:
    """What became of one module (or of 'scheme') that was to go in force."""

    subject: str
    outcome: PutOutcome
    number: int  # 0 when it was kept out
    edition_hash: str
    findings: tuple[Finding, ...]
    changes: tuple[str, ...]  # differences in words
    is_safety_change: bool = False


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A folder read and proved, and what was in force when it was read."""

    library: Library
    findings: tuple[Finding, ...]
    proved: Mapping[str, Proof]
    pointers: Mapping[str, str]
    makers: Mapping[str, int | None]  # edition hash -> who made it, of those stored


def look(house: House, folder: Path | None = None) -> tuple[Library, tuple[Finding, ...]]:
    """Read the content folder (the setting's unless given) and prove it; changes nothing.

    Returns:
        The library of everything that reads, and all findings, worst first.
    """
    found = _read(house, folder or house.settings.content_folder, None)
    return found.library, found.findings


def put_in_force(
    house: House,
    actor: Actor,
    *,
    subjects: Collection[str] | None = None,
    reason: str,
    folder: Path | None = None,
) -> tuple[PutResult, ...]:
    """Take the folder in: each changed subject without errors goes in force, others keep theirs.

    All of them in one transaction. A safety change waits for a second reader.

    Args:
        house: The open house.
        actor: A trainer, second reader or scheme administrator.
        subjects: Module ids and 'scheme'; None: everything in the folder.
        reason: Stays with the edition.
        folder: The content folder, the setting's unless given.

    Raises:
        InputError: PEO-012 without a reason.
        NotFoundError: EDT-001.
        RefusedError: SEP-002.
        StateError: EDT-004 when somebody else was faster.
    """
    require(actor, *_KEEPERS)
    text = required_text("The reason", reason)
    return _put(house, actor, subjects, text, folder or house.settings.content_folder)


def first_start(house: House) -> House:
    """Put the content in force where nothing is in force yet; the house then says so."""
    if house.in_force():
        return house
    folder = house.settings.content_folder
    try:
        results = _put(house, None, None, "first start", folder)
    except StateError as error:
        if error.code != MEANWHILE:
            raise
        return house  # another process was first
    words = []
    for outcome, sentence in (
        ("in force", "First start: in force are {subjects}."),
        ("kept out", "Kept out because of errors: {subjects}. See trainer proof {folder}."),
    ):
        chosen = [
            one.subject
            for one in results
            if one.outcome == outcome and (outcome == "in force" or one.findings)
        ]
        if chosen:
            words.append(sentence.format(subjects=", ".join(chosen), folder=folder))
    return replace(house, first_words=tuple(words or [f"There is no content in {folder}."]))


def confirm_safety_change(
    house: House, actor: Actor, *, edition_hash: str, reason: str
) -> PutResult:
    """The second reader confirms an edition that waits, and it goes in force.

    Raises:
        InputError: PEO-012 without a reason.
        NotFoundError: HOU-003.
        RefusedError: SEP-002, SEP-011 for its maker.
        StateError: EDT-002, EDT-003.
    """
    text, now = required_text("The reason", reason), clock.now()
    row = _reviewable(house, actor, edition_hash)
    pointer = house.in_force().get(row.subject)
    changes = changes_of(house, row, pointer)

    def act(session: Session) -> None:
        found = session.get_one(Edition, edition_hash)
        _require_waiting(session, found)
        current = session.get(InForce, found.subject)
        before = session.get(Edition, current.edition_hash) if current is not None else None
        if before is not None and before.number > found.number:
            raise StateError(NEWER, subject=found.subject)
        add_event(session, actor, edition_hash, "reviewed", now=now, reason=text)
        move_pointer(session, actor, found, now=now, reason=text)

    house.database.write(act)
    return PutResult(row.subject, "in force", row.number, edition_hash, (), changes, True)  # noqa: FBT003 - the last field


def turn_back(house: House, actor: Actor, *, edition_hash: str, reason: str) -> None:
    """The second reader sends an edition that waits back to draft, with the reason.

    Raises:
        InputError: PEO-012 without a reason.
        NotFoundError: HOU-003.
        RefusedError: SEP-002, SEP-011 for its maker.
        StateError: EDT-002.
    """
    text, now = required_text("The reason", reason), clock.now()
    row = _reviewable(house, actor, edition_hash)

    def act(session: Session) -> None:
        _require_waiting(session, session.get_one(Edition, edition_hash))
        add_event(session, actor, edition_hash, "draft", now=now, reason=text)
        facts = {"subject": row.subject, "edition": edition_hash}
        log(session, actor, "edition turned back", None, facts)

    house.database.write(act)


def withdraw(house: House, actor: Actor, *, module: str, reason: str) -> None:
    """Take the edition in force away at once; open sheets of the module end and say why.

    Raises:
        InputError: PEO-012 without a reason.
        NotFoundError: HOU-001 when nothing of it is in force.
        RefusedError: SEP-002.
    """
    require(actor, *_KEEPERS)
    text, now = required_text("The reason", reason), clock.now()

    def act(session: Session) -> None:
        pointer = session.get(InForce, module) if module != SCHEME else None
        if pointer is None:
            raise NotFoundError(NO_MODULE, module=module)
        edition_hash = pointer.edition_hash
        session.execute(delete(InForce).where(InForce.subject == module))
        add_event(session, actor, edition_hash, "withdrawn", now=now, reason=text)
        session.execute(
            update(Attempt)
            .where(Attempt.module == module, Attempt.state == "open")
            .values(state="void")
        )
        facts = {"subject": module, "edition": edition_hash}
        log(session, actor, "edition withdrawn", None, facts)

    house.database.write(act)


def _put(
    house: House,
    actor: Actor | None,
    subjects: Collection[str] | None,
    reason: str,
    folder: Path,
) -> tuple[PutResult, ...]:
    wanted = _read(house, folder, subjects)
    judged = [_judge(house, actor, wanted, one) for one in _chosen(wanted, subjects)]
    if not any(one.outcome in {"in force", "waits for a second reader"} for one in judged):
        return tuple(judged)
    pages = _pages(wanted.library, judged)
    now = clock.now()

    def act(session: Session) -> tuple[PutResult, ...]:
        pointers = house.in_force(session)
        results = []
        for one in judged:
            if one.outcome in {"kept out", "unchanged"}:
                results.append(one)
                continue
            if pointers.get(one.subject) != wanted.pointers.get(one.subject):
                raise StateError(MEANWHILE, subject=one.subject)
            row = store_edition(
                session,
                actor,
                edition=(one.subject, one.edition_hash),
                canonical=wanted.library.canonical[one.subject],
                pages=pages.get(one.subject),
                now=now,
                note=reason,
            )
            if one.outcome == "in force":
                move_pointer(session, actor, row, now=now, reason=reason)
            elif last_state(session, row.hash) != "in review":
                add_event(session, actor, row.hash, "in review", now=now, reason=reason)
                facts = {"subject": one.subject, "edition": row.hash}
                log(session, actor, "edition in review", None, facts)
            results.append(replace(one, number=row.number))
        store(session, wanted.proved.values())
        return tuple(results)

    return house.database.write(act)


def _read(house: House, folder: Path, subjects: Collection[str] | None) -> _Wanted:
    """Read the folder, and prove what would go in force."""
    from trainer.library import reader  # noqa: PLC0415 - a page that only reads never sets a lesson

    library, findings = reader.read(folder)
    with house.database.reading() as session:
        pointers = house.in_force(session)
        made = select(Edition.hash, Edition.made_by_id)
        makers = {row.hash: row.made_by_id for row in session.execute(made)}
    new = [
        exercise
        for name, module in library.modules.items()
        if pointers.get(name) != module.hash and (subjects is None or name in subjects)
        for exercise in module.exercises.values()
    ]
    proved = proofs(house, new, folder)
    found = dict.fromkeys((*findings, *proof_findings(proved, new)))
    return _Wanted(library, worst_first(found), proved, pointers, makers)


def _chosen(wanted: _Wanted, subjects: Collection[str] | None) -> list[str]:
    known = [*sorted(wanted.library.seen), SCHEME]
    for subject in subjects or ():
        if subject not in known:
            raise NotFoundError(NO_SUBJECT, subject=subject, known=", ".join(known[:-1]))
    return [one for one in known if subjects is None or one in subjects]


def _judge(house: House, actor: Actor | None, wanted: _Wanted, subject: str) -> PutResult:
    """What becomes of one subject, before anything is written."""
    findings = _findings_of(wanted.findings, subject)
    if subject not in wanted.library.canonical or has_errors(findings):
        return PutResult(subject, "kept out", 0, "", findings, ())
    is_scheme = subject == SCHEME
    if is_scheme and not wanted.library.scheme.competencies:
        return PutResult(subject, "kept out", 0, "", findings, ("there are no competencies",))
    new: Module | Scheme = wanted.library.scheme if is_scheme else wanted.library.modules[subject]
    pointer = wanted.pointers.get(subject)
    if pointer == new.hash:
        return PutResult(subject, "unchanged", house.number(new.hash), new.hash, findings, ())
    changes, is_safety_change = compared(house, pointer, new)
    refusal = may_put_in_force(
        actor.roles if actor is not None else frozenset(),
        subject=subject,
        is_safety_change=is_safety_change,
        is_maker=_is_maker(wanted, actor, new.hash),
        is_first_start=actor is None,
    )
    if refusal is not None and refusal.code != SECOND_READER:
        raise RefusedError(refusal.code, **refusal.fields)
    outcome: PutOutcome = "in force" if refusal is None else "waits for a second reader"
    return PutResult(subject, outcome, 0, new.hash, findings, changes, is_safety_change)


def _is_maker(wanted: _Wanted, actor: Actor | None, edition_hash: str) -> bool:
    """Whether the actor wrote an edition: who sent it in, or a trainer who brings it now."""
    if actor is None:
        return False
    if edition_hash in wanted.makers:
        return wanted.makers[edition_hash] == actor.person_id
    return actor.has(Role.TRAINER)


def _findings_of(findings: Iterable[Finding], subject: str) -> tuple[Finding, ...]:
    places = ("competencies/", "certificates/") if subject == SCHEME else (f"modules/{subject}/",)
    whole = () if subject == SCHEME else (f"modules/{subject}",)
    return tuple(one for one in findings if one.file.startswith(places) or one.file in whole)


def _pages(library: Library, judged: Iterable[PutResult]) -> dict[str, Mapping[str, Plain]]:
    from trainer.library import edition  # noqa: PLC0415 - only where lessons are set

    return {
        one.subject: edition.rendered(library.modules[one.subject])
        for one in judged
        if one.subject in library.modules and one.outcome not in {"kept out", "unchanged"}
    }


def _reviewable(house: House, actor: Actor, edition_hash: str) -> Edition:
    """The row of an edition that this actor may confirm or turn back."""
    with house.database.reading() as session:
        row = session.get(Edition, edition_hash)
        if row is None:
            raise NotFoundError(NO_EDITION, edition=edition_hash[:12])
        _require_waiting(session, row)
    require(actor, Role.SECOND_READER)
    hold(
        may_put_in_force(
            actor.roles,
            subject=row.subject,
            is_safety_change=True,
            is_maker=row.made_by_id == actor.person_id,
        )
    )
    return row


def _require_waiting(session: Session, row: Edition) -> None:
    state = last_state(session, row.hash)
    if state != "in review":
        raise StateError(NOT_WAITING, subject=row.subject, number=row.number, state=state)
