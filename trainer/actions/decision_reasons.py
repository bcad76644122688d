"""The reason behind a decision on a candidacy, as it was given."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer.records.certificates import Candidacy, CertificateAct
from trainer.records.free_text import FreeText
from trainer.records.log_tables import RecordDetail, RecordEntry


def reasons_given(session: Session, candidacies: Collection[int]) -> Mapping[int, str]:
    """Candidacy -> the reason of its last decision, or what evidence was asked for.

    Nothing is asked of the database where there is no candidacy to ask about.
    """
    if not candidacies:
        return {}
    acts = session.execute(
        select(CertificateAct.candidacy_id, FreeText.text)
        .join(FreeText, FreeText.id == CertificateAct.reason_id)
        .where(CertificateAct.candidacy_id.in_(candidacies))
        .order_by(CertificateAct.id)
    )
    found = {row.candidacy_id: row.text for row in acts if row.candidacy_id is not None}
    people = select(Candidacy.person_id).where(Candidacy.id.in_(candidacies))
    steps = session.scalars(
        select(RecordDetail.payload)
        .join(RecordEntry, RecordEntry.index == RecordDetail.index)
        .where(RecordDetail.person_id.in_(people), RecordEntry.kind == "candidacy")
        .order_by(RecordEntry.index)
    )
    asked = {}
    for payload in steps:
        record = json.loads(payload)["record"]
        if record.get("step") == "more evidence" and record["candidacy"] in candidacies:
            asked[record["candidacy"]] = record["reason"]
    return {**asked, **found}
