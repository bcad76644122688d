r"""Inline signs of our own: formulas, code, links and pictures; HTML is shown as the text it is.

The library's own readers of links and code look for the closing sign to the end of the paragraph,
for each opening one anew; those here look a bounded way, so that no text takes time by the square
of its length. What an author may write is small: ``[words](M01-L2)`` and ``![words](file)``.
"""

from __future__ import annotations

import re
from xml.etree.ElementTree import Element

from markdown import Markdown
from markdown.inlinepatterns import HTML_RE, InlineProcessor
from markdown.util import AtomicString, code_escape

from trainer.errors import InputError
from trainer.library.formulae import to_mathml
from trainer.library.parts import FOREIGN_LINK
from trainer.library.places import Trouble
from trainer.library.problems import problem
from trainer.library.sanitise import clean_text

CODE = r"(?<![\\`])(`{1,3})(?!`)(.{1,400}?)(?<!`)\1(?!`)"
FORMULA = r"\\\((.{1,600}?)\\\)"
LINK = r"(?<!!)\[([^\[\]]{1,300})\]\(([^()\n]{0,300})\)"
PICTURE = r"!\[([^\[\]]{0,600})\]\(([^()\n]{0,300})\)"
REFERENCE = r"(?m)^[ ]{0,3}\[[^\[\]\n^][^\[\]\n]{0,80}\]:[ ]*(\S{1,300})"
NOTE_CALL = r"\[\^([^\[\]\n]{1,60})\]"
NOTE = re.compile(r"^[ ]{0,3}\[\^([^\[\]\n]{1,60})\]:[ ]*(.*)$", re.MULTILINE)

RAW_HTML = problem(
    "LIB-201", "HTML does not work in a lesson: {text}", "Write it in Markdown, or leave it out."
)
BAD_FORMULA = problem("LIB-204", "{message}", "{cure}")

Made = tuple[str | Element, int, int]


class _Inline(InlineProcessor):
    """A sign with its pattern; troubles are laid where the reading collects them."""

    pattern_text = ""

    def __init__(self, troubles: list[Trouble], md: Markdown) -> None:
        super().__init__(self.pattern_text, md)
        self.troubles = troubles

    def handleMatch(  # type: ignore[override]  # noqa: N802 - the library's name
        self, m: re.Match[str], _data: str
    ) -> Made:
        return self._made(m), m.start(0), m.end(0)

    def _made(self, m: re.Match[str]) -> str | Element:
        """What stands in the place of the match."""
        raise NotImplementedError


class Formula(_Inline):
    r"""``\( … \)`` as MathML."""

    pattern_text = FORMULA

    def _made(self, m: re.Match[str]) -> str:
        try:
            html = to_mathml(m[1].strip())
        except InputError as refused:
            trouble = Trouble(BAD_FORMULA, m[0], message=str(refused), cure=refused.cure)
            self.troubles.append(trouble)
            html = clean_text(m[1])
        return self.md.htmlStash.store(html)


class Code(_Inline):
    """A span between backticks."""

    pattern_text = CODE

    def _made(self, m: re.Match[str]) -> Element:
        code = Element("code")
        code.text = AtomicString(code_escape(m[2].strip()))
        return code


class Link(_Inline):
    """``[words](target)``; whether the target may stand is judged with the whole part."""

    pattern_text = LINK

    def _made(self, m: re.Match[str]) -> Element:
        link = Element("a", {"href": self.unescape(m[2]).strip(" <>")})
        link.text = m[1]
        return link


class Picture(_Inline):
    """``![words](file)``; judged with the whole part as well."""

    pattern_text = PICTURE

    def _made(self, m: re.Match[str]) -> Element:
        return Element("img", {"src": self.unescape(m[2]).strip(" <>"), "alt": self.unescape(m[1])})


class Reference(_Inline):
    """``[name]: address`` at the front of a line, which is no way to write a link here."""

    pattern_text = REFERENCE

    def _made(self, m: re.Match[str]) -> str:
        self.troubles.append(Trouble(FOREIGN_LINK, m[1]))
        return m[0]


class HtmlAsText(_Inline):
    """A tag, comment or instruction, which stays as the author wrote it, to be escaped."""

    pattern_text = HTML_RE

    def _made(self, m: re.Match[str]) -> str:
        self.troubles.append(Trouble(RAW_HTML, m[0]))
        return m[0]


def register_inline(md: Markdown, troubles: list[Trouble]) -> None:
    """Put our signs in the place of the library's."""
    for name in (
        "backtick",
        "reference",
        "link",
        "image_link",
        "image_reference",
        "short_reference",
        "short_image_ref",
        "automail",
    ):
        md.inlinePatterns.deregister(name)
    md.inlinePatterns.register(Code(troubles, md), "code", 190)
    md.inlinePatterns.register(Formula(troubles, md), "formula", 185)
    md.inlinePatterns.register(Reference(troubles, md), "reference", 170)
    md.inlinePatterns.register(Picture(troubles, md), "picture", 165)
    md.inlinePatterns.register(Link(troubles, md), "link", 160)
    md.inlinePatterns.register(HtmlAsText(troubles, md), "html", 90)
