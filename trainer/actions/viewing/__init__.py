"""What pages read: plain frozen views, few statements each; nothing here changes a row."""

from __future__ import annotations

from trainer.actions.viewing.attempts import AttemptRow, attempts
from trainer.actions.viewing.card import (
    BackToYou,
    CompetencyLine,
    JobCard,
    LastSlip,
    NextAct,
)
from trainer.actions.viewing.editions import (
    EditionPage,
    EditionRow,
    EditionsView,
    edition_page,
    editions,
)
from trainer.actions.viewing.job_card import job_card
from trainer.actions.viewing.matrix import MatrixCell, MatrixRow, MatrixView, matrix
from trainer.actions.viewing.observations import ObservationList, ObservationRow, observation_list
from trainer.actions.viewing.people import PeopleList, PersonRow, TeamRow, people_list, person_card
from trainer.actions.viewing.programme import (
    ExerciseLine,
    LessonLine,
    LessonPage,
    ModuleLine,
    figure,
    lesson_page,
    programme,
)

__all__ = [
    "AttemptRow",
    "BackToYou",
    "CompetencyLine",
    "EditionPage",
    "EditionRow",
    "EditionsView",
    "ExerciseLine",
    "JobCard",
    "LastSlip",
    "LessonLine",
    "LessonPage",
    "MatrixCell",
    "MatrixRow",
    "MatrixView",
    "ModuleLine",
    "NextAct",
    "ObservationList",
    "ObservationRow",
    "PeopleList",
    "PersonRow",
    "TeamRow",
    "attempts",
    "edition_page",
    "editions",
    "figure",
    "job_card",
    "lesson_page",
    "matrix",
    "observation_list",
    "people_list",
    "person_card",
    "programme",
]
