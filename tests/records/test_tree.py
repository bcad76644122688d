"""The hash tree against the recursive definition of RFC 9162, sizes 0 to 64, every proof."""

from __future__ import annotations

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from trainer.records import tree
from trainer.records.tree import Node, Span

LEAVES = [tree.leaf_hash(f"entry {number}".encode()) for number in range(64)]


def split(count: int) -> int:
    power = 1
    while power * 2 < count:
        power *= 2
    return power


def oracle_root(leaves: list[bytes]) -> bytes:
    """MTH of section 2.1.1, word for word, over leaf hashes."""
    if not leaves:
        return hashlib.sha256().digest()
    if len(leaves) == 1:
        return leaves[0]
    k = split(len(leaves))
    left, right = oracle_root(leaves[:k]), oracle_root(leaves[k:])
    return hashlib.sha256(b"\x01" + left + right).digest()


def oracle_path(m: int, leaves: list[bytes]) -> list[bytes]:
    """PATH of section 2.1.3.1."""
    if len(leaves) <= 1:
        return []
    k = split(len(leaves))
    if m < k:
        return [*oracle_path(m, leaves[:k]), oracle_root(leaves[k:])]
    return [*oracle_path(m - k, leaves[k:]), oracle_root(leaves[:k])]


def oracle_consistency(m: int, leaves: list[bytes], *, whole: bool = True) -> list[bytes]:
    """SUBPROOF of section 2.1.4.1."""
    n = len(leaves)
    if m == n:
        return [] if whole else [oracle_root(leaves)]
    k = split(n)
    if m <= k:
        return [*oracle_consistency(m, leaves[:k], whole=whole), oracle_root(leaves[k:])]
    return [*oracle_consistency(m - k, leaves[k:], whole=False), oracle_root(leaves[:k])]


def stored(node: Node) -> bytes:
    """A complete subtree, as a log would keep it."""
    start = node.position << node.level
    leaves = LEAVES[start : start + (1 << node.level)]
    assert len(leaves) == 1 << node.level, "only complete subtrees are stored"
    return oracle_root(leaves)


def root(size: int) -> bytes:
    return tree.proof_of([Span(0, size)], stored)[0]


def test_the_empty_root_is_the_hash_of_nothing() -> None:
    # Source: FIPS 180-4 example of the empty message.
    known = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    assert tree.EMPTY_ROOT.hex() == known
    assert tree.fold([]) == tree.EMPTY_ROOT
    assert tree.proof_of([Span(0, 0)], stored) == (tree.EMPTY_ROOT,)


def test_known_roots() -> None:
    """Roots over the leaves '', 00, 10, 20 21, … of the Certificate Transparency test set.

    Source: test vectors of the Certificate Transparency reference code (MEMORY: values for one, two
    and eight leaves), reproduced here by the recursive definition.
    """
    data = ["", "00", "10", "2021", "3031", "40414243", "5051525354555657", "60616263646566676869"]
    data[-1] = "606162636465666768696a6b6c6d6e6f"
    leaves = [tree.leaf_hash(bytes.fromhex(text)) for text in data]
    known = {
        1: "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
        2: "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
        8: "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
    }
    for size, expected in known.items():
        assert oracle_root(leaves[:size]).hex() == expected
        nodes = [
            oracle_root(leaves[node.position << node.level : (node.position + 1) << node.level])
            for node in tree.nodes_of(Span(0, size))
        ]
        assert tree.fold(nodes).hex() == expected


@pytest.mark.parametrize("size", range(1, 65))
def test_roots_and_inclusion_of_every_size(size: int) -> None:
    leaves = LEAVES[:size]
    assert root(size) == oracle_root(leaves)
    for index in range(size):
        proof = tree.proof_of(tree.inclusion_spans(index, size), stored)
        assert list(proof) == oracle_path(index, leaves)
        assert tree.holds_inclusion(LEAVES[index], index, size, proof, root(size))
        assert len(proof) <= (size - 1).bit_length()


