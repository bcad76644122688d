"""The working with the figures of a sheet, worked by hand."""

from __future__ import annotations

import pytest

from tests.engine import marking_blocks as blocks
from trainer.engine import worked
from trainer.engine.draw import draw_key_for
from trainer.engine.sheet import make


def test_symbols_then_figures_then_result() -> None:
    first, second = worked.lines(blocks.dose_time())
    assert (first.number, first.symbols, first.figures, first.result, first.is_find) == (
        1,
        "f = m / q",
        "= 18.0 g / 3.8 g/s",
        "4.737 s",
        False,
    )
    assert (second.number, second.symbols, second.figures, second.result, second.is_find) == (
        2,
        "t = z + f",
        "= 0.45 s + 4.737 s",
        "5.187 s",
        True,
    )
    assert second.what == "time to set for 18.0 g"


def test_the_authors_words_with_the_figures() -> None:
    assert worked.text(blocks.dose_time()) == (
        "Flow time: 18.0 g over 3.8 g/s is 4.737 s. Add the lag 0.45 s: the time to set is "
        "5.187 s.\n"
    )


def test_whole_things_stay_whole_and_a_safety_find_is_rounded_to_its_safe_side() -> None:
    assert [line.result for line in worked.lines(blocks.locks())] == ["6 locks"]
    # 3 * 2.5 + 8 = 15.5 s; a run-down of 4.5 s by 2 and 5: 14 s.
    assert worked.lines(blocks.standstill())[0].result == "14.00 s"
    text = blocks.STANDSTILL.replace("'k * t + m'", "'k * t / 3 + m'").replace(
        "value = 'k*t'", "value = 'k*t/3'"
    )
    # 2 * 4.5 / 3 + 5 = 8; 2 * 5 / 3 + 5 = 8.3333, and up: 8.334.
    assert worked.lines(blocks.sheet(text, t="5.0", k="2", m="5"))[0].result == "8.334 s"


def test_a_negative_figure_stands_in_brackets() -> None:
    text = """
id = 'M13-E5'
title = 'As found'
situation = 'Found =a=, left =b=.'
accept = 'within 0.02 g'
few_draws = 'a test'
worked = 'The change is =x=.'

[given]
a = { what = 'found', from = -1.5, to = 1.5, step = 0.5, unit = 'g' }
b = { what = 'left', from = -0.3, to = 0.3, step = 0.1, unit = 'g' }

[find]
x = { what = 'change', unit = 'g' }

[method]
x = 'a - b'
"""
    (line,) = worked.lines(blocks.sheet(text, a="1.0", b="-0.2"))
    assert line.figures == "= 1.0 g - (-0.2 g)"
    (line,) = worked.lines(blocks.sheet(text, a="-1.0", b="0.2"))
    assert line.figures == "= -1.0 g - 0.2 g"
    (line,) = worked.lines(blocks.sheet(text, a="1.0", b="0.2"))
    assert line.figures == "= 1.0 g - 0.2 g"


def test_a_line_that_is_one_figure_is_not_printed_twice() -> None:
    text = blocks.DOSE_TIME.replace("t = 'z + f'", "u = 'z + f'\nt = 'u'")
    sheet = blocks.sheet(text, m="18.0", q="3.8", z="0.45")
    last = worked.lines(sheet)[-1]
    assert (last.symbols, last.figures, last.result) == ("t = u", "", "5.187 s")


def test_a_catalogue_function_names_its_source() -> None:
    text = """
id = 'M03-E9'
title = 'Mean dose'
situation = 'The counter went up by =u= and =n=.'
accept = 'within 1 %'
worked = 'A dose holds =m=.'

[given]
u = { what = 'used', from = 2.0, to = 9.0, step = 0.1, unit = 'kg' }
n = { what = 'doses', from = 100, to = 500, step = 10, unit = 'dose' }

[find]
m = { what = 'mean dose', unit = 'g' }

[method]
m = 'mean_dose(u, n)'
"""
    (line,) = worked.lines(blocks.sheet(text, u="7.2", n="400"))
    # 7200 g over 400 doses are 18 g.
    assert (line.symbols, line.figures, line.result) == (
        "m = mean_dose(u, n)",
        "= mean_dose(7.2 kg, 400 doses)",
        "18.00 g",
    )
    assert line.source == "common practice, no source"


def test_shapes_beyond_those_kept_are_cut_each_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(worked, "_MOST_SHAPES", 0)
    for _ in range(2):
        assert worked.lines(blocks.dose_time())[0].figures == "= 18.0 g / 3.8 g/s"


def test_figures_cut_once_are_those_of_the_formula_itself() -> None:
    """The kept pieces give what the formula prints, for every draw and sign."""
    for text in (blocks.DOSE_TIME, blocks.STANDSTILL, blocks.LOCKS, blocks.CHAIN):
        exercise = blocks.exercise(text)
        for number in range(30):
            sheet = make(exercise, draw_key_for(exercise.hash, number))
            for line, of_method in zip(worked.lines(sheet), exercise.method, strict=True):
                assert line.figures == f"= {of_method.formula.figures(sheet.texts)}"
