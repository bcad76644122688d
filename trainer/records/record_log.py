"""The record log: append-only, gapless, and a tree of hashes over it that nobody can change unseen.

An entry is the canonical record of its index, kind, time and payload digest. The digest is salted,
and payload and salt can be erased without breaking a proof; an erasure is an entry itself, so that
what was erased differs from what was taken away.

Appending and proving touch O(log n) rows: the hashes of complete subtrees are kept.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import delete, func, insert, select, tuple_
from sqlalchemy.orm import Session

from trainer import clock
from trainer.canonical import Plain
from trainer.errors import InputError, register
from trainer.records import tree
from trainer.records.base import moment_text
from trainer.records.log_entry import Sealed, entry_bytes, payload_bytes
from trainer.records.log_tables import RecordDetail, RecordEntry, RecordNode
from trainer.records.tree import Node, Span

REC_SIZE = register(
    "REC-020",
    "The record log has {size} entries; there is no {asked}.",
    "Ask for an entry or a size that the log has reached.",
    audience="operator",
)
REC_KIND = register(
    "REC-021",
    "An entry of the record log cannot be of the kind {kind!r}.",
    "Name kinds in plain ASCII.",
    audience="operator",
    status=500,
)
ERASED = "detail erased"
"""Kind of the entry that says whose payload and salt were erased."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One entry with all that proves it in a log of ``size`` entries, for an evidence pack."""

    index: int
    kind: str
    at: str
    payload_digest: bytes
    sealed: Sealed | None
    """Empty: erased."""
    size: int
    root: bytes
    proof: tuple[bytes, ...]


def append(session: Session, *, kind: str, person: int | None, payload: Plain) -> int:
    """Append one entry within the caller's write transaction and give back its index.

    Args:
        session: A session of ``Database.write``.
        kind: What happened, in the words of the trade, such as 'sign-off'.
        person: Id of the person it is about; None for an edition or the scheme.
        payload: The facts, without names: numbers of people, ids, digests, dates.

    Raises:
        InputError: REC-021 for a kind that is empty or not ASCII.
    """
    if not kind or not kind.isascii():
        raise InputError(REC_KIND, kind=kind)
    last = session.execute(
        select(RecordEntry.index, RecordEntry.leaf).order_by(RecordEntry.index.desc()).limit(1)
    ).first()
    index = 0 if last is None else last[0] + 1
    at = clock.now()
    sealed = Sealed(payload_bytes(person, payload), secrets.token_bytes(32))
    leaf = tree.leaf_hash(
        entry_bytes(index=index, kind=kind, at=moment_text(at), payload_digest=sealed.digest)
    )
    session.execute(
        insert(RecordEntry).values(
            index=index, at=at, kind=kind, payload_digest=sealed.digest, leaf=leaf
        )
    )
    session.execute(
        insert(RecordDetail).values(
            index=index, person_id=person, payload=sealed.payload, salt=sealed.salt
        )
    )
    completed = tree.completed_by(index)
    if completed and last is not None:
        lefts = [Node(node.level - 1, node.position * 2) for node in completed]
        known = {lefts[0]: last[1], **_stored(session, lefts[1:])}
        hash_so_far, rows = leaf, []
        for node, left in zip(completed, lefts, strict=True):
            hash_so_far = tree.node_hash(known[left], hash_so_far)
            rows.append({"level": node.level, "position": node.position, "hash": hash_so_far})
        session.execute(insert(RecordNode), rows)
    return index


def size_of(session: Session) -> int:
    """How many entries the log has."""
    last = session.scalar(select(func.max(RecordEntry.index)))
    return 0 if last is None else last + 1


def root(session: Session, size: int | None = None) -> bytes:
    """The root hash over the first ``size`` entries; all of them unless given.

    Raises:
        InputError: REC-020 for a size the log has not reached.
    """
    return _proof(session, [Span(0, _reached(session, size))])[0]


