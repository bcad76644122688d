"""The record log recomputed from its rows: every entry, what it says, every hash of the tree."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import LargeBinary, cast, select
from sqlalchemy.orm import Session

from trainer.records import tree
from trainer.records.base import moment_text
from trainer.records.log_entry import Sealed, entry_bytes
from trainer.records.log_tables import RecordDetail, RecordEntry, RecordNode
from trainer.records.record_log import ERASED
from trainer.records.tree import Node

_AT_A_TIME = 2_000


@dataclass(frozen=True, slots=True)
class BadEntry:
    """The first entry that does not hold, and why."""

    index: int
    reason: str


class _Row(NamedTuple):
    """An entry as bytes, so that not even a broken text keeps it from being named."""

    position: int
    kind: bytes
    at: bytes
    payload_digest: bytes
    leaf: bytes
    person: Any
    payload: bytes | None
    salt: bytes | None


def check(session: Session, *, kept: Sequence[tuple[int, bytes]] = ()) -> BadEntry | None:
    """Recompute the whole log and name the first entry that does not hold; None where all hold.

    Args:
        session: A session on the records.
        kept: Size and root of checkpoints that left the house: a log that is shorter than one, or
            shows another root, was cut or written anew.
    """
    signed = dict(kept)
    erased = _erased(session)
    nodes = _nodes(session)
    peaks: list[bytes] = []
    size = 0
    for row in _rows(session):
        bad = _against_checkpoint(signed, size, peaks)
        if bad is None:
            reason = _why_bad(row, size, is_erased=size in erased)
            bad = None if reason is None else BadEntry(size, reason)
        if bad is not None:
            return bad
        peaks.append(row.leaf)
        for node in tree.completed_by(size):
            peaks[-2:] = [tree.node_hash(*peaks[-2:])]
            if next(nodes, None) != (node, peaks[-1]):
                return BadEntry(size, "an inner hash over the entries up to this one is changed")
        size += 1
    bad = _against_checkpoint(signed, size, peaks)
    if bad is None and next(nodes, None) is not None:
        return BadEntry(size, "it is missing: inner hashes over it are left")
    if bad is None and signed and max(signed) > size:
        return BadEntry(size, f"it is missing: a checkpoint was signed over {max(signed)} entries")
    return bad


def _why_bad(row: _Row, index: int, *, is_erased: bool) -> str | None:
    """What is wrong with an entry; None: it holds."""
    if row.position != index:
        return "it is missing"
    data = entry_bytes(
        index=index,
        kind=row.kind.decode("ascii", "backslashreplace"),
        at=row.at.decode("ascii", "backslashreplace"),
        payload_digest=row.payload_digest,
    )
    if tree.leaf_hash(data) != row.leaf:
        return "its kind, time, digest or hash is changed"
    if row.payload is None or row.salt is None:
        return None if is_erased else "what it says is gone, and no entry says that it was erased"
    if Sealed(row.payload, row.salt).digest != row.payload_digest:
        return "what it says is changed"
    if json.loads(row.payload)["person"] != row.person:
        return "it is filed under another person"
    return None


def _against_checkpoint(
    signed: Mapping[int, bytes], size: int, peaks: Sequence[bytes]
) -> BadEntry | None:
    if size not in signed or signed[size] == tree.fold(peaks):
        return None
    return BadEntry(max(size - 1, 0), "the checkpoint signed over the entries up to it differs")


def _columns(session: Session) -> list[Any]:
    wanted = [
        RecordEntry.kind,
        RecordEntry.at,
        RecordEntry.payload_digest,
        RecordEntry.leaf,
        RecordDetail.payload,
        RecordDetail.salt,
    ]
    if session.get_bind().dialect.name == "sqlite":
        # Text as it lies in the file, were it even broken.
        wanted = [cast(column, LargeBinary) for column in wanted]  # type: ignore[misc]
    return [RecordEntry.index, RecordDetail.person_id, *wanted]


def _rows(session: Session) -> Iterator[_Row]:
    found = session.execute(
        select(*_columns(session))
        .outerjoin(RecordDetail, RecordDetail.index == RecordEntry.index)
        .order_by(RecordEntry.index)
        .execution_options(yield_per=_AT_A_TIME)
    )
    for index, person, kind, at, payload_digest, leaf, payload, salt in found:
        yield _Row(
            position=index,
            kind=kind.encode() if isinstance(kind, str) else kind,
            at=at if isinstance(at, bytes) else moment_text(at).encode(),
            payload_digest=payload_digest,
            leaf=leaf,
            person=person,
            payload=payload,
            salt=salt,
        )


def _nodes(session: Session) -> Iterator[tuple[Node, bytes]]:
    """Every stored inner hash, in the order in which the entries complete them."""
    completed_at = (RecordNode.position + 1).bitwise_lshift(RecordNode.level)
    found = session.execute(
        select(RecordNode.level, RecordNode.position, RecordNode.hash)
        .order_by(completed_at, RecordNode.level)
        .execution_options(yield_per=_AT_A_TIME)
    )
    for level, position, node_hash in found:
        yield Node(level, position), node_hash


def _erased(session: Session) -> frozenset[int]:
    """Entries that a later entry erased; whether that entry holds is seen when its turn comes."""
    found = session.execute(
        select(RecordEntry.index, RecordDetail.payload)
        .join(RecordDetail, RecordDetail.index == RecordEntry.index)
        .where(RecordEntry.kind == ERASED)
    )
    erased: set[int] = set()
    for at_index, payload in found:
        try:
            named = json.loads(payload)["record"]["entries"]
        except (ValueError, KeyError, TypeError):
            continue
        erased.update(index for index in named if index < at_index)
    return frozenset(erased)
