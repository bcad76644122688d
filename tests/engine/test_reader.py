"""Reading a block: what is understood, and the findings that the broken files do not show."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from tests.engine.blocks import LAG, ORDER, PICK, exercise_of, findings_of
from trainer.engine.definition import Kind
from trainer.engine.reader import read_block, read_blocks_in
from trainer.engine.reader_accept import Refused, accept_of, plausible_of
from trainer.maths.units import parse_unit


def codes(text: str) -> set[str]:
    return {finding.code for finding in findings_of(text) if finding.severity == "error"}


def with_given(text: str) -> str:
    return LAG.replace("[find]", f"{text}\n\n[find]")


def test_the_sample_is_understood_whole() -> None:
    exercise = exercise_of(LAG)
    assert (exercise.id, exercise.kind, exercise.stakes) == (
        "M06-E2",
        Kind.CALCULATION,
        "quality",
    )
    assert exercise.shows == ("C09.3",)
    assert exercise.marks == 1
    m, _, z = exercise.givens
    assert (m.symbol, m.what, m.unit.symbol, m.places, m.shown) == (
        "m", "wanted dose", "g", 1, True,
    )  # fmt: skip
    assert m.values is not None
    assert len(m.values) == 141
    assert m.values.at(140) == Decimal("21.0")
    assert z.places == 2
    (find,) = exercise.finds
    assert (find.accept.kind, find.accept.value, find.plausible) == (
        "percent", Decimal(1), (Decimal(1), Decimal(10)),
    )  # fmt: skip
    assert [(line.symbol, line.unit.symbol) for line in exercise.method] == [("f", "s"), ("t", "s")]
    assert [(slip.name, slip.find) for slip in exercise.slips] == [
        ("lag left out", "t"),
        ("lag taken off", "t"),
    ]
    assert exercise.lines["find.t"] == (20, 1)
    assert exercise.lines["slips.1.value"] == (33, 1)


def test_pick_and_order_are_understood() -> None:
    pick = exercise_of(PICK)
    assert (pick.kind, pick.pick, [option.right for option in pick.options]) == (
        Kind.PICK, "one", [True, False, False],
    )  # fmt: skip
    order = exercise_of(ORDER)
    assert order.kind is Kind.ORDER
    assert [act.id for act in order.acts] == ["prove", "tell", "wait", "unplug"]
    assert (order.before[2].first, order.before[2].then, order.before[2].why) == (
        "wait", "prove", "A turning burr cuts.",
    )  # fmt: skip


def test_pick_all_with_several_right() -> None:
    block = PICK.replace("pick = 'one'", "pick = 'all'").replace(
        "text = 'exactly =c2='", "text = 'exactly =c2='\nright = true"
    )
    assert exercise_of(block).pick == "all"
    everything = block.replace("together'", "together'\nright = true")
    assert codes(everything) == {"ENG-271"}


def test_lines_and_columns_are_those_of_the_file() -> None:
    exercise, findings = read_block(LAG.replace("'quality'", "'high'"), file="a.md", line=101)
    assert exercise is None
    (finding,) = findings
    assert (finding.file, finding.line, finding.column) == ("a.md", 108, 10)
    exercise, _ = read_block(LAG, file="a.md", line=101)
    assert exercise is not None
    assert exercise.lines["id"] == (101, 1)


def test_the_hash_sees_values_and_their_order_but_not_spacing_or_comments() -> None:
    same = LAG.replace("\n[given]", "\n# a comment\n\n\n[given]").replace("= 7.0,", "=   7.0 ,")
    assert exercise_of(same).hash == exercise_of(LAG).hash
    assert exercise_of(LAG.replace("\n", "\r\n")).hash == exercise_of(LAG).hash
    lines = LAG.split("\n")
    at = lines.index("[given]")
    lines[at + 1], lines[at + 2] = lines[at + 2], lines[at + 1]
    assert exercise_of("\n".join(lines)).hash != exercise_of(LAG).hash
    assert exercise_of(LAG.replace("7.0", "7.00")).hash != exercise_of(LAG).hash
    assert exercise_of(LAG.replace("add the lag", "add it")).hash != exercise_of(LAG).hash


def test_blocks_are_found_in_a_lesson() -> None:
    lesson = (
        "# L\n\n````markdown\n```exercise\nid = 'not this'\n```\n````\n\n"
        "~~~exercise\nid = 'M01-E1'\n~~~\n\n```text\nexercise\n```\n```exercise\r\nid = 'M01-E2'\n"
    )
    assert read_blocks_in(lesson) == [("id = 'M01-E1'\n", 10), ("id = 'M01-E2'\n", 17)]


@pytest.mark.parametrize(
    ("text", "unit", "kind", "value"),
    [
        ("within 1 %", "s", "percent", "1"),
        ("within 0.05 s", "s", "absolute", "0.05"),
        ("within 50 ms", "s", "absolute", "0.05"),
        ("within 1 K", "degC", "absolute", "1"),
        ("within 0.5 %-points", "%", "points", "0.5"),
        ("within 1 %-point", "%", "points", "1"),
        ("within 2 dose", "dose", "absolute", "2"),
        ("within 0.5", "", "absolute", "0.5"),
        ("to 3 figures", "g", "figures", "3"),
        ("exact", "g", "exact", "0"),
        ("whole, rounded down", "dose", "whole down", "0"),
    ],
)
def test_tolerances(text: str, unit: str, kind: str, value: str) -> None:
    accept = accept_of(text, parse_unit(unit))
    assert (accept.kind, accept.value, accept.text) == (kind, Decimal(value), text)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("about 1 %", "s"),
        ("within", "s"),
        ("within 0 %", "s"),
        ("within -1 %", "s"),
        ("within 60 %", "s"),
        ("within 1 %-point", "s"),
        ("within 1 degC", "degC"),
        ("within 1", "s"),
        ("within 1 g", "s"),
        ("within 1 gram/x", "s"),
        ("within 1,5 s", "s"),
        ("to 1 figures", "s"),
        ("to 7 figures", "s"),
        ("to three figures", "s"),
        ("whole, rounded up", "dose"),
    ],
)
def test_tolerances_that_are_refused(text: str, unit: str) -> None:
    with pytest.raises(Refused) as refused:
        accept_of(text, parse_unit(unit))
    assert refused.value.cure


@pytest.mark.parametrize(
    ("text", "unit", "low", "high"),
    [
        ("1 s to 10 s", "s", "1", "10"),
        ("1 to 10 s", "s", "1", "10"),
        ("1 to 10", "s", "1", "10"),
        ("500 ms to 1 min", "s", "0.5", "60"),
        ("-5 % to 5 %", "%", "-5", "5"),
        ("0.4 mV/V to 1.2 mV/V", "mV/V", "0.4", "1.2"),
        ("-10 degC to 40 degC", "degC", "-10", "40"),
        ("2 to 33", "set", "2", "33"),
    ],
)
def test_plausible_spans(text: str, unit: str, low: str, high: str) -> None:
    assert plausible_of(text, parse_unit(unit)) == (Decimal(low), Decimal(high))


@pytest.mark.parametrize(
    "text", ["1 s", "1 s to", "10 s to 1 s", "1 s to 1 s", "1 g to 2 g", "a to b"]
)
def test_plausible_spans_that_are_refused(text: str) -> None:
    with pytest.raises(Refused):
        plausible_of(text, parse_unit("s"))


def test_a_find_may_say_its_own_tolerance() -> None:
    block = LAG.replace(
        "time to set for =m=', unit = 's'",
        "time to set for =m=', unit = 's', accept = 'within 0.1 s', plausible = '2 s to 9 s', "
        "strict = true",
    )
    (find,) = exercise_of(block).finds
    assert (find.accept.kind, find.plausible, find.strict) == (
        "absolute", (Decimal(2), Decimal(9)), True,
    )  # fmt: skip


def test_the_printed_unit_of_a_line() -> None:
    """Its own, its find's, the first of the same kind among finds, then givens, then the base."""
    block = LAG.replace(
        "f = 'm / q'",
        "f = { value = 'm / q', unit = 'ms', what = 'flow time of =m=' }\n"
        "g = 'm * 2'\nh = 'm / z ^ 2'\nk = 'g / m + 0 * h / (q / z)'\np = 'f * k'",
    ).replace("t = 'z + f'", "t = 'z + p / 2'")
    lines = {line.symbol: line for line in exercise_of(block).method}
    units = {symbol: line.unit.symbol for symbol, line in lines.items()}
    assert units == {"f": "ms", "g": "g", "h": "kg/s2", "k": "", "p": "s", "t": "s"}
    assert lines["f"].what == "flow time of =m="


