"""The answer reader under fuzzing: what must hold for every text whatsoever.

Run at length with the coverage-guided fuzzer, where it is installed (``pip install atheris``):

    python tests/fuzz/answer_target.py tests/fuzz/corpus/answer -max_len=100 -runs=1000000

Inputs that once failed stand in ``regress/answer`` and, with the corpus, are run by every test run.
"""

from __future__ import annotations

import importlib
import re
import sys
from decimal import Decimal

from trainer.engine.answer import read
from trainer.engine.answer_numbers import plain_signs
from trainer.engine.outcome import Reading
from trainer.maths.units import Unit, parse_unit

UNITS: tuple[Unit, ...] = tuple(
    parse_unit(text)
    for text in ("s", "kg", "g/s", "%", "", "degC", "K", "lock", "um/mark", "m3/h", "money/kg", "h")
)
PLAUSIBLE = (None, (Decimal(1), Decimal(10)), (Decimal(500), Decimal(5000)))
_NUMBER_ALONE = re.compile(r"[+-]? ?[\d.,' ]+", re.ASCII)


def run(data: bytes) -> Reading | None:
    """Read the bytes as an answer (the first chooses unit and span); hold every promise to it."""
    if not data:
        return None
    choice, text = data[0], data[1:].decode("utf-8", "replace")
    unit = UNITS[choice % len(UNITS)]
    plausible = PLAUSIBLE[choice // len(UNITS) % len(PLAUSIBLE)]
    in_check = choice >= 128
    reading = read(text, unit, plausible=plausible, in_check=in_check)
    assert reading.text == text
    if reading.blank:
        assert not text.strip()
    elif reading.value is None:
        assert reading.problem
        assert len(reading.problem) < 500
    else:
        assert reading.value.is_finite()
        assert bool(reading.problem) == reading.asks
        if in_check:
            assert not reading.asks
        _same_digits(text, reading.value)
        again = read(f"{reading.value:f}", unit)
        assert again.problem or again.value == reading.value
    return reading


def _same_digits(text: str, value: Decimal) -> None:
    """A number without unit, power or fraction: its own digits, the point at one of its signs."""
    plain = plain_signs(text).removesuffix(".").strip()
    if not _NUMBER_ALONE.fullmatch(plain):
        return
    digits = re.sub(r"\D", "", plain)
    assert int(digits) == int("".join(map(str, value.as_tuple().digits)))
    tail = re.split(r"[.,' ]", plain)[-1]
    assert -_exponent(value) in {0, len(tail)}
    if _exponent(value) == 0 and re.search(r"[.,' ]\d", plain.lstrip("+- ")):
        assert len(tail) == 3, "a separator was taken for grouping without three digits after it"


def _exponent(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    assert isinstance(exponent, int)
    return exponent


def main() -> None:
    """Run the coverage-guided fuzzer with the arguments of the command line."""
    atheris = importlib.import_module("atheris")  # not among the project's requirements

    def target(data: bytes) -> None:
        run(data)

    atheris.instrument_all()
    atheris.Setup(sys.argv, target)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
