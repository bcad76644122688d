"""Formulas: said in words worked out by hand, refused with their place, set as MathML."""

from __future__ import annotations

import re
from xml.etree.ElementTree import fromstring

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from trainer.errors import InputError
from trainer.library import formulae
from trainer.library.formulae import to_mathml
from trainer.library.latex import COMMANDS, DEEPEST, LONGEST, in_words
from trainer.library.sanitise import MATH_TAGS, clean


@pytest.mark.parametrize(
    ("latex", "words"),
    [
        (r"t = z + \frac{m}{q}", "t = z + m / q"),
        (r"\frac{84 + 30}{28 + 7} = \frac{114}{35}", "(84 + 30) / (28 + 7) = 114 / 35"),
        (r"51\,050 - 41\,200 = 9\,850 \text{ doses}", "51 050 - 41 200 = 9 850 doses"),
        (r"4.2 \times \frac{6}{7} = 3.6 \text{ kg/day}", "4.2 × 6 / 7 = 3.6 kg/day"),
        (r"\sqrt{a + b}", "root of (a + b)"),
        (r"\sqrt[3]{V}", "3-th root of V"),
        (r"x_1^2 + y_{max}", "x_1^2 + y_max"),
        (r"\bar{x} \approx \hat x", "x bar ≈ x hat"),
        (r"\left( \frac{d}{2} \right)^2", "( d / 2 )^2"),
        (r"\left. x \right|", "x |"),
        (r"20\,^\circ\text{C}", "20 °C"),
        (r"\Delta\theta = 40\,\mathrm{K}", "Δθ = 40 K"),
        (r"\sum_{i=1}^{n} x_i", "Σ_(i=1)^n x_i"),
        (r"\ln 2 \le 5\,\%", "ln 2 ≤ 5 %"),
        (r"12{,}5", "12,5"),
        (r"\frac12", "1 / 2"),
        (r"{}^2", "^2"),
        (r"\text{5\% of it}", "5% of it"),
        ("x'", "x'"),
    ],
)
def test_a_formula_is_said_in_one_line(latex: str, words: str) -> None:
    assert in_words(latex) == words
    set_ = to_mathml(latex)
    assert set_.startswith("<math ")
    assert clean(set_) == set_


@pytest.mark.parametrize(
    ("latex", "code", "column"),
    [
        ("", "LIB-301", 1),
        ("  \n", "LIB-301", 1),
        ("x" * (LONGEST + 1), "LIB-302", 1),
        ("{" * (DEEPEST + 1) + "}" * (DEEPEST + 1), "LIB-303", DEEPEST + 2),
        (r"\frac" * (DEEPEST + 2), "LIB-303", 5 * (DEEPEST + 1) + 1),
        (r"a + \colour{red}", "LIB-304", 5),
        (r"\href{javascript:x}{y}", "LIB-304", 1),
        (r"\def\a{\a}", "LIB-304", 1),
        (r"\begin{matrix}a\end{matrix}", "LIB-304", 1),
        (r"\input{/etc/passwd}", "LIB-304", 1),
        ("a & b", "LIB-305", 3),
        ("5 %", "LIB-305", 3),
        ("a $ b", "LIB-305", 3),
        ('a " b', "LIB-305", 3),
        ("a\x00b", "LIB-305", 2),
        ("a\u202eb", "LIB-305", 2),
        ("a + }", "LIB-305", 5),
        ("x_1_2", "LIB-305", 4),
        (r"\text{a <b> c}", "LIB-305", 9),
        (r"\text{a \frac}", "LIB-305", 9),
        (r"\right)", "LIB-305", 1),
        ("\\", "LIB-305", 1),
        (r"\frac{a}", "LIB-306", 9),
        (r"\frac{a", "LIB-306", 8),
        ("x_", "LIB-306", 3),
        ("x^}", "LIB-306", 3),
        (r"\sqrt", "LIB-306", 6),
        (r"\text x", "LIB-306", 7),
        (r"\text{x", "LIB-306", 8),
        (r"\left x", "LIB-306", 7),
        (r"\left( x", "LIB-306", 9),
    ],
)
def test_what_is_not_on_the_list_is_refused_at_its_place(
    latex: str, code: str, column: int
) -> None:
    with pytest.raises(InputError) as refused:
        to_mathml(latex)
    assert (refused.value.code, refused.value.fields["column"]) == (code, column)
    assert refused.value.cure
    assert "\x00" not in str(refused.value)


def test_a_mistyped_command_is_offered_its_neighbour() -> None:
    with pytest.raises(InputError) as refused:
        in_words(r"\aprox")
    assert refused.value.cure == r"Did you mean '\approx'?"


def test_words_given_by_the_author_are_said_instead() -> None:
    said = 'the "lag" & <more>'
    assert 'alttext="the &quot;lag&quot; &amp; &lt;more&gt;"' in to_mathml("z", said=said)


def test_a_block_is_set_as_a_block() -> None:
    assert to_mathml("z", block=True) == (
        '<math display="block" alttext="z"><mrow><mi>z</mi></mrow></math>'
    )


@pytest.mark.parametrize("command", sorted(COMMANDS - {"left", "right"}))
def test_every_command_on_the_list_is_known_to_the_converter(command: str) -> None:
    needs = {"frac": "{a}{b}", "dfrac": "{a}{b}", "tfrac": "{a}{b}", "text": "{a}", "mathrm": "{a}"}
    latex = f"\\{command}{needs.get(command, ' {a}')}"
    assert f"\\{command}" not in re.sub(r'alttext="[^"]*"', "", to_mathml(latex))


def test_a_fault_of_the_converter_is_a_refusal(monkeypatch: pytest.MonkeyPatch) -> None:
    class Failed(Exception):  # noqa: N818 - as the converter names its own
        pass

    def fail(latex: str) -> str:
        raise Failed

    monkeypatch.setattr(formulae, "convert", fail)
    with pytest.raises(Failed):
        to_mathml("a + b + 1")
    Failed.__module__ = "latex2mathml.exceptions"
    with pytest.raises(InputError) as refused:
        to_mathml("a + b + 2")
    assert refused.value.code == "LIB-305"


TOKENS = st.sampled_from(
    [*(f"\\{command}" for command in sorted(COMMANDS)), *"{}{}{}()[]_^ abx12+=-/,.'<>|", r"\left("]
)


def set_or_refused(latex: str) -> str:
    try:
        return to_mathml(latex)
    except InputError as fault:
        column = int(str(fault.fields["column"]))
    assert 1 <= column <= len(latex) + 1
    return ""


@given(st.lists(TOKENS, max_size=20).map("".join))
def test_any_formula_is_set_soundly_or_refused(latex: str) -> None:
    html = set_or_refused(latex)
    if not html:
        return
    assert clean(html) == html
    tree = fromstring(html.replace("&nbsp;", " "))  # noqa: S314 - our own output
    assert {element.tag for element in tree.iter()} <= MATH_TAGS
    two = ("mfrac", "mroot", "msub", "msup", "mover", "munder")
    for element in tree.iter():
        assert element.tag not in two or len(element) == 2, html
        assert element.tag not in {"msubsup", "munderover"} or len(element) == 3, html


@given(st.text(max_size=60))
def test_any_text_is_a_formula_or_refused(latex: str) -> None:
    html = set_or_refused(latex)
    assert clean(html) == html
