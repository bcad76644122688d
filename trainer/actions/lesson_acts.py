"""The acts on a lesson: signed as read, a caution acknowledged."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions.house import Actor, House
from trainer.actions.permission import require_worker
from trainer.errors import NotFoundError, register
from trainer.records.attempts import CautionSeen, LessonRead

NO_CAUTION = register(
    "WRK-005",
    "{lesson} shows no caution {caution}.",
    "Load the lesson again.",
    audience="trainee",
    status=404,
)


def sign_as_read(house: House, actor: Actor, *, lesson: str) -> None:
    """The trainee's act at the foot of a lesson; harmless to repeat.

    Raises:
        NotFoundError: HOU-005.
        RefusedError: SEP-002.
    """
    require_worker(actor)
    module, now = house.module_with_lesson(lesson), clock.now()

    def act(session: Session) -> None:
        known = select(LessonRead.id).where(
            LessonRead.person_id == actor.person_id,
            LessonRead.lesson == lesson,
            LessonRead.edition_hash == module.hash,
        )
        if session.scalar(known) is None:
            session.add(
                LessonRead(
                    person_id=actor.person_id,
                    lesson=lesson,
                    module=module.id,
                    edition_hash=module.hash,
                    at=now,
                )
            )

    house.database.write(act)


def acknowledge(house: House, actor: Actor, *, lesson: str, caution: str) -> None:
    """Acknowledge a caution shown in a lesson; harmless to repeat.

    Raises:
        NotFoundError: HOU-005, WRK-005.
        RefusedError: SEP-002.
    """
    require_worker(actor)
    module, now = house.module_with_lesson(lesson), clock.now()
    if caution not in module.lesson(lesson).hazards:
        raise NotFoundError(NO_CAUTION, lesson=lesson, caution=caution[:20])

    def act(session: Session) -> None:
        known = select(CautionSeen.id).where(
            CautionSeen.person_id == actor.person_id,
            CautionSeen.caution == caution,
            CautionSeen.module == module.id,
            CautionSeen.edition_hash == module.hash,
        )
        if session.scalar(known) is None:
            session.add(
                CautionSeen(
                    person_id=actor.person_id,
                    caution=caution,
                    module=module.id,
                    edition_hash=module.hash,
                    at=now,
                )
            )

    house.database.write(act)
