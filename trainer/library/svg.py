"""Figure files: an allow-list of their own, read as a stream, written anew.

A drawing may hold shapes, paths, text, gradients, patterns, markers and one sober style sheet. It
may not hold a script, an event, a link, a picture, foreign content, an animation, an entity, a
filter or anything fetched from elsewhere. What is not on the list is a finding with its line and is
not in the file that is served: that file is written anew from what was read, so no reader can see
more in it than this one did. ``read_svg`` of a served file gives the same file again.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html import escape
from xml.parsers import expat

from trainer.findings import Finding
from trainer.library.problems import did_you_mean, finding, problem
from trainer.library.sanitise import words

LONGEST = 128 * 1024
DEEPEST = 32
MOST_FINDINGS = 40
NAMESPACE = "http://www.w3.org/2000/svg"

NOT_XML = problem(
    "LIB-401", "The drawing cannot be read here: {why}.", "Save it again as plain SVG in UTF-8."
)
TOO_LARGE = problem(
    "LIB-402",
    "The drawing has {size} bytes.",
    "Keep a drawing under {most}: fewer points, no pictures.",
)
TAG = problem("LIB-403", "A drawing cannot hold '{text}'.", "{cure}")
ATTRIBUTE = problem("LIB-404", "'{text}' cannot stand at '{tag}'.", "{cure}")
VALUE = problem(
    "LIB-405",
    "The value '{text}' of '{name}' is refused.",
    "Refer only to parts of the same drawing, as url(#name); fetch nothing.",
)
STYLE = problem(
    "LIB-406",
    "The style sheet cannot hold '{text}'.",
    "Use plain properties, var(), and @media for night and print.",
)
ROOT = problem(
    "LIB-407",
    "The drawing does not begin as an SVG with a viewBox.",
    'Begin with <svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 640 240">.',
)


_TAGS = words("""
    svg g defs title desc style path rect circle ellipse line polyline polygon text tspan
    linearGradient radialGradient stop clipPath mask pattern marker
""")
_ATTRIBUTES = words("""
    id class d x y x1 y1 x2 y2 cx cy r rx ry fx fy dx dy width height points transform viewBox
    preserveAspectRatio fill fill-opacity fill-rule stroke stroke-width stroke-opacity
    stroke-dasharray stroke-dashoffset stroke-linecap stroke-linejoin stroke-miterlimit opacity
    color font-family font-size font-weight font-style text-anchor dominant-baseline
    alignment-baseline letter-spacing textLength lengthAdjust offset stop-color stop-opacity
    gradientUnits gradientTransform spreadMethod patternUnits patternContentUnits
    patternTransform clip-path clip-rule clipPathUnits mask maskUnits maskContentUnits
    marker-start marker-mid marker-end markerUnits markerWidth markerHeight refX refY orient
    vector-effect shape-rendering text-rendering paint-order overflow display visibility style
    role aria-label aria-labelledby aria-hidden xml:space version
""")
_CURES = {
    "script": "Leave it out: a figure does nothing, it shows.",
    "foreignObject": "Leave it out: write text as <text>.",
    "image": "Leave it out: draw with shapes, or ship the picture as a figure of its own.",
    "use": "Leave it out: repeat the shapes.",
    "a": "Leave it out: a figure holds no link.",
    "animate": "Leave it out: nothing moves on a sheet.",
    "set": "Leave it out: nothing moves on a sheet.",
}
_LOCAL = re.compile(r"url\(\s*#[A-Za-z_][\w.-]*\s*\)")
_FOREIGN = re.compile(r"url\s*\(|[\\<>]|javascript:|data:|//|expression|@import|&#", re.IGNORECASE)
_CALLS = words("""
    var rgb rgba hsl hsla calc min max clamp translate translateX translateY scale rotate skewX
    skewY matrix not is where nth-child nth-of-type and or media
""")
_LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ-"
_AT_RULE = re.compile(r"@[\w-]*")
_WHOLE = re.compile(r"-?\d+(?:\.\d+)?")


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing as it is served, and its size in its own units, rounded to whole ones."""

    text: str
    width: int
    height: int