def test_a_temperature_line_is_printed_in_degrees() -> None:
    block = LAG.replace("t = 'z + f'", "h = '20 degC + 1 K'\nt = 'z + f * (h - 0 degC) / (21 K)'")
    assert exercise_of(block).method[1].unit.symbol == "degC"


def test_safe_sides() -> None:
    safety = LAG.replace("'quality'", "'safety'\nsafe_side = 'higher'")
    assert exercise_of(safety).finds[0].safe_side == "higher"
    lower = LAG.replace("'quality'", "'safety'").replace(
        "unit = 's' }\n\n[method]", "unit = 's', safe_side = 'lower' }\n\n[method]"
    )
    assert exercise_of(lower).finds[0].safe_side == "lower"
    exact = LAG.replace("'quality'", "'safety'").replace("'within 1 %'", "'exact'")
    assert exercise_of(exact).finds[0].safe_side == ""
    assert codes(safety.replace("'higher'", "'above'")) == {"ENG-218"}


def test_one_condition_may_stand_alone() -> None:
    block = LAG.replace("[given]", "only_when = 'm > 8 g'\n[given]")
    assert [each.source for each in exercise_of(block).conditions] == ["m > 8 g"]
    both = LAG.replace("[given]", "only_when = ['m > 8 g', 'z < 0.7 s']\n[given]")
    assert len(exercise_of(both).conditions) == 2


