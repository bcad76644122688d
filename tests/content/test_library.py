"""The shipped content as a whole: it reads clean, and everything it points at exists."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from trainer.findings import Finding, has_errors
from trainer.library.catalogue import Library
from trainer.library.reader import read

CONTENT = Path(__file__).parents[2] / "content"
TAUGHT = ("M01", "M03", "M05")  # the modules whose lessons are written
FIGURE = re.compile(r"^(?:file|narrow) = '([^']+)'$", re.MULTILINE)
CARE = re.compile(r"[Ll]ocal\s+codes?")


@cache
def whole() -> tuple[Library, tuple[Finding, ...]]:
    return read(CONTENT)


def lessons() -> list[Path]:
    return sorted(CONTENT.glob("modules/*/[0-9]*.md"))


def test_the_content_has_no_errors() -> None:
    _, findings = whole()
    assert not has_errors(findings), "\n".join(map(str, findings))


def test_modules_without_lessons_are_remarks_and_nothing_else_is_said() -> None:
    _, findings = whole()
    bare = {f"M{number:02}" for number in range(1, 14)} - set(TAUGHT)
    assert {finding.file.split("/")[-2] for finding in findings} == bare, "\n".join(
        map(str, findings)
    )


def test_the_scheme_holds_what_the_curriculum_counts() -> None:
    # 18 competencies with 122 criteria, 44 of them safety-critical: the curriculum's own count.
    library, _ = whole()
    competencies = library.scheme.competencies.values()
    criteria = [criterion for each in competencies for criterion in each.criteria]
    assert (len(competencies), len(criteria)) == (18, 122)
    assert sum(criterion.critical for criterion in criteria) == 44
    assert {each.id for each in competencies if each.safety_critical} == {
        "C01", "C02", "C06", "C14", "C15",
    }  # fmt: skip


def test_safety_critical_competencies_take_two_observers_and_a_year() -> None:
    library, _ = whole()
    for each in library.scheme.competencies.values():
        wanted = (2, 12) if each.safety_critical else (1, 24)
        assert (each.observers, each.months) == wanted, each.id


def test_a_certificate_never_outlasts_what_it_rests_on() -> None:
    library, _ = whole()
    for certificate in library.scheme.certificates.values():
        months = [library.scheme.competencies[name].months for name in certificate.competencies]
        assert certificate.months <= min(months), certificate.id


@pytest.mark.parametrize("module", TAUGHT)
def test_every_exercise_of_a_taught_module_is_placed_in_a_lesson(module: str) -> None:
    library, _ = whole()
    found = library.modules[module]
    placed = [exercise for lesson in found.lessons for exercise in lesson.exercises]
    assert sorted(placed) == sorted(found.exercises), "each once"


@pytest.mark.parametrize("module", TAUGHT)
def test_every_figure_is_shown_in_a_lesson(module: str) -> None:
    folder = CONTENT / "modules" / module
    named = {name for file in folder.glob("[0-9]*.md") for name in FIGURE.findall(file.read_text())}
    assert named == {file.name for file in (folder / "figures").iterdir()}


@pytest.mark.parametrize("file", lessons(), ids=lambda file: file.name)
def test_a_lesson_is_one_sitting_and_puts_the_law_first(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    words = len(re.findall(r"[^\W\d_][\w’'-]*", text.split("+++")[2]))
    assert 400 <= words <= 1000, f"{words} words"
    assert CARE.search(text), "says nowhere that local codes come first"


def test_exercises_show_criteria_that_exist() -> None:
    library, _ = whole()
    criteria = {
        criterion.id for each in library.scheme.competencies.values() for criterion in each.criteria
    }
    for module in library.modules.values():
        for exercise in module.exercises.values():
            assert set(exercise.shows) <= criteria, exercise.id
            assert exercise.shows, f"{exercise.id} shows nothing"
            assert exercise.topic, f"{exercise.id} has no topic"