def inclusion(session: Session, index: int, size: int | None = None) -> tuple[bytes, ...]:
    """The proof that an entry is among the first ``size``; see ``tree.holds_inclusion``.

    Raises:
        InputError: REC-020 for an entry or size the log has not reached.
    """
    reached = _reached(session, size)
    _refuse_beyond(index, reached)
    return _proof(session, tree.inclusion_spans(index, reached))


def consistency(session: Session, old: int, new: int | None = None) -> tuple[bytes, ...]:
    """The proof that the first ``old`` entries are unchanged; see ``tree.holds_consistency``.

    Raises:
        InputError: REC-020 for a size the log has not reached, or ``old`` above ``new``.
    """
    reached = _reached(session, new)
    _refuse_size_beyond(old, reached)
    return _proof(session, tree.consistency_spans(old, reached))


def evidence(session: Session, index: int, size: int | None = None) -> Evidence:
    """One entry with its proof, as an evidence pack holds it.

    Raises:
        InputError: REC-020 for an entry or size the log has not reached.
    """
    reached = _reached(session, size)
    _refuse_beyond(index, reached)
    whole, *proof = _proof(session, [Span(0, reached), *tree.inclusion_spans(index, reached)])
    row = session.execute(
        select(
            RecordEntry.kind,
            RecordEntry.at,
            RecordEntry.payload_digest,
            RecordDetail.payload,
            RecordDetail.salt,
        )
        .outerjoin(RecordDetail, RecordDetail.index == RecordEntry.index)
        .where(RecordEntry.index == index)
    ).one()
    return Evidence(
        index=index,
        kind=row.kind,
        at=moment_text(row.at),
        payload_digest=row.payload_digest,
        sealed=None if row.salt is None else Sealed(row.payload, row.salt),
        size=reached,
        root=whole,
        proof=tuple(proof),
    )


def erase_details(session: Session, indices: Iterable[int], *, reason: str) -> int:
    """Erase what these entries say, for ever, and append the entry that tells so; gives its index.

    Raises:
        InputError: REC-020 for an entry the log has not reached.
    """
    erased = sorted(set(indices))
    size = size_of(session)
    for index in erased:
        _refuse_beyond(index, size)
    session.execute(delete(RecordDetail).where(RecordDetail.index.in_(erased)))
    payload: Plain = {"entries": erased, "reason": reason}
    return append(session, kind=ERASED, person=None, payload=payload)


def _reached(session: Session, size: int | None) -> int:
    reached = size_of(session)
    if size is None:
        return reached
    _refuse_size_beyond(size, reached)
    return size


def _refuse_beyond(index: int, size: int) -> None:
    if not 0 <= index < size:
        raise InputError(REC_SIZE, size=size, asked=f"entry {index}")


def _refuse_size_beyond(asked: int, size: int) -> None:
    if not 0 <= asked <= size:
        raise InputError(REC_SIZE, size=size, asked=f"state of {asked} entries")


def _proof(session: Session, spans: Sequence[Span]) -> tuple[bytes, ...]:
    needed = {node for span in spans for node in tree.nodes_of(span)}
    known = _stored(session, [node for node in needed if node.level > 0])
    leaves = [node.position for node in needed if node.level == 0]
    if leaves:
        rows = session.execute(
            select(RecordEntry.index, RecordEntry.leaf).where(RecordEntry.index.in_(leaves))
        )
        known.update((Node(0, index), leaf) for index, leaf in rows)
    return tree.proof_of(spans, known.__getitem__)


def _stored(session: Session, nodes: Sequence[Node]) -> dict[Node, bytes]:
    if not nodes:
        return {}
    key = tuple_(RecordNode.level, RecordNode.position)
    rows = session.execute(
        select(RecordNode.level, RecordNode.position, RecordNode.hash).where(key.in_(nodes))
    )
    return {Node(level, position): node_hash for level, position, node_hash in rows}