@pytest.mark.parametrize("new", range(1, 65))
def test_consistency_of_every_pair_of_sizes(new: int) -> None:
    for old in range(1, new + 1):
        proof = tree.proof_of(tree.consistency_spans(old, new), stored)
        assert list(proof) == oracle_consistency(old, LEAVES[:new])
        assert tree.holds_consistency(old, root(old), new, root(new), proof)


def test_an_empty_log_is_the_beginning_of_every_log() -> None:
    assert tree.consistency_spans(0, 9) == ()
    assert tree.holds_consistency(0, tree.EMPTY_ROOT, 9, root(9), [])
    assert not tree.holds_consistency(0, root(1), 9, root(9), [])
    assert not tree.holds_consistency(0, tree.EMPTY_ROOT, 9, root(9), [root(1)])


def test_subtrees_are_completed_in_the_order_of_entries() -> None:
    expected = {
        0: (),
        1: (Node(1, 0),),
        2: (),
        5: (Node(1, 2),),
        7: (Node(1, 3), Node(2, 1), Node(3, 0)),
    }
    assert {index: tree.completed_by(index) for index in expected} == expected
    everything = [node for index in range(64) for node in tree.completed_by(index)]
    assert len(set(everything)) == len(everything) == 63


sizes = st.integers(min_value=1, max_value=64)


@given(sizes, st.data())
def test_another_leaf_place_size_root_or_step_does_not_hold(size: int, data: st.DataObject) -> None:
    index = data.draw(st.integers(0, size - 1))
    proof = list(tree.proof_of(tree.inclusion_spans(index, size), stored))
    other = hashlib.sha256(b"another").digest()
    assert not tree.holds_inclusion(other, index, size, proof, root(size))
    assert not tree.holds_inclusion(LEAVES[index], index, size, proof, other)
    assert not tree.holds_inclusion(LEAVES[index], index, size, [*proof, other], root(size))
    assert not tree.holds_inclusion(LEAVES[index], size, size, proof, root(size))
    assert not tree.holds_inclusion(LEAVES[index], -1, size, proof, root(size))
    wrong_place = data.draw(
        st.integers(0, size - 1).filter(lambda place: place != index) | st.none()
    )
    if wrong_place is not None and size > 1:
        assert not tree.holds_inclusion(LEAVES[index], wrong_place, size, proof, root(size))
    if proof:
        place = data.draw(st.integers(0, len(proof) - 1))
        changed = [*proof[:place], other, *proof[place + 1 :]]
        assert not tree.holds_inclusion(LEAVES[index], index, size, changed, root(size))
        assert not tree.holds_inclusion(LEAVES[index], index, size, proof[:-1], root(size))


@given(sizes, st.data())
def test_a_log_that_was_rewritten_is_not_consistent(new: int, data: st.DataObject) -> None:
    old = data.draw(st.integers(1, new))
    proof = list(tree.proof_of(tree.consistency_spans(old, new), stored))
    other = hashlib.sha256(b"another").digest()
    assert not tree.holds_consistency(old, other, new, root(new), proof)
    assert not tree.holds_consistency(old, root(old), new, other, proof)
    assert not tree.holds_consistency(old, root(old), new, root(new), [*proof, other])
    assert not tree.holds_consistency(new + 1, root(old), new, root(new), proof)
    assert not tree.holds_consistency(-1, root(old), new, root(new), proof)
    if proof:
        place = data.draw(st.integers(0, len(proof) - 1))
        changed = [*proof[:place], other, *proof[place + 1 :]]
        assert not tree.holds_consistency(old, root(old), new, root(new), changed)
        assert not tree.holds_consistency(old, root(old), new, root(new), proof[:-1])
    if old < new:
        assert not tree.holds_consistency(old, root(old), new, root(new), [])


def test_more_steps_than_a_log_has_levels_do_not_hold() -> None:
    extra = [LEAVES[0]] * 70
    assert not tree.holds_inclusion(LEAVES[0], 0, 1, extra, root(1))
    assert not tree.holds_consistency(1, root(1), 2, root(2), extra)
