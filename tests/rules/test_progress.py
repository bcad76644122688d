"""Module done: the decision table of the scheme, one fact changed at a time."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from trainer.rules.progress import (
    CautionFacts,
    ExerciseFacts,
    LessonFacts,
    ModuleFacts,
    StepFacts,
    module_progress,
)

MONDAY = datetime(2026, 3, 16, 9, 0, tzinfo=UTC)
TODAY = date(2026, 3, 20)
LATER = datetime(2026, 3, 21, 0, 0, 1, tzinfo=UTC)
DONE = ModuleFacts(
    "M03",
    "Usage counters",
    lessons=(LessonFacts("M03-L1", "What a counter counts", MONDAY),),
    cautions=(CautionFacts("H02", "M03-L1", MONDAY),),
    exercises=(ExerciseFacts("M03-E1", "Doses per day", MONDAY, MONDAY),),
    cases=(StepFacts("M03-B1", "A counter that jumps", MONDAY),),
    check=StepFacts("M03", "Usage counters", MONDAY),
)
NOTHING = ModuleFacts(
    "M03",
    "Usage counters",
    lessons=(LessonFacts("M03-L1", "What a counter counts"),),
    cautions=(CautionFacts("H02", "M03-L1"),),
    exercises=(ExerciseFacts("M03-E1", "Doses per day"),),
    cases=(StepFacts("M03-B1", "A counter that jumps"),),
    check=StepFacts("M03", "Usage counters"),
)


def test_everything_done() -> None:
    progress = module_progress(DONE, TODAY)
    assert progress.is_done
    assert progress.is_begun
    assert progress.missing == ()


def test_nothing_done_lists_everything_in_order() -> None:
    progress = module_progress(NOTHING, TODAY)
    assert not progress.is_begun
    assert [(one.kind, one.target) for one in progress.missing] == [
        ("read", "M03-L1"),
        ("acknowledge", "M03-L1"),
        ("work", "M03-E1"),
        ("case", "M03-B1"),
        ("check", "M03"),
    ]
    assert [one.sentence for one in progress.missing] == [
        "M03-L1 What a counter counts is not signed as read.",
        "Caution H02 in M03-L1 is not acknowledged.",
        "M03-E1 Doses per day was not inside yet.",
        "M03-B1 A counter that jumps is not closed.",
        "M03 Usage counters is not passed.",
    ]


@pytest.mark.parametrize(
    ("change", "kind"),
    [
        ({"lessons": NOTHING.lessons}, "read"),
        ({"lessons": (replace(DONE.lessons[0], read_at=LATER),)}, "read"),
        ({"lessons": (replace(DONE.lessons[0], is_changed=True),)}, "read again"),
        ({"cautions": NOTHING.cautions}, "acknowledge"),
        ({"cautions": (replace(DONE.cautions[0], seen_at=LATER),)}, "acknowledge"),
        ({"exercises": NOTHING.exercises}, "work"),
        ({"exercises": (ExerciseFacts("M03-E1", "Doses per day", MONDAY),)}, "work"),
        ({"exercises": (replace(DONE.exercises[0], inside_at=LATER),)}, "work"),
        ({"exercises": (replace(DONE.exercises[0], is_changed=True),)}, "work again"),
        ({"cases": NOTHING.cases}, "case"),
        ({"check": NOTHING.check}, "check"),
    ],
)
def test_one_thing_missing(change: dict[str, object], kind: str) -> None:
    progress = module_progress(replace(DONE, **change), TODAY)  # type: ignore[arg-type]
    assert not progress.is_done
    assert progress.is_begun
    assert [one.kind for one in progress.missing] == [kind]


@pytest.mark.parametrize(
    "change",
    [
        {"lessons": DONE.lessons},
        {"cautions": DONE.cautions},
        {"exercises": (ExerciseFacts("M03-E1", "Doses per day", MONDAY),)},
        {"cases": DONE.cases},
    ],
)
def test_any_first_act_begins(change: dict[str, object]) -> None:
    progress = module_progress(replace(NOTHING, **change), TODAY)  # type: ignore[arg-type]
    assert progress.is_begun
    assert not progress.is_done


def test_as_on_a_day_before_nothing_counts() -> None:
    progress = module_progress(DONE, date(2026, 3, 15))
    assert not progress.is_begun
    assert len(progress.missing) == 5


def test_a_module_without_a_check_needs_none() -> None:
    assert module_progress(replace(DONE, check=None), TODAY).is_done


def test_a_change_reworded_says_what_to_do() -> None:
    facts = replace(DONE, exercises=(replace(DONE.exercises[0], is_changed=True),))
    assert [one.sentence for one in module_progress(facts, TODAY).missing] == [
        "M03-E1 Doses per day has changed: work it once more."
    ]
    facts = replace(DONE, lessons=(replace(DONE.lessons[0], is_changed=True),))
    assert [one.sentence for one in module_progress(facts, TODAY).missing] == [
        "M03-L1 What a counter counts has a safety change: read it again."
    ]
