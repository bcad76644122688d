"""The reader of exercise blocks under fuzzing: what must hold for every text whatsoever.

Run at length with the coverage-guided fuzzer, where it is installed (``pip install atheris``):

    python tests/fuzz/block_target.py tests/fuzz/corpus/block -max_len=3000 -runs=1000000

Inputs that once failed stand in ``regress/block`` and, with the corpus, are run by every test run.
"""

from __future__ import annotations

import importlib
import sys

from trainer.engine.definition import Exercise
from trainer.engine.reader import read_block
from trainer.engine.sheet import fill, make
from trainer.errors import CATALOGUE, StateError
from trainer.findings import Finding

SHIPPED = {"doses.csv": b"no,mass [g]\n1,18.1\n2,18.3\n3,17.9\n"}
FIRST_LINE = 7


def run(data: bytes) -> tuple[Exercise | None, tuple[Finding, ...]]:
    """Read the bytes as a block; hold every promise to what comes of it."""
    text = data.decode("utf-8", "replace")
    exercise, findings = read_block(text, file="f.md", line=FIRST_LINE, shipped=SHIPPED)
    errors = [finding for finding in findings if finding.severity == "error"]
    assert (exercise is None) == bool(errors)
    lines = text.replace("\r\n", "\n").split("\n")
    for finding in findings:
        assert finding.file == "f.md"
        assert finding.code in CATALOGUE
        assert finding.cure
        line = finding.line - FIRST_LINE
        assert 0 <= line < len(lines)
        # Composed letters are counted as one; the text itself may hold them apart.
        assert 1 <= finding.column <= len(lines[line]) + 1
    if exercise is not None:
        again, _ = read_block(text, shipped=SHIPPED)
        assert again == exercise
        try:
            sheet = make(exercise, b"fuzz")
        except StateError:
            return exercise, findings
        assert make(exercise, b"fuzz") == sheet
        fill(exercise.worked, sheet)
        for slip in exercise.slips:
            fill(slip.remark, sheet)
    return exercise, findings


def main() -> None:
    """Run the coverage-guided fuzzer with the arguments of the command line."""
    atheris = importlib.import_module("atheris")  # not among the project's requirements

    def target(data: bytes) -> None:
        run(data)

    atheris.instrument_all()
    atheris.Setup(sys.argv, target)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
