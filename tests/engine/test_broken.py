"""Broken exercises: each is refused for its own reason, at the right line and column.

Every file in ``broken/`` begins with what it must give, one comment a finding:
``<!-- code line:column -->``; nothing else may be found but remarks.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from trainer.engine.reader import read_block, read_blocks_in
from trainer.errors import CATALOGUE

FOLDER = Path(__file__).parent / "broken"
FILES = sorted(FOLDER.glob("*.md"))
EXPECTED = re.compile(r"<!-- (\S+) (\d+):(\d+) -->")


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_broken_exercise_is_refused_at_its_place(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    expected = [(code, int(line), int(column)) for code, line, column in EXPECTED.findall(text)]
    ((body, first_line),) = read_blocks_in(text, file=path.name)
    exercise, findings = read_block(body, file=path.name, line=first_line)
    assert exercise is None
    errors = [finding for finding in findings if finding.severity == "error"]
    assert [(each.code, each.line, each.column) for each in errors] == expected, errors
    lines = text.splitlines()
    for finding in findings:
        assert finding.file == path.name
        assert finding.cure, finding
        assert finding.code in CATALOGUE
        assert "{" not in finding.message.replace("{ … }", "").replace("{ what", "")
        assert 1 <= finding.line <= len(lines)
        assert 1 <= finding.column <= len(lines[finding.line - 1]) + 1


def test_there_are_enough_of_them_and_of_different_kinds() -> None:
    codes = {code for path in FILES for code, *_ in EXPECTED.findall(path.read_text("utf-8"))}
    assert len(FILES) >= 40
    assert len(codes) >= 40
