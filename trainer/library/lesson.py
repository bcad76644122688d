"""One lesson's text, read and set: blocks, headings and prose in the author's order.

Blocks (``blocks``) and headings leave a mark each in the Markdown (``draft``); the Markdown is read
once as a whole, so that footnotes and references reach across it (``prose``); then the parts are
laid on the page (``page``) in their order. What an author may write stands in ``page`` for
paragraphs, in ``blocks`` and ``steps`` for the fenced blocks, in ``prose`` for the text between.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from trainer.engine.hazard_words import spoken_of
from trainer.findings import Finding, Severity
from trainer.library.desk import Context, Desk, bounded
from trainer.library.draft import DEEPEST, TOO_DEEP, Draft, depth
from trainer.library.fences import Fence, split
from trainer.library.figures import plate
from trainer.library.markup import Rendered, is_plain
from trainer.library.page import Page
from trainer.library.parts import MARK, MARK_CLOSE, MARK_OPEN, Part
from trainer.library.places import Trouble, troubles_with_places
from trainer.library.problems import did_you_mean, finding, problem
from trainer.library.prose import read_prose
from trainer.library.sanitise import clean, clean_text

FEWEST_WORDS, MOST_WORDS = 400, 1000
LONGEST = 128 * 1024

EMPTY = problem("LIB-211", "The lesson has no text.", "Write it below the header.")
TOO_LONG = problem(
    "LIB-212", "The lesson has {size} characters.", "Make two or more lessons of it."
)
WORDS = problem(
    "LIB-214",
    "The lesson has {words} words.",
    "A lesson of {fewest} to {most} words is read in one go.",
)
SWALLOWED = problem(
    "LIB-228",
    "This heading or block is swallowed by the text above it.",
    "Leave an empty line before it, and end the list or note above.",
)
LATE_CAUTION = problem(
    "LIB-229",
    "The last caution stands after everything it could guard.",
    "Put it before the step or paragraph it is about.",
)
NO_PARAGRAPH = problem("LIB-230", "There is no paragraph '{text}' in this lesson.", "{cure}")
LOST_FIGURE = problem("LIB-207", "There is no file '{text}' in figures/.", "{cure}")
UNUSED_NOTE = problem(
    "LIB-208", "Nothing calls the footnote '{text}'.", "Write [^{text}] or drop it."
)
SPEAKS = problem(
    "LIB-261",
    "The lesson speaks of '{text}' and shows no caution {about}.",
    "Declare the hazard in the header, hazards = ['H01'], or place a caution block.",
)

_WORD = re.compile(r"[^\W_][\w’'.,-]*")


def render_lesson(text: str, *, file: str, line: int, context: Context) -> Rendered:
    """Read and set one lesson; see ``markup.render``."""
    desk = Desk(context, file)
    text = text.replace(MARK_OPEN, "").replace(MARK_CLOSE, "")
    if len(text) > LONGEST:
        desk.note(TOO_LONG, line, 1, size=len(text))
        return Rendered("", bounded(desk.findings))
    draft = Draft(desk)
    for part in split(text, line=line):
        if isinstance(part, Fence):
            draft.fence(part)
        else:
            draft.prose(part)
    if draft.is_too_deep:
        return Rendered("", bounded(desk.findings))
    page = Page()
    for name in context.hazards:
        if name in context.cautions and name not in desk.placed:
            page.panel(context.cautions[name])
    papers = _set(draft, page, desk, text, line)
    if page.close():
        desk.note(LATE_CAUTION, draft.marks[-1][1] if draft.marks else line, 1, severity="remark")
    html = clean(MARK.sub("", page.html())) if page.entries else ""  # a swallowed mark is told
    words = sum(len(_WORD.findall(entry)) for _, entry in draft.spoken)
    _judge(page, draft, desk, line, words)
    return Rendered(
        html=html,
        findings=bounded(desk.findings),
        exercises=tuple(dict.fromkeys(page.exercises)),
        paragraphs=page.paragraphs(),
        cautions=tuple(page.cautions),
        safety=tuple(page.safety),
        own_cautions=tuple(desk.own_cautions.values()),
        papers=papers,
        words=words,
    )


def render_short(text: str) -> str:
    """The parts of a short text, one after the other, not yet through the allow-list."""
    text = text.replace(MARK_OPEN, "").replace(MARK_CLOSE, "")
    lines = text.split("\n")
    if len(text) > LONGEST or any(depth(entry) > DEEPEST for entry in lines):
        return f"<p>{clean_text(text)}</p>"
    try:
        return "\n".join(part.html for part in read_prose(text, dense=True).parts)
    except RecursionError:
        return f"<p>{clean_text(text)}</p>"


def judge_short(texts: Iterable[str], source: str, *, file: str, line: int) -> tuple[Finding, ...]:
    """What is wrong with the short texts of an exercise, looked up in its block.

    Args:
        texts: situation, working, remarks, options and acts.
        source: the body of the block.
        file: the file's name.
        line: the number of the body's first line.
    """
    findings: list[Finding] = []
    for text in texts:
        if is_plain(text):
            continue
        try:
            troubles = read_prose(text, dense=True).troubles
        except RecursionError:
            troubles = (Trouble(TOO_DEEP, text[:40]),)
        for one, row, column in troubles_with_places(troubles, source, line):
            findings.append(
                finding(
                    one.code,
                    file,
                    row,
                    column,
                    text=one.text,
                    message=one.message,
                    cure=one.cure,
                    deepest=DEEPEST,
                )
            )
    return bounded(findings)


def _set(
    draft: Draft, page: Page, desk: Desk, text: str, line: int
) -> tuple[tuple[str, int, int], ...]:
    """Lay every part on the page; give the papers linked to, with their places."""
    try:
        reading = read_prose("\n".join(draft.source))
    except RecursionError:
        desk.note(TOO_DEEP, line, 1, deepest=DEEPEST)
        return ()
    lost: list[Trouble] = []
    expected = 0
    for part in reading.parts:
        if part.mark is not None and part.mark < len(draft.marks):
            for _, missed in draft.marks[expected : part.mark]:
                desk.note(SWALLOWED, missed, 1)
            expected = part.mark + 1
            draft.marks[part.mark][0].place(page, part.html)
        elif part.figure is not None:
            lost.extend(_figure(part, page, desk))
        else:
            page.text(part.html)
        page.notes(part.notes)
    for _, missed in draft.marks[expected:]:
        desk.note(SWALLOWED, missed, 1)
    lost.extend(reading.troubles)
    for trouble, row, column in troubles_with_places(lost, text, line):
        desk.note(
            trouble.code, row, column, text=trouble.text, message=trouble.message, cure=trouble.cure
        )
    for name in reading.unused_notes:
        unused = [Trouble(UNUSED_NOTE, f"[^{name}]:")]
        for _, row, column in troubles_with_places(unused, text, line):
            desk.note(UNUSED_NOTE, row, column, severity="remark", text=name)
    return _papers(reading.papers, page, desk, text, line)


def _figure(part: Part, page: Page, desk: Desk) -> list[Trouble]:
    """A picture that stands alone in a paragraph, as a plate without a caption."""
    name, alt = part.figure or ("", "")
    figure = desk.context.figures.get(name)
    if figure is None:
        cure = did_you_mean(name, desk.context.figures, otherwise="Put the file there.")
        return [Trouble(LOST_FIGURE, name, cure=cure)]
    page.figures += 1
    page.thing(plate(figure, None, alt=alt, caption="", number=page.figures))
    return []


def _papers(
    papers: tuple[str, ...], page: Page, desk: Desk, text: str, line: int
) -> tuple[tuple[str, int, int], ...]:
    """Links to paragraphs are judged here; links to other papers are given on."""
    anchors = page.anchors()
    found = []
    links = [Trouble(NO_PARAGRAPH, target) for target in papers]
    for link, row, column in troubles_with_places(links, text, line):
        if not link.text.startswith("#"):
            found.append((link.text, row, column))
        elif link.text[1:] not in anchors:
            last = page.entries[-1].anchor if page.entries else "p1"
            cure = f"The last one is #{last}."
            desk.note(NO_PARAGRAPH, row, column, text=link.text, cure=cure)
    return tuple(found)


def _judge(page: Page, draft: Draft, desk: Desk, line: int, words: int) -> None:
    """What is wrong with the lesson as a whole."""
    if not page.entries:
        desk.note(EMPTY, line, 1)
        return
    if not FEWEST_WORDS <= words <= MOST_WORDS:
        desk.note(
            WORDS, line, 1, severity="remark", words=words, fewest=FEWEST_WORDS, most=MOST_WORDS
        )
    text = "\n".join(entry for _, entry in draft.spoken)
    for spoken in spoken_of(text):
        if spoken.about in page.guarded:
            continue
        row = text.count("\n", 0, spoken.at)
        column = spoken.at - (text.rfind("\n", 0, spoken.at) + 1) + 1
        about = f"about {spoken.about}" if page.cautions else "at all"
        severity: Severity = "remark" if page.cautions else "error"
        number = draft.spoken[row][0]
        desk.note(SPEAKS, number, column, severity=severity, text=spoken.word, about=about)
