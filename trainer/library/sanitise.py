"""The one allow-list through which every line of HTML and MathML of a lesson passes.

Whatever an author wrote, a page of ours holds only the tags, attributes and values named here:
numbered paragraphs, signal panels, figures by name, slots for sheets, plain prose and formulas. No
script, style, form, frame or foreign address is on the list, so none can come out. ``clean`` is
idempotent: its result, cleaned again, is itself. Figure files (SVG) have a list of their own in
``svg``.
"""

from __future__ import annotations

import re
from functools import lru_cache
from html import escape

import nh3


def words(text: str) -> frozenset[str]:
    """A list written as one text, which is easier to read than a word in quotes each."""
    return frozenset(text.split())


PROSE_TAGS = words(
    "p h2 h3 strong em code pre ul ol li dl dt dd table thead tbody tr th td blockquote sup a br"
)
FRAME_TAGS = words("div span small b aside figure figcaption picture source img svg path")
MATH_TAGS = words(
    "math mrow mi mo mn mtext mspace mfrac msqrt mroot msub msup msubsup munder mover munderover"
)
TAGS = PROSE_TAGS | FRAME_TAGS | MATH_TAGS

CLASSES: dict[str, frozenset[str]] = {
    "ol": words("steps"),
    "div": words(
        "matter slot cell formula signal danger warning caution notice safety",
    ),
    "span": words("no part unseen num keep"),
    "p": words("word"),
    "aside": words("aside"),
    "figure": words("plate"),
    "table": words("values"),
    "td": words("v mid"),
    "th": words("v mid"),
    "a": words("act"),
    "path": words("tri bang"),
}
TRIANGLE = "M12 2.5 22.6 21H1.4Z"
BANG = "M10.8 8.5h2.4l-.5 6.6h-1.4zM10.9 16.6h2.2v2.2h-2.2z"
NARROW_SCREEN = "screen and (max-width: 52rem)"  # where look.css turns to its narrow form

ANCHOR = r"p\d{1,3}(?:-\d{1,3})?"
FOOTNOTE = r"fn(?:ref\d{0,2})?-\d{1,3}"
FIGURE_NAME = r"[A-Za-z0-9][A-Za-z0-9_-]*(?:\.[A-Za-z0-9_-]+)*\.(?:svg|png|jpg|jpeg)"
_IDENT = rf"(?:{ANCHOR}|{FOOTNOTE}|caution-[A-Za-z0-9-]{{1,40}})"
_PAPER = r"/lesson/M\d{2}-L\d{1,3}(?:#p\d{1,3}(?:-\d{1,3})?)?|/sheet/M\d{2}-E\d{1,3}"

VALUES: dict[str, re.Pattern[str]] = {
    name: re.compile(pattern)
    for name, pattern in {
        "id": _IDENT,
        "aria-labelledby": _IDENT,
        "aria-label": r"[^<>]{1,200}",
        "aria-hidden": "true",
        "focusable": "false",
        "role": "note",
        "href": rf"#(?:{ANCHOR}|{FOOTNOTE})|{_PAPER}",
        "data-sheet": r"M\d{2}-E\d{1,3}",
        "src": rf"figure:{FIGURE_NAME}",
        "srcset": rf"figure:{FIGURE_NAME}",
        "media": re.escape(NARROW_SCREEN),
        "alt": r"[\s\S]{0,600}",
        "width": r"\d{1,4}",
        "height": r"\d{1,4}",
        "start": r"\d{1,4}",
        "viewBox": "0 0 24 24",
        "d": f"{re.escape(TRIANGLE)}|{re.escape(BANG)}",
        "display": "block|inline",
        "alttext": r"[\s\S]{0,2000}",
        "mathvariant": "normal",
        "stretchy": "true|false",
        "fence": "true|false",
        "accent": "true|false",
        "form": "prefix|postfix|infix",
    }.items()
}
ATTRIBUTES: dict[str, set[str]] = {
    "*": {"id"},
    "div": {"aria-labelledby", "role"},
    "aside": {"aria-label", "role"},
    "a": {"href", "data-sheet", "aria-label"},
    "img": {"src", "alt", "width", "height"},
    "source": {"media", "srcset"},
    "ol": {"start"},
    "svg": {"viewBox", "aria-hidden", "focusable"},
    "path": {"d"},
    "math": {"display", "alttext"},
    "mi": {"mathvariant"},
    "mo": {"stretchy", "fence", "form", "accent"},
    "mover": {"accent"},
    "mspace": {"width"},
}
for _tag in CLASSES:
    ATTRIBUTES.setdefault(_tag, set()).add("class")

_SPACE_WIDTH = re.compile(r"\d(?:\.\d{1,3})?em")
# Dropped with all they hold; any other tag not on the list goes, and its words stay.
_WITH_CONTENT = words("script style template iframe object noscript title textarea")
_ROUNDS = 6


def _value(tag: str, attribute: str, value: str) -> str | None:
    """The attribute's value as it may stand in a page, or None where it may not."""
    if attribute == "class":
        allowed = CLASSES.get(tag, frozenset())
        kept = [word for word in value.split() if word in allowed]
        return " ".join(dict.fromkeys(kept)) or None
    if tag == "mspace" and attribute == "width":
        return value if _SPACE_WIDTH.fullmatch(value) else None
    pattern = VALUES.get(attribute)
    return value if pattern is not None and pattern.fullmatch(value) else None


@lru_cache(maxsize=1)
def _cleaner() -> nh3.Cleaner:
    return nh3.Cleaner(
        tags=set(TAGS),
        clean_content_tags=set(_WITH_CONTENT),
        attributes={tag: set(names) for tag, names in ATTRIBUTES.items()},
        attribute_filter=_value,
        strip_comments=True,
        link_rel=None,
        url_schemes={"figure"},
    )


def clean(html: str) -> str:
    """Return the HTML with nothing in it but what the allow-list names.

    A parser may settle broken nesting only in a second reading, so the text is read until it no
    longer changes; a text that never settles is shown as text. So cleaning twice is cleaning once.

    Example:
        >>> clean('<p onclick="x()">dose<script>x()</script></p>')
        '<p>dose</p>'
    """
    cleaner = _cleaner()
    for _ in range(_ROUNDS):
        again = cleaner.clean(html)
        if again == html:
            return html
        html = again
    return clean_text(html)


def clean_text(text: str) -> str:
    """Plain text as HTML text.

    Example:
        >>> clean_text('a < b')
        'a &lt; b'
    """
    return escape(text, quote=False)
