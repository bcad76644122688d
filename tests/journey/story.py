"""The whole main job as one story, told through the pages only."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from bs4 import BeautifulSoup
from sqlalchemy import select

from tests.journey.browsers import Browser
from trainer.actions import people
from trainer.actions.actor import operator
from trainer.actions.house import House
from trainer.records.observations import ObservationSheet

PASSWORD = "quern-hithe-lantern-{}"

# The trainee's own arithmetic, done here apart from the engine: from the rows printed on the sheet.
ARITHMETIC: dict[str, Callable[[dict[str, float]], float]] = {
    "M03-E1": lambda v: (v["n2"] - v["n1"]) / v["d"],
    "M03-E2": lambda v: v["n"] * v["m"] / 1000 * (1 + v["p"] / 100),
    "M03-E3": lambda v: 100000 - v["c1"] + v["c2"],
    "M03-E4": lambda v: v["cr"] - v["c1"] + v["c2"],
    "M03-E5": lambda v: (v["a1"] + v["a2"]) / (v["d1"] + v["d2"]),
    "M03-E6": lambda v: 3600 * v["h"] / v["n"],
    "M03-E7": lambda v: v["r"] * v["o"] / 7,
}
PICKS = {
    "M03-E8": ("At least",),
    "M03-E10": (
        "was reset",
        "over its top",
        "new control board",
        "written down wrongly",
        "Another counter",
    ),
}
ORDERS = {"M03-E9": ("read the old", "write old", "fit the new", "reset the", 'write "0')}


@dataclass
class World:
    """The house of the story and the browsers of the people in it."""

    house: House
    content: Path
    open: Callable[[str], Browser]
    browsers: dict[str, Browser] = field(default_factory=dict)

    def of(self, who: str) -> Browser:
        if who not in self.browsers:
            self.browsers[who] = self.open(who)
        return self.browsers[who]


def tell(world: World) -> None:
    """Play the story from the first invitation to the old attempt that still shows the old text."""
    people_come(world)
    slip_then_right(world)
    finish_the_module(world)
    observed_and_signed(world)
    granted_and_checked(world)
    lesson_broken_and_mended(world)


def people_come(world: World) -> None:
    made = people.invite(
        world.house,
        operator(),
        full_name="Piers Umbrage-Nakata",
        short_name="P. Umbrage-Nakata",
        sign_in_name="piers",
        roles=["scheme administrator"],
    )
    accept(world, "piers", f"/invitation/{made.token}")
    admin = world.of("piers")
    for team in ("North Yard", "Harbour Shed"):
        admin.go("/people")
        admin.fill("name", team)
        admin.fill("site", team)
        admin.press("add the team")
    cast = {
        "delphine": ("Delphine Marrowick", "trainee", "North Yard"),
        "ngozi": ("Ngozi Thistlewaite-Lund", "supervisor", "North Yard"),
        "rasmus": ("Rasmus Okonkwo-Pell", "supervisor", "Harbour Shed"),
        "ottoline": ("Ottoline Vraskov-Adeyemi", "trainer", ""),
        "hilde": ("Hilde Saltonstone", "decision maker", ""),
    }
    for sign_in, (name, role, team) in cast.items():
        admin.go("/people")
        admin.fill("full_name", name)
        admin.fill("sign_in_name", sign_in)
        if team:
            option = admin.soup().find("option", string=re.compile(team))
            assert option is not None
            admin.choose("team", str(option["value"]))
        admin.choose("roles", role)
        admin.press("invite")
        link = re.search(r"/invitation/[\w-]+", admin.text())
        assert link, admin.text()
        accept(world, sign_in, link.group())
    for sign_in in ("ngozi", "rasmus"):
        admin.go("/people")
        admin.press(_inverted(cast[sign_in][0]))
        admin.choose("competency", "C04")
        admin.fill("evidence", "Nine years on the tools; a job watched on the first day.")
        admin.press("recognise")
    assert "C04" in admin.text()


def accept(world: World, who: str, link: str) -> None:
    browser = world.of(who)
    browser.go(link)
    browser.fill("password", PASSWORD.format(who))
    browser.fill("again", PASSWORD.format(who))
    browser.press("accept the invitation")
    assert browser.status() == 200
    assert not browser.address().startswith("/invitation"), browser.text()


def slip_then_right(world: World) -> None:
    trainee = world.of("delphine")
    trainee.go("/")
    assert trainee.address() == "/job-card"
    trainee.go("/lesson/M03-L1")
    assert "What a counter counts" in trainee.text()
    start(trainee, "M03-E2")
    given = given_rows(trainee.soup())
    trainee.fill("M", f"{given['n'] * given['m'] / 1000:.4g}")
    trainee.press("close and mark")
    assert "OUTSIDE" in trainee.text()
    assert "purge left out" in trainee.text()
    trainee.press("new numbers")
    assert given_rows(trainee.soup()) != given
    work(trainee, "M03-E2")


def finish_the_module(world: World) -> None:
    trainee = world.of("delphine")
    for number in range(1, 5):
        trainee.go(f"/lesson/M03-L{number}")
        while "acknowledge " in " ".join(buttons(trainee.soup())):
            word = next(one for one in buttons(trainee.soup()) if one.startswith("acknowledge "))
            trainee.press(word)
            trainee.go(f"/lesson/M03-L{number}")
        trainee.press("signed as read")
    for exercise in (*ARITHMETIC, *PICKS, *ORDERS):
        if exercise != "M03-E2":
            start(trainee, exercise)
            work(trainee, exercise)
    trainee.go("/job-card")
    assert "ready to observe" in trainee.text(), trainee.text()


def start(browser: Browser, exercise: str) -> None:
    browser.go(f"/sheet/{exercise}")
    browser.press(
        next(one for one in buttons(browser.soup()) if "sheet" in one or "numbers" in one)
    )
    assert browser.address().startswith("/attempt/"), browser.text()


def work(browser: Browser, exercise: str) -> None:
    """Fill the open sheet by one's own arithmetic, or by reading the words, and close it."""
    page = browser.soup()
    if exercise in ARITHMETIC:
        answer = ARITHMETIC[exercise](given_rows(page))
        cell = page.select_one("input[inputmode=decimal]")
        assert cell is not None
        browser.fill(str(cell["name"]), f"{answer:.7g}")
    else:
        fill_choices(browser, page, exercise)
    browser.press("close and mark")
    assert "INSIDE" in browser.text(), browser.text()


