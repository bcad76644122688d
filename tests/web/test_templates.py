"""Every template, read as text: nothing inline, nothing unescaped, every page in its frame."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from jinja2 import Environment, nodes

import trainer.web

FOLDER = Path(trainer.web.__file__).parent / "templates"
TEMPLATES = sorted(FOLDER.rglob("*.html"))
PAGES = [
    path for path in TEMPLATES if "{% extends" in path.read_text(encoding="utf-8").splitlines()[0]
]
NAMES = {path: str(path.relative_to(FOLDER)) for path in TEMPLATES}
STANDARD_FILTERS_THAT_TRUST = {"safe", "xmlattr", "tojson", "markdown"}


def ids(path: Path) -> str:
    return NAMES[path]


def without_jinja(text: str) -> str:
    return re.sub(r"{[%#].*?[%#]}|{{.*?}}", "", text, flags=re.DOTALL)


def test_there_are_templates_in_a_folder_for_each_blueprint() -> None:
    folders = {path.parent.name for path in PAGES} - {"templates"}
    assert folders == {
        "front",
        "trainee",
        "supervisor",
        "lesson_bench",
        "deciding",
        "people",
        "certificate",
    }


@pytest.mark.parametrize("path", TEMPLATES, ids=ids)
def test_nothing_is_inline(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    soup = BeautifulSoup(without_jinja(text), "html.parser")
    assert not soup.find_all("style")
    for tag in soup.find_all(name=lambda _: True):
        bad = [name for name in tag.attrs if name == "style" or name.startswith("on")]
        assert not bad, (tag.name, bad)
        if tag.name == "script":
            assert tag.get("src") is not None
            assert not tag.text.strip()
    # Inside Jinja's own brackets, where the parser above does not look.
    assert not re.search(r"\b(style|on[a-z]+)=['\"]", text)
    assert "javascript:" not in text
    assert not re.search(r"(href|src|action)=['\"]https?:", text)


@pytest.mark.parametrize("path", TEMPLATES, ids=ids)
def test_nothing_is_printed_unescaped(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert "autoescape" not in text
    tree = Environment(autoescape=True).parse(text)
    filters = {node.name for node in tree.find_all(nodes.Filter)}
    assert not filters & STANDARD_FILTERS_THAT_TRUST
    called = {
        node.node.name for node in tree.find_all(nodes.Call) if isinstance(node.node, nodes.Name)
    }
    assert "Markup" not in called


@pytest.mark.parametrize("path", PAGES, ids=ids)
def test_a_page_has_a_title_one_heading_and_a_title_block(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.startswith("{% extends 'base.html' %}")
    assert re.search(r"{% block title %}.+{% endblock %}", text)
    heads = text.count("part.head(") + text.count("<h1")
    assert heads == 1, f"{heads} first headings"
    assert text.count("part.title_block(") == 1


@pytest.mark.parametrize("path", TEMPLATES, ids=ids)
def test_a_posting_form_carries_its_token(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for form in re.findall(r"<form\b.*?</form>", text, flags=re.DOTALL):
        if 'method="post"' in form:
            assert "csrf_token" in form or "token()" in form, form[:120]
        else:
            assert 'method="get"' in form, form[:120]


def test_the_frame_has_language_skip_link_and_landmarks() -> None:
    soup = BeautifulSoup(
        without_jinja((FOLDER / "base.html").read_text(encoding="utf-8")), "html.parser"
    )
    assert soup.html is not None
    assert soup.html["lang"] == "en"
    skip = soup.select_one("body > a.skip")
    assert skip is not None
    assert skip["href"] == "#sheet"
    assert soup.select_one("main#sheet") is not None
    assert soup.select_one("header nav[aria-label]") is not None


@pytest.mark.parametrize(
    "path", sorted((FOLDER.parent / "static").glob("*.js")), ids=lambda path: path.name
)
def test_a_script_makes_no_markup_from_text(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for word in (
        "innerHTML",
        "outerHTML",
        "insertAdjacentHTML",
        "document.write",
        "eval(",
        "new Function",
        "localStorage",
        "sessionStorage",
        "http",
    ):
        assert word not in text, word
