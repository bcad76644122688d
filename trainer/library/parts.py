"""From the Markdown tree to clean parts: links judged, notes numbered, tables framed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import unescape
from xml.etree.ElementTree import Element

from markdown import Markdown

from trainer.library.places import Trouble
from trainer.library.problems import problem
from trainer.library.sanitise import ANCHOR, FIGURE_NAME

MARK_OPEN, MARK_CLOSE = "\ue000", "\ue001"  # for private use; refused in an author's text
MARK = re.compile(rf"{MARK_OPEN}(\d+){MARK_CLOSE}")

FOREIGN_LINK = problem(
    "LIB-202",
    "The link '{text}' leads out of this server.",
    "Link to a lesson (M01-L2), a sheet (M01-E1) or a paragraph (#p3), else name it in words.",
)
FOREIGN_FIGURE = problem(
    "LIB-203",
    "The picture '{text}' cannot be fetched.",
    "Put the file into figures/ and name it alone, in a figure block.",
)
NO_FOOTNOTE = problem(
    "LIB-205", "The footnote '{text}' is not written.", "Write a line that begins [^{text}]: below."
)
PICTURE_IN_TEXT = problem(
    "LIB-206",
    "The picture '{text}' stands inside a line of text.",
    "Give it a paragraph of its own, or write a figure block.",
)
_LESSON = re.compile(rf"(M\d{{2}}-L\d{{1,3}})(#{ANCHOR})?")
_EXERCISE = re.compile(r"M\d{2}-E\d{1,3}")
_PARAGRAPH = re.compile(rf"#{ANCHOR}")
_FIGURE = re.compile(rf"(?:figures/)?({FIGURE_NAME})")
_NOTE_CALL = re.compile(r"\[\^([^\]\n]{1,60})\](?!:)")


@dataclass(frozen=True, slots=True)
class Part:
    """One block of the text: its HTML, the mark it carries, the notes and figure it calls."""

    html: str
    mark: int | None = None
    notes: tuple[str, ...] = ()
    figure: tuple[str, str] | None = None  # (file name, alternative text) of a picture on its own


def mark(number: int, text: str = "") -> str:
    """A paragraph that stands for a heading, a step or a block, with the text to be rendered."""
    return f"\n\n{MARK_OPEN}{number}{MARK_CLOSE}{text}\n\n"


class Finish:
    """From the tree to clean parts: links and pictures judged, notes numbered, tables framed."""

    def __init__(
        self, md: Markdown, notes: dict[str, Element], troubles: list[Trouble], *, dense: bool
    ) -> None:
        self.md = md
        self.troubles = troubles
        self.papers: list[str] = []
        self.notes = notes
        self.dense = dense
        self.numbers: dict[str, int] = {}  # footnote name -> number, in the order of use
        self.calls: dict[str, int] = {}

    def part(self, element: Element) -> Part:
        """One child of the tree as a part; its notes come with it."""
        called = self._prepare(element)
        number = None
        if element.tag == "p" and (found := MARK.match(element.text or "")):
            number = int(found[1])
            element.text = (element.text or "")[found.end() :].lstrip()
        notes: list[str] = []
        for name in called:  # grows while a note calls another
            note = self.notes[name]
            called.extend(self._prepare(note))
            notes.append(self._note(name, note))
        figure = self._own_figure(element)
        if number is not None:
            html = self._inner(element)
        elif element.tag == "table":
            html = f'<div class="cell">{self._html(element)}</div>'
        else:
            html = self._html(element)
        return Part(html, number, tuple(notes), figure)

    def _prepare(self, element: Element) -> list[str]:
        """Judge what the element holds; give the names of the notes it calls for the first time."""
        called: list[str] = []
        for inner in list(element.iter()):
            if inner.tag == "a":
                self._link(inner)
            elif inner.tag == "img" and not self._figure_name(inner):
                self.troubles.append(Trouble(FOREIGN_FIGURE, inner.get("src", "")))
                inner.attrib.pop("src", None)
            elif inner.tag in {"td", "th"} and (align := inner.attrib.pop("align", "")):
                inner.set("class", {"right": "v", "center": "mid"}.get(align, ""))
            elif inner.tag == "table":
                inner.set("class", "values")
            elif inner.tag == "sup" and len(inner) and inner.get("id", "").startswith("fnref"):
                called.extend(self._note_call(inner))
            if inner.tag not in {"code", "pre"}:
                for name in _NOTE_CALL.findall(f"{inner.text or ''}{inner.tail or ''}"):
                    self.troubles.append(Trouble(NO_FOOTNOTE, name))
        return called

    def _note_call(self, sup: Element) -> list[str]:
        name = sup[0].get("href", "")[4:]
        if name not in self.notes:
            return []
        is_new = name not in self.numbers
        number = self.numbers.setdefault(name, len(self.numbers) + 1)
        self.calls[name] = self.calls.get(name, 0) + 1
        sup.set("id", f"fnref{'' if is_new else self.calls[name]}-{number}")
        link = sup[0]
        link.attrib.clear()
        link.set("href", f"#fn-{number}")
        link.set("aria-label", f"note {number}")
        link.text = str(number)
        return [name] if is_new else []

    def _note(self, name: str, item: Element) -> str:
        """One footnote as the paragraphs of a margin note, the first with its number."""
        number = self.numbers[name]
        paragraphs: list[str] = []
        for child in item:
            for back in [inner for inner in child if inner.get("class") == "footnote-backref"]:
                child.remove(back)
            words = self._inner(child).replace("&#160;", " ").strip()
            if not words:
                continue
            if not paragraphs:
                label = f"{number}, back to the text"
                link = f'<a href="#fnref-{number}" aria-label="{label}">{number}</a>'
                paragraphs.append(f'<p id="fn-{number}">{link} {words}</p>')
            else:
                paragraphs.append(f"<p>{words}</p>")
        return "".join(paragraphs)

    def _link(self, link: Element) -> None:
        raw = link.get("href", "")
        target = unescape(raw).strip()
        if raw.startswith("#fn-") or link.get("class", "").startswith("footnote-"):
            return
        link.attrib.clear()
        address = ""
        if lesson := _LESSON.fullmatch(target):
            address = f"/lesson/{lesson[1]}{lesson[2] or ''}"
        elif _EXERCISE.fullmatch(target):
            address = f"/sheet/{target}"
        elif _PARAGRAPH.fullmatch(target):
            address = target
        if not address or self.dense:
            self.troubles.append(Trouble(FOREIGN_LINK, raw))
            return
        self.papers.append(target)
        link.set("href", address)

    def _figure_name(self, image: Element) -> str:
        found = _FIGURE.fullmatch(unescape(image.get("src", "")).strip())
        return found[1] if found and not self.dense else ""

    def _own_figure(self, element: Element) -> tuple[str, str] | None:
        """The picture of a paragraph that holds nothing else; one among words is a finding."""
        images = [image for image in element.iter("img") if image.get("src")]
        if not images:
            return None
        words = "".join(element.itertext()).strip()
        if element.tag == "p" and len(element) == 1 and element[0] is images[0] and not words:
            return self._figure_name(images[0]), images[0].get("alt", "")
        for image in images:
            self.troubles.append(Trouble(PICTURE_IN_TEXT, image.attrib.pop("src")))
        return None

    def _html(self, element: Element) -> str:
        element.tail = None
        text = self.md.serializer(element)
        for processor in self.md.postprocessors:
            text = processor.run(text)
        return text.strip()

    def _inner(self, element: Element) -> str:
        html = self._html(element)
        opening, closing = f"<{element.tag}>", f"</{element.tag}>"
        return html.removeprefix(opening).removesuffix(closing).strip()