def fill_choices(browser: Browser, page: BeautifulSoup, exercise: str) -> None:
    for row in page.select(".choice"):
        words = row.get_text(" ")
        box = row.find("input")
        assert box is not None
        if exercise in PICKS:
            if any(part in words for part in PICKS[exercise]):
                browser.choose(str(box["name"]), str(box["value"]))
        else:
            place = next(i for i, part in enumerate(ORDERS[exercise], 1) if part in words)
            browser.fill(str(box["name"]), str(place))


def observed_and_signed(world: World) -> None:
    trainee, north, harbour = world.of("delphine"), world.of("ngozi"), world.of("rasmus")
    trainee.go("/job-card")
    trainee.press(
        next(one for one in buttons(trainee.soup()) if one.startswith("ask to be observed"))
    )
    north.go("/observations")
    assert "Marrowick" in north.text()
    harbour.go("/observations")
    assert "Marrowick" not in harbour.text()
    north.go("/observations/begin")
    people_offered = [str(o["value"]) for o in north.soup().select('select[name="person"] option')]
    me = people.acting(world.house, "ngozi").person_id
    her = people.acting(world.house, "delphine").person_id
    assert str(me) not in people_offered
    job = {"competency": "C04", "machine": "N-01", "site": "Canteen North Station"}
    for forger, person in ((north, me), (harbour, her)):
        forger.go("/observations/begin")
        status, led_to = forger.send("/observations/begin", {"person": str(person), **job})
        assert not (status == 303 and re.match(r"/observation/\d+$", led_to)), (status, led_to)
    assert sheets_of(world) == set()
    north.go("/observations/begin")
    north.choose("person", str(her))
    north.choose("competency", "C04")
    north.fill("machine", "N-01")
    north.fill("site", "Canteen North Station")
    north.press("begin")
    sheet = north.address()
    assert sheet.startswith("/observation/"), north.text()
    boxes = {str(box["name"]) for box in north.soup().select('input[type="radio"]')}
    assert len(boxes) == 6
    for name in sorted(boxes):
        north.choose(name, "done")
    north.press("to sign")
    assert "Writes value, unit, date and counter name" in north.text()
    harbour.go(f"{sheet}/sign")
    assert harbour.status() in {403, 404}, harbour.text()
    trainee.go(f"{sheet}/sign")
    assert trainee.status() in {403, 404}
    nobody_else_can_sign(world, sheet)
    north.fill("password", "not my password at all")
    north.press("sign")
    trainee.go("/job-card")
    assert "in date to" not in trainee.text()
    north.go(f"{sheet}/sign")
    north.fill("password", PASSWORD.format("ngozi"))
    north.press("sign")
    assert "in date to" in north.text(), north.text()
    trainee.go("/job-card")
    assert "in date to" in trainee.text(), trainee.text()


