"""The files of a module or of the scheme as text and bytes, with every problem of their writing.

Text is taken in one form whatever machine it was saved on: UTF-8, no byte order mark, lines ended
by a line feed alone, Unicode in NFC. So the same lesson has the same edition everywhere. A file
that is not what it should be is a finding with its place and is left out; nothing here raises.
"""

from __future__ import annotations

import codecs
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from trainer.findings import Finding
from trainer.library.problems import finding, problem
from trainer.library.sanitise import FIGURE_NAME

LARGEST_TEXT = 256 * 1024
LARGEST_BINARY = 1024 * 1024
MOST_FILES = 400
MOST_UNSEEN = 10

NOT_UTF8 = problem(
    "LIB-011", "The file is not UTF-8: {why}.", "Save it as UTF-8, the usual form of plain text."
)
NUL = problem("LIB-012", "The file holds a zero byte.", "Restore it: it was damaged or is no text.")
UNSEEN = problem("LIB-013", "The unseen character {shown} stands in the text.", "Delete it.")
TOO_LARGE = problem("LIB-014", "The file has {size} bytes; {most} is the most.", "Cut it in parts.")
UNREADABLE = problem("LIB-015", "The file cannot be read: {why}.", "Look at its rights and disk.")
LINK = problem("LIB-016", "'{text}' is a link that leads out of the folder.", "Copy the file here.")
NOT_READ = problem(
    "LIB-017",
    "The file '{text}' is not read: nothing in this folder has such a name.",
    "Lessons are called 01-title.md; pictures lie in figures/, columns in data/.",
)
TOO_MANY = problem(
    "LIB-018", "There are more than {most} files here.", "Make several modules of it."
)

_MARKS = {
    codecs.BOM_UTF32_LE: "it is UTF-32",
    codecs.BOM_UTF32_BE: "it is UTF-32",
    codecs.BOM_UTF16_LE: "it is UTF-16",
    codecs.BOM_UTF16_BE: "it is UTF-16",
}
# Signs nobody sees that change how the text around them reads, and signs for private use.
_UNSEEN = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200b\u200e\u200f\u2028-\u202e\u2060-\u2069\ufeff\ufff9-\ufffc"
    r"\ue000-\uf8ff\U000f0000-\U0010ffff]"
)
MODULE_FILES = re.compile(
    rf"module\.md|exercises\.md|\d\d-[a-z0-9-]+\.md|cases/[a-z0-9-]+\.md|figures/{FIGURE_NAME}"
    r"|data/[A-Za-z0-9_-]+\.csv"
)
_BINARY = (".png", ".jpg", ".jpeg")
_IGNORED = re.compile(
    r"(?:^|/)(?:\.|~|#)|~$|\.(?:bak|orig|swp|tmp)$|(?:^|/)(?:Thumbs\.db|README\.md)$"
)


@dataclass(slots=True)
class Sources:
    """Files by their path inside the folder: text in its one form, the rest as bytes."""

    files: dict[str, str] = field(default_factory=dict)
    binary: dict[str, bytes] = field(default_factory=dict)


def decode(content: bytes, *, file: str) -> tuple[str | None, tuple[Finding, ...]]:
    """The text of a file in its one form, or what keeps it from being text."""
    if len(content) > LARGEST_TEXT:
        return None, (finding(TOO_LARGE, file, 0, size=len(content), most=LARGEST_TEXT),)
    for mark, why in _MARKS.items():
        if content.startswith(mark):
            return None, (finding(NOT_UTF8, file, 1, 1, why=why),)
    zero = content.find(b"\x00")
    if zero >= 0:
        return None, (finding(NUL, file, *_place(content, zero)),)
    try:
        text = content.removeprefix(codecs.BOM_UTF8).decode("utf-8")
    except UnicodeDecodeError as fault:
        start = fault.start + (3 if content.startswith(codecs.BOM_UTF8) else 0)
        is_cut = "unexpected end" in fault.reason
        why = "it is cut off" if is_cut else f"byte {content[start]:#04x}"
        return None, (finding(NOT_UTF8, file, *_place(content, start), why=why),)
    text = unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\r", "\n"))
    return text, tuple(_unseen(text, file))


def read_folder(
    folder: Path, *, base: str, names: re.Pattern[str]
) -> tuple[Sources, list[Finding]]:
    """Every file of a folder whose path inside it fits ``names``.

    Args:
        folder: the folder.
        base: what findings put before a file's path, such as ``modules/M03/``.
        names: paths that are read; other files are a remark.
    """
    sources = Sources()
    findings: list[Finding] = []
    for number, (path, name) in enumerate(_walk(folder, folder, findings, base)):
        file = base + name
        if number >= MOST_FILES:
            findings.append(finding(TOO_MANY, base.rstrip("/"), 0, most=MOST_FILES))
            break
        if not names.fullmatch(name):
            findings.append(finding(NOT_READ, file, 0, severity="remark", text=name))
            continue
        content = read_bytes(path, file=file, findings=findings)
        if content is None:
            continue
        if name.lower().endswith(_BINARY):
            sources.binary[name] = content
            continue
        text, problems = decode(content, file=file)
        findings.extend(problems)
        if text is not None:
            sources.files[name] = text
    return sources, findings


def read_bytes(path: Path, *, file: str, findings: list[Finding]) -> bytes | None:
    """The bytes of a file that is not too large; None with a finding where they cannot be had."""
    try:
        size = path.stat().st_size
        if size > LARGEST_BINARY:
            findings.append(finding(TOO_LARGE, file, 0, size=size, most=LARGEST_BINARY))
            return None
        return path.read_bytes()
    except OSError as fault:
        findings.append(finding(UNREADABLE, file, 0, why=fault.strerror or "no reason given"))
        return None


def _walk(
    folder: Path, root: Path, findings: list[Finding], base: str
) -> Iterator[tuple[Path, str]]:
    """Files below a folder in the order of their names, two levels deep; links out are refused."""
    try:
        inside = root.resolve(strict=True)
        entries = sorted(folder.iterdir(), key=lambda entry: entry.name)
    except OSError as fault:
        findings.append(finding(UNREADABLE, base.rstrip("/"), 0, why=fault.strerror or "fault"))
        return
    for entry in entries:
        name = entry.relative_to(root).as_posix()
        if _IGNORED.search(name):
            continue
        if entry.is_symlink() and not _stays_inside(entry, inside):
            findings.append(finding(LINK, base + name, 0, text=name))
        elif entry.is_dir():
            if folder == root:
                yield from _walk(entry, root, findings, base)
        elif entry.is_file():
            yield entry, name


def _stays_inside(link: Path, inside: Path) -> bool:
    try:
        return link.resolve(strict=True).is_relative_to(inside)
    except (OSError, RuntimeError):  # a link to nothing, or in a circle
        return False


def _place(content: bytes, at: int) -> tuple[int, int]:
    """Line and column of a byte; the column counts characters, as an editor does."""
    before = content[:at].replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    line = before.rsplit(b"\n", 1)[-1].removeprefix(codecs.BOM_UTF8)
    return before.count(b"\n") + 1, len(line.decode("utf-8", "replace")) + 1


def _unseen(text: str, file: str) -> Iterator[Finding]:
    for number, found in enumerate(_UNSEEN.finditer(text)):
        if number >= MOST_UNSEEN:
            return
        at = found.start()
        line, column = text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
        yield finding(UNSEEN, file, line, column, shown=f"U+{ord(found.group()):04X}")
