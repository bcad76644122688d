"""The demonstration: an invented company's last weeks, played act by act at past moments.

Every line goes through the same acts as live use, under a clock set back, so the rules hold here
too. All people, sites and machines are invented.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from trainer import clock
from trainer.actions import certifying, observing, people, signing, working
from trainer.actions.actor import Actor, operator
from trainer.actions.careful_answers import careful_answers
from trainer.rules.roles import Role

if TYPE_CHECKING:
    from trainer.actions.house import House

WORDS = (
    *("bean", "burr", "collar", "counter", "hopper", "chute", "fork", "lever", "marrow", "quern"),
    *("hithe", "harbour", "lantern", "meadow", "orchard", "pebble", "saddle", "thistle", "timber"),
    *("velvet", "walnut", "willow", "anchor", "bramble", "ladder", "copper", "ribbon", "kettle"),
)


@dataclass(frozen=True, slots=True)
class Guest:
    """Somebody the visitor may sign in as."""

    name: str
    roles: str
    sign_in_name: str
    password: str
    link: str


@dataclass(frozen=True, slots=True)
class Part:
    """One person of the play: name, short name, sign-in name, roles, team."""

    full: str
    short: str
    sign_in: str
    roles: tuple[str, ...]
    team: str = ""


NORTH, HARBOUR = "North Yard", "Harbour Shed"
CAST = (
    Part("Ottoline Vraskov-Adeyemi", "O. Vraskov-Adeyemi", "ottoline", (Role.TRAINER,)),
    Part("Bartholomew Quillfeather", "B. Quillfeather", "bat", (Role.SECOND_READER,)),
    Part("Ngozi Thistlewaite-Lund", "N. Thistlewaite-Lund", "ngozi", (Role.SUPERVISOR,), NORTH),
    Part("Rasmus Okonkwo-Pell", "R. Okonkwo-Pell", "rasmus", (Role.SUPERVISOR,), HARBOUR),
    Part("Hilde Saltonstone", "H. Saltonstone", "hilde", (Role.DECISION_MAKER,)),
    Part("Auberon Keck", "A. Keck", "auberon", (Role.AUDITOR,)),
    Part("Mirela Dunnock", "M. Dunnock", "mirela", (Role.CLIENT_CONTACT,)),
    Part("Tomasz Fennelhurst", "T. Fennelhurst", "tomasz", (Role.TECHNICIAN,), NORTH),
    Part("Yui Copperdene", "Y. Copperdene", "yui", (Role.TECHNICIAN,), HARBOUR),
    Part("Ikaika Brambleford", "I. Brambleford", "ikaika", (Role.TRAINEE,), NORTH),
    Part("Samira Oystergate", "S. Oystergate", "samira", (Role.TRAINEE,), HARBOUR),
    Part("Delphine Marrowick", "D. Marrowick", "delphine", (Role.TRAINEE,), NORTH),
)
PIERS = Part("Piers Umbrage-Nakata", "P. Umbrage-Nakata", "piers", (Role.SCHEME_ADMINISTRATOR,))
COMES_LATER = {"ikaika": 138, "samira": 62, "delphine": 21}
"""Trainees by the days since they were taken in."""
SHOWN = ("delphine", "ikaika", "ngozi", "rasmus", "ottoline", "bat", "piers", "hilde", "auberon")


class Play:
    """The house, the people in it, and the day the play has reached (days before today)."""

    def __init__(self, house: House) -> None:
        self.house = house
        self.start = clock.now()
        self.ids: dict[str, int] = {}
        self.passwords: dict[str, str] = {}
        self.teams: dict[str, int] = {}

    @contextmanager
    def day(self, days_ago: int, hour: int = 9, minute: int = 0) -> Iterator[None]:
        """Let the clock stand at a past working hour and run on with each look at it."""
        begin = (self.start - timedelta(days=days_ago)).replace(
            hour=hour, minute=minute, second=0, microsecond=0
        )
        looked = 0

        def passing() -> object:
            nonlocal looked
            looked += 1
            return min(begin + timedelta(seconds=7 * looked), self.start)

        with clock.at(passing):  # type: ignore[arg-type]
            yield

    def who(self, sign_in: str) -> Actor:
        """A person as he stands now."""
        return people.acting(self.house, self.ids[sign_in])

    def take_in(self, actor: Actor, part: Part) -> None:
        """Invite a person and let the link be used."""
        invitation = people.invite(
            self.house,
            actor,
            full_name=part.full,
            short_name=part.short,
            sign_in_name=part.sign_in,
            roles=[str(role) for role in part.roles],
            team_id=self.teams.get(part.team),
        )
        password = (
            "-".join(secrets.choice(WORDS) for _ in range(4)) + f"-{secrets.randbelow(90) + 10}"
        )
        people.accept_invitation(self.house, token=invitation.token, password=password)
        self.ids[part.sign_in] = invitation.person_id
        self.passwords[part.sign_in] = password

    def comes(self, sign_in: str) -> None:
        """A trainee is taken in on the day of the story."""
        part = next(part for part in CAST if part.sign_in == sign_in)
        with self.day(COMES_LATER[sign_in]):
            self.take_in(self.who("piers"), part)

    def read(self, sign_in: str, module_id: str, lessons: int | None = None) -> None:
        """Read lessons of a module: acknowledge each caution, then sign as read."""
        actor = self.who(sign_in)
        for lesson in self.house.module_in_force(module_id).lessons[:lessons]:
            for caution in lesson.hazards:
                working.acknowledge(self.house, actor, lesson=lesson.id, caution=caution)
            working.sign_as_read(self.house, actor, lesson=lesson.id)

    def work(
        self, sign_in: str, exercise: str, wrong: Callable[[dict[str, float]], float] | None = None
    ) -> None:
        """Work one sheet: right, or wrong by a formula over the given values."""
        actor = self.who(sign_in)
        attempt = working.open_sheet(self.house, actor, exercise=exercise)
        answers = careful_answers(self.house, attempt=attempt)
        page = working.sheet_of(self.house, actor, attempt=attempt)
        assert isinstance(page, working.OpenSheet)
        if wrong is not None:
            given = {row.symbol: float(row.value) for row in page.shown.givens}
            cell = page.shown.finds[0].symbol
            # Said to be meant, so that a value far from what can be expected is marked at once.
            answers |= {cell: f"{wrong(given):.4g}", f"{cell}-sure": "yes"}
        result = working.close_and_mark(
            self.house, actor, attempt=attempt, token=page.token, answers=answers
        )
        assert isinstance(result, working.Marked), f"{exercise}: {result}"

    def work_all(self, sign_in: str, module_id: str, most: int | None = None) -> None:
        """Work the exercises of a module in order, right."""
        module = self.house.module_in_force(module_id)
        placed = [one for lesson in module.lessons for one in lesson.exercises]
        for exercise in placed[:most]:
            self.work(sign_in, exercise)

    def observe(
        self,
        observer: str,
        person: str,
        competency: str,
        machine: str,
        site: str,
        *,
        not_done: str = "",
    ) -> int:
        """Fill in an observation sheet and sign it."""
        actor = self.who(observer)
        sheet = observing.open_observation(
            self.house,
            actor,
            person_id=self.ids[person],
            competency=competency,
            machine=machine,
            site=site,
        )
        for criterion in observing.sheet(self.house, actor, sheet_id=sheet).criteria:
            value: observing.CriterionValue = "not done" if criterion.id == not_done else "done"
            observing.tick(self.house, actor, sheet_id=sheet, criterion=criterion.id, value=value)
        said = signing.statement(self.house, actor, sheet_id=sheet)
        signing.sign(
            self.house,
            actor,
            sheet_id=sheet,
            digest=said.digest,
            password=self.passwords[observer],
            outcome=said.outcome,
        )
        return sheet

    def guests(self, names: Iterable[str]) -> tuple[Guest, ...]:
        """Fresh one-time links for the people a visitor may be."""
        piers = self.who("piers")
        found = {part.sign_in: part for part in (PIERS, *CAST)}
        return tuple(
            Guest(
                found[name].full,
                ", ".join(str(role) for role in found[name].roles),
                name,
                self.passwords[name],
                people.new_link(self.house, piers, person_id=self.ids[name]).token,
            )
            for name in names
        )


def play(house: House, *, everybody: bool = False) -> tuple[Guest, ...]:
    """Play the whole story into a fresh house; returns whom a visitor may sign in as."""
    scene = Play(house)
    _the_firm_begins(scene)
    _ikaika_learns(scene)
    _samira_learns(scene)
    _delphine_begins(scene)
    return scene.guests(scene.ids if everybody else SHOWN)


def _the_firm_begins(scene: Play) -> None:
    with scene.day(150):
        scene.take_in(operator(), PIERS)
        piers = scene.who("piers")
        scene.teams = {
            NORTH: people.add_team(scene.house, piers, name=NORTH, site="North Yard"),
            HARBOUR: people.add_team(scene.house, piers, name=HARBOUR, site="Harbour Shed"),
        }
        for part in CAST:
            if part.sign_in not in COMES_LATER:
                scene.take_in(piers, part)
    with scene.day(148):
        piers = scene.who("piers")
        for name in ("ngozi", "rasmus", "tomasz", "yui"):
            for competency in scene.house.scheme().competencies:
                people.recognise(
                    scene.house,
                    piers,
                    person_id=scene.ids[name],
                    competency=competency,
                    evidence="Nine years on the tools, earlier papers seen, a job watched.",
                    months=5 if (name, competency) == ("yui", "C07") else 0,
                )


def _ikaika_learns(scene: Play) -> None:
    house = scene.house
    scene.comes("ikaika")
    with scene.day(120):
        scene.read("ikaika", "M01")
    with scene.day(112):
        scene.work("ikaika", "M01-E1", wrong=lambda v: v["k"] * v["t"])
        scene.work_all("ikaika", "M01")
    with scene.day(98):
        scene.read("ikaika", "M03")
        scene.work("ikaika", "M03-E2", wrong=lambda v: v["n"] * v["m"] / 1000)
        scene.work_all("ikaika", "M03")
    with scene.day(91):
        observing.ask_to_be_observed(house, scene.who("ikaika"), competency="C01")
        observing.ask_to_be_observed(house, scene.who("ikaika"), competency="C04")
    with scene.day(84):
        scene.observe("ngozi", "ikaika", "C04", "N-01", "Canteen North Station", not_done="C04.3")
    with scene.day(70):
        scene.observe("ngozi", "ikaika", "C04", "N-02", "Canteen North Station")
        scene.observe("ngozi", "ikaika", "C01", "N-02", "Canteen North Station")
    with scene.day(63):
        candidacy = certifying.apply(house, scene.who("ikaika"), certificate="counter-reading")
        certifying.admit(house, scene.who("piers"), candidacy=candidacy)
    with scene.day(60):
        certifying.grant(
            house,
            scene.who("hilde"),
            candidacy=candidacy,
            reason="Two sheets, the second complete; the reckoning on both is sound.",
            password=scene.passwords["hilde"],
        )


def _samira_learns(scene: Play) -> None:
    scene.comes("samira")
    with scene.day(60):
        scene.read("samira", "M01")
        scene.work_all("samira", "M01")
    with scene.day(45):
        scene.read("samira", "M03")
        scene.work_all("samira", "M03")
    with scene.day(30):
        observing.ask_to_be_observed(scene.house, scene.who("samira"), competency="C04")
    with scene.day(21):
        scene.observe("rasmus", "samira", "C04", "P2-1", "Ferry Kiosk Pier 2")
    with scene.day(14):
        certifying.apply(scene.house, scene.who("samira"), certificate="counter-reading")


def _delphine_begins(scene: Play) -> None:
    def whole_cycle(v: Mapping[str, float]) -> float:
        return v["a"] * 100 / v["D"]

    scene.comes("delphine")
    with scene.day(20):
        scene.read("delphine", "M01", lessons=2)
        scene.work_all("delphine", "M01", most=3)
    with scene.day(9):
        scene.read("delphine", "M01")
        scene.work_all("delphine", "M01")
    with scene.day(5):
        scene.read("delphine", "M03", lessons=2)
        scene.work("delphine", "M03-E1")
    with scene.day(2):
        scene.read("delphine", "M05", lessons=1)
        for _ in range(3):
            scene.work("delphine", "M05-E2", wrong=whole_cycle)
