"""Write the generated tables of DEVELOPERS.md anew: ``python -m tests.write_documents``."""

from __future__ import annotations

import importlib
import re
from pathlib import Path

import click

from tests.test_documents import import_everything
from trainer import errors, settings
from trainer.cli.main import COMMANDS

FILE = Path(__file__).parent.parent / "DEVELOPERS.md"


def settings_table() -> str:
    kinds = {str: "text", int: "whole number", bool: "true or false"}
    rows = ["| setting | type | default | what it is for |", "|---|---|---|---|"]
    rows += [
        f"| `{row.name}` | {kinds[row.kind]} | `{_default(row)}` | {row.help} |"
        for row in settings.TABLE
    ]
    return "\n".join(rows)


def _default(row: settings.Setting) -> str:
    return str(row.default).lower() or "(empty)"


def commands_table() -> str:
    rows = ["| command | what it does | example |", "|---|---|---|"]
    for name, (module, short) in sorted(COMMANDS.items()):
        command = importlib.import_module(module).command
        members = command.commands.values() if isinstance(command, click.Group) else [command]
        for member in members:
            full = f"trainer {name}" + (f" {member.name}" if member is not command else "")
            said = short if member is command else (member.help or "").split("\n")[0]
            example = (member.epilog or "").removeprefix("Example: ")
            rows.append(f"| `{full}` | {said} | `{example}` |")
    return "\n".join(rows)


def errors_table() -> str:
    import_everything()
    rows = ["| code | what it says | cure | for |", "|---|---|---|---|"]
    for code, row in sorted(errors.CATALOGUE.items()):
        cells = [code, row.sentence, row.cure, row.audience]
        rows.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return "\n".join(rows)


def main() -> None:
    text = FILE.read_text(encoding="utf-8")
    for heading, table in (
        ("Settings", settings_table()),
        ("Commands", commands_table()),
        ("Errors", errors_table()),
    ):
        pattern = rf"(\n## {heading}\n(?:(?!\n\|)(?!\n## ).)*)\n\|.*?(?=\n\n|\Z)"
        found = re.search(pattern, text, flags=re.DOTALL)
        assert found, f"no table under {heading}"
        text = text[: found.start()] + found.group(1) + "\n" + table + text[found.end() :]
    FILE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
