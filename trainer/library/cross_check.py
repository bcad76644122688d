"""What only shows when the whole folder is read: names that lead nowhere, and circles."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from trainer.findings import Finding
from trainer.library.catalogue import Caution, Competency
from trainer.library.module import Built
from trainer.library.module_files import note_unknown_hazards
from trainer.library.problems import did_you_mean, finding, problem
from trainer.library.scheme import ReadScheme
from trainer.library.table import Table

UNKNOWN_MODULE = problem("LIB-561", "There is no module '{text}'.", "{cure}")
UNKNOWN_COMPETENCY = problem("LIB-562", "There is no competency '{text}'.", "{cure}")
UNKNOWN_PAPER = problem("LIB-563", "There is no lesson or sheet '{text}'.", "{cure}")
UNKNOWN_CRITERION = problem("LIB-564", "There is no criterion '{text}'.", "{cure}")
CIRCLE = problem(
    "LIB-565", "'{text}' needs itself: {circle}.", "Take one of these out of its list of needs."
)
NOT_TAUGHT = problem(
    "LIB-566",
    "The module names competency '{text}', which does not name the module.",
    "Write the module into modules of competencies/{text}.md, or leave it out here.",
)
_OTHERWISE = "Write it first, or leave it out."


def check_modules(modules: Mapping[str, Built], scheme: ReadScheme) -> None:
    """Lay down what is wrong between modules, lessons and the scheme."""
    competencies = scheme.named("competencies")
    lessons = {lesson.id for built in modules.values() for lesson in built.lessons}
    exercises = {name for built in modules.values() for name in built.exercises.ids}
    criteria = {
        criterion.id for one in scheme.scheme.competencies.values() for criterion in one.criteria
    }
    unsure = competencies - set(scheme.scheme.competencies)
    for built in modules.values():
        table = built.header.table
        _check_list(table, "needs", modules, UNKNOWN_MODULE)
        _check_list(table, "competencies", competencies, UNKNOWN_COMPETENCY)
        _note_not_taught(built, scheme.scheme.competencies)
        for lesson in built.lessons:
            _check_list(lesson.table, "needs", lessons | set(modules), UNKNOWN_PAPER)
        built.findings.extend(_check_papers(built, lessons | exercises))
        built.findings.extend(_check_shows(built, criteria, unsure))
    needs = {name: built.header.needs for name, built in modules.items()}
    _check_circles(needs, {name: built.header.table for name, built in modules.items()})
    of_lessons = {one.id: one for built in modules.values() for one in built.lessons}
    _check_circles(
        {name: one.needs for name, one in of_lessons.items()},
        {name: one.table for name, one in of_lessons.items()},
    )


def check_scheme(
    scheme: ReadScheme, modules: Collection[str], cautions: Mapping[str, Caution]
) -> None:
    """Lay down what is wrong within the scheme and between it and the modules."""
    competencies = scheme.named("competencies")
    for table in scheme.tables.values():
        if table.file.startswith("competencies/"):
            _check_list(table, "modules", modules, UNKNOWN_MODULE)
            _check_list(table, "needs", competencies, UNKNOWN_COMPETENCY)
            note_unknown_hazards(table, cautions)
        else:
            _check_list(table, "competencies", competencies, UNKNOWN_COMPETENCY)
    needs = {name: one.needs for name, one in scheme.scheme.competencies.items()}
    _check_circles(needs, dict(scheme.tables))


def _check_list(table: Table | None, key: str, known: Collection[str], code: str) -> None:
    if table is None:
        return
    names = table.values.get(key)
    for number, name in enumerate(names if isinstance(names, list) else []):
        if isinstance(name, str) and name not in known:
            cure = did_you_mean(name, known, otherwise=_OTHERWISE)
            line, column = table.at(key, number)
            table.findings.append(finding(code, table.file, line, column, text=name, cure=cure))


def _note_not_taught(built: Built, competencies: Mapping[str, Competency]) -> None:
    for name in built.header.competencies:
        one = competencies.get(name)
        if one is not None and built.id not in one.modules and built.header.table is not None:
            built.header.table.note(NOT_TAUGHT, "competencies", text=name)


def _check_papers(built: Built, known: Collection[str]) -> Iterator[Finding]:
    for file, target, line, column in built.papers:
        name = target.split("#", 1)[0]
        if name not in known:
            cure = did_you_mean(name, known, otherwise=_OTHERWISE)
            yield finding(UNKNOWN_PAPER, file, line, column, text=name, cure=cure)


def _check_shows(
    built: Built, criteria: Collection[str], unsure: Collection[str]
) -> Iterator[Finding]:
    """Criteria that do not exist; of a competency that could not be read nothing is said."""
    for name, exercise in built.exercises.by_id.items():
        file, first = built.exercises.place[name]
        for number, shown in enumerate(exercise.shows):
            if shown not in criteria and shown.split(".")[0] not in unsure:
                line, column = exercise.lines.get(f"shows.{number}", (first, 1))
                cure = did_you_mean(shown, criteria, otherwise=_OTHERWISE)
                yield finding(UNKNOWN_CRITERION, file, line, column, text=shown, cure=cure)


def _check_circles(needs: Mapping[str, Sequence[str]], tables: Mapping[str, Table | None]) -> None:
    """A finding for each circle, at the needs of the first of its members."""
    for circle in circles(needs):
        table = tables.get(circle[0])
        if table is not None:
            shown = " needs ".join((*circle, circle[0]))
            table.note(CIRCLE, "needs", text=circle[0], circle=shown)


def circles(needs: Mapping[str, Sequence[str]]) -> list[tuple[str, ...]]:
    """Every circle once, beginning with its smallest name.

    Example:
        >>> circles({'M01': ['M02'], 'M02': ['M01'], 'M03': ['M01']})
        [('M01', 'M02')]
    """
    found: dict[tuple[str, ...], None] = {}
    done: set[str] = set()
    for start in sorted(needs):
        path: list[str] = []
        trail = [iter((start,))]  # one iterator a level: no recursion, however long the chain
        while trail:
            name = next(trail[-1], None)
            if name is None:
                trail.pop()
                if path:
                    done.add(path.pop())
            elif name in path:
                circle = path[path.index(name) :]
                first = circle.index(min(circle))
                found[(*circle[first:], *circle[:first])] = None
            elif name in needs and name not in done:
                path.append(name)
                trail.append(iter(needs[name]))
    return list(found)
