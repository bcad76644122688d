"""The documents say what the code does: settings, commands, error codes, layers, glossary."""

from __future__ import annotations

import importlib
import pkgutil
import re
from pathlib import Path

import click
import pytest

import trainer
from trainer import errors, settings
from trainer.cli.main import COMMANDS

ROOT = Path(__file__).parent.parent
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")


def import_everything() -> None:
    for found in pkgutil.walk_packages(trainer.__path__, "trainer."):
        if ".migrations.versions." not in found.name:
            importlib.import_module(found.name)


def table_after(heading: str) -> list[list[str]]:
    """The rows of the first table under a heading of DEVELOPERS.md."""
    part = DEVELOPERS.split(f"\n## {heading}\n", 1)
    assert len(part) == 2, f"DEVELOPERS.md has no section {heading!r}"
    rows = []
    for line in part[1].splitlines():
        if line.startswith("## "):
            break
        if line.startswith("|"):
            rows.append([cell.strip().strip("`") for cell in line.strip("|").split(" | ")])
    return rows[2:]


def test_every_setting_is_documented_as_it_is() -> None:
    written = {row[0]: row for row in table_after("Settings")}
    assert set(written) == set(settings.NAMES)
    for row in settings.TABLE:
        shown = written[row.name]
        assert shown[1] == {str: "text", int: "whole number", bool: "true or false"}[row.kind]
        assert shown[3] == row.help


def test_every_command_is_documented_and_has_an_example() -> None:
    written = {row[0] for row in table_after("Commands")}
    found = set()
    for name, (module, _) in COMMANDS.items():
        command = importlib.import_module(module).command
        members = command.commands.values() if isinstance(command, click.Group) else [command]
        for member in members:
            found.add(f"trainer {name}" + (f" {member.name}" if member is not command else ""))
            assert member.epilog, name
            assert member.epilog.startswith("Example: trainer "), name
            assert member.help, name
    assert written == found


def test_every_error_code_is_documented_as_it_is() -> None:
    import_everything()
    written = {row[0]: row for row in table_after("Errors")}
    assert set(written) == set(errors.CATALOGUE)
    for code, row in errors.CATALOGUE.items():
        assert written[code][1:4] == [
            row.sentence.replace("|", "\\|"),
            row.cure.replace("|", "\\|"),
            row.audience,
        ], code


@pytest.mark.parametrize("code", sorted(errors.CATALOGUE))
def test_a_code_looks_like_one(code: str) -> None:
    assert re.fullmatch(r"[A-Z]{3}-\d{3}", code)


def test_the_map_names_every_room_and_the_glossary_every_word_once() -> None:
    rooms = {path.name for path in (ROOT / "trainer").iterdir() if (path / "__init__.py").is_file()}
    for room in rooms:
        assert f"`{room}/`" in DEVELOPERS, room
    words = [row[0] for row in table_after("Glossary")]
    assert len(words) == len(set(words)) >= 25
    assert words == sorted(words, key=str.casefold)


def test_the_readme_keeps_its_contract() -> None:
    first = README.split("\n\n")[1]
    assert first.startswith("A service trainer has to turn new hires into technicians")
    run = re.search(r"<!-- run -->\n```\n(.+)\n```", README)
    test = re.search(r"<!-- test -->\n```\n(.+)\n```", README)
    assert run is not None
    assert run.group(1).endswith("trainer demo")
    assert test is not None
    assert test.group(1).endswith("pytest")


def test_links_in_the_documents_lead_somewhere() -> None:
    for name in ("README.md", "DEVELOPERS.md", "tests/README.md"):
        text = (ROOT / name).read_text(encoding="utf-8")
        for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", text):
            if "://" not in target:
                assert ((ROOT / name).parent / target).exists(), f"{name}: {target}"


def test_nothing_but_the_card_stands_at_the_top() -> None:
    card = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "trainer",
        "content",
        "tests",
        "instance",
    }
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    ignored = {"dist", "build"}
    assert found - card - ignored <= {name for name in found if name.endswith(".egg-info")}