def nobody_else_can_sign(world: World, sheet: str) -> None:
    """The very form the observer holds, sent by another team's supervisor and by the trainee."""
    digest = world.of("ngozi").soup().select_one('[name="digest"]')
    assert digest is not None
    signed = {"digest": str(digest["value"]), "outcome": "competent"}
    for who in ("rasmus", "delphine"):
        world.of(who).go("/me")
        status, _ = world.of(who).send(
            f"{sheet}/sign", {**signed, "password": PASSWORD.format(who)}
        )
        assert status in {403, 404}, status
    assert sheets_of(world) == {"open"}


def sheets_of(world: World) -> set[str]:
    """The states of every observation sheet in the records."""
    with world.house.database.reading() as session:
        return set(session.scalars(select(ObservationSheet.state)))


def granted_and_checked(world: World) -> None:
    trainee, admin, decider = world.of("delphine"), world.of("piers"), world.of("hilde")
    trainee.go("/certificates")
    trainee.press(next(one for one in buttons(trainee.soup()) if one.startswith("apply")))
    admin.go("/decisions")
    admin.press(_inverted("Delphine Marrowick"))
    admin.press("admit")
    decider.go("/decisions")
    decider.press(_inverted("Delphine Marrowick"))
    decider.fill("reason", "One complete sheet, theory whole, rule met.")
    decider.fill("password", PASSWORD.format("hilde"))
    decider.press("grant")
    trainee.go("/certificates")
    page = trainee.soup()
    link = next(
        tag for tag in page.find_all("a") if str(tag.get("href", "")).startswith("/certificate/")
    )
    trainee.go(str(link["href"]))
    number = re.search(r"\b[A-Z]{2}-\d{4}-\d{4}\b", trainee.text())
    assert number, trainee.text()
    word = trainee.soup().select_one(".check-word")
    assert word is not None, trainee.text()
    public = world.of("a stranger")
    public.go("/check")
    public.fill("number", number.group())
    public.fill("word", word.get_text(strip=True))
    public.press("check")
    assert "VALID" in public.text(), public.text()
    assert "Marrowick" in public.text()
    public.go("/check")
    public.fill("number", number.group())
    public.fill("word", "aaaaaaaaaa")
    public.press("check")
    assert "Marrowick" not in public.text()


def lesson_broken_and_mended(world: World) -> None:
    trainer, trainee = world.of("ottoline"), world.of("delphine")
    exercises = world.content / "modules" / "M03" / "exercises.md"
    sound = exercises.read_text(encoding="utf-8")
    old_words = "How many doses a day went over the counter"
    assert old_words in sound
    broken = sound.replace("r = 'u / d'", "r = 'u + d'")
    assert broken != sound
    exercises.write_text(broken, encoding="utf-8")
    line = next(n for n, text in enumerate(broken.splitlines(), 1) if text == "r = 'u + d'")
    trainer.go("/editions")
    trainer.press("look at the folder")
    assert f"exercises.md:{line}" in trainer.text() or f"line {line}" in trainer.text(), (
        trainer.text()
    )
    before = world.house.in_force()
    put_in_force(trainer, "a try that cannot go")
    assert world.house.in_force() == before
    trainee.go("/sheet/M03-E1")
    assert "Doses per day" in trainee.text()
    mended = sound.replace(old_words, "How many doses a day were drawn")
    exercises.write_text(mended, encoding="utf-8")
    put_in_force(trainer, "said more plainly")
    assert world.house.in_force()["M03"] != before["M03"]
    start(trainee, "M03-E1")
    assert "were drawn" in trainee.text(), trainee.text()
    trainee.go("/sheets")
    old = [tag for tag in trainee.soup().find_all("a") if "M03-E1" in tag.get_text()]
    assert old, trainee.text()
    trainee.go(str(old[-1]["href"]))
    assert old_words in trainee.text(), trainee.text()
    assert "were drawn" not in trainee.text()


def put_in_force(browser: Browser, reason: str) -> None:
    browser.go("/editions")
    browser.press("look at the folder")
    browser.fill("reason", reason)
    browser.press("put in force")


def copy_content(source: Path, to: Path) -> Path:
    return Path(shutil.copytree(source, to))


def given_rows(page: BeautifulSoup) -> dict[str, float]:
    """Symbol -> value as printed in the given table."""
    return {
        row.select_one(".s").get_text(strip=True): float(row.select_one(".v").get_text(strip=True))  # type: ignore[union-attr]
        for row in page.select("table.values tr")
    }


def buttons(page: BeautifulSoup) -> list[str]:
    return [" ".join(tag.get_text(" ").split()) for tag in page.find_all("button")]


def _inverted(name: str) -> str:
    """'Delphine Marrowick' as lists print it: 'Marrowick Delphine' or with a comma."""
    first, last = name.split(" ", 1)
    return f"{last}, {first}"
