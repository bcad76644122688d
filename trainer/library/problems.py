"""The findings of the library, a row each: code, sentence, cure; and the one way to make one.

The rows stand in the catalogue of ``trainer.errors`` beside the errors, so that the documents list
both from one place. A finding is never raised: all of them, of all files, are shown at once.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from trainer.errors import CATALOGUE, register
from trainer.findings import Finding, Severity

_SHOWN = 80  # characters of the author's text that a finding repeats


def problem(code: str, sentence: str, cure: str) -> str:
    """Register one row for trainers and return its code."""
    return register(code, sentence, cure, audience="trainer")


def finding(
    code: str,
    file: str,
    line: int,
    column: int = 0,
    *,
    severity: Severity = "error",
    text: str = "",
    **fields: object,
) -> Finding:
    """A finding whose sentence and cure are the row's, with the fields filled in."""
    row = CATALOGUE[code]
    shown = shortened(text)
    named = {"text": shown} | fields
    return Finding(
        file=file,
        line=line,
        column=column,
        severity=severity,
        code=code,
        message=row.sentence.format_map(named),
        cure=row.cure.format_map(named),
        text=shown,
    )


def shortened(text: str) -> str:
    """The author's text as a finding repeats it."""
    return text if len(text) <= _SHOWN else text[: _SHOWN - 1] + "…"


def did_you_mean(word: str, known: Iterable[str], *, otherwise: str = "") -> str:
    """A sentence that offers the nearest known word, else ``otherwise``.

    Example:
        >>> did_you_mean('tilte', ['title', 'needs'])
        "Did you mean 'title'?"
    """
    near = difflib.get_close_matches(word[:60], list(known), n=1, cutoff=0.6)
    return f"Did you mean '{near[0]}'?" if near else otherwise


def listed(words: Iterable[str]) -> str:
    """Words in one line, as a cure names them.

    Example:
        >>> listed(['a', 'b', 'c'])
        'a, b or c'
    """
    *first, last = list(words) or [""]
    return f"{', '.join(first)} or {last}" if first else last
