"""A real address for every route of the application, with things that exist in the played house."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from trainer.records.attempts import Attempt
from trainer.records.certificates import Candidacy, CertificateGranted
from trainer.records.observations import ObservationRequest, ObservationSheet
from trainer.records.signoffs import Restriction

if TYPE_CHECKING:
    from werkzeug.routing import Rule

    from tests.playhouse import Played


def values(played: Played) -> dict[str, object]:
    """Route argument -> a value that exists in the played house."""
    house = played.house
    module = house.module_in_force("M03")
    lesson = next(one for one in house.module_in_force("M01").lessons if one.hazards)
    with house.database.reading() as session:
        delphine = house_person(played, "delphine")
        attempt = session.scalar(
            select(Attempt.id).where(Attempt.person_id == delphine, Attempt.state == "closed")
        )
        sheet = session.scalar(select(ObservationSheet.id).order_by(ObservationSheet.id))
        candidacy = session.scalar(select(Candidacy.id).order_by(Candidacy.id.desc()))
        certificate = session.scalar(select(CertificateGranted.id))
        link = session.scalar(select(CertificateGranted.link_token))
        request = session.scalar(select(ObservationRequest.id))
        restriction = session.scalar(select(Restriction.id))
    figures = house.module_in_force("M01")
    return {
        "exercise_id": "M03-E1",
        "attempt": attempt,
        "lesson_id": lesson.id,
        "caution_id": lesson.hazards[0],
        "edition_hash": figures.hash,
        "name": next(iter(figures.files)).removeprefix("figures/"),
        "module": module.id,
        "sheet_id": sheet,
        "person_id": delphine,
        "competency": "C04",
        "certificate": "counter-reading",
        "certificate_id": certificate,
        "candidacy": candidacy,
        "request_id": request,
        "restriction_id": restriction or 1,
        "token": link,
        "link": "no-such-link-but-long-enough-000000",
        "filename": "look.css",
    }


def house_person(played: Played, sign_in: str) -> int:
    from trainer.actions import people

    return people.acting(played.house, sign_in).person_id


def address_of(played: Played, rule: Rule) -> str:
    """The rule's address; a KeyError names the argument that ``values`` has to learn."""
    if not played.addresses:
        played.addresses.update(values(played))
    known = played.addresses
    _, path = rule.build({name: known[name] for name in rule.arguments})  # type: ignore[misc]
    return path


def open_sheets(played: Played, who: str) -> list[str]:
    """One open sheet of each kind (calculation, pick, order), opened for this person."""
    from trainer.actions import people, working

    actor = people.acting(played.house, who)
    found = []
    for exercise in ("M05-E1", "M03-E8", "M03-E9"):
        attempt = working.open_sheet(played.house, actor, exercise=exercise)
        found.append(f"/attempt/{attempt}")
    return found
