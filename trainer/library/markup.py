"""Lesson text and short texts to safe HTML: the door through which the other rooms come.

Importing this costs next to nothing: Markdown and the formula converter are imported when a text
first needs them, which serving stored pages never does.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from trainer.findings import Finding
from trainer.library.catalogue import Caution
from trainer.library.desk import Context
from trainer.library.figures import page_html
from trainer.library.sanitise import clean, clean_text

__all__ = ["Context", "Rendered", "inline", "page_html", "render", "short"]

# A line that means only itself: no sign of Markdown or HTML, none of a list or quote at its front.
_PLAIN_LINE = re.compile(
    r"(?![-+:=#~\s]|\d+[.)])[^*_`\[\]<>&\\|{}^\x00-\x1f\x7f-\xa0\ue000-\uf8ff]+(?<!\s)"
)


@dataclass(frozen=True, slots=True)
class Rendered:
    """What one lesson's text gave."""

    html: str
    findings: tuple[Finding, ...]
    exercises: tuple[str, ...] = ()  # ids placed, in order
    paragraphs: tuple[tuple[str, str], ...] = ()  # (anchor, number as printed)
    cautions: tuple[str, ...] = ()  # ids shown, in order
    safety: tuple[str, ...] = ()  # panels and marked steps, in order
    own_cautions: tuple[Caution, ...] = ()  # panels written in the lesson itself
    papers: tuple[tuple[str, int, int], ...] = ()  # lessons and sheets linked to, with their places
    words: int = 0


def render(text: str, *, file: str, line: int = 1, context: Context | None = None) -> Rendered:
    """Render the text of a lesson, without its header; never raises for what an author wrote.

    Args:
        text: the lesson's Markdown.
        file: the file's name, for the findings.
        line: the number of the text's first line in that file.
        context: the module around it; an empty one knows no caution, figure or exercise.
    """
    from trainer.library.lesson import render_lesson  # noqa: PLC0415 - it brings Markdown

    return render_lesson(text, file=file, line=line, context=context or Context())


@lru_cache(maxsize=8192)
def short(text: str) -> str:
    """Render a situation, a remark or a working: Markdown without headings, blocks, links, figures.

    Example:
        >>> short('The chute gives 3.8 g/s.')
        '<p>The chute gives 3.8 g/s.</p>'
    """
    if is_plain(text):
        paragraphs = re.split(r"\n{2,}", text.strip("\n"))
        return "\n".join(f"<p>{clean_text(part)}</p>" for part in paragraphs if part)
    from trainer.library.lesson import render_short  # noqa: PLC0415 - it brings Markdown

    return clean(render_short(text))


def is_plain(text: str) -> bool:
    """Whether a text holds no sign that Markdown or HTML would read as anything but itself."""
    return all(not line or _PLAIN_LINE.fullmatch(line) for line in text.strip("\n").split("\n"))


def inline(text: str) -> str:
    """A short text of one paragraph without the paragraph's tags, for a label or a table cell.

    Example:
        >>> inline('Wait for *standstill*.')
        'Wait for <em>standstill</em>.'
    """
    html = short(text)
    if html.count("<p>") == 1 and html.startswith("<p>") and html.endswith("</p>"):
        return html[3:-4]
    return html
