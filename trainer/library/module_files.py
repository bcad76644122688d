"""The headers and exercises of a module: what can be read of it without setting a lesson.

modules/M03/module.md       module, title, needs, hazards, competencies, [check]; what it is about
modules/M03/01-title.md     a lesson: module, lesson, title, hazards, needs, minutes, edition_note
modules/M03/exercises.md    exercise blocks, placed in lessons by ``sheet`` blocks
modules/M03/figures/        drawings and pictures;  modules/M03/data/  columns as CSV
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from trainer.engine.definition import Exercise
from trainer.engine.reader import read_block
from trainer.findings import Finding
from trainer.library.catalogue import Caution, CheckPlan
from trainer.library.fences import Fence, split
from trainer.library.front_matter import read_front_matter
from trainer.library.problems import did_you_mean, finding, problem
from trainer.library.table import Table

NO_MODULE_FILE = problem(
    "LIB-501", "The module has no module.md.", "Write it, with module, title and competencies."
)
OTHER_FOLDER = problem(
    "LIB-502", "The file says module '{text}' and lies in '{folder}'.", "Make them the same."
)
BAD_MODULE = problem("LIB-503", "'{text}' cannot be the id of a module.", "Write it like M03.")
BAD_LESSON = problem(
    "LIB-504", "'{text}' cannot be the id of a lesson of {module}.", "Write it like {module}-L1."
)
LESSON_TWICE = problem("LIB-505", "Another file is lesson '{text}' already: {other}.", "Count on.")
EXERCISE_TWICE = problem(
    "LIB-506", "Exercise '{text}' stands twice; first in {other}.", "Count on with the next number."
)
OTHER_MODULE = problem(
    "LIB-507", "Exercise '{text}' belongs to another module by its id.", "Begin it with {module}-E."
)
UNKNOWN_HAZARD = problem("LIB-508", "There is no caution '{text}' in cautions.md.", "{cure}")
STRAY_BLOCK = problem(
    "LIB-509", "A block '{text}' cannot stand in exercises.md.", "Only exercise blocks stand here."
)
NO_TOPIC = problem(
    "LIB-510",
    "The check asks for {wanted} exercises on '{text}'; the module has {count}.",
    "Ask for fewer, or write more with topic = '{text}'.",
)

MODULE_ID = re.compile(r"M\d{2}")
LESSON_FILE = re.compile(r"\d\d-[a-z0-9-]+\.md")


@dataclass(frozen=True, slots=True)
class ModuleHeader:
    """The header of ``module.md`` and the text below it."""

    id: str
    title: str
    needs: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    competencies: tuple[str, ...] = ()
    check: CheckPlan | None = None
    text: str = ""
    line: int = 1
    table: Table | None = None


@dataclass(frozen=True, slots=True)
class LessonHeader:
    """The header of one lesson and the text below it."""

    file: str
    id: str
    title: str
    minutes: int
    hazards: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    edition_note: str = ""
    text: str = ""
    line: int = 1
    table: Table | None = None


@dataclass(slots=True)
class Exercises:
    """Every exercise of a module, where each stands, and the ids of blocks within lessons."""

    by_id: dict[str, Exercise] = field(default_factory=dict)
    place: dict[str, tuple[str, int]] = field(default_factory=dict)  # id -> file, body's first line
    ids: set[str] = field(default_factory=set)  # of broken ones too, so nothing else complains
    at: dict[str, dict[int, str]] = field(default_factory=dict)  # file -> line of block -> id


_WRITTEN_ID = re.compile(r"^id[ \t]*=[ \t]*['\"](M\d{2}-E\d{1,3})['\"]", re.MULTILINE)


def read_module_header(
    text: str | None, *, folder: str, base: str, findings: list[Finding]
) -> ModuleHeader:
    """The header of a module, with stand-ins for what is missing."""
    file = f"{base}module.md"
    if text is None:
        findings.append(finding(NO_MODULE_FILE, file, 0))
        return ModuleHeader(folder, folder)
    front = read_front_matter(text, file=file, findings=findings)
    table = front.table
    if table is None:
        return ModuleHeader(folder, folder)
    module = table.text("module", f"'{folder}'")
    if module and not MODULE_ID.fullmatch(module):
        table.note(BAD_MODULE, "module", text=module)
    elif module and module != folder:
        table.note(OTHER_FOLDER, "module", text=module, folder=folder)
    header = ModuleHeader(
        id=folder,
        title=table.text("title", "'Usage counters'"),
        needs=table.texts("needs", "['M01']"),
        hazards=table.texts("hazards", "['H05']"),
        competencies=table.texts("competencies", "['C04']"),
        check=_check(table.inner("check")),
        text=front.body,
        line=front.line,
        table=table,
    )
    table.close()
    return header


def _check(table: Table | None) -> CheckPlan | None:
    if table is None:
        return None
    plan = table.inner("plan")
    check = CheckPlan(
        minutes=table.whole("minutes", low=1, high=480),
        pass_percent=table.whole("pass", low=1, high=100),
        attempts=table.whole("attempts", low=1, high=20, default=3),
        wait_hours=table.whole("wait_hours", low=0, high=2000, default=24),
        plan=plan.amounts(low=1, high=40) if plan else {},
    )
    table.close()
    return check


def read_lesson_header(
    text: str, *, file: str, module: str, findings: list[Finding]
) -> LessonHeader | None:
    """The header of a lesson; None where it cannot be read at all."""
    front = read_front_matter(text, file=file, findings=findings)
    table = front.table
    if table is None:
        return None
    belongs = table.text("module", f"'{module}'")
    if belongs and belongs != module:
        table.note(OTHER_FOLDER, "module", text=belongs, folder=module)
    lesson = table.text("lesson", f"'{module}-L1'")
    if lesson and not re.fullmatch(rf"{re.escape(module)}-L\d{{1,3}}", lesson):
        table.note(BAD_LESSON, "lesson", text=lesson, module=module)
    header = LessonHeader(
        file=file,
        id=lesson,
        title=table.text("title", "'What a counter counts'"),
        minutes=table.whole("minutes", low=1, high=240),
        hazards=table.texts("hazards", "['H05']"),
        needs=table.texts("needs", f"['{module}-L1']"),
        edition_note=table.text("edition_note", "'First edition.'", required=False),
        text=front.body,
        line=front.line,
        table=table,
    )
    table.close()
    return header


def note_unknown_hazards(table: Table | None, cautions: Mapping[str, Caution]) -> None:
    """A finding for each declared hazard that no caution tells about."""
    if table is None:
        return
    hazards = table.values.get("hazards")
    for number, name in enumerate(hazards if isinstance(hazards, list) else []):
        if isinstance(name, str) and name not in cautions:
            cure = did_you_mean(name, cautions, otherwise="Write it there first.")
            line, column = table.at("hazards", number)
            found = finding(UNKNOWN_HAZARD, table.file, line, column, text=name, cure=cure)
            table.findings.append(found)


def read_exercises(
    texts: Mapping[str, tuple[str, int]],
    *,
    module: str,
    shipped: Mapping[str, bytes],
    findings: list[Finding],
) -> Exercises:
    """Every ``exercise`` block of these texts, in order.

    Args:
        texts: file -> its text and the number of the text's first line.
        module: id of the module all of them belong to.
        shipped: data files by name.
        findings: takes what is wrong.
    """
    exercises = Exercises()
    for file, (text, first) in texts.items():
        for fence in split(text, line=first):
            if isinstance(fence, Fence) and fence.name == "exercise":
                exercise, found = read_block(
                    fence.body, file=file, line=fence.line + 1, shipped=shipped
                )
                findings.extend(found)
                findings.extend(_keep(exercise, fence, file, module, exercises))
            elif isinstance(fence, Fence) and file.endswith("/exercises.md"):
                findings.append(finding(STRAY_BLOCK, file, fence.line, 1, text=fence.name))
    return exercises


def _keep(
    exercise: Exercise | None, fence: Fence, file: str, module: str, exercises: Exercises
) -> Iterator[Finding]:
    """Put an exercise among the others, unless its id does not let it."""
    written = _WRITTEN_ID.search(fence.body)
    name = exercise.id if exercise else written[1] if written else ""
    exercises.ids.add(name)
    exercises.at.setdefault(file, {})[fence.line] = name
    if exercise is None:
        return
    line, column = exercise.lines.get("id", (fence.line + 1, 1))
    if not name.startswith(f"{module}-"):
        yield finding(OTHER_MODULE, file, line, column, text=name, module=module)
    elif name in exercises.by_id:
        other = "{}:{}".format(*exercises.place[name])
        yield finding(EXERCISE_TWICE, file, line, column, text=name, other=other)
    else:
        exercises.by_id[name] = exercise
        exercises.place[name] = (file, fence.line + 1)
