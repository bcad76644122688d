"""What the records say of a person and a competency, brought together from six tables."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from trainer.records.base import moment_text
from trainer.records.observations import ObservationRequest, ObservationSheet
from trainer.records.signoffs import CompetencyWithdrawn, Recognition, Restriction, Signature

COMPETENT = "competent"


@dataclass(slots=True)
class _Sources:
    """Rows about one person and competency, each list in the order of its ids."""

    requests: list[Any] = field(default_factory=list)
    sheets: list[Any] = field(default_factory=list)
    signatures: list[Any] = field(default_factory=list)
    recognitions: list[Any] = field(default_factory=list)
    restrictions: list[Any] = field(default_factory=list)
    withdrawals: list[Any] = field(default_factory=list)


def competency_rows(
    session: Session, *, person_id: int | None = None, competency: str | None = None
) -> list[dict[str, Any]]:
    """The rows of ``state_competency`` as the records give them: of one pair, or all."""
    gathered: defaultdict[tuple[int, str], _Sources] = defaultdict(_Sources)
    for name, query in _queries().items():
        table = query.columns_clause_froms[0]
        if person_id is not None:
            query = query.where(table.c.person_id == person_id, table.c.competency == competency)  # noqa: PLW2901
        for row in session.execute(query.order_by(table.c.id)):
            getattr(gathered[row.person_id, row.competency], name).append(row)
    return [
        {"person_id": person, "competency": of, **_facts(sources)}
        for (person, of), sources in sorted(gathered.items())
    ]


def _queries() -> dict[str, Select[*tuple[Any, ...]]]:
    request, sheet = ObservationRequest, ObservationSheet
    return {
        "requests": select(request.person_id, request.competency, request.at).where(
            request.withdrawn_at.is_(None), request.sheet_id.is_(None)
        ),
        "sheets": select(
            sheet.person_id,
            sheet.competency,
            sheet.id,
            sheet.state,
            sheet.begun_at,
            sheet.ended_at,
            sheet.scheme_hash,
        ),
        "signatures": select(
            Signature.person_id,
            Signature.competency,
            Signature.sheet_id,
            Signature.signer_id,
            Signature.outcome,
            Signature.is_sign_off,
            Signature.signed_at,
        ),
        "recognitions": select(
            Recognition.person_id, Recognition.competency, Recognition.at, Recognition.months
        ),
        "restrictions": select(
            Restriction.person_id,
            Restriction.competency,
            Restriction.id,
            Restriction.grinder_type,
            Restriction.since,
            Restriction.until,
        ).where(Restriction.released_at.is_(None)),
        "withdrawals": select(
            CompetencyWithdrawn.person_id, CompetencyWithdrawn.competency, CompetencyWithdrawn.at
        ),
    }


def _facts(sources: _Sources) -> dict[str, Any]:
    ended = sorted(_ended(sources), key=lambda end: (end[0], end[1]))
    withdrawn_at = max((row.at for row in sources.withdrawals), default=None)
    fresh_starts = [at for at, _, outcome in ended if outcome != COMPETENT]
    fresh_start = max([*fresh_starts, *([withdrawn_at] if withdrawn_at else [])], default=None)
    competent = [
        row
        for row in sorted(sources.signatures, key=lambda row: (row.signed_at, row.sheet_id))
        if row.outcome == COMPETENT
    ]
    held = [row for row in competent if fresh_start is None or row.signed_at > fresh_start]
    sign_offs = [row for row in competent if row.is_sign_off]
    schemes = {sheet.id: sheet.scheme_hash for sheet in sources.sheets}
    is_open = [sheet for sheet in sources.sheets if sheet.state == "open"]
    recognised = max(sources.recognitions, key=lambda row: row.at, default=None)
    return {
        "requested_at": max((row.at for row in sources.requests), default=None),
        "open_sheet_id": is_open[-1].id if is_open else None,
        "open_sheet_at": is_open[-1].begun_at if is_open else None,
        "last_outcome": ended[-1][2] if ended else "",
        "last_outcome_at": ended[-1][0] if ended else None,
        "signatures": [[row.signer_id, row.sheet_id, moment_text(row.signed_at)] for row in held]
        or None,
        "last_signed_at": held[-1].signed_at if held else None,
        "signed_off_at": sign_offs[-1].signed_at if sign_offs else None,
        "signed_off_scheme": schemes[sign_offs[-1].sheet_id] if sign_offs else None,
        "recognised_at": recognised.at if recognised else None,
        "recognised_months": recognised.months if recognised else None,
        "restrictions": _restrictions(sources.restrictions),
        "withdrawn_at": withdrawn_at,
    }


def _ended(sources: _Sources) -> list[tuple[Any, int, str]]:
    """When each sheet that is no longer open ended, its id, and with which outcome."""
    ended = []
    for sheet in sources.sheets:
        if sheet.state in ("refused", "stopped for safety"):
            ended.append((sheet.ended_at, sheet.id, sheet.state))
            continue
        signed = [row for row in sources.signatures if row.sheet_id == sheet.id]
        if signed:
            outcomes = {row.outcome for row in signed}
            outcome = COMPETENT if outcomes == {COMPETENT} else "not yet competent"
            ended.append((max(row.signed_at for row in signed), sheet.id, outcome))
    return ended


def _restrictions(rows: Sequence[Any]) -> list[list[Any]] | None:
    return [
        [
            row.id,
            row.grinder_type,
            moment_text(row.since),
            None if row.until is None else moment_text(row.until),
        ]
        for row in rows
    ] or None