def test_tied_lists_and_their_use() -> None:
    """The shown section serves the resistance that is tied to it."""
    block = with_given(
        "A = { what = 'section', one_of = [0.75, 1.0, 1.5], unit = 'mm2' }\n"
        "r = { what = 'resistance', one_of = [26.0, 19.5, 19.5], tied_to = 'A', unit = 'ohm/km' }"
    ).replace("t = 'z + f'", "t = 'z + f * (r / r)'")
    a, r = exercise_of(block).givens[3:]
    assert (a.places, r.tied_to) == (2, "A")
    assert codes(block.replace("tied_to = 'A'", "tied_to = 'r'")) == {"ENG-233", "ENG-234"}
    assert "ENG-233" in codes(block.replace("tied_to = 'A'", "tied_to = 'm'"))
    twice = block.replace("'mm2' }", "'mm2', tied_to = 'r' }")
    assert "ENG-233" in codes(twice)


FIND_IN = (
    LAG.replace("{", "{{").replace("}", "}}").replace("'z + f'", "'{line}'")
    .replace("unit = 's' }}\n\n[m", "unit = '{unit}' }}\n\n[m")
)  # fmt: skip


@pytest.mark.parametrize(
    ("block", "code"),
    [
        (with_given("k = 5"), "ENG-207"),
        (with_given("k = { what = 'k', one_of = 3 }"), "ENG-207"),
        (with_given("k = { what = 'k', one_of = [1, 'a'] }"), "ENG-207"),
        (with_given("k = { what = 'k', one_of = [1, inf] }"), "ENG-204"),
        (with_given(f"k = {{ what = 'k', one_of = {list(range(201))} }}"), "ENG-232"),
        (with_given("k = { what = 'k', is = 'a' }"), "ENG-207"),
        (with_given("k = { what = 'k', one_of = [1, 1.0000000001] }"), "ENG-205"),
        (with_given("k = { what = 'k', one_of = [1, 2], tied_to = 'd' }\n"
                    "d = { what = 'd', is = 1, unit = 'zz' }"), "ENG-227"),
        (LAG.replace("t = 'z + f'", "t = 'z + f + (0 degC - 0 degC) * z / (1 s)'"), "ENG-121"),
        (FIND_IN.format(line="5 K", unit="degC"), "ENG-242"),
        (FIND_IN.format(line="5 degC", unit="K"), "ENG-242"),
        (LAG.replace("The chute", "=m in furlong= The chute"), "ENG-260"),
        (PICK.replace("from = 400", "is = inf, from = 400"), "ENG-204"),
        (with_given("k = { what = 'k', is = 1.0000000001 }"), "ENG-205"),
        (with_given("k = { what = 'k', to = 3, step = 1 }"), "ENG-208"),
        (with_given("k = { what = 'k', from = 3, to = 3, step = 1 }"), "ENG-230"),
        (with_given("k = { what = 'k', from = 0, to = 1000000000, step = 0.5 }"), "ENG-231"),
        (with_given("k = { what = 'k', is = 3, unit = 5 }"), "ENG-207"),
        (with_given("k = { what = 'k', is = 3, unti = 'g' }"), "ENG-206"),
        (with_given("k = { is = 3 }"), "ENG-208"),
        (with_given("k-1 = { what = 'k', is = 3 }"), "ENG-225"),
        (with_given("[derived]\nk = 5"), "ENG-207"),
        (with_given("[derived]\nk = { what = 'k', value = 'm', unit = 'g' }"), "ENG-208"),
        (with_given("[derived]\nk = { what = 'k', value = 'm', unit = 'g', step = 0 }"), "ENG-231"),
        (with_given("[derived]\nk = { what = 'k', value = 'm', unit = 's', step = 1 }"), "ENG-242"),
        (with_given("[derived]\nk = { what = 'k', value = 'm', unti = 's', step = 1 }"), "ENG-206"),
        (with_given("[derived]\nk = { what = 'k', value = 'm > m', step = 1 }"), "ENG-244"),
        (with_given("[derived]\nm = { what = 'k', value = 'q/q', step = 1 }"), "ENG-226"),
        (with_given("[derived]\nk = { what = 'k', value = 'j', unit = 'g', step = 1 }\n"
                    "j = { what = 'j', value = 'm', unit = 'g', step = 1 }"), "ENG-120"),
        (LAG.replace("[given]", "given = 5\n[hidden]").replace("'m / q'", "'3 s'"), "ENG-207"),
        (LAG.replace("[find]", "[find]\nk = 4"), "ENG-207"),
        (LAG.replace("unit = 's' }\n\n[method]", "unti = 's' }\n\n[method]"), "ENG-206"),
        (LAG.replace("unit = 's' }\n\n[method]", "unit = 'x' }\n\n[method]"), "ENG-227"),
        (LAG.replace("accept = 'within 1 %'", "accept = 1"), "ENG-207"),
        (LAG.replace("plausible = '1 s to 10 s'", "plausible = 1"), "ENG-207"),
        (LAG.replace("[find]", "strict = true\n[find]"), "ENG-211"),
        (LAG.replace("stakes =", "strict = 'yes'\nstakes ="), "ENG-207"),
        (LAG.replace("shows = ['C09.3']", "shows = 'C09.3'"), "ENG-207"),
        (LAG.replace("shows = ['C09.3']", f"shows = {['C01'] * 41}"), "ENG-209"),
        (LAG.replace("title = 'Time", f"title = '{'long ' * 50}"), "ENG-209"),
        (LAG.replace("[find]\nt", "[find]\nz"), "ENG-226"),
        (LAG[: LAG.index("[find]")] + LAG[LAG.index("[method]"):], "ENG-208"),
        (LAG.replace("[method]\nf = 'm / q'\nt = 'z + f'", "method = 3"), "ENG-211"),
        (LAG.replace("f = 'm / q'", "f = 5"), "ENG-207"),
        (LAG.replace("f = 'm / q'", "f = { value = 'm / q', unit = 'g' }"), "ENG-242"),
        (LAG.replace("f = 'm / q'", "f = { value = 'm / q', unit = 'furlong' }"), "ENG-227"),
        (LAG.replace("f = 'm / q'", "f = { valu = 'm / q' }"), "ENG-206"),
        (LAG.replace("f = 'm / q'", "f = 'm > 1 g'"), "ENG-244"),
        (LAG.replace("f = 'm / q'", "pi = '3'\nf = 'm / q'"), "ENG-225"),
        (LAG.replace("f = 'm / q'", "\n".join(f"f{n} = '1'" for n in range(31))), "ENG-209"),
        (LAG.replace("[given]", "only_when = [5]\n[given]"), "ENG-207"),
        (LAG.replace("[given]", "only_when = ['m >']\n[given]"), "ENG-105"),
        (LAG.replace("[given]", "only_when = ['m > 1 s']\n[given]"), "ENG-121"),
        (LAG.replace("value = 'm / q'", "value = 'm / k'"), "ENG-120"),
        (LAG.replace("value = 'm / q'", "value = 'm > q'"), "ENG-244"),
        (LAG.replace("name = 'lag left out'\n", ""), "ENG-208"),
        (LAG.replace("remark = 'Nothing falls", "find = 3\nremark = 'Nothing falls"), "ENG-207"),
        (LAG[: LAG.index("[[slips]]")] + "slips = 3\n", "ENG-211"),
        (LAG[: LAG.index("[[slips]]")].replace("stakes", "slips = 3\nstakes"), "ENG-207"),
        (PICK.replace("pick = 'one'\n", ""), "ENG-208"),
        (PICK.replace("pick = 'one'", "pick = 'two'"), "ENG-218"),
        (PICK[: PICK.index("[[options]]")], "ENG-270"),
        (PICK.replace("right = true", "right = 'yes'"), "ENG-207"),
        (PICK.replace("right = true", "rihgt = true"), "ENG-206"),
        (ORDER.replace("before = [['tell'", "before = [3, ['tell'"), "ENG-278"),
        (ORDER.replace("before = [['tell', 'unplug']", "before = [['tell']"), "ENG-278"),
        (ORDER.replace("['unplug', 'wait']", "['tell', 'unplug']"), "ENG-278"),
        (ORDER.replace("before = ", "before = 3 #"), "ENG-207"),
        (ORDER.replace("before = ", "before = [] #"), "ENG-277"),
        (ORDER.replace("before = ", f"before = {[['tell', 'wait']] * 61} #"), "ENG-209"),
        (ORDER[: ORDER.index("[[acts]]", ORDER.index("[[acts]]") + 3)], "ENG-270"),
        (ORDER.replace("id = 'wait'", "id = 'wait until it stands'"), "ENG-274"),
        (ORDER.replace("'Wait for standstill.'", "'Prove dead with a proved tester.'"), "ENG-272"),
        (ORDER.replace("id = 'wait'\n", ""), "ENG-208"),
        ("acts = [1, 2]\nbefore = []\n", "ENG-207"),
        ("a = 1 # \x01", "ENG-203"),
        ('a = "\\q"', "ENG-201"),
        ("a = 0123", "ENG-201"),
        ("a = 1\n'b c' = 2\n\"d\" = 3", "ENG-206"),
        ("a b = 1", "ENG-201"),
        ("[a", "ENG-201"),
        ("[[a]", "ENG-201"),
        ("a = [1,", "ENG-201"),
        ("a = [1", "ENG-201"),
        ("= 1", "ENG-201"),
        ("é = 1", "ENG-201"),
        ("a = { b = 1", "ENG-201"),
        ("a = {", "ENG-201"),
        ("a = { b = 1 c", "ENG-201"),
        ("a = \"b\" c", "ENG-201"),
        ("a = 1 2", "ENG-201"),
        ("a = 1\na.b = 2", "ENG-201"),
        ("a = 2026-02-30", "ENG-201"),
        ("a.b.c.d.e.f.g.h.i.j.k = 1", "ENG-201"),
    ],
)  # fmt: skip
def test_further_findings(block: str, code: str) -> None:
    found = findings_of(block)
    assert code in {finding.code for finding in found}, found
    assert all(finding.cure for finding in found)


