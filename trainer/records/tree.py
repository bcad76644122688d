"""The hash tree of the record log: pure functions, so that a proof can be checked anywhere.

Entries are hashed as SHA-256(0x00 ‖ data), pairs as SHA-256(0x01 ‖ left ‖ right); a tree of n
leaves splits at the largest power of two below n. Every hash a root or a proof needs is a fold of
complete subtrees (``Span``), so a log that stores the complete ones answers in O(log n).

Source: RFC 9162, sections 2.1.1 (tree), 2.1.3 (inclusion) and 2.1.4 (consistency).
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from typing import NamedTuple

EMPTY_ROOT = hashlib.sha256(b"").digest()


class Node(NamedTuple):
    """A complete subtree over 2^level leaves from ``position`` * 2^level on."""

    level: int
    position: int


class Span(NamedTuple):
    """The leaves from ``start`` up to, not including, ``end``."""

    start: int
    end: int


def leaf_hash(data: bytes) -> bytes:
    """The hash of one entry.

    Example:
        >>> leaf_hash(b"").hex()
        '6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d'
    """
    return hashlib.sha256(b"\x00" + data).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """The hash of two neighbouring subtrees."""
    return hashlib.sha256(b"\x01" + left + right).digest()


def split_of(count: int) -> int:
    """The largest power of two below a count of at least two: where a tree splits.

    Example:
        >>> [split_of(count) for count in (2, 3, 4, 5, 8, 9)]
        [1, 2, 2, 4, 4, 8]
    """
    return 1 << ((count - 1).bit_length() - 1)


def nodes_of(span: Span) -> tuple[Node, ...]:
    """The complete subtrees that make up a span of the tree, left to right."""
    start, end = span
    nodes = []
    while start < end:
        level = (end - start).bit_length() - 1
        nodes.append(Node(level, start >> level))
        start += 1 << level
    return tuple(nodes)


def fold(hashes: Sequence[bytes]) -> bytes:
    """The hash over neighbouring complete subtrees of falling size; none: the empty root."""
    if not hashes:
        return EMPTY_ROOT
    right = hashes[-1]
    for left in reversed(hashes[:-1]):
        right = node_hash(left, right)
    return right


def completed_by(index: int) -> tuple[Node, ...]:
    """The subtrees of more than one leaf that become complete with this entry, smallest first.

    Example:
        >>> completed_by(3)
        (Node(level=1, position=1), Node(level=2, position=0))
    """
    nodes = []
    level = 1
    while (index + 1) % (1 << level) == 0:
        nodes.append(Node(level, index >> level))
        level += 1
    return tuple(nodes)


def inclusion_spans(index: int, size: int) -> tuple[Span, ...]:
    """The spans whose hashes prove that an entry is in a log of this size, the nearest first."""
    spans: list[Span] = []
    start, end = 0, size
    while end - start > 1:
        middle = start + split_of(end - start)
        if index < middle:
            spans.append(Span(middle, end))
            end = middle
        else:
            spans.append(Span(start, middle))
            start = middle
    return tuple(reversed(spans))


def consistency_spans(old: int, new: int) -> tuple[Span, ...]:
    """The spans whose hashes prove that a log of size ``old`` is the beginning of a longer one."""
    if old in (0, new):
        return ()
    spans: list[Span] = []
    start, end, is_whole = 0, new, True
    while old != end:
        middle = start + split_of(end - start)
        if old <= middle:
            spans.append(Span(middle, end))
            end = middle
        else:
            spans.append(Span(start, middle))
            start, is_whole = middle, False
    if not is_whole:
        spans.append(Span(start, end))
    return tuple(reversed(spans))


def proof_of(spans: Sequence[Span], hash_of: Callable[[Node], bytes]) -> tuple[bytes, ...]:
    """The hashes of a proof, each folded from the complete subtrees that ``hash_of`` knows."""
    return tuple(fold([hash_of(node) for node in nodes_of(span)]) for span in spans)


def holds_inclusion(
    leaf: bytes, index: int, size: int, proof: Sequence[bytes], root: bytes
) -> bool:
    """Whether a proof shows that the leaf stands at ``index`` in the log of this size and root.

    Source: RFC 9162, section 2.1.3.2.
    """
    if not 0 <= index < size:
        return False
    first, last, result = index, size - 1, leaf
    for step in proof:
        if last == 0:
            return False
        if first & 1 or first == last:
            result = node_hash(step, result)
            while not first & 1 and first != 0:
                first, last = first >> 1, last >> 1
        else:
            result = node_hash(result, step)
        first, last = first >> 1, last >> 1
    return last == 0 and result == root


def holds_consistency(
    old: int, old_root: bytes, new: int, new_root: bytes, proof: Sequence[bytes]
) -> bool:
    """Whether a proof shows that the log of size ``old`` is a beginning of the log of size ``new``.

    Source: RFC 9162, section 2.1.4.2; an empty log is the beginning of every log.
    """
    if not 0 <= old <= new:
        return False
    if old == 0:
        return old_root == EMPTY_ROOT and not proof
    if old == new:
        return old_root == new_root and not proof
    steps = list(proof)
    if old & (old - 1) == 0:
        steps.insert(0, old_root)
    if not steps:
        return False
    first, last = old - 1, new - 1
    while first & 1:
        first, last = first >> 1, last >> 1
    old_seen = new_seen = steps[0]
    for step in steps[1:]:
        if last == 0:
            return False
        if first & 1 or first == last:
            old_seen = node_hash(step, old_seen)
            new_seen = node_hash(step, new_seen)
            while not first & 1 and first != 0:
                first, last = first >> 1, last >> 1
        else:
            new_seen = node_hash(new_seen, step)
        first, last = first >> 1, last >> 1
    return last == 0 and old_seen == old_root and new_seen == new_root
