r"""Author's Markdown to clean parts: one reading for the whole lesson, one part for each block.

What an author may write: paragraphs, ``*emphasis*``, ``**weight**``, `` `code` ``, lists, tables,
definition lists, quotes, footnotes ``[^name]``, inline formulas ``\( … \)`` and links to papers of
this server. HTML is shown as the text it is, and is a finding. Headings and blocks never reach this
file: they arrive as marks (``mark``), each a paragraph of its own, and come back in their order.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from markdown import Markdown
from markdown.extensions.def_list import DefListExtension
from markdown.extensions.footnotes import FootnoteExtension
from markdown.extensions.sane_lists import SaneListExtension
from markdown.extensions.tables import TableExtension
from markdown.inlinepatterns import HTML_RE, InlineProcessor

from trainer.errors import InputError
from trainer.library.formulae import to_mathml
from trainer.library.parts import Finish, Part
from trainer.library.places import Trouble
from trainer.library.problems import problem
from trainer.library.sanitise import clean_text

_FORMULA = r"\\\((.{1,600}?)\\\)"

RAW_HTML = problem(
    "LIB-201", "HTML does not work in a lesson: {text}", "Write it in Markdown, or leave it out."
)
BAD_FORMULA = problem("LIB-204", "{message}", "{cure}")


@dataclass(frozen=True, slots=True)
class Reading:
    """Everything one text gave: parts in order, troubles, papers linked to, notes nobody calls."""

    parts: tuple[Part, ...]
    troubles: tuple[Trouble, ...]
    papers: tuple[str, ...]
    unused_notes: tuple[str, ...]


class _InlineFormula(InlineProcessor):
    def __init__(self, troubles: list[Trouble], md: Markdown) -> None:
        super().__init__(_FORMULA, md)
        self.troubles = troubles

    def handleMatch(  # type: ignore[override]  # noqa: N802 - the library's name
        self, m: re.Match[str], _data: str
    ) -> tuple[str, int, int]:
        try:
            html = to_mathml(m[1].strip())
        except InputError as refused:
            trouble = Trouble(BAD_FORMULA, m[0], message=str(refused), cure=refused.cure)
            self.troubles.append(trouble)
            html = clean_text(m[1])
        return self.md.htmlStash.store(html), m.start(0), m.end(0)


class _HtmlAsText(InlineProcessor):
    def __init__(self, troubles: list[Trouble], md: Markdown) -> None:
        super().__init__(HTML_RE, md)
        self.troubles = troubles

    def handleMatch(  # type: ignore[override]  # noqa: N802 - the library's name
        self, m: re.Match[str], _data: str
    ) -> tuple[str, int, int]:
        self.troubles.append(Trouble(RAW_HTML, m[0]))
        return m[0], m.start(0), m.end(0)


def read_prose(source: str, *, dense: bool = False) -> Reading:
    """Read a text with marks in it.

    Args:
        source: Markdown without fenced blocks and headings; marks stand in their places.
        dense: whether every link and picture is refused, as in the texts of an exercise.
    """
    troubles: list[Trouble] = []
    md, footnotes = _markdown(troubles)
    root = md.parser.parseDocument(_lines(md, source)).getroot()
    assert root is not None
    for processor in md.treeprocessors:
        changed = processor.run(root)
        root = root if changed is None else changed
    children = list(root)
    notes: dict[str, Element] = {}
    if children and children[-1].get("class") == "footnote":
        notes = {item.get("id", "")[3:]: item for item in children.pop().iter("li")}
    finish = Finish(md, notes, troubles, dense=dense)
    parts = tuple(finish.part(child) for child in children)
    unused = tuple(name for name in footnotes.footnotes if name not in finish.numbers)
    return Reading(parts, tuple(troubles), tuple(finish.papers), unused)


def _markdown(troubles: list[Trouble]) -> tuple[Markdown, FootnoteExtension]:
    """A fresh reader: one for each text, so nothing of one lesson can leak into the next."""
    footnotes = FootnoteExtension(SEPARATOR="-", BACKLINK_TEXT="")
    tables = TableExtension(use_align_attribute=True)
    md = Markdown(extensions=[tables, footnotes, DefListExtension(), SaneListExtension()])
    md.block_level_elements.remove("math")  # a formula stands in a paragraph like a word
    md.preprocessors.deregister("html_block")
    for name in ("hashheader", "setextheader", "hr"):
        md.parser.blockprocessors.deregister(name)
    md.inlinePatterns.deregister("automail")
    md.inlinePatterns.register(_HtmlAsText(troubles, md), "html", 90)
    md.inlinePatterns.register(_InlineFormula(troubles, md), "formula", 185)
    return md, footnotes


def _lines(md: Markdown, source: str) -> list[str]:
    lines = source.split("\n")
    for processor in md.preprocessors:
        lines = processor.run(lines)
    return lines
