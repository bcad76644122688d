"""From a folder of Markdown into force: what goes, stays out, waits, and is withdrawn."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from sqlalchemy import select

from tests.actions import sample
from tests.actions.conftest import Time
from tests.actions.sample import Crew
from trainer import settings
from trainer.actions import authoring, observing, proving, viewing, working
from trainer.actions.house import House, Shelf, in_order, open_house
from trainer.actions.working import Marked, OpenSheet, VoidSheet
from trainer.engine.definition import Exercise
from trainer.engine.outcome import Proof
from trainer.errors import InputError, NotFoundError, RefusedError, StateError
from trainer.records import log_check
from trainer.records.database import Database
from trainer.records.editions import Edition
from trainer.records.log_tables import RecordEntry
from trainer.records.proofs import ProofRun

CAUTIONS = """# Cautions

```caution
id = 'H06'
about = ['burrs']
word = 'warning'
hazard = 'Burrs keep turning after switch-off.'
harm = 'Reaching in can cut or crush fingers.'
avoid = 'Wait until they stand still.'
```
"""
LESSON = """+++
module = '{module}'
lesson = '{module}-L1'
title = '{title}'
minutes = 5
hazards = [{hazards}]
+++

## What is read

{text}

```sheet
{module}-E1
```
"""
COMPETENCY = """+++
competency = '{id}'
title = 'Read counters'
short = 'read counters'
modules = ['{module}']
needs = []
observers = 1
months = 24

