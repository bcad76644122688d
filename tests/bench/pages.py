"""Lesson view, close and mark, skills matrix 40 x 60: each as a share of its floor, in one run.

The shares called good and excellent are judgements reckoned from the measured parts of a page
(session read, database reads, form, template shell), not from a published source.
"""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path

from sqlalchemy import insert

from tests.bench import floors
from tests.bench.pairs import Pair, measure
from tests.playhouse import CONTENT, Played, make_house
from trainer import clock
from trainer.actions import people, working
from trainer.records.people import Membership, Person, PersonName, RoleHeld
from trainer.records.state_tables import StateCompetency
from trainer.web.application import create_app

GOOD = {"lesson view": 0.45, "close and mark": 0.40, "skills matrix 40 x 60": 0.20}
EXCELLENT = {"lesson view": 0.65, "close and mark": 0.55, "skills matrix 40 x 60": 0.40}
PEOPLE, COMPETENCIES = 40, 60


def main() -> None:
    """Measure the three pages and print them."""
    with tempfile.TemporaryDirectory() as folder, bench_house(Path(folder)) as played:
        found = [lesson_view(played), close_and_mark(played), matrix(played)]
    for pair in found:
        word = (
            "excellent"
            if pair.ratio >= EXCELLENT[pair.name]
            else "good"
            if pair.ratio >= GOOD[pair.name]
            else "below good"
        )
        print(f"{pair}   {word}")  # noqa: T201 - a benchmark prints


@contextmanager
def bench_house(folder: Path) -> Iterator[Played]:
    """The played company with 60 competencies and 40 more people in a team of their own."""
    content = Path(shutil.copytree(CONTENT, folder / "content"))
    pattern = (content / "competencies" / "C04.md").read_text(encoding="utf-8")
    present = len(list((content / "competencies").glob("C*.md")))
    for number in range(COMPETENCIES - present):
        name = f"C{present + 1 + number:02d}"
        (content / "competencies" / f"{name}.md").write_text(
            pattern.replace("C04", name), encoding="utf-8"
        )
    house, guests = make_house(folder / "instance", content=content)
    played = Played(house, create_app(house), guests)
    try:
        yield played
    finally:
        house.close()


def lesson_view(played: Played) -> Pair:
    visitor = played.visitor("samira")
    page = visitor.client.get("/lesson/M03-L2")
    assert page.status_code == 200, page.status_code
    return measure("lesson view", floors.page_floor(), lambda: visitor.client.get("/lesson/M03-L2"))


def close_and_mark(played: Played) -> Pair:
    house, visitor = played.house, played.visitor("delphine")
    actor = people.acting(house, "delphine")
    floor = floors.save_floor(house, actor.person_id, house.module_in_force("M03").hash)

    def open_one() -> tuple[int, dict[str, str]]:
        attempt = working.open_sheet(house, actor, exercise="M03-E2")
        page = visitor.client.get(f"/attempt/{attempt}").text
        token = re.search(r'name="open-token" value="([^"]+)"', page)
        assert token
        return attempt, {"open-token": token.group(1), "M": "112.4"}

    def close(opened: tuple[int, dict[str, str]]) -> None:
        answer = visitor.post(f"/attempt/{opened[0]}/close", opened[1])
        assert answer.status_code == 303, answer.status_code

    return measure("close and mark", floor, close, open_one)


def matrix(played: Played) -> Pair:
    house = played.house
    scheme = house.scheme()
    assert len(scheme.competencies) == COMPETENCIES
    now = clock.now()
    piers = people.acting(house, "piers")
    team = people.add_team(house, piers, name="Bench", site="Bench")

    def act(session: object) -> list[int]:
        from sqlalchemy.orm import Session

        assert isinstance(session, Session)
        ids = []
        for number in range(PEOPLE):
            person = Person(
                number=f"P-9{number:03d}", sign_in_name=f"bench{number}", created_at=now
            )
            session.add(person)
            session.flush()
            ids.append(person.id)
            session.add(
                PersonName(
                    person_id=person.id,
                    full_name=f"Bench Person {number}",
                    short_name=f"B. {number}",
                )
            )
            session.add(Membership(person_id=person.id, team_id=team, since=now))
            session.add(RoleHeld(person_id=person.id, role="technician", since=now))
        session.execute(
            insert(StateCompetency),
            [
                {
                    "person_id": person,
                    "competency": competency,
                    "last_outcome": "competent",
                    "signed_off_at": now - timedelta(days=(person + index) % 700),
                    "signatures": [],
                }
                for person in ids
                for index, competency in enumerate(scheme.competencies)
            ],
        )
        return ids

    ids = house.database.write(act)
    visitor = played.visitor("auberon")
    address = f"/skills-matrix?team={team}"
    page = visitor.client.get(address)
    assert page.status_code == 200, page.status_code
    assert page.text.count('class="k ') >= PEOPLE * COMPETENCIES, page.text.count('class="k ')
    return measure(
        "skills matrix 40 x 60",
        floors.matrix_floor(house, ids),
        lambda: visitor.client.get(address),
    )
