"""``trainer work`` and ``trainer proof`` at the terminal."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.playhouse import CONTENT
from trainer.cli.main import main

M05 = str(CONTENT / "modules" / "M05" / "exercises.md")


def run(*words: str, typed: str = "") -> tuple[int, str]:
    result = CliRunner().invoke(main, list(words), input=typed, catch_exceptions=False)
    return result.exit_code, result.output


def test_the_same_draw_shows_the_same_sheet_and_no_answer() -> None:
    code, first = run("work", M05, "M05-E2", "--draw", "7")
    assert code == 0
    assert run("work", M05, "M05-E2", "--draw", "7") == (0, first)
    assert run("work", M05, "M05-E2", "--draw", "8")[1] != first
    assert "accepted" not in first
    assert "permitted duty" in first


def test_an_answer_by_hand_is_inside_and_the_whole_cycle_is_named() -> None:
    _, text = run("work", M05, "M05-E2", "--draw", "7", "--json")
    given = {row["symbol"]: float(row["value"]) for row in json.loads(text)["givens"]}
    rest = given["a"] * (100 - given["D"]) / given["D"]
    code, right = run("work", M05, "M05-E2", "--draw", "7", "--answer", f"b={rest:.1f} s")
    assert code == 0
    assert "INSIDE   mark 1 of 1" in right
    cycle = given["a"] * 100 / given["D"]
    code, wrong = run("work", M05, "M05-E2", "--draw", "7", "--answer", f"b={cycle:.1f}")
    assert code == 1
    assert "NAMED SLIP   mark 0 of 1" in wrong
    assert "whole cycle given" in wrong


def test_it_asks_at_the_terminal_when_told_to() -> None:
    code, text = run("work", M05, "M05-E2", "--draw", "7", "--ask", typed="12 kg\n")
    assert code == 1
    assert "b" in text


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["work", M05, "M05-E22"], "Did you mean M05-E2"),
        (["work", M05, "M05-E2", "--answer", "18"], "has no cell"),
        (["work", M05, "M05-E2", "--answer", "q=18"], "there is no cell q"),
    ],
)
def test_misuse_says_how_to_mend_it(words: list[str], says: str) -> None:
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 2
    assert says in result.output


def test_proof_of_one_file_is_clean_and_readable_by_a_program(tmp_path: Path) -> None:
    file = tmp_path / "one.md"
    text = Path(M05).read_text(encoding="utf-8")
    block = text[text.index("```exercise\nid = 'M05-E2'") :]
    file.write_text("# One\n\n" + block[: block.index("\n```\n") + 5], encoding="utf-8")
    code, said = run("proof", str(file))
    assert code == 0, said
    assert "M05-E2" in said
    assert "errors 0" in said
    code, said = run("proof", str(file), "--json")
    found = json.loads(said)
    assert found["proofs"][0]["exercise"] == "M05-E2"


def test_proof_of_a_broken_file_names_line_and_cure(tmp_path: Path) -> None:
    file = tmp_path / "one.md"
    text = Path(M05).read_text(encoding="utf-8")
    block = text[text.index("```exercise\nid = 'M05-E2'") :]
    block = block[: block.index("\n```\n") + 5].replace("unit = 's' }", "unit = 'sx' }", 1)
    file.write_text(block, encoding="utf-8")
    code, said = run("proof", str(file))
    assert code == 1
    line = next(n for n, row in enumerate(block.splitlines(), 1) if "'sx'" in row)
    assert f"one.md:{line}:" in said
