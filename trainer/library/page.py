"""A lesson's page as it grows: numbered paragraphs, procedure steps, panels before what they guard.

How an author's text becomes numbered paragraphs:

- ``## Heading`` begins a numbered paragraph; its words stand before the text that follows.
- Text before the first heading, after a procedure or after a panel begins one without a heading.
- A ``steps`` block gives its lines numbers of their own: ``3.1``, ``3.2`` … under paragraph 3,
  or plain ``1``, ``2`` … where the lesson begins with them.
- A figure, formula or sheet belongs to the paragraph or step above it.
- A panel stands first in the paragraph or step that begins after it. Right under a heading it
  guards that paragraph; in the middle of one it begins the next.
- A tag at the end of a step or heading, ``(electrical)`` or ``(burrs)`` or both, needs a panel
  about it anywhere before it in the same lesson.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from trainer.library.catalogue import About, Caution
from trainer.library.panels import panel


@dataclass(frozen=True, slots=True)
class Tag:
    """What a step touches, and whom to tell of a tag that no panel before the step is about."""

    tags: tuple[About, ...] = ()
    note: Callable[[tuple[About, ...]], None] = lambda _unguarded: None


UNTAGGED = Tag()


@dataclass(slots=True)
class _Entry:
    """One numbered paragraph or step being filled."""

    number: str
    kind: str  # 'paragraph' or 'step'
    tags: tuple[About, ...] = ()
    panels: list[str] = field(default_factory=list)
    matter: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    has_text: bool = False  # anything beside the heading

    @property
    def anchor(self) -> str:
        return f"p{self.number.replace('.', '-')}"

    def html(self) -> str:
        tags = "".join(f"<small>{tag}</small>" for tag in self.tags)
        kind = f'<span class="unseen">{self.kind} </span>'
        classes = "no part" if "." in self.number else "no"
        number = f'<span class="{classes}">{kind}{self.number}{tags}</span>'
        matter = f'<div class="matter">{"".join(self.matter)}</div>'
        aside = ""
        if self.notes:
            label = f"notes on {self.kind} {self.number}"
            notes = "".join(self.notes)
            aside = f'\n<aside class="aside" role="note" aria-label="{label}">{notes}</aside>'
        panels = "".join(f"{text}\n" for text in self.panels)
        return f'<li id="{self.anchor}">\n{panels}{number}\n{matter}{aside}\n</li>'


@dataclass(slots=True)
class Page:
    """The page of one lesson, filled in the author's order."""

    entries: list[_Entry] = field(default_factory=list)
    waiting: list[str] = field(default_factory=list)  # panels for whatever begins next
    guarded: set[About] = field(default_factory=set)
    cautions: list[str] = field(default_factory=list)  # ids shown, in order, each once
    safety: list[str] = field(default_factory=list)
    exercises: list[str] = field(default_factory=list)
    figures: int = 0
    panels: int = 0
    _paragraphs: int = 0
    _steps: int = 0
    _unsettled: Tag = UNTAGGED

    def heading(self, html: str, tag: Tag = UNTAGGED) -> None:
        """Begin a paragraph with a heading; panels right under it still guard it."""
        entry = self._paragraph(tag.tags)
        entry.matter.append(f"<h2>{html}</h2>\n")
        self._tagged(tag, html)
        self._unsettled = tag

    def step(self, html: str, tag: Tag = UNTAGGED) -> None:
        """Add one step of a procedure."""
        self._settle()
        self._steps += 1
        number = f"{self._paragraphs}.{self._steps}" if self._paragraphs else f"{self._steps}"
        entry = self._begin(_Entry(number, "step", tag.tags))
        entry.matter.append(html)
        entry.has_text = True
        self._tagged(tag, html)
        self._unsettled = tag
        self._settle()

    def text(self, html: str) -> None:
        """Add a paragraph, list or table of the author's text."""
        self._settle()
        last = self.entries[-1] if self.entries else None
        if last is None or last.kind == "step" or self._panel_cuts(last):
            last = self._paragraph(())
        self._fill(last, html)

    def thing(self, html: str) -> None:
        """Add a figure, formula, slot or code to the paragraph or step above."""
        self._settle()
        last = self.entries[-1] if self.entries else None
        if last is None or self._panel_cuts(last):
            last = self._paragraph(())
        self._fill(last, html)

    def panel(self, caution: Caution) -> None:
        """Show a caution before whatever comes next."""
        self.panels += 1
        self.waiting.append(panel(caution, f"caution-{self.panels}"))
        self.guarded.update(caution.about)
        self.safety.append(f"caution {caution.id}")
        if caution.id not in self.cautions:
            self.cautions.append(caution.id)

    def notes(self, notes: tuple[str, ...]) -> None:
        """Put footnotes beside the paragraph filled last."""
        if self.entries:
            self.entries[-1].notes.extend(notes)

    def close(self) -> bool:
        """Show the panels that nothing followed; whether there were any."""
        self._settle()
        if not self.waiting:
            return False
        self._paragraph(())
        return True

    def html(self) -> str:
        """The whole lesson, not yet through the allow-list."""
        entries = "\n".join(entry.html() for entry in self.entries)
        return f'<ol class="steps">\n{entries}\n</ol>'

    def paragraphs(self) -> tuple[tuple[str, str], ...]:
        """Anchor and printed number of each paragraph; steps under one are not counted."""
        return tuple((one.anchor, one.number) for one in self.entries if "." not in one.number)

    def anchors(self) -> frozenset[str]:
        """Every anchor of the page, those of steps too."""
        return frozenset(entry.anchor for entry in self.entries)

    def _tagged(self, tag: Tag, html: str) -> None:
        if tag.tags:
            self.safety.append(f"step ({', '.join(tag.tags)}) {html}")

    def _settle(self) -> None:
        """Say which tags of the last step or heading nothing before it guards."""
        tag, self._unsettled = self._unsettled, UNTAGGED
        unguarded = tuple(about for about in tag.tags if about not in self.guarded)
        if unguarded:
            tag.note(unguarded)

    def _panel_cuts(self, last: _Entry) -> bool:
        """Whether a waiting panel begins a new entry; under a bare heading it joins that one."""
        if not self.waiting:
            return False
        if last.has_text:
            return True
        last.panels.extend(self.waiting)
        self.waiting.clear()
        return False

    def _paragraph(self, tags: tuple[About, ...]) -> _Entry:
        self._settle()
        self._steps_end()
        self._paragraphs += 1
        return self._begin(_Entry(str(self._paragraphs), "paragraph", tags))

    def _steps_end(self) -> None:
        """What follows plain steps counts on from them; numbered ones start anew."""
        if self._paragraphs == 0:
            self._paragraphs = self._steps
        self._steps = 0

    def _begin(self, entry: _Entry) -> _Entry:
        last = self.entries[-1] if self.entries else None
        if last is not None:
            self._panel_cuts(last)
        entry.panels.extend(self.waiting)
        self.waiting.clear()
        self.entries.append(entry)
        return entry

    def _fill(self, entry: _Entry, html: str) -> None:
        entry.matter.append(f"{html}\n")
        entry.has_text = True
