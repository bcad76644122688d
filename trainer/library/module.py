"""A module from its files: headers, figures, exercises and lessons put together and cross-checked.

``build`` is the one way from files to a ``Module``, whether they come from the author's folder or
from a stored edition. With the pages of a stored edition no lesson is set again, and neither
Markdown nor the formula converter is imported.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from trainer.engine.definition import Exercise
from trainer.findings import Finding, has_errors
from trainer.library.catalogue import Caution, Lesson, Module
from trainer.library.desk import Context
from trainer.library.figures import Figure, read_figure
from trainer.library.module_files import (
    LESSON_FILE,
    LESSON_TWICE,
    NO_TOPIC,
    UNKNOWN_HAZARD,
    Exercises,
    LessonHeader,
    ModuleHeader,
    note_unknown_hazards,
    read_exercises,
    read_lesson_header,
    read_module_header,
)
from trainer.library.pages import Pages, are_usable, as_pages, cautions_of, lessons_of
from trainer.library.problems import did_you_mean, finding, problem
from trainer.library.sources import Sources

NO_LESSONS = problem("LIB-521", "The module has no lesson yet.", "Write 01-title.md beside it.")
NOT_PLACED = problem(
    "LIB-522", "No lesson places exercise {text}.", "Put a sheet block with its id into one."
)


@dataclass(slots=True)
class Built:
    """A module and what reading it gave; ``module`` is None when a finding is an error."""

    id: str
    module: Module | None
    findings: list[Finding]
    header: ModuleHeader
    lessons: list[LessonHeader] = field(default_factory=list)
    used: dict[str, Caution] = field(default_factory=dict)  # of cautions.md, as far as it is used
    papers: list[tuple[str, str, int, int]] = field(default_factory=list)  # file, target, place
    exercises: Exercises = field(default_factory=Exercises)
    pages: Pages | None = None


def build(
    sources: Sources,
    cautions: Mapping[str, Caution],
    *,
    folder: str,
    base: str = "",
    pages: Pages | None = None,
) -> Built:
    """Put a module together.

    Args:
        sources: its files by their path inside the folder.
        cautions: every caution it may call.
        folder: the folder's name, which is the module's id.
        base: what findings put before a path.
        pages: what ``Built.pages`` gave when this edition was stored.
    """
    findings: list[Finding] = []
    header = read_module_header(
        sources.files.get("module.md"), folder=folder, base=base, findings=findings
    )
    note_unknown_hazards(header.table, cautions)
    figures, shipped = _figures_and_data(sources, base, findings)
    built = Built(folder, None, findings, header)
    texts = {}
    if "exercises.md" in sources.files:
        texts[f"{base}exercises.md"] = (sources.files["exercises.md"], 1)
    built.lessons = _lesson_headers(sources, folder, base, findings)
    texts |= {lesson.file: (lesson.text, lesson.line) for lesson in built.lessons}
    built.exercises = read_exercises(texts, module=folder, shipped=shipped, findings=findings)
    _note_exercise_hazards(built, cautions)
    if pages is None or not are_usable(pages):
        lessons, own = _set_lessons(built, figures, shipped, cautions)
        pages = as_pages(lessons, own, _intro(header))
        _note_plan(built)
    built.pages = pages
    built.module = _module(built, pages, cautions, figures, shipped)
    return built


def _module(
    built: Built,
    pages: Pages,
    cautions: Mapping[str, Caution],
    figures: Mapping[str, Figure],
    shipped: Mapping[str, bytes],
) -> Module | None:
    lessons, own = lessons_of(pages), cautions_of(pages)
    exercises = built.exercises.by_id
    called = [
        *built.header.hazards,
        *(name for lesson in lessons for name in lesson.hazards),
        *(name for exercise in exercises.values() for name in exercise.hazards),
    ]
    built.used = {name: cautions[name] for name in dict.fromkeys(called) if name in cautions}
    if has_errors(built.findings):
        return None
    return Module(
        id=built.header.id,
        title=built.header.title,
        needs=built.header.needs,
        hazards=tuple(name for name in dict.fromkeys(called) if name in built.used),
        competencies=built.header.competencies,
        lessons=lessons,
        exercises=exercises,
        cautions=built.used | own,
        check=built.header.check,
        intro=str(pages["intro"]),
        files={name: figure.content for name, figure in figures.items()} | dict(shipped),
    )


def _figures_and_data(
    sources: Sources, base: str, findings: list[Finding]
) -> tuple[dict[str, Figure], dict[str, bytes]]:
    figures: dict[str, Figure] = {}
    shipped: dict[str, bytes] = {}
    contents = {name: text.encode() for name, text in sources.files.items()} | sources.binary
    for path in sorted(contents):
        place, name = PurePosixPath(path).parent.name, PurePosixPath(path).name
        if place not in {"figures", "data"}:
            continue
        if place == "data":
            shipped[name] = contents[path]
        else:
            figure, found = read_figure(name, contents[path], file=base + path)
            findings.extend(found)
            if figure is not None:
                figures[name] = figure
    return figures, shipped


def _lesson_headers(
    sources: Sources, module: str, base: str, findings: list[Finding]
) -> list[LessonHeader]:
    lessons: dict[str, LessonHeader] = {}
    for name in sorted(filter(LESSON_FILE.fullmatch, sources.files)):
        file = base + name
        lesson = read_lesson_header(
            sources.files[name], file=file, module=module, findings=findings
        )
        if lesson is None:
            continue
        if lesson.id in lessons and lesson.table is not None:
            lesson.table.note(LESSON_TWICE, "lesson", text=lesson.id, other=lessons[lesson.id].file)
            continue
        lessons[lesson.id] = lesson
    return list(lessons.values())


def _set_lessons(
    built: Built,
    figures: Mapping[str, Figure],
    shipped: Mapping[str, bytes],
    cautions: Mapping[str, Caution],
) -> tuple[list[Lesson], list[Caution]]:
    """Set every lesson and judge the short texts of every exercise."""
    from trainer.library.lesson import judge_short, render_lesson  # noqa: PLC0415 - brings Markdown

    lessons: list[Lesson] = []
    own: dict[str, Caution] = {}
    exercises = built.exercises
    titles = {name: name for name in exercises.ids} | {
        name: exercise.title for name, exercise in exercises.by_id.items()
    }
    for header in built.lessons:
        note_unknown_hazards(header.table, cautions)
        context = Context(
            cautions={**cautions, **own},
            figures=figures,
            exercises=titles,
            exercise_at=exercises.at.get(header.file, {}),
            shipped=shipped,
            hazards=header.hazards,
        )
        rendered = render_lesson(header.text, file=header.file, line=header.line, context=context)
        built.findings.extend(rendered.findings)
        built.papers.extend((header.file, *paper) for paper in rendered.papers)
        own |= {caution.id: caution for caution in rendered.own_cautions}
        lessons.append(
            Lesson(
                id=header.id,
                module=built.id,
                title=header.title,
                minutes=header.minutes,
                html=rendered.html,
                paragraphs=rendered.paragraphs,
                hazards=tuple(dict.fromkeys((*header.hazards, *rendered.cautions))),
                needs=header.needs,
                edition_note=header.edition_note,
                exercises=rendered.exercises,
                safety=rendered.safety,
            )
        )
    for name, exercise in exercises.by_id.items():
        file, line = exercises.place[name]
        built.findings.extend(
            judge_short(_short_texts(exercise), exercise.source, file=file, line=line)
        )
    _note_unplaced(built, lessons)
    return lessons, list(own.values())


def _short_texts(exercise: Exercise) -> list[str]:
    return [
        exercise.situation,
        exercise.worked,
        *(slip.remark for slip in exercise.slips),
        *(text for option in exercise.options for text in (option.text, option.remark)),
        *(act.text for act in exercise.acts),
        *(before.why for before in exercise.before),
    ]


def _note_unplaced(built: Built, lessons: Sequence[Lesson]) -> None:
    file = built.header.table.file if built.header.table else built.id
    if not built.lessons:
        built.findings.append(finding(NO_LESSONS, file, 0, severity="remark"))
        return
    placed = {name for lesson in lessons for name in lesson.exercises}
    for name, (where, line) in built.exercises.place.items():
        if name not in placed:
            found = finding(NOT_PLACED, where, line, 1, severity="remark", text=name)
            built.findings.append(found)


def _note_exercise_hazards(built: Built, cautions: Mapping[str, Caution]) -> None:
    for name, exercise in built.exercises.by_id.items():
        file, first = built.exercises.place[name]
        for number, hazard in enumerate(exercise.hazards):
            if hazard not in cautions:
                line, column = exercise.lines.get(f"hazards.{number}", (first, 1))
                cure = did_you_mean(hazard, cautions, otherwise="Write it there first.")
                found = finding(UNKNOWN_HAZARD, file, line, column, text=hazard, cure=cure)
                built.findings.append(found)


def _note_plan(built: Built) -> None:
    """A module check can only draw as many exercises on a topic as there are."""
    check, table = built.header.check, built.header.table
    if check is None or table is None:
        return
    plan = table.inner("check")
    topics = plan.inner("plan") if plan else None
    for topic, wanted in check.plan.items():
        count = sum(one.topic == topic for one in built.exercises.by_id.values())
        if topics is not None and count < wanted:
            topics.note(NO_TOPIC, topic, text=topic, wanted=wanted, count=count)


def _intro(header: ModuleHeader) -> str:
    from trainer.library.markup import short  # noqa: PLC0415 - Markdown only where text is set

    return short(header.text) if header.text.strip() else ""
