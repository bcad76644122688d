"""``trainer settings`` and the list of commands."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from trainer import settings
from trainer.cli.main import COMMANDS, main


def test_every_setting_is_printed_and_secrets_are_not(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAINER_SECRET_KEY", "a very secret word")
    result = CliRunner().invoke(main, ["settings", "--json"])
    rows = {row["name"]: row for row in json.loads(result.output)}
    assert tuple(rows) == settings.NAMES
    assert rows["secret_key"]["value"] == "(set)"
    assert rows["secret_key"]["source"] == "environment"
    assert "very secret" not in result.output


def test_help_lists_every_command() -> None:
    result = CliRunner().invoke(main, ["--help"])
    assert result.exit_code == 0
    for name in COMMANDS:
        assert name in result.output


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_help_with_an_example(name: str) -> None:
    result = CliRunner().invoke(main, [name, "--help"])
    assert result.exit_code == 0
    assert "Example: trainer" in result.output


def test_an_unknown_command_is_met_with_the_likely_one() -> None:
    result = CliRunner().invoke(main, ["prof"])
    assert result.exit_code == 2
    assert "Did you mean proof?" in result.output


def test_a_bad_setting_is_one_plain_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAINER_PORT", "many")
    result = CliRunner().invoke(main, ["settings"])
    assert result.exit_code == 2
    assert "must be a whole number" in result.output
    assert "Traceback" not in result.output