[[criteria]]
id = '{id}.1'
text = 'Writes value, unit and date down.'
+++
"""
CERTIFICATE = """+++
certificate = 'counter-reading'
title = 'Counter reading'
competencies = ['C04']
grinder_types = ['QT-64']
months = 24
+++
"""


def write(folder: Path, name: str, text: str) -> None:
    file = folder / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")


def module(folder: Path, name: str, competency: str, *, title: str, block: str) -> None:
    base = f"modules/{name}"
    write(
        folder,
        f"{base}/module.md",
        f"+++\nmodule = '{name}'\ntitle = '{title}'\nneeds = []\nhazards = []\n"
        f"competencies = ['{competency}']\n+++\n\nShort.\n",
    )
    text = "A counter counts doses, and every reading is written down with its date."
    lesson = LESSON.format(module=name, title=title, hazards="", text=text)
    write(folder, f"{base}/01-first.md", lesson)
    write(folder, f"{base}/exercises.md", f"# Exercises\n\n```exercise\n{block.strip()}\n```\n")
    write(folder, f"competencies/{competency}.md", COMPETENCY.format(id=competency, module=name))


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """A sound folder with two small modules and a scheme."""
    folder = tmp_path / "content"
    write(folder, "cautions.md", CAUTIONS)
    module(folder, "M03", "C04", title="Usage counters", block=sample.RATE)
    pick = sample.PICK.replace("M03-E2", "M04-E1")
    module(folder, "M04", "C05", title="Falling counters", block=pick)
    write(folder, "certificates/counter-reading.md", CERTIFICATE)
    return folder


@pytest.fixture
def bench(database: Database, content: Path, tmp_path: Path, time: Time) -> House:
    """A house at its first start on that folder."""
    empty = House(
        settings.load({"instance": tmp_path, "content": content}, environment={}),
        database,
        secret_key=b"k" * 32,
        draw_secret=b"d" * 32,
    )
    return authoring.first_start(empty)


@pytest.fixture
def team(bench: House) -> Crew:
    crew = Crew(bench)
    crew.come("piers", "scheme administrator")
    crew.come("ottoline", "trainer")
    crew.come("bat", "second reader")
    crew.come("delphine", "trainee", team="North Yard")
    return crew


def edit(folder: Path, name: str, old: str, new: str) -> None:
    text = (folder / name).read_text(encoding="utf-8")
    assert text.count(old) == 1, text
    write(folder, name, text.replace(old, new))


def outcomes(results: tuple[authoring.PutResult, ...]) -> dict[str, str]:
    return {one.subject: one.outcome for one in results}


def put(bench: House, team: Crew, who: str = "ottoline") -> dict[str, str]:
    return outcomes(authoring.put_in_force(bench, team.who(who), reason="clearer words"))


def test_the_first_start_takes_everything_in_and_logs_it(bench: House, content: Path) -> None:
    assert bench.first_words == ("First start: in force are M03, M04, scheme.",)
    assert [one.id for one in bench.modules()] == ["M03", "M04"]
    assert list(bench.scheme().certificates) == ["counter-reading"]
    assert authoring.first_start(bench) is bench
    with bench.database.reading() as session:
        assert session.scalars(select(RecordEntry.kind)).all() == ["edition in force"] * 3
        assert {row.number for row in session.scalars(select(Edition))} == {1}
        assert len(session.scalars(select(ProofRun)).all()) == 2


def test_a_stored_edition_reads_without_the_folder(bench: House, content: Path) -> None:
    before = bench.module_in_force("M03")
    shutil.rmtree(content)
    fresh = House(bench.settings, bench.database, secret_key=b"", draw_secret=b"")
    assert fresh.module_in_force("M03") == before
    assert fresh.scheme() == bench.scheme()
    assert fresh.number(before.hash) == 1
    with pytest.raises(NotFoundError, match="no edition 0000"):
        fresh.module("0" * 64)
    with pytest.raises(NotFoundError):
        fresh.number("0" * 64)
    with pytest.raises(NotFoundError, match="no module scheme"):
        fresh.module_in_force("scheme")


def test_an_empty_folder_is_said(database: Database, tmp_path: Path, time: Time) -> None:
    (tmp_path / "nothing").mkdir()
    empty = House(
        settings.load({"content": tmp_path / "nothing"}, environment={}),
        database,
        secret_key=b"",
        draw_secret=b"",
    )
    assert authoring.first_start(empty).first_words[0].startswith("There is no content in")
    assert empty.scheme().competencies == {}
    crew = Crew(empty)
    crew.come("delphine", "trainee", password=False)
    assert viewing.job_card(empty, crew.who("delphine")).scheme_number == 0
    assert viewing.programme(empty, crew.who("delphine")) == ()


def test_a_changed_lesson_goes_in_force_alone(
    bench: House, team: Crew, content: Path, time: Time
) -> None:
    time.on(days=1)
    edit(content, "modules/M03/01-first.md", "counts doses", "counts every dose")
    assert put(bench, team) == {"M03": "in force", "M04": "unchanged", "scheme": "unchanged"}
    found = bench.module_in_force("M03")
    assert "every dose" in found.lessons[0].html
    assert bench.number(found.hash) == 2
    view = viewing.editions(bench, team.who("ottoline"))
    assert {(row.subject, row.number) for row in view.in_force} == {
        ("M03", 2),
        ("M04", 1),
        ("scheme", 1),
    }
    assert [(row.subject, row.number, row.state) for row in view.earlier] == [
        ("M03", 1, "superseded")
    ]
    page = viewing.edition_page(bench, team.who("ottoline"), edition_hash=found.hash)
    assert page.changes
    assert [row.by for row in page.story] == ["Ottoline"]
    assert put(bench, team)["M03"] == "unchanged"


def test_an_error_keeps_a_module_out_and_the_last_good_one_stays(
    bench: House, team: Crew, content: Path
) -> None:
    before = bench.in_force()["M03"]
    edit(content, "modules/M03/exercises.md", "r = 'a / d'", "r = 'a + d'")
    edit(content, "modules/M04/01-first.md", "counts doses", "counts every dose")
    results = authoring.put_in_force(bench, team.who("ottoline"), reason="new words")
    assert outcomes(results) == {"M03": "kept out", "M04": "in force", "scheme": "unchanged"}
    finding = results[0].findings[0]
    line = next(
        number
        for number, text in enumerate(
            (content / "modules/M03/exercises.md").read_text().splitlines(), 1
        )
        if text == "r = 'a + d'"
    )
    assert (finding.file, finding.line) == ("modules/M03/exercises.md", line)
    assert bench.in_force()["M03"] == before
    _, findings = authoring.look(bench)
    assert finding in findings


def test_an_exercise_that_cannot_be_proved_is_kept_out(
    bench: House, team: Crew, content: Path
) -> None:
    """The slip falls inside the tolerance: the proof says so, though every line reads."""
    edit(content, "modules/M03/exercises.md", "'a/(d + 1)'", "'a/(d + 0.01)'")
    results = authoring.put_in_force(bench, team.who("ottoline"), reason="new slip")
    assert outcomes(results)["M03"] == "kept out"
    errors = [one for one in results[0].findings if one.severity == "error"]
    assert {one.file for one in errors} == {"modules/M03/exercises.md"}
    assert min(one.line for one in errors) > 1


def test_only_what_is_asked_for(bench: House, team: Crew, content: Path) -> None:
    for name in ("M03", "M04"):
        edit(content, f"modules/{name}/01-first.md", "counts doses", "counts every dose")
    ottoline = team.who("ottoline")
    results = authoring.put_in_force(bench, ottoline, subjects=["M04"], reason="new words")
    assert outcomes(results) == {"M04": "in force"}
    with pytest.raises(NotFoundError, match="no module M09"):
        authoring.put_in_force(bench, ottoline, subjects=["M09"], reason="new words")
    with pytest.raises(InputError, match="reason"):
        authoring.put_in_force(bench, ottoline, reason=" ")
    with pytest.raises(RefusedError, match="trainer"):
        authoring.put_in_force(bench, team.who("delphine"), reason="new words")


def safety_change(content: Path) -> None:
    edit(content, "modules/M03/module.md", "hazards = []", "hazards = ['H06']")
    edit(content, "modules/M03/01-first.md", "hazards = []", "hazards = ['H06']")
    edit(
        content,
        "modules/M03/01-first.md",
        "## What is read\n",
        "## What is read\n\n```caution\nuse = 'H06'\n```\n",
    )


def test_a_safety_change_waits_for_a_second_reader(
    bench: House, team: Crew, content: Path, time: Time
) -> None:
    before = bench.in_force()["M03"]
    safety_change(content)
    results = authoring.put_in_force(bench, team.who("ottoline"), reason="burrs run on")
    assert outcomes(results)["M03"] == "waits for a second reader"
    assert results[0].is_safety_change
    assert bench.in_force()["M03"] == before
    edition = results[0].edition_hash
    assert put(bench, team)["M03"] == "waits for a second reader"  # again: nothing doubles
    waiting = viewing.editions(bench, team.who("bat")).waiting
    assert [(row.subject, row.number, row.may_confirm) for row in waiting] == [("M03", 2, "")]
    assert "second reader" in viewing.editions(bench, team.who("ottoline")).waiting[0].may_confirm
    with pytest.raises(RefusedError, match="This is for a second reader"):
        authoring.confirm_safety_change(
            bench, team.who("ottoline"), edition_hash=edition, reason="read"
        )
    time.on(hours=1)
    result = authoring.confirm_safety_change(
        bench, team.who("bat"), edition_hash=edition, reason="read it twice"
    )
    assert (result.outcome, result.number) == ("in force", 2)
    assert bench.in_force()["M03"] == edition
    story = viewing.edition_page(bench, team.who("bat"), edition_hash=edition).story
    assert [(row.state, row.by) for row in story] == [
        ("in review", "Ottoline"),
        ("reviewed", "Bat"),
        ("in force", "Bat"),
    ]
    with pytest.raises(StateError, match="it is in force"):
        authoring.confirm_safety_change(
            bench, team.who("bat"), edition_hash=edition, reason="again"
        )
    with bench.database.reading() as session:
        assert log_check.check(session) is None


def test_the_maker_is_never_the_second_reader(bench: House, team: Crew, content: Path) -> None:
    both = team.come("rufus", "trainer", "second reader")
    safety_change(content)
    results = authoring.put_in_force(bench, both, reason="burrs run on")
    assert outcomes(results)["M03"] == "waits for a second reader"
    edition = results[0].edition_hash
    for act in (authoring.confirm_safety_change, authoring.turn_back):
        with pytest.raises(RefusedError, match="did not write it"):
            act(bench, both, edition_hash=edition, reason="mine")
    assert put(bench, team, "bat")["M03"] == "in force"  # he did not write it


def test_turned_back_to_draft(bench: House, team: Crew, content: Path) -> None:
    safety_change(content)
    results = authoring.put_in_force(bench, team.who("ottoline"), reason="burrs run on")
    edition = results[0].edition_hash
    authoring.turn_back(bench, team.who("bat"), edition_hash=edition, reason="name the time")
    assert viewing.editions(bench, team.who("bat")).waiting == ()
    with pytest.raises(StateError, match="it is draft"):
        authoring.turn_back(bench, team.who("bat"), edition_hash=edition, reason="again")
    with pytest.raises(NotFoundError):
        authoring.turn_back(bench, team.who("bat"), edition_hash="0" * 64, reason="x")


def test_an_older_one_that_waited_does_not_come_back(
    bench: House, team: Crew, content: Path
) -> None:
    sound = (content / "modules/M03/module.md").read_text()
    lesson = (content / "modules/M03/01-first.md").read_text()
    safety_change(content)
    waiting = authoring.put_in_force(bench, team.who("ottoline"), reason="burrs run on")
    write(content, "modules/M03/module.md", sound)
    write(content, "modules/M03/01-first.md", lesson.replace("doses", "every dose"))
    assert put(bench, team)["M03"] == "in force"
    with pytest.raises(StateError, match="A newer edition of M03 is in force"):
        authoring.confirm_safety_change(
            bench,
            team.who("bat"),
            edition_hash=waiting[0].edition_hash,
            reason="read",
        )


def test_withdrawn_at_once_and_open_sheets_are_told(
    bench: House, team: Crew, content: Path, time: Time
) -> None:
    delphine = team.who("delphine")
    attempt = working.open_sheet(bench, delphine, exercise="M03-E1")
    with pytest.raises(RefusedError):
        authoring.withdraw(bench, delphine, module="M03", reason="x")
    authoring.withdraw(bench, team.who("ottoline"), module="M03", reason="a wrong torque")
    found = working.sheet_of(bench, delphine, attempt=attempt)
    assert isinstance(found, VoidSheet)
    assert found.reason == "The module was withdrawn on 2031-03-03: a wrong torque"
    with pytest.raises(NotFoundError, match="no exercise M03-E1"):
        working.open_sheet(bench, delphine, exercise="M03-E1")
    with pytest.raises(NotFoundError, match="no module M03"):
        authoring.withdraw(bench, team.who("ottoline"), module="M03", reason="again")
    with pytest.raises(NotFoundError):
        authoring.withdraw(bench, team.who("ottoline"), module="scheme", reason="x")
    with pytest.raises(RefusedError, match="C04 is not started"):
        observing.ask_to_be_observed(bench, delphine, competency="C04")
    time.on(days=1)
    assert put(bench, team)["M03"] == "in force"  # the same text again, for a reason
    assert bench.number(bench.in_force()["M03"]) == 1


def close(bench: House, team: Crew, attempt: int) -> Marked:
    delphine = team.who("delphine")
    found = working.sheet_of(bench, delphine, attempt=attempt)
    assert isinstance(found, OpenSheet)
    given = {row.symbol: float(row.value.split()[0]) for row in found.shown.givens}
    result = working.close_and_mark(
        bench,
        delphine,
        attempt=attempt,
        token=found.token,
        answers={"r": f"{given['a'] / given['d']:.6g}"},
    )
    assert isinstance(result, Marked)
    return result


def test_what_was_done_stays_done_unless_the_task_changed(
    bench: House, team: Crew, content: Path, time: Time
) -> None:
    delphine = team.who("delphine")
    working.sign_as_read(bench, delphine, lesson="M03-L1")
    close(bench, team, working.open_sheet(bench, delphine, exercise="M03-E1"))
    assert viewing.programme(bench, delphine)[0].done
    time.on(days=1)
    edit(content, "modules/M03/exercises.md", "Share =a= over =d=", "Divide =a= by =d=")
    assert put(bench, team)["M03"] == "in force"
    assert viewing.programme(bench, delphine)[0].done  # only the working changed
    pinned = working.open_sheet(bench, delphine, exercise="M03-E1")
    edit(content, "modules/M03/exercises.md", "within 1 %", "within 2 %")
    assert put(bench, team)["M03"] == "in force"
    line = viewing.programme(bench, delphine)[0]
    assert not line.done
    assert line.missing == ("M03-E1 Doses per day has changed: work it once more.",)
    back = viewing.job_card(bench, delphine).back_to_you
    assert [(one.kind, one.target) for one in back] == [("work again", "M03-E1")]
    close(bench, team, pinned)  # still the edition before: it does not count for the new task
    assert not viewing.programme(bench, delphine)[0].done
    close(bench, team, working.open_sheet(bench, delphine, exercise="M03-E1"))
    assert viewing.programme(bench, delphine)[0].done


def test_a_safety_change_is_read_again(bench: House, team: Crew, content: Path, time: Time) -> None:
    delphine = team.who("delphine")
    working.sign_as_read(bench, delphine, lesson="M03-L1")
    time.on(days=1)
    edit(content, "modules/M03/01-first.md", "counts doses", "counts every dose")
    put(bench, team)
    assert viewing.lesson_page(bench, delphine, lesson="M03-L1").read_at is not None
    safety_change(content)
    put(bench, team, "bat")
    page = viewing.lesson_page(bench, delphine, lesson="M03-L1")
    assert page.read_at is None
    assert [(caution.id, at) for caution, at in page.cautions] == [("H06", None)]
    kinds = {one.kind for one in viewing.job_card(bench, delphine).back_to_you}
    assert kinds == {"read again"}


def test_a_scheme_that_changed_says_what(bench: House, team: Crew, content: Path) -> None:
    edit(content, "competencies/C04.md", "months = 24", "months = 12")
    (content / "certificates/counter-reading.md").unlink()
    results = authoring.put_in_force(
        bench, team.who("piers"), subjects=["scheme"], reason="shorter validity"
    )
    assert results[0].changes == (
        "competency C04 changed",
        "certificate counter-reading left out",
    )
    assert bench.scheme().competencies["C04"].months == 12
    page = viewing.edition_page(bench, team.who("piers"), edition_hash=bench.in_force()["scheme"])
    assert page.edition.number == 2
    assert [one[0] for one in page.lessons] == ["C04", "C05"]


def test_two_at_once_put_one_edition_in_force(
    bench: House, team: Crew, content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody else puts the folder in force after it was read here and before the write."""
    edit(content, "modules/M03/01-first.md", "counts doses", "counts every dose")
    original = authoring._pages
    started: list[str] = []

    def meanwhile(*given: object) -> object:
        if not started:
            started.append("other")
            put(bench, team, "bat")
        return original(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(authoring, "_pages", meanwhile)
    with pytest.raises(StateError, match="came in force meanwhile"):
        authoring.put_in_force(bench, team.who("ottoline"), reason="new words")
    with bench.database.reading() as session:
        numbers = session.scalars(select(Edition.number).where(Edition.subject == "M03")).all()
    assert sorted(numbers) == [1, 2]


def test_a_proof_is_run_once(
    bench: House, team: Crew, content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ran: list[str] = []
    original = proving._prove

    def prove(one: Exercise) -> Proof:
        ran.append(one.id)
        return original(one)

    monkeypatch.setattr(proving, "_prove", prove)
    monkeypatch.setattr(proving, "_PROVED", Shelf(16))
    edit(content, "modules/M03/exercises.md", "Doses per day", "Doses in a day")
    authoring.look(bench)
    authoring.look(bench)
    put(bench, team)
    assert ran == ["M03-E1"]


def test_open_house_makes_what_is_missing(content: Path, tmp_path: Path, time: Time) -> None:
    chosen = settings.load({"instance": tmp_path / "instance", "content": content}, environment={})
    house = open_house(chosen)
    try:
        assert house.first_words == ("First start: in force are M03, M04, scheme.",)
        names = {path.name for path in (tmp_path / "instance").iterdir()}
        assert {"secret.key", "draw.key", "trainer.sqlite"} <= names
        assert "kkk" not in repr(house)
    finally:
        house.close()
    again = open_house(chosen)
    try:
        assert again.first_words == ()
        assert (again.secret_key, again.draw_secret) == (house.secret_key, house.draw_secret)
        assert again.secret_key != again.draw_secret
    finally:
        again.close()


def test_what_a_module_needs_stands_before_it() -> None:
    def one(name: str, *needs: str) -> object:
        found = sample.module_m01()
        return type(found)(name, name, needs, (), (), (), {}, {}, hash=name)

    listed = [one("M01", "M03"), one("M02", "M01", "M09"), one("M03"), one("M04", "M04")]
    placed = in_order(listed)  # type: ignore[arg-type]
    assert [module.id for module in placed] == ["M03", "M01", "M02", "M04"]