@dataclass(slots=True)
class _Pass:
    """What one reading of a drawing has gathered so far."""

    file: str
    parser: expat.XMLParserType
    out: list[str] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    open_tags: list[str] = field(default_factory=list)
    dropped: int = 0  # how deep inside a refused tag
    style: list[str] = field(default_factory=list)
    size: tuple[int, int] | None = None

    def note(self, code: str, text: str, *, tag: str = "", name: str = "", cure: str = "") -> None:
        if len(self.findings) < MOST_FINDINGS:
            line, column = self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1
            self.findings.append(
                finding(code, self.file, line, column, text=text, tag=tag, name=name, cure=cure)
            )

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if self.dropped or len(self.open_tags) >= DEEPEST or tag not in _TAGS:
            if not self.dropped:
                otherwise = "Leave it out; save the drawing as plain SVG."
                cure = _CURES.get(tag) or did_you_mean(tag, _TAGS, otherwise=otherwise)
                self.note(TAG, tag, cure=cure)
            self.dropped += 1
            return
        if not self.open_tags:
            self.size = _size(attributes)
            if self.size is None or tag != "svg" or attributes.get("xmlns") != NAMESPACE:
                self.note(ROOT, tag)
                raise _StoppedError
        kept = [f' xmlns="{NAMESPACE}"'] if not self.open_tags else []
        for name, value in attributes.items():
            if self.keeps(tag, name, value):
                kept.append(f' {name}="{escape(value)}"')
        self.open_tags.append(tag)
        self.out.append(f"<{tag}{''.join(kept)}>")

    def keeps(self, tag: str, name: str, value: str) -> bool:
        """Whether this attribute may stay; a finding where not."""
        if name == "xmlns" and value == NAMESPACE and not self.open_tags:
            return False  # written by ``start``
        if name not in _ATTRIBUTES:
            cure = "Leave it out."
            if not name.lower().startswith("on"):
                cure = did_you_mean(name, _ATTRIBUTES, otherwise=cure)
            self.note(ATTRIBUTE, name, tag=tag, cure=cure)
            return False
        if name == "style" and (refused := _refused_in_style(value)):
            self.note(STYLE, refused)
            return False
        plain = _LOCAL.sub("", value)
        if name != "style" and (_FOREIGN.search(plain) or "http" in plain.lower()):
            self.note(VALUE, value, name=name)
            return False
        return True

    def end(self, tag: str) -> None:
        if self.dropped:
            self.dropped -= 1
            return
        if tag == "style":
            sheet = "".join(self.style)
            self.style.clear()
            refused = _refused_in_style(sheet)
            if refused:
                self.note(STYLE, refused)
            else:
                self.out.append(escape(sheet, quote=False))
        self.open_tags.pop()
        self.out.append(f"</{tag}>")

    def said(self, text: str) -> None:
        if self.dropped:
            return
        if self.open_tags and self.open_tags[-1] == "style":
            self.style.append(text)
        elif self.open_tags:
            self.out.append(escape(text, quote=False))

    def refuse_doctype(self, *_: object) -> None:
        self.note(TAG, "<!DOCTYPE", cure="Leave it out.")
        raise _StoppedError

    def refuse_instruction(self, target: str, _data: str) -> None:
        self.note(TAG, f"<?{target}", cure="Leave it out.")


class _StoppedError(Exception):
    """The reading ends here: what follows would only be guessed at."""


def read_svg(content: bytes, *, file: str) -> tuple[Drawing | None, tuple[Finding, ...]]:
    """One drawing, clean, and every finding; None where it cannot be read at all."""
    if len(content) > LONGEST:
        return None, (finding(TOO_LARGE, file, 0, size=len(content), most=LONGEST),)
    parser = expat.ParserCreate("UTF-8")
    parser.buffer_text = True
    reading = _Pass(file, parser)
    parser.StartElementHandler = reading.start
    parser.EndElementHandler = reading.end
    parser.CharacterDataHandler = reading.said
    parser.StartDoctypeDeclHandler = reading.refuse_doctype
    parser.ProcessingInstructionHandler = reading.refuse_instruction
    try:
        parser.Parse(content, True)  # noqa: FBT003 - expat takes it by place
    except _StoppedError:
        return None, tuple(reading.findings)
    except expat.ExpatError as fault:
        line, column = fault.lineno, fault.offset + 1
        broken = finding(NOT_XML, file, line, column, why=expat.ErrorString(fault.code))
        return None, (*reading.findings, broken)
    if reading.size is None:
        return None, tuple(reading.findings)
    width, height = reading.size
    return Drawing("".join(reading.out) + "\n", width, height), tuple(reading.findings)


def _refused_in_style(sheet: str) -> str:
    """What first may not stand in a style sheet or style value; empty when it is sound."""
    bare = _LOCAL.sub("", _without_comments(sheet))
    for rule in _AT_RULE.findall(bare):
        if rule.lower() != "@media":
            return str(rule)
    foreign = _FOREIGN.search(bare) or re.search("http|/[*]", bare, re.IGNORECASE)
    if foreign:
        return foreign.group()
    for before in bare.split("(")[:-1]:
        word = before.rstrip()
        call = word[len(word.rstrip(_LETTERS)) :]
        if call and call not in _CALLS:
            return f"{call}("
    return ""


def _without_comments(sheet: str) -> str:
    """The sheet with each comment made a space; one that is never closed stays, to be refused."""
    parts: list[str] = []
    at = 0
    while (opening := sheet.find("/*", at)) >= 0 and (
        closing := sheet.find("*/", opening + 2)
    ) >= 0:
        parts.append(sheet[at:opening])
        at = closing + 2
    return " ".join([*parts, sheet[at:]])


def _size(attributes: dict[str, str]) -> tuple[int, int] | None:
    """Width and height of the viewBox, rounded."""
    numbers = attributes.get("viewBox", "").replace(",", " ").split()
    if len(numbers) != 4 or not all(_WHOLE.fullmatch(number) for number in numbers):
        return None
    width, height = round(float(numbers[2])), round(float(numbers[3]))
    return (width, height) if 0 < width <= 9999 and 0 < height <= 9999 else None