def test_one_mistake_gives_one_finding() -> None:
    """A quantity that is broken in itself is not held against the formulas that use it."""
    for block in (
        LAG.replace("unit = 'g/s'", "unit = 'g/zz'"),
        LAG.replace("unit = 'g/s'", "unti = 'g/s'"),
        LAG.replace("to = 21.0", "to = nan"),
        LAG.replace("f = 'm / q'", "f = 'm / q +'"),
        LAG.replace("\nz = { what = 'start lag', from", "\nz = { what = 'start lag', form"),
    ):
        errors = [finding for finding in findings_of(block) if finding.severity == "error"]
        assert len(errors) in {1, 2}, errors
        assert len({finding.line for finding in errors}) == 1


EVERY_FORM = LAG[: LAG.index("[given]")] + '''
[given]
[given.m] # a table of its own
"what" = "wanted \\u0064ose"
from = 7.0
to = 21.0
step = 0.1
unit = 'g'
[given.q]
what = """steady
flow"""
from = 2.5
to = 5.0
step = 0.1
unit = """
\\
   g/s"""
[given.z]
what = 'start lag'
from = 0.20
to = 0.80
step = 0.05
unit = 's'

''' + LAG[LAG.index("[find]") :]  # fmt: skip


def test_toml_in_every_form_keeps_its_places() -> None:
    exercise = exercise_of(EVERY_FORM)
    assert [given.what for given in exercise.givens] == ["wanted dose", "steady\nflow", "start lag"]
    wrong = EVERY_FORM.replace("   g/s", "   g/q")
    (finding,) = findings_of(wrong)
    line = wrong.split("\n")[finding.line - 1]
    assert line[finding.column - 1 :].startswith('"""')


