"""The kept inputs of the block reader's fuzzing, and mutated blocks; and that a fault is found."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from tests.engine.blocks import LAG, ORDER, PICK
from tests.fuzz import block_target
from trainer.engine.reader_block import Block

HERE = Path(__file__).parent
KEPT = sorted((HERE / "corpus" / "block").iterdir()) + sorted(
    path for path in (HERE / "regress" / "block").iterdir() if path.suffix != ".md"
)
SEEDS = [block.encode() for block in (LAG, PICK, ORDER)]
CHUNKS = [
    b"", b"'", b'"', b"'''", b"=", b"[", b"]", b"{", b"}", b",", b"\n", b"#", b"\\", b"e\xcc\x81",
    b"\xff", b"inf", b"from = 1, ", b"unit = 'kg'", b"[[slips]]\n", b"=m=", b"+ z",
    b"one_of = [1, 2]",
]  # fmt: skip


@pytest.mark.parametrize("file", KEPT, ids=lambda file: f"{file.parent.parent.name}-{file.name}")
def test_kept_inputs(file: Path) -> None:
    block_target.run(file.read_bytes())


def test_the_corpus_reaches_exercises_and_many_findings() -> None:
    found = [block_target.run(file.read_bytes()) for file in KEPT]
    assert sum(exercise is not None for exercise, _ in found) >= 7
    assert len({finding.code for _, findings in found for finding in findings}) > 50


@settings(max_examples=200)
@given(data=st.data())
def test_mutated_blocks(data: st.DataObject) -> None:
    block = data.draw(st.sampled_from(SEEDS))
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(block)))
        end = data.draw(st.integers(start, min(len(block), start + 12)))
        block = block[:start] + data.draw(st.sampled_from(CHUNKS)) + block[end:]
    block_target.run(block)


def test_a_planted_fault_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """A finding that loses its place: the target must not let it pass."""
    honest = Block.note

    def careless(self: Block, code: str, path: tuple[str | int, ...], **fields: object) -> None:
        honest(self, code, path, **{**fields, "offset": None})  # type: ignore[arg-type]
        self.findings[-1:] = [
            type(finding)(finding.file, 0, 0, finding.severity, finding.code, finding.message)
            for finding in self.findings[-1:]
        ]

    monkeypatch.setattr(Block, "note", careless)
    with pytest.raises(AssertionError):
        block_target.run(LAG.replace("'quality'", "'high'").encode())
