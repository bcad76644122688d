"""Every table of the records in one import, so that the metadata is whole."""

from __future__ import annotations

from trainer.records.attempts import Attempt, CautionSeen, LessonRead, Marked
from trainer.records.base import Base
from trainer.records.certificates import Candidacy, CertificateAct, CertificateGranted
from trainer.records.editions import Edition, EditionEvent, EditionPages, InForce
from trainer.records.free_text import FreeText
from trainer.records.log_tables import RecordDetail, RecordEntry, RecordNode
from trainer.records.observations import ObservationMark, ObservationRequest, ObservationSheet
from trainer.records.people import (
    Credential,
    Invitation,
    Membership,
    Person,
    PersonName,
    RoleHeld,
    Team,
)
from trainer.records.proofs import ProofRun
from trainer.records.sign_ins import SignIn
from trainer.records.signoffs import CompetencyWithdrawn, Recognition, Restriction, Signature
from trainer.records.state_tables import StateCompetency, StateExercise
from trainer.records.throttle import Throttle

__all__ = [
    "Attempt",
    "Base",
    "Candidacy",
    "CautionSeen",
    "CertificateAct",
    "CertificateGranted",
    "CompetencyWithdrawn",
    "Credential",
    "Edition",
    "EditionEvent",
    "EditionPages",
    "FreeText",
    "InForce",
    "Invitation",
    "LessonRead",
    "Marked",
    "Membership",
    "ObservationMark",
    "ObservationRequest",
    "ObservationSheet",
    "Person",
    "PersonName",
    "ProofRun",
    "Recognition",
    "RecordDetail",
    "RecordEntry",
    "RecordNode",
    "Restriction",
    "RoleHeld",
    "SignIn",
    "Signature",
    "StateCompetency",
    "StateExercise",
    "Team",
    "Throttle",
]
metadata = Base.metadata
