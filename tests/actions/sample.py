"""A small library of our own for the tests of the acts.

M01 has one lesson with a caution and one exercise and leads to C01, which two observers sign; M03
has two lessons and two exercises and leads to C04, which one observer signs. A certificate covers
C04.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime

from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions import people
from trainer.actions.actor import Actor, operator
from trainer.actions.house import House
from trainer.canonical import sha256_hex
from trainer.engine.definition import Exercise
from trainer.engine.reader import read_block
from trainer.library.catalogue import (
    Caution,
    Certificate,
    Competency,
    Criterion,
    Lesson,
    Module,
    Scheme,
)
from trainer.records.editions import Edition, EditionEvent, InForce

MONDAY = datetime(2031, 3, 3, 8, 0, tzinfo=UTC)
PASSWORD = "seven lanterns over {} harbour"
ADDRESS = "127.0.0.1"

RATE = """
id = 'M03-E1'
title = 'Doses per day'
situation = 'A counter went up by =a= in =d=. How many doses a day is that?'
accept = 'within 1 %'
plausible = '10 dose/day to 2000 dose/day'
worked = 'Share =a= over =d=: =r=.'

[given]
a = { what = 'doses made', from = 2000, to = 16000, step = 50, unit = 'dose' }
d = { what = 'days from reading to reading', from = 14, to = 48, step = 1, unit = 'day' }

[find]
r = { what = 'doses per day', unit = 'dose/day' }

[method]
r = 'a / d'

[[slips]]
name = 'both end days counted'
value = 'a/(d + 1)'
remark = 'From reading to reading is the difference of the two dates.'
"""
PICK = """
id = 'M03-E2'
title = 'A counter that fell'
situation = 'The counter shows less than on the last visit. What do you do first?'
pick = 'one'

[[options]]
text = 'Ask what happened to it and write the answer down.'
right = true

[[options]]
text = 'Take the difference without its sign.'
remark = 'A fall has a reason; without it the difference means nothing.'
"""
WAIT = """
id = 'M01-E1'
title = 'Waiting for the burrs to stop'
situation = 'The run-down took =t=. The card says twice that and =m= more. How long do you wait?'
accept = 'within 0.1 s'
plausible = '5 s to 40 s'
stakes = 'safety'
safe_side = 'higher'
hazards = ['H06']
worked = 'Twice =t= and =m= more: =w=.'

[given]
t = { what = 'measured run-down', from = 2.0, to = 9.0, step = 0.1, unit = 's' }
m = { what = 'fixed margin', from = 3, to = 8, step = 1, unit = 's' }

[find]
w = { what = 'waiting time', unit = 's' }

[method]
w = '2 * t + m'

[[slips]]
name = 'margin left out'
value = '2*t'
remark = 'Add the margin last.'
"""


def exercise(text: str) -> Exercise:
    found, findings = read_block(text, file="exercises.md")
    assert found is not None, [str(one) for one in findings]
    return found


H06 = Caution(
    "H06",
    "warning",
    "Burrs keep turning after switch-off.",
    "Reaching in can cut fingers.",
    "Wait until still.",
    ("burrs",),
)


def module_m01() -> Module:
    lesson = Lesson("M01-L1", "M01", "Why off is not dead", 10, "<p>Off.</p>", (), ("H06",))
    found = exercise(WAIT)
    return Module(
        "M01",
        "Making safe",
        (),
        ("H06",),
        ("C01",),
        (replace(lesson, exercises=(found.id,)),),
        {found.id: found},
        {"H06": H06},
        hash=sha256_hex(b"M01 first"),
    )


def module_m03(rate: str = RATE, stamp: str = "M03 first") -> Module:
    first, second = exercise(rate), exercise(PICK)
    lessons = (
        Lesson("M03-L1", "M03", "What a counter counts", 12, "<p>Doses.</p>", ()),
        Lesson("M03-L2", "M03", "Differences", 9, "<p>Falls.</p>", ()),
    )
    return Module(
        "M03",
        "Usage counters",
        ("M01",),
        (),
        ("C04",),
        (
            replace(lessons[0], exercises=(first.id,)),
            replace(lessons[1], exercises=(second.id,)),
        ),
        {first.id: first, second.id: second},
        {},
        files={"rates.svg": b"<svg/>"},
        hash=sha256_hex(stamp.encode()),
    )


def scheme(stamp: str = "scheme first") -> Scheme:
    isolate = Competency(
        "C01",
        "Isolate a grinder and prove it dead",
        "isolate and prove dead",
        ("M01",),
        (),
        (
            Criterion("C01.1", "Names every supply of this machine.", critical=True),
            Criterion("C01.2", "Pulls the plug and keeps it.", critical=True),
        ),
        safety_critical=True,
        observers=2,
        months=12,
        hazards=("H06",),
    )
    read = Competency(
        "C04",
        "Read and record counters",
        "read counters",
        ("M03",),
        (),
        (
            Criterion("C04.1", "Opens the right counter page."),
            Criterion("C04.2", "Writes value, unit and date down."),
        ),
    )
    counting = Certificate(
        "counter-reading", "Counter reading on commercial grinders", ("C04",), ("QT-64",), 24
    )
    return Scheme(
        {"C01": isolate, "C04": read}, {counting.id: counting}, hash=sha256_hex(stamp.encode())
    )


def put(house: House, edition: Module | Scheme) -> None:
    """Put an edition in force as the acts do, without its text: the shelf holds it ready."""
    is_module = isinstance(edition, Module)
    subject = edition.id if isinstance(edition, Module) else "scheme"
    if isinstance(edition, Module):
        house._modules.get(edition.hash, lambda: edition)
    else:
        house._schemes.get(edition.hash, lambda: edition)
    now = clock.now()

    def act(session: Session) -> None:
        number = len(
            [one for one in session.query(Edition.subject).all() if one.subject == subject]
        )
        session.add(
            Edition(
                hash=edition.hash,
                kind="module" if is_module else "scheme",
                subject=subject,
                number=number + 1,
                canonical=b"{}",
                made_at=now,
            )
        )
        session.flush()
        session.add(EditionEvent(edition_hash=edition.hash, state="in force", at=now))
        pointer = session.get(InForce, subject)
        if pointer is None:
            session.add(InForce(subject=subject, edition_hash=edition.hash, since=now))
        else:
            pointer.edition_hash, pointer.since = edition.hash, now

    house.database.write(act)


@dataclass
class Crew:
    """The people of the tests, by sign-in name."""

    house: House
    ids: dict[str, int] = field(default_factory=dict)
    teams: dict[str, int] = field(default_factory=dict)

    def come(self, name: str, *roles: str, team: str = "", password: bool = True) -> Actor:
        """Take a person in, with a password of his own."""
        if team and team not in self.teams:
            self.teams[team] = people.add_team(self.house, operator(), name=team, site=team)
        made = people.invite(
            self.house,
            operator(),
            full_name=f"{name.title()} Tester",
            short_name=name.title(),
            sign_in_name=name,
            roles=roles,
            team_id=self.teams.get(team),
        )
        self.ids[name] = made.person_id
        if password:
            people.accept_invitation(self.house, token=made.token, password=PASSWORD.format(name))
        return self.who(name)

    def who(self, name: str) -> Actor:
        """The person as he stands now."""
        return people.acting(self.house, self.ids[name])
