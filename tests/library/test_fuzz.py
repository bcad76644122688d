"""Whatever is in the files: nothing raises, every finding has a place, every page is clean."""

from __future__ import annotations

import shutil
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from tests.library.conftest import SHELF
from trainer.findings import Finding, has_errors
from trainer.library import edition
from trainer.library.cautions import read_cautions
from trainer.library.figures import Figure
from trainer.library.front_matter import read_front_matter
from trainer.library.markup import Context, render, short
from trainer.library.module_files import read_lesson_header, read_module_header
from trainer.library.reader import read
from trainer.library.sanitise import clean
from trainer.library.scheme import read_scheme

CAUTIONS, _ = read_cautions((SHELF / "cautions.md").read_text("utf-8"), file="cautions.md")
CONTEXT = Context(
    cautions=CAUTIONS,
    figures={"wait.svg": Figure("wait.svg", b"", 120, 60)},
    exercises={"M01-E1": "Waiting <b> & so on"},
    hazards=("H01",),
)
TEXTS = [file.read_text("utf-8") for file in sorted(SHELF.rglob("*.md"))]
PIECES = st.sampled_from(
    [
        'words ', '*a* ', '**b** ', '_c_ ', '`d` ', '``e` ', '\n', '\n\n', '  \n', '# ', '## ',
        '### ', '- ', '1. ', '> ', '    ', '\t', ': ', '| a | b |\n', '|---|--:|\n', '```\n',
        '~~~\n', '```steps\n', "```caution\nuse = 'H05'\n```\n", '```caution\n',
        '```sheet\nM01-E1\n```\n', '```formula\n',
        "```figure\nfile = 'wait.svg'\nalt = 'a'\n```\n", "```exercise\nid = 'M01-E9'\n```\n",
        "id = 'x'\n", '(electrical)', '(burrs)\n', '(burr)\n', '[a](M01-L1) ', '[a](#p1) ',
        '[a](//x) ', '[a][b] ', '[b]: c\n', '[^n] ', '[^n]: note\n', '![p](wait.svg)',
        '![p](x.svg) ', '<b>', '</b>', '<!--', '-->', '<script>', '&lt;', '&#60;', '\\( a \\) ',
        '\\(', '\\)', '\\frac', '\\', '\ue000', '\ue0013\ue001', '\x02', '\x03', '\x00', 'é',
        'burr ', 'mains ', '=m= ', 'say: x\n', '+++\n', '1. **a** b (burrs)\n',
    ]
)  # fmt: skip
LESSONS = st.lists(PIECES, max_size=30).map("".join)


def anchors(html: str) -> list[str]:
    found: list[str] = []

    class Reader(HTMLParser):
        def handle_starttag(self, _tag: str, attrs: list[tuple[str, str | None]]) -> None:
            found.extend(value or "" for name, value in attrs if name == "id")

    Reader().feed(html)
    return found


@settings(max_examples=300)
@given(LESSONS)
def test_any_lesson_is_set_or_told(text: str) -> None:
    page = render(text, file="a.md", line=7, context=CONTEXT)
    assert clean(page.html) == page.html
    assert "<script" not in page.html
    assert "\ue000" not in page.html
    ids = anchors(page.html)
    assert len(ids) == len(set(ids))
    assert {anchor for anchor, _ in page.paragraphs} <= set(ids)
    assert page.html or has_errors(page.findings)
    last = 7 + text.count("\n")
    for one in page.findings:
        assert (one.file, 7 <= one.line <= last, one.column >= 0) == ("a.md", True, True), one
    again = render(text, file="a.md", line=7, context=CONTEXT)
    assert again == page, "nothing of one reading leaks into the next"


@given(LESSONS)
def test_the_panel_of_a_declared_hazard_is_never_lost(text: str) -> None:
    page = render(text, file="a.md", context=CONTEXT)
    if page.html and not has_errors(page.findings):
        assert "DANGER" in page.html
        assert "H01" in page.cautions


@given(LESSONS)
def test_any_short_text_of_it_is_clean(text: str) -> None:
    html = short(text)
    assert clean(html) == html
    assert "\ue000" not in html


KEYS = st.sampled_from(
    [
        "module = 'M01'\n", "lesson = 'M01-L1'\n", "title = 'T'\n", 'minutes = 5\n',
        "hazards = ['H01']\n", 'needs = []\n', "competency = 'C01'\n", '[[criteria]]\n',
        "id = 'C01.1'\n", "text = 'x'\n", 'critical = true\n', '[check]\n', '[check.plan]\n',
        'a = 1\n', 'months = 12\n', "modules = ['M01']\n", 'minutes = inf\n', 'minutes = nan\n',
        'minutes = -1\n', 'minutes = 1e99\n', 'minutes = 5.5\n',
        'x = [[[[[[[[[[[[1]]]]]]]]]]]]\n', 'title = "\\u0000"\n', "title = '''\n", "'''\n",
        '= 1\n', 'a.b = 1\n', 'a = {b = 1}\n', '1979-05-27 = 1\n', 'd = 1979-05-27\n', '+++\n',
        '\n', '# note\n', '\x07\n', 'é = 1\n', 'title = 7\n', "hazards = 'H01'\n",
        'hazards = [1]\n', 'criteria = 3\n', 'check = 3\n',
    ]
)  # fmt: skip


@settings(max_examples=300)
@given(st.lists(KEYS, max_size=14).map("".join), st.booleans())
def test_any_header_is_read_or_told(header: str, closed: bool) -> None:
    text = f"+++\n{header}{'+++' if closed else ''}\nWords.\n"
    findings: list[Finding] = []
    front = read_front_matter(text, file="a.md", findings=findings)
    assert front.table is not None or findings
    read_module_header(text, folder="M01", base="", findings=findings)
    read_lesson_header(text, file="a.md", module="M01", findings=findings)
    scheme = read_scheme({"competencies/C01.md": text, "certificates/a.md": text})
    for one in [*findings, *scheme.findings]:
        assert 1 <= one.line <= text.count("\n") + 1, one
        assert one.message
        assert one.cure


@given(st.text(max_size=200))
def test_any_text_has_a_header_or_is_told(text: str) -> None:
    findings: list[Finding] = []
    front = read_front_matter(text, file="a.md", findings=findings)
    assert front.table is not None or findings


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("fuzz") / "content"
    shutil.copytree(SHELF, folder)
    return folder


FILES = sorted(file.relative_to(SHELF) for file in SHELF.rglob("*") if file.is_file())
NOISE = st.sampled_from(
    [b"", b"'", b"\n", b"```", b"+++", b"\x00", b"\xff", b"[", b"<b>", b"(burrs)"]
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(
    name=st.sampled_from(FILES),
    at=st.integers(0, 3000),
    gone=st.integers(0, 200),
    noise=NOISE,
)
def test_a_folder_with_damage_anywhere_is_read(
    copy: Path, name: Path, at: int, gone: int, noise: bytes
) -> None:
    content = (SHELF / name).read_bytes()
    at %= len(content)
    (copy / name).write_bytes(content[:at] + noise + content[at + gone :])
    try:
        library, findings = read(copy)
    finally:
        (copy / name).write_bytes(content)
    for module in library.modules.values():
        assert edition.load_module(library.canonical[module.id]) == module
    assert len(library.modules) == 2 or has_errors(findings)
