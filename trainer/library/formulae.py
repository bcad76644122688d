"""Formulas of a lesson: LaTeX in, MathML out, with the same formula in plain text beside it.

Only what ``latex`` has read and found good reaches the converter, and what comes out of it passes
the allow-list of ``sanitise`` like everything else.
"""

from __future__ import annotations

import re
from functools import lru_cache

from latex2mathml.converter import convert

from trainer.errors import InputError
from trainer.library.latex import LOOSE, in_words
from trainer.library.sanitise import clean

_HEAD = re.compile(r"<math[^>]*>")


@lru_cache(maxsize=2048)
def to_mathml(latex: str, *, block: bool = False, said: str = "") -> str:
    r"""One formula as clean MathML; ``said`` replaces the text alternative made from the LaTeX.

    Raises:
        InputError: LIB-301 to LIB-306, with ``column`` among the fields.

    Example:
        >>> to_mathml(r'z^2')
        '<math display="inline" alttext="z^2"><mrow><msup><mi>z</mi><mn>2</mn></msup></mrow></math>'
    """
    words = said or in_words(latex)
    try:
        converted = convert(latex)
    except (ArithmeticError, AttributeError, LookupError, RecursionError, ValueError) as fault:
        raise _refused(latex) from fault
    except Exception as fault:
        # The converter's own errors share no root but Exception; any other kind is a fault of ours.
        if type(fault).__module__ != "latex2mathml.exceptions":
            raise
        raise _refused(latex) from fault
    body = _HEAD.sub("", converted.strip(), count=1)
    display = "block" if block else "inline"
    alternative = words.replace("&", "&amp;").replace('"', "&quot;").replace("<", "&lt;")
    return clean(f'<math display="{display}" alttext="{alternative}">{body}')


def _refused(latex: str) -> InputError:
    return InputError(LOOSE, text=latex[:40], cure="Write it in a plainer way.", column=1)
