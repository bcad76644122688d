"""Hostile input: formulas, blocks and placeholders that try to get out or to grow without end."""

from __future__ import annotations

import sys
import tracemalloc
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal

import pytest

from tests.engine.blocks import LAG, ORDER, PICK
from trainer.engine.formula import compile_formula
from trainer.engine.reader import read_block, read_blocks_in
from trainer.engine.sheet import make
from trainer.engine.wording import wording
from trainer.errors import InputError

# Each must give a value or one error.
FORMULAS = [
    "9**9**9**9", "9^9^9^9", "9^64^64", "(" * 100_000, ")" * 100_000, "-" * 100_000,
    "not " * 50_000,
    "1e999", "1e-999", "0/0", "-0", "1_000", "١٢", "１２", "1,5", "1.000,5", "__import__('os')",
    "().__class__", "{}.format", '"%1000000000d"%1', "10**-400", "10^-400", "1e308*10", "1\x00+1",
    "1\u202e+1", "1+" * 524_288, "a" * 1_000_000, "1" * 1_000_000, "max(" + "1," * 100_000 + "1)",
    "lambda: 0", "[x for x in a]", "f'{a}'", "a := 1", "a if b else c", "a.b", "a[0]", "a << 3",
    "a; b", "import os", "exec('1')", "eval('1')", "open('x')", "factorial(1000)", "comb(9, 3)",
    "\ud800", "²", "½", "٣+1", "a\u200b", "sqrt" * 400, "(((((" * 60 + "1", "^", "1^-1^-1^-1",
    "exp(exp(exp(exp(9))))", "(10^64)^64", "ln(-1)", "sqrt(-1)", "1/3" + "*1/3" * 240, "é", "µ",
    "°",
]  # fmt: skip


def tried(text: str, *, bare: bool = True) -> Decimal | InputError:
    """What a formula gives, with no symbol known."""
    try:
        formula = compile_formula(text, bare=bare)
        formula.check({})
        return formula.bare({})
    except InputError as refused:
        return refused


@pytest.mark.parametrize("text", FORMULAS, ids=range(len(FORMULAS)))
@pytest.mark.parametrize("bare", [False, True])
def test_a_hostile_formula_gives_a_value_or_one_error(text: str, bare: bool) -> None:
    tracemalloc.start()
    try:
        found = tried(text, bare=bare)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 10 * 2**20
    if isinstance(found, InputError):
        assert found.cure
        assert len(str(found)) < 3000
    else:
        assert found.is_finite()
        assert abs(found.adjusted()) <= 1000


BLOCKS = [
    "", "\x00", "=", "[", "[[", "[a", "[]", "[[a]]" * 3000, "a = " + "[" * 60_000, "a = '''",
    "'" * 9,
    "a" * 70_000, "a = 1\n" * 10_000, "." * 1000, "a." * 20_000 + "b = 1", "a = {b = " * 5000,
    "[a]\n" * 9000, "a = 1e999999999999", "a = -nan", "a = " + "9" * 5000, "a = 0x" + "f" * 9999,
    "\ufeffid = 'M01-E1'", "id = 'M01-E1'\r\n" * 2, "a = 1979-05-27T07:32:00Z", "é = 1",
    "a = \ud800",
    "a = \"" + "\\u0041" * 9000 + '"', 'a = "' + "\\" * 9001 + '"', "[given]\n" + "x = 1\n" * 300,
    "\n".join(f"k{number} = {{ from = {number} }}" for number in range(2000)),
    LAG.replace("7.0", "1e30"), LAG.replace("step = 0.1", "step = 1e-30"),
    LAG.replace("=m=", "=" * 900),
    LAG.replace("'m / q'", f"'{'(' * 3000}'"), LAG.replace("'m / q'", "'m / q * 9^9^9'"),
    PICK.replace("true", "'true'"), ORDER.replace("['tell', 'unplug']", "[[], {}]"),
    ORDER.replace("id = 'prove'", "id = 3"), "before = 3\nacts = 4", "options = 'x'\npick = 3",
    "[[options]]\n" * 3000, "[[acts]]\nid = 'a'\n" * 200,
    "given = 3\nfind = []\nmethod = 'x'\nslips = {}",
]  # fmt: skip


@pytest.mark.parametrize("text", BLOCKS, ids=range(len(BLOCKS)))
def test_a_hostile_block_gives_findings_with_places(text: str) -> None:
    tracemalloc.start()
    try:
        exercise, findings = read_block(text, file="x.md", line=5)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 40 * 2**20
    assert exercise is None
    assert findings
    assert len(findings) <= 101
    for finding in findings:
        assert finding.line >= 5
        assert finding.column >= 1
        assert finding.cure


@pytest.mark.parametrize(
    "block", [LAG + "[[slips]]\n" * 500, "[[options]]\n" * 500, "[[acts]]\n" * 500]
)
def test_too_many_rows_are_refused_once(block: str) -> None:
    _, findings = read_block(block)
    assert sum(finding.code == "ENG-209" for finding in findings) == 1


def test_more_findings_than_a_person_reads_are_cut() -> None:
    text = "\n".join(f"k{number} = {number}" for number in range(400))
    _, findings = read_block(text)
    assert len(findings) == 101
    assert "ENG-212" in {finding.code for finding in findings}


FORBIDDEN = (
    "open",
    "exec",
    "compile",
    "import",
    "socket.",
    "os.",
    "subprocess.",
    "ctypes.",
    "pty.",
)
_guard = {"on": False}


def _watch(event: str, arguments: tuple[object, ...]) -> None:
    if _guard["on"] and event.startswith(FORBIDDEN):
        _guard["on"] = False
        msg = f"the engine reached {event} {arguments!r:.200}"
        raise AssertionError(msg)


@contextmanager
def nothing_reached() -> Iterator[None]:
    """Within, no event of opening, running, compiling, importing or connecting may happen."""
    _guard["on"] = True
    try:
        yield
    finally:
        _guard["on"] = False


def test_no_input_reaches_open_exec_compile_import_or_a_socket() -> None:
    # What is imported or compiled at first use is so before the watch begins.
    for text in (LAG, PICK, ORDER):
        exercise, _ = read_block(text)
        assert exercise is not None
        make(exercise, b"key")
    for text in FORMULAS:
        tried(text)
    sys.addaudithook(_watch)
    compile_formula.cache_clear()
    with nothing_reached():
        for text in FORMULAS:
            tried(text)
        for text in (LAG, PICK, ORDER):
            exercise, _ = read_block(text)
            assert exercise is not None
            make(exercise, b"key")
        for text in BLOCKS:
            read_block(text)
            read_blocks_in(text)
            wording(text[:5000])


def test_the_watch_would_see_it() -> None:
    sys.addaudithook(_watch)
    with pytest.raises(AssertionError, match="reached compile"), nothing_reached():
        compile("1 + 1", "x", "eval")
