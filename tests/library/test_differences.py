"""Two editions: what is told to have changed, what is done again, what counts as safety."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.library.conftest import LESSON, Folder
from trainer.library.catalogue import Module
from trainer.library.differences import Differences, between

SECOND = "modules/M01/02-the-tag.md"
EXERCISES = "modules/M01/exercises.md"


def changed(folder: Folder, name: str, old: str, new: str, module: str = "M01") -> Differences:
    """The differences that one change of a source makes."""
    before = folder.library().modules[module]
    after = folder.replace(name, old, new).library().modules[module]
    return between(before, after)


def test_the_same_edition_has_no_differences(folder: Folder) -> None:
    module = folder.library().modules["M01"]
    assert between(module, module) == Differences()


def test_without_an_older_edition_everything_is_new(folder: Folder) -> None:
    found = between(None, folder.library().modules["M01"])
    assert found.lessons == ("M01-L1", "M01-L2")
    assert found.exercises == found.exercises_to_redo == ("M01-E1", "M01-E2")
    assert found.safety_change
    assert found.words[0] == "new module"


def test_a_new_module_without_a_hazard_is_no_safety_change(folder: Folder) -> None:
    found = between(None, folder.library().modules["M02"])
    assert found == Differences(lessons=("M02-L1",), words=("new module",))


def test_words_of_a_lesson(folder: Folder) -> None:
    found = changed(folder, SECOND, "The next person", "Whoever comes")
    assert found == Differences(lessons=("M01-L2",), words=("lesson M01-L2 changed",))


def test_a_note_on_the_edition_is_no_change_of_the_lesson(folder: Folder) -> None:
    assert changed(folder, LESSON, "'First edition.'", "'Second edition.'") == Differences()


def test_a_figure_changes_the_lessons_that_show_it(folder: Folder) -> None:
    found = changed(folder, "modules/M01/figures/wait.svg", "H110", "H100")
    assert found.lessons == ("M01-L1",)
    assert not found.safety_change


def test_a_lesson_and_an_exercise_that_are_gone(folder: Folder) -> None:
    module = folder.library().modules["M01"]
    smaller = replace(
        module, lessons=module.lessons[:1], exercises={"M01-E1": module.exercises["M01-E1"]}
    )
    found = between(module, smaller)
    assert (found.lessons, found.exercises) == ((), ())
    assert found.words == ("lesson M01-L2 is gone", "exercise M01-E2 is gone")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("The run-down was measured as", "The run-down is"),
        ("Waiting for the burrs", "Wait for the burrs"),
        ("Add the margin last.", "The margin is added last."),
        ("name = 'margin left out'", "name = 'no margin'"),
        ("wait *at least*", "wait at least"),
        ("topic = 'waiting'", "topic = 'waiting'\nfew_draws = 'why not'"),
        ("shows = ['C01.1']", "shows = ['C01.1', 'C01.2']"),
    ],
)
def test_wording_and_slips_keep_an_exercise_done(old: str, new: str, folder: Folder) -> None:
    found = changed(folder, EXERCISES, old, new)
    assert found.exercises == ("M01-E1",)
    assert found.exercises_to_redo == ()
    assert found.safety_change, "it has safety at stake"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("to = 9.0", "to = 8.0"),
        ("step = 0.1, unit = 's'", "step = 0.5, unit = 's'"),
        ("what = 'run-down'", "what = 'time of run-down'"),
        ("within 0.1 s", "within 0.2 s"),
        ("plausible = '5 s to 40 s'", "plausible = '5 s to 60 s'"),
        ("'k * t + m'", "'m + k * t'"),
        ("what = 'time to wait'", "what = 'waiting time'"),
    ],
)
def test_given_method_find_and_accept_are_done_again(old: str, new: str, folder: Folder) -> None:
    found = changed(folder, EXERCISES, old, new)
    assert found.exercises_to_redo == ("M01-E1",)
    assert "exercise M01-E1 changed, to be worked again" in found.words


@pytest.mark.parametrize(
    ("old", "new", "again"),
    [
        ("text = 'the person who hung it'", "text = 'who hung it'", True),
        ("text = 'whoever needs the machine'\nright = false", "text = 'all'\nright = false", True),
        ("remark = 'That person does not", "remark = 'They do not", False),
        ("title = 'Who takes the tag off'", "title = 'The tag'", False),
    ],
)
def test_options_are_what_a_pick_asks(old: str, new: str, again: bool, folder: Folder) -> None:
    found = changed(folder, SECOND, old, new)
    assert found.exercises == ("M01-E2",)
    assert bool(found.exercises_to_redo) == again
    assert not found.safety_change


@pytest.mark.parametrize(
    ("name", "old", "new", "reason"),
    [
        ("cautions.md", "Wait until still.", "Wait 14 s.", "safety: caution H05 changed"),
        (
            "modules/M01/module.md",
            "hazards = ['H01']",
            "hazards = ['H01', 'H20']",
            "safety: the hazards of the module changed",
        ),
        (
            SECOND,
            "minutes = 4",
            "hazards = ['H01']\nminutes = 4",
            "safety: panels, hazards or marked steps of M01-L2 changed",
        ),
        (
            LESSON,
            "Lock it in the box. (electrical)",
            "Lock it in the box.",
            "safety: panels, hazards or marked steps of M01-L1 changed",
        ),
        (
            LESSON,
            "Lock it in the box.",
            "Lock it up.",
            "safety: panels, hazards or marked steps of M01-L1 changed",
        ),
        (
            EXERCISES,
            "safe_side = 'higher'",
            "safe_side = 'lower'",
            "safety: exercise M01-E1 changed",
        ),
        (EXERCISES, "hazards = ['H05']\n", "", "safety: exercise M01-E1 changed"),
    ],
)
def test_what_is_a_safety_change(
    name: str, old: str, new: str, reason: str, folder: Folder
) -> None:
    found = changed(folder, name, old, new)
    assert found.safety_change
    assert reason in found.words


def test_moving_a_panel_behind_a_step_is_a_safety_change(folder: Folder) -> None:
    panel = "```caution\nuse = 'H05'\n```\n\n"
    before = folder.replace(LESSON, "hazards = ['H01']", "hazards = ['H01', 'H05']").library()
    text = folder.text(LESSON).replace(panel, "").replace("[^who]: Rule", f"{panel}[^who]: Rule")
    after = folder.write(LESSON, text).library()
    assert "M01" not in after.modules, "the burrs are unguarded now"
    text = text.replace("standstill. (burrs)", "standstill.")
    moved = folder.write(LESSON, text).library()
    assert between(before.modules["M01"], moved.modules["M01"]).safety_change


def test_words_without_hazard_are_no_safety_change(folder: Folder) -> None:
    assert not changed(folder, LESSON, "seen and heard", "heard and seen").safety_change


@pytest.mark.parametrize(
    ("field", "value"),
    [("title", "T"), ("needs", ("M02",)), ("competencies", ()), ("check", None), ("intro", "")],
)
def test_what_changed_about_the_module_is_told(field: str, value: object, folder: Folder) -> None:
    module: Module = folder.library().modules["M01"]
    found = between(module, replace(module, **{field: value}))  # type: ignore[arg-type]
    assert found == Differences(words=(f"{field} of the module changed",))
