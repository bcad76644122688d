r"""Author's Markdown to clean parts: one reading for the whole lesson, one part for each block.

What an author may write: paragraphs, ``*emphasis*``, ``**weight**``, `` `code` ``, lists, tables,
definition lists, quotes, footnotes ``[^name]``, inline formulas ``\( … \)`` and links to papers of
this server. HTML is shown as the text it is, and is a finding. Headings and blocks never reach this
file: they arrive as marks (``mark``), each a paragraph of its own, and come back in their order.
"""

from __future__ import annotations

from dataclasses import dataclass
from xml.etree.ElementTree import Element

from markdown import Markdown
from markdown.extensions.def_list import DefListExtension
from markdown.extensions.footnotes import (
    FootnoteBlockProcessor,
    FootnoteExtension,
    FootnoteInlineProcessor,
)
from markdown.extensions.sane_lists import SaneListExtension
from markdown.extensions.tables import TableExtension

from trainer.library.inline import NOTE, NOTE_CALL, register_inline
from trainer.library.parts import Finish, Part
from trainer.library.places import Trouble


@dataclass(frozen=True, slots=True)
class Reading:
    """Everything one text gave: parts in order, troubles, papers linked to, notes nobody calls."""

    parts: tuple[Part, ...]
    troubles: tuple[Trouble, ...]
    papers: tuple[str, ...]
    unused_notes: tuple[str, ...]


class _Notes(FootnoteBlockProcessor):
    RE = NOTE  # the library's own looks for the name's end over all lines that follow


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
    for name in ("hashheader", "setextheader", "hr", "reference"):
        md.parser.blockprocessors.deregister(name)
    md.parser.blockprocessors.register(_Notes(footnotes), "footnote", 17)
    md.inlinePatterns.register(FootnoteInlineProcessor(NOTE_CALL, footnotes), "footnote", 175)
    register_inline(md, troubles)
    return md, footnotes


def _lines(md: Markdown, source: str) -> list[str]:
    lines = source.split("\n")
    for processor in md.preprocessors:
        lines = processor.run(lines)
    return lines
