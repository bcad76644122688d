"""The exercises of a Markdown file, for commands that work on one file without a library."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise
    from trainer.findings import Finding


def exercises_in(file: Path) -> tuple[list[Exercise], list[Finding]]:
    """Every exercise block of a file that can be read, and every finding."""
    from trainer.engine import reader

    shipped = {
        f"{folder.name}/{one.name}": one.read_bytes()
        for folder in (file.parent / "data", file.parent / "figures")
        if folder.is_dir()
        for one in sorted(folder.iterdir())
        if one.is_file()
    }
    shipped |= {name.split("/")[1]: content for name, content in shipped.items()}
    found: list[Exercise] = []
    findings: list[Finding] = []
    text = file.read_text(encoding="utf-8")
    for body, line in reader.read_blocks_in(text, file=str(file)):
        exercise, problems = reader.read_block(body, file=str(file), line=line, shipped=shipped)
        findings.extend(problems)
        if exercise is not None:
            found.append(exercise)
    return found, findings