def test_a_place_behind_escapes() -> None:
    escaped = LAG.replace("f = 'm / q'", 'f = "\\u006d / \\u0051"')
    (finding,) = findings_of(escaped)
    assert (finding.code, finding.column) == ("ENG-120", 15)
    broken = LAG.replace("f = 'm / q'", 'f = """\nm \\\n   / \\\n  Q"""')
    (finding,) = findings_of(broken)
    line = broken.split("\n")[finding.line - 1]
    assert (line, finding.column) == ('  Q"""', 3)


SIGNS = ["", "'", '"', "[", "]", "{", "}", "=", ",", "\n", "#", "\\", "é", "0", "."]


@given(st.sampled_from([LAG, PICK, ORDER]), st.data())
def test_a_changed_sign_never_breaks_the_reader(block: str, data: st.DataObject) -> None:
    """Any one sign taken out, doubled or changed is understood or has a finding with its place."""
    at = data.draw(st.integers(0, len(block) - 1))
    sign = data.draw(st.sampled_from(SIGNS))
    keep = data.draw(st.booleans())
    text = block[:at] + sign + (block[at:] if keep else block[at + 1 :])
    exercise, findings = read_block(text, file="f.md", line=3)
    assert exercise is not None or any(finding.severity == "error" for finding in findings)
    lines = text.split("\n")
    for finding in findings:
        assert finding.cure
        assert 3 <= finding.line <= len(lines) + 2
        assert 1 <= finding.column <= len(lines[finding.line - 3]) + 1
