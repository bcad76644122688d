"""Marking by hand-worked figures: every outcome, every remark, and the mark told again."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine import marking_blocks as blocks
from tests.strategies import plain_decimals
from trainer.engine import marking_finds, worked
from trainer.engine.draw import draw_key_for
from trainer.engine.marking import (
    EDITIONS,
    Asking,
    as_plain,
    from_plain,
    mark,
    mark_again,
    mark_bytes,
)
from trainer.engine.outcome import ENGINE_EDITION, FindMarking, Marking, Outcome, Sheet
from trainer.engine.sheet import make
from trainer.errors import NotFoundError


def marked(sheet: Sheet, **answers: str) -> Marking:
    result = mark(sheet, {key.replace("_", "-"): text for key, text in answers.items()})
    assert isinstance(result, Marking), result
    return result


def first(sheet: Sheet, **answers: str) -> FindMarking:
    return marked(sheet, **answers).finds[0]


# --- inside and outside -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    ["5.14", "5.23", "5.19", "5,19 s", "5190 ms", "0.0865 min", "5.186842105263157894736842105"],
)
def test_inside_with_both_edges(text: str) -> None:
    # 1 % of 5.186842105 is 0.0518...: 5.13497 to 5.23871, printed inward 5.14 to 5.23.
    result = marked(blocks.dose_time(), t=text, t_sure="yes")
    assert (result.outcome, result.mark, result.marks) == (Outcome.INSIDE, 1, 1)
    assert result.finds[0].remark == ""


@pytest.mark.parametrize("text", ["5.1399", "5.2301", "5.13", "5.24"])
def test_beyond_the_edge_is_outside(text: str) -> None:
    assert first(blocks.dose_time(), t=text).outcome is Outcome.OUTSIDE


def test_the_sentence_says_yours_accepted_and_by_how_much() -> None:
    sheet = blocks.dose_time()
    assert first(sheet, t="4.74").said == (
        "Yours is 4.74 s; accepted is 5.14 to 5.23 s. Short by 0.45 s."
    )
    assert first(sheet, t="5.5").said == (
        "Yours is 5.5 s; accepted is 5.14 to 5.23 s. Over by 0.31 s."
    )
    assert first(sheet, t="5.19").said == "Yours is 5.19 s; accepted is 5.14 to 5.23 s."


def test_the_strip_carries_the_numbers() -> None:
    strip = first(blocks.dose_time(), t="4,740 s").strip
    assert strip is not None
    assert (strip.low, strip.high, strip.answer) == (
        Decimal("5.14"),
        Decimal("5.23"),
        Decimal("4.740"),
    )
    assert (strip.low_text, strip.high_text, strip.answer_text, strip.unit) == (
        "5.14",
        "5.23",
        "4.740",
        "s",
    )


# --- slips --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("4.736842105", "lag left out"),  # 18.0 / 3.8
        ("4.74", "lag left out"),
        ("4.7", "lag left out"),  # 0.8 % away, the accept rule at the slip's value is 1 %
        ("4.286842105", "lag taken off"),  # 18.0 / 3.8 - 0.45
        ("4.29", "lag taken off"),
    ],
)
def test_a_named_slip_is_named(text: str, name: str) -> None:
    find = first(blocks.dose_time(), t=text)
    assert (find.outcome, find.slip, find.mark) == (Outcome.NAMED_SLIP, name, 0)


def test_a_remark_is_filled_in() -> None:
    assert first(blocks.dose_time(), t="4.74").remark == (
        "Nothing falls during the run-up of 0.45 s: add the lag."
    )


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("5190", "1000 times too large"),
        ("0.519", "10 times too small"),
        ("311", "60 times too large"),  # 5.1868 * 60 = 311.2
        ("0.00144", "3600 times too small"),  # 5.1868 / 3600 = 0.0014408
        ("-5.19", "sign turned"),
        ("0.193", "upside down"),  # 1 / 5.1868 = 0.19280
    ],
)
def test_a_unit_slip_is_named_in_words(text: str, name: str) -> None:
    find = first(blocks.dose_time(), t=text, t_sure="yes")
    assert (find.outcome, find.slip) == (Outcome.UNIT_SLIP, name)
    assert find.remark.endswith(".")


def test_a_named_slip_comes_before_a_unit_slip() -> None:
    # 10 times too small is also what this slip gives: m / 10 with q = 5 g/s and z = 0.2 s would
    # need luck; here the slip is written so that both fit.
    text = blocks.DOSE_TIME.replace("value = 'm / q - z'", "value = '(m / q + z) / 10'")
    find = first(blocks.sheet(text, m="18.0", q="3.8", z="0.45"), t="0.519", t_sure="yes")
    assert (find.outcome, find.slip) == (Outcome.NAMED_SLIP, "lag taken off")


def test_of_two_slips_the_nearer_is_named_and_of_two_alike_the_first() -> None:
    near = blocks.DOSE_TIME.replace("value = 'm / q - z'", "value = 'm / q - 0.06'")
    sheet = blocks.sheet(near, m="18.0", q="3.8", z="0.45")
    # 4.7368 and 4.6768 lie 0.06 apart, the tolerance is 0.0519; 4.70 is 0.037 and 0.023 away.
    assert first(sheet, t="4.70").slip == "lag taken off"
    assert first(sheet, t="4.72").slip == "lag left out"
    alike = blocks.DOSE_TIME.replace("value = 'm / q - z'", "value = 'm / q - 0.04'")
    sheet = blocks.sheet(alike, m="18.0", q="3.8", z="0.45")
    assert first(sheet, t="4.70").slip == "lag left out"


def test_a_slip_that_cannot_be_worked_out_is_left_aside() -> None:
    text = blocks.DOSE_TIME.replace("value = 'm / q - z'", "value = 'm / (q - 3.8)'")
    assert first(blocks.sheet(text, m="18.0", q="3.8", z="0.45"), t="4.29").outcome is (
        Outcome.OUTSIDE
    )


def test_exact_answers_and_their_slips() -> None:
    sheet = blocks.locks()
    assert first(sheet, n="6").said == "Yours is 6 locks; accepted is 6 locks."
    assert first(sheet, n="6.0").outcome is Outcome.INSIDE
    assert first(sheet, n="6.1").outcome is Outcome.OUTSIDE
    for text, name in (("3", "one lock per person"), ("2", "one lock per point"), ("5", "added")):
        assert first(sheet, n=text).slip == name
    assert first(sheet, n="5").said == "Yours is 5 locks; accepted is 6 locks. Short by 1 lock."


def test_stopped_at_an_earlier_line_is_a_note_beside() -> None:
    sheet = blocks.dose_time()
    assert first(sheet, t="4.737").stopped_at == 1
    assert first(sheet, t="4.29").stopped_at == 0
    assert first(sheet, t="5.19").stopped_at == 0


def test_stopped_at_a_line_of_another_kind_counts_for_a_bare_number() -> None:
    # The flow of line 2 is 1.75 g/s; the find is asked in kg.
    assert marked(blocks.chain(), b="420", c="1.75", k="1.75").finds[2].stopped_at == 2
    assert marked(blocks.chain(), b="420", c="1.75", k="1.75 kg").finds[2].stopped_at == 0


# --- safety -------------------------------------------------------------------------------------


def test_a_safety_find_is_inside_on_its_safe_side_only() -> None:
    sheet = blocks.standstill()
    assert first(sheet, w="14").said == "Yours is 14 s; accepted is 14.00 to 14.10 s."
    for text in ("14", "14.0", "14.05", "14.1"):
        assert first(sheet, w=text).outcome is Outcome.INSIDE, text
    for text in ("13.95", "13.9"):
        find = first(sheet, w=text)
        assert find.outcome is Outcome.OUTSIDE
        assert find.remark == ("Near enough, but on the unsafe side. Round up here: at least 14 s.")
    for text in ("13.8", "14.2"):
        assert first(sheet, w=text).remark == ""


def test_slips_of_a_safety_find() -> None:
    assert first(blocks.standstill(), w="9").slip == "margin left out"
    assert first(blocks.standstill(), w="19").slip == "margin multiplied"


def test_a_safety_find_whose_safe_side_is_lower() -> None:
    text = blocks.STANDSTILL.replace("safe_side = 'higher'", "safe_side = 'lower'")
    sheet = blocks.sheet(text, t="4.5", k="2", m="5")
    assert first(sheet, w="13.95").outcome is Outcome.INSIDE
    assert first(sheet, w="14.05").remark == (
        "Near enough, but on the unsafe side. Round down here: at most 14 s."
    )


@pytest.mark.parametrize(
    ("unit", "words"),
    [("%", "Short by 10.0 %-points."), ("degC", "Short by 10.0 K."), ("g", "Short by 10.0 g.")],
)
def test_a_difference_has_a_unit_of_its_own(unit: str, words: str) -> None:
    text = f"""
id = 'M05-E9'
title = 'One'
situation = 'Of =x= one.'
accept = 'within 3 %'
few_draws = 'a test'
worked = 'It is =y=.'

[given]
x = {{ what = 'value', from = 20, to = 60, step = 1, unit = '{unit}' }}

[find]
y = {{ what = 'the same', unit = '{unit}' }}

[method]
y = 'x'
"""
    assert first(blocks.sheet(text, x="40"), y="30").said.endswith(words)


# --- carried on ---------------------------------------------------------------------------------


def test_the_chain_as_it_should_be() -> None:
    result = marked(blocks.chain(), b="420", c="1.75", k="25.2")
    assert [find.outcome for find in result.finds] == [Outcome.INSIDE] * 3
    assert (result.mark, result.marks, result.outcome) == (3, 3, Outcome.INSIDE)


def test_a_wrong_first_value_carried_on_through_all_finds() -> None:
    # Ratio turned round: 1400/0.3 = 4666.67/min. Carried on: times 0.25 g is 19.44 g/s, in four
    # hours 280 kg.
    result = marked(blocks.chain(), b="4667", c="19.44", k="280")
    assert [find.outcome for find in result.finds] == [
        Outcome.NAMED_SLIP,
        Outcome.CARRIED_ON,
        Outcome.CARRIED_ON,
    ]
    assert (result.mark, result.outcome) == (2, Outcome.NAMED_SLIP)
    assert result.finds[1].said == (
        "Yours is 19.44 g/s, right from your b of 4667 1/min. "
        "From the given values, accepted is 1.733 to 1.767 g/s."
    )
    assert result.finds[2].said.startswith(
        "Yours is 280 kg, right from your b of 4667 1/min and your c of 19.44 g/s."
    )


def test_a_slip_in_the_middle_carried_on_to_the_last() -> None:
    # 420 * 0.25 = 105 g/min left per minute, then 105 * 4 * 3600 = 1512 kg.
    result = marked(blocks.chain(), b="420", c="105", k="1512")
    assert [find.outcome for find in result.finds] == [
        Outcome.INSIDE,
        Outcome.UNIT_SLIP,
        Outcome.CARRIED_ON,
    ]


def test_an_own_rounded_value_is_carried_on_too() -> None:
    # 423 is inside 1 % of 420; 423 * 0.25 / 60 = 1.7625 and 1.7788 is 0.9 % above it, which is
    # 1.6 % above 1.75.
    result = marked(blocks.chain(), b="423", c="1.778", k="25.2")
    assert [find.outcome for find in result.finds][:2] == [Outcome.INSIDE, Outcome.CARRIED_ON]


def test_an_empty_cell_carries_nothing() -> None:
    result = marked(blocks.chain(), c="19.44", k="280")
    assert [find.outcome for find in result.finds] == [
        Outcome.NOT_ANSWERED,
        Outcome.OUTSIDE,
        Outcome.CARRIED_ON,
    ]
    assert result.outcome is Outcome.NOT_ANSWERED


def test_never_into_a_safety_find() -> None:
    text = blocks.CHAIN.replace("stakes = 'quality'", "stakes = 'safety'\nhazards = ['H01']")
    text = text.replace("accept = 'within 1 %'", "accept = 'within 1 %'\nsafe_side = 'lower'")
    sheet = blocks.sheet(text, n="1400", r="0.30", g="0.25", h="4")
    result = marked(sheet, b="4667", c="19.44", k="280")
    assert [find.outcome for find in result.finds] == [
        Outcome.NAMED_SLIP,
        Outcome.OUTSIDE,
        Outcome.OUTSIDE,
    ]


def test_an_own_value_from_which_there_is_no_way_on_carries_nothing() -> None:
    text = blocks.CHAIN.replace("c = 'b * g'", "c = 'n^2 / b * g'")
    sheet = blocks.sheet(text, n="1400", r="0.30", g="0.25", h="4")
    assert marked(sheet, b="0", c="5", k="5").finds[1].outcome is Outcome.OUTSIDE


def test_a_whole_number_rounded_down_carries_on() -> None:
    # 100 s at 7 s each: 14.28, rounded down 14 doses; at 3 g a dose 42 g. Someone who finds 15
    # carries on with 45 g.
    text = """
id = 'M03-E9'
title = 'Doses'
situation = 'Each takes =t=.'
stakes = 'quality'
few_draws = 'a test'
worked = 'That is =n= and =g=.'

[given]
T = { what = 'time', is = 100, unit = 's' }
t = { what = 'each', from = 4, to = 9, step = 1, unit = 's' }
d = { what = 'dose', from = 2, to = 5, step = 1, unit = 'g' }

[find]
n = { what = 'doses', unit = 'dose', accept = 'whole, rounded down' }
g = { what = 'coffee', unit = 'g', accept = 'within 1 %' }

[method]
n = 'T / t'
g = 'n * d'
"""
    sheet = blocks.sheet(text, T="100", t="7", d="3")
    result = marked(sheet, n="14", g="42")
    assert result.mark == 2
    result = marked(sheet, n="15", g="45")
    assert [find.outcome for find in result.finds] == [Outcome.OUTSIDE, Outcome.CARRIED_ON]
    assert result.finds[0].said == ("Yours is 15 doses; accepted is 14 doses. Over by 1 dose.")


# --- asking -------------------------------------------------------------------------------------


def test_what_cannot_be_read_is_asked_and_nothing_is_marked() -> None:
    result = mark(blocks.chain(), {"b": "420", "c": "1.75 kg", "k": "1,205"})
    assert isinstance(result, Asking)
    assert set(result.problems) == {"c", "k"}
    assert result.problems["k"].readings == ("1.205", "1205")


def test_a_value_far_off_is_asked_about_once_and_not_in_a_check() -> None:
    sheet = blocks.dose_time()
    asked = mark(sheet, {"t": "5190"})
    assert isinstance(asked, Asking)
    assert asked.problems["t"].asks
    sure = mark(sheet, {"t": "5190", "t-sure": "yes"})
    in_check = mark(sheet, {"t": "5190"}, in_check=True)
    assert isinstance(sure, Marking)
    assert isinstance(in_check, Marking)
    assert mark_bytes(sure) == mark_bytes(in_check)


def test_when_the_time_is_over_nobody_is_asked() -> None:
    result = mark(blocks.chain(), {"b": "420", "c": "1.75 kg"}, in_check=True, final=True)
    assert isinstance(result, Marking)
    assert [find.outcome for find in result.finds] == [
        Outcome.INSIDE,
        Outcome.NOT_READABLE,
        Outcome.NOT_ANSWERED,
    ]
    assert result.finds[1].said == (
        "What was written here could not be read. Accepted is 1.733 to 1.767 g/s."
    )
    assert "mass" in result.finds[1].remark
    assert result.finds[2].said == "Nothing was written here. Accepted is 24.95 to 25.45 kg."


def test_the_unit_beside_the_cell() -> None:
    find = first(blocks.dose_time(), t="5190", t_unit="ms")
    assert find.outcome is Outcome.INSIDE
    assert find.answer_text == "5190 ms"
    assert find.said.startswith("Yours is 5.19 s;")
    assert first(blocks.dose_time(), t="5.19", t_unit="s").answer_text == "5.19"


# --- pick ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["A C", "c a", "AC", "a, c", "C and A", "A;C"])
def test_the_exact_set(text: str) -> None:
    result = marked(blocks.sheet(blocks.PICK_ALL), pick=text)
    assert (result.outcome, result.mark, result.right_choices) == (Outcome.INSIDE, 1, ("A", "C"))
    assert result.finds[0].said == "Yours is A C; that is right."


@pytest.mark.parametrize(
    ("text", "remark"),
    [
        ("B C", "A belongs to it. The plug in your hand is isolation."),
        ("A B C", "B does not belong. A button only asks the board."),
        ("A", "C belongs to it. A locked isolator is isolation."),
        ("A C D", "D does not belong. A lid switch can stick."),
    ],
)
def test_the_remark_names_the_first_option_that_is_wrong(text: str, remark: str) -> None:
    find = first(blocks.sheet(blocks.PICK_ALL), pick=text)
    assert (find.outcome, find.mark, find.remark) == (Outcome.OUTSIDE, 0, remark)
    assert find.said == f"Yours is {text}. Right is A C."


def test_letters_are_those_shown_not_those_written() -> None:
    exercise = blocks.exercise(blocks.PICK_ALL)
    seen = set()
    for number in range(12):
        sheet = make(exercise, draw_key_for(exercise.hash, number))
        right = marked(sheet, pick=" ".join(marked(sheet, pick="A").right_choices))
        assert right.mark == 1
        seen.add(right.right_choices)
        texts = {choice.text for choice in sheet.shown.choices if choice.key in right.right_choices}
        assert texts == {"pulling the plug and keeping it", "the locked isolator"}
    assert len(seen) > 2


@pytest.mark.parametrize(
    ("text", "words"),
    [("E", "Write letters from A to D"), ("A1", "Write letters from A to D"), ("Ä", "letters")],
)
def test_letters_that_are_not_there(text: str, words: str) -> None:
    result = mark(blocks.sheet(blocks.PICK_ALL), {"pick": text})
    assert isinstance(result, Asking)
    assert words in result.problems["pick"].problem


def test_one_means_one() -> None:
    sheet = blocks.sheet(blocks.PICK_ONE)
    assert marked(sheet, pick="A").mark == 1
    assert first(sheet, pick="C").outcome is Outcome.OUTSIDE
    result = mark(sheet, {"pick": "A C"})
    assert isinstance(result, Asking)
    assert first(sheet).outcome is Outcome.NOT_ANSWERED


# --- order --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    ["tell unplug prove open", "TELL, unplug, prove, open", "open=4 tell=1 prove=3 unplug=2"],
)
def test_an_order_that_keeps_every_pair(text: str) -> None:
    result = marked(blocks.sheet(blocks.ORDER), order=text)
    assert (result.outcome, result.mark) == (Outcome.INSIDE, 1)
    assert result.right_choices == ("tell", "unplug", "prove", "open")


@pytest.mark.parametrize(
    ("text", "remark"),
    [
        (
            "unplug tell prove open",
            "First: tell the staff. Then: pull the plug. Staff must not start it.",
        ),
        ("tell prove unplug open", "First: pull the plug. Then: prove it dead."),
        (
            "tell unplug open prove",
            "First: prove it dead. Then: open the cover. Dead is dead only when proved.",
        ),
        # Two pairs are broken; the first as written is named.
        (
            "open unplug prove tell",
            "First: tell the staff. Then: pull the plug. Staff must not start it.",
        ),
    ],
)
def test_the_remark_names_the_first_pair_broken_with_why(text: str, remark: str) -> None:
    find = first(blocks.sheet(blocks.ORDER), order=text)
    assert (find.outcome, find.mark, find.remark) == (Outcome.OUTSIDE, 0, remark)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("tell=1 unplug=2 prove=2 open=4", "The number 2 stands at two acts"),
        ("tell=1 unplug=2 open=4", "'prove' has no place yet"),
        ("tell=1 unplug=5 prove=3 open=4", "Number the acts from 1 to 4"),
        ("tell=x unplug=2 prove=3 open=4", "Number the acts from 1 to 4"),
        ("tell=² unplug=2 prove=3 open=4", "Number the acts from 1 to 4"),
        ("tell unplug tell open", "'tell' stands in it twice"),
        ("tell unplug prove", "'open' has no place yet"),
        ("tell unplug prove close", "Write the acts as tell, unplug, prove, open"),
    ],
)
def test_tied_missing_and_unknown_places_are_not_readable(text: str, words: str) -> None:
    result = mark(blocks.sheet(blocks.ORDER), {"order": text})
    assert isinstance(result, Asking)
    assert words in result.problems["order"].problem
    final = mark(blocks.sheet(blocks.ORDER), {"order": text}, final=True)
    assert isinstance(final, Marking)
    assert final.outcome is Outcome.NOT_READABLE


def test_a_right_order_moves_only_what_must_move() -> None:
    text = blocks.ORDER.replace("  ['unplug', 'open'],\n", "").replace(
        "['prove', 'open', 'Dead is dead only when proved.']", "['open', 'tell']"
    )
    result = marked(blocks.sheet(text), order="open tell unplug prove")
    assert result.mark == 1
    assert result.right_choices == ("open", "tell", "unplug", "prove")


def test_equal_bytes_mean_equal_marks() -> None:
    one, other = (marked(blocks.dose_time(), t=text) for text in ("5.19", "5.2"))
    assert mark_bytes(one) != mark_bytes(other)


def test_what_is_kept_of_exercises_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(marking_finds, "_MOST_KEPT", 1)
    monkeypatch.setattr(worked, "_MOST_KEPT", 1)
    for text in (blocks.CHAIN, blocks.CHAIN, blocks.CHAIN):
        sheet = blocks.sheet(text, n="1400", r="0.30", g="0.25", h="4")
        assert marked(sheet, b="4667", c="19.44", k="280").mark == 2
    assert len(marking_finds._RULES) == 1
    assert len(worked._LINES) == 1


CALCULATIONS = [
    blocks.exercise(text)
    for text in (blocks.DOSE_TIME, blocks.STANDSTILL, blocks.LOCKS, blocks.CHAIN)
]
numbers = st.integers(0, 10**6)
indices = st.integers(0, len(CALCULATIONS) - 1)


# --- again --------------------------------------------------------------------------------------

ANSWERS = [
    (blocks.DOSE_TIME, {"t": "4.74"}),
    (blocks.STANDSTILL, {"w": "14"}),
    (blocks.LOCKS, {"n": "5"}),
    (blocks.CHAIN, {"b": "4667", "c": "19.44 g/s", "k": "−3"}),
    (blocks.PICK_ALL, {"pick": "A D"}),
    (blocks.ORDER, {"order": "open tell unplug prove"}),
]


@pytest.mark.parametrize(("text", "answers"), ANSWERS)
@pytest.mark.parametrize("number", range(4))
def test_told_in_plain_values_and_back(text: str, answers: dict[str, str], number: int) -> None:
    exercise = blocks.exercise(text)
    key = draw_key_for(exercise.hash, number)
    result = mark(make(exercise, key), answers, final=True)
    assert isinstance(result, Marking)
    assert from_plain(as_plain(result)) == result
    # Again, from the stored text, key, answers and edition alone.
    again = mark(
        make(blocks.exercise(exercise.source), key),
        dict(answers),
        final=True,
        edition=result.engine_edition,
    )
    assert isinstance(again, Marking)
    assert mark_bytes(again) == mark_bytes(result)


@settings(max_examples=150)
@given(
    which=indices,
    number=numbers,
    text=st.sampled_from(
        ["5.19", "1,205", "3/4", "2 kg", "6", "14,1", "0.4 h", "", "420", "1 205"]
    ),
    sure=st.booleans(),
)
def test_whatever_was_marked_is_marked_again_the_same(
    which: int, number: int, text: str, *, sure: bool
) -> None:
    exercise = CALCULATIONS[which]
    sheet = make(exercise, draw_key_for(exercise.hash, number))
    answers = {exercise.finds[0].symbol: text}
    if sure:
        answers[f"{exercise.finds[0].symbol}-sure"] = "yes"
    then = mark(sheet, answers)
    if isinstance(then, Marking):
        again = mark_again(
            make(blocks.exercise(exercise.source), draw_key_for(exercise.hash, number)),
            answers,
            edition=then.engine_edition,
        )
        assert mark_bytes(again) == mark_bytes(then)


def test_what_is_said_of_options_and_acts_is_filled_in() -> None:
    given = "[given]\nm = { what = 'minutes', from = 5, to = 9, step = 1, unit = 'min' }\n\n"
    pick = blocks.PICK_ALL.replace("A button only", "Even after =m= a button only")
    pick = pick.replace("Which of these", "After =m=, which of these")
    pick = pick.replace("[[options]]", given + "[[options]]", 1)
    find = first(blocks.sheet(pick, m="6"), pick="A B C")
    assert find.remark == "B does not belong. Even after 6 min a button only asks the board."
    order = blocks.ORDER.replace("text = 'prove it dead'", "text = 'after =m= prove it dead'")
    order = order.replace("Put the acts", "You have =m=. Put the acts")
    order = order.replace("[[acts]]", given + "[[acts]]", 1)
    find = first(blocks.sheet(order, m="6"), order="tell unplug open prove")
    assert find.remark.startswith("First: after 6 min prove it dead. Then: open the cover.")


@pytest.mark.parametrize(
    ("accept", "inside", "slip"),
    [
        # To 3 figures: half a unit in the third figure of 5.1868, 0.005; of the slip's 4.7368 too.
        ("to 3 figures", ["5.182", "5.19", "5.191"], ["4.74", "4.7325"]),
        # To 2 figures: 0.05; the slip counts within 0.05 of its own.
        ("to 2 figures", ["5.14", "5.2", "5.23"], ["4.7", "4.78"]),
        ("within 0.05 s", ["5.14", "5.23"], ["4.69", "4.78"]),
    ],
)
def test_the_accept_rule_holds_at_the_slip_as_well(
    accept: str, inside: list[str], slip: list[str]
) -> None:
    text = blocks.DOSE_TIME.replace("accept = 'within 1 %'", f"accept = '{accept}'")
    sheet = blocks.sheet(text, m="18.0", q="3.8", z="0.45")
    for answer in inside:
        assert first(sheet, t=answer).outcome is Outcome.INSIDE, answer
    for answer in slip:
        assert first(sheet, t=answer).slip == "lag left out", answer


def test_an_exact_find_is_carried_on_exactly() -> None:
    text = blocks.CHAIN.replace(
        "k = { what = 'coffee in =h=', unit = 'kg' }",
        "k = { what = 'coffee in =h=', unit = 'kg', accept = 'exact' }",
    )
    sheet = blocks.sheet(text, n="1400", r="0.30", g="0.25", h="4")
    assert marked(sheet, b="420", c="1.8", k="25.92").finds[2].outcome is Outcome.CARRIED_ON
    assert marked(sheet, b="420", c="1.8", k="25.9").finds[2].outcome is Outcome.OUTSIDE


def test_the_decimal_settings_of_the_process_do_not_matter() -> None:
    from decimal import localcontext

    sheet = blocks.dose_time()
    plain = marked(sheet, t="4.7")
    with localcontext() as context:
        context.prec = 3
        assert mark_bytes(marked(sheet, t="4.7")) == mark_bytes(plain)


def test_editions_are_kept_by_number() -> None:
    assert max(EDITIONS) == ENGINE_EDITION
    assert set(EDITIONS) == set(range(1, ENGINE_EDITION + 1))
    with pytest.raises(NotFoundError, match="no marking rules of engine edition 99"):
        mark(blocks.dose_time(), {"t": "5"}, edition=99)


# --- properties ---------------------------------------------------------------------------------


@settings(max_examples=150)
@given(which=indices, number=numbers)
def test_the_expected_value_in_full_is_always_inside(which: int, number: int) -> None:
    exercise = CALCULATIONS[which]
    sheet = make(exercise, draw_key_for(exercise.hash, number))
    answers = {symbol: f"{band.expected:f}" for symbol, band in sheet.bands.items()}
    result = mark(sheet, answers)
    assert isinstance(result, Marking)
    assert result.mark == result.marks
    assert result.outcome is Outcome.INSIDE


@settings(max_examples=150)
@given(which=indices, number=numbers)
def test_a_printed_edge_is_inside_and_a_step_beyond_is_not(which: int, number: int) -> None:
    exercise = CALCULATIONS[which]
    sheet = make(exercise, draw_key_for(exercise.hash, number))
    for find in exercise.finds:
        band = sheet.bands[find.symbol]
        places = len(band.low_text.partition(".")[2])
        step = Decimal(1).scaleb(-places - 3)
        low, high = Decimal(band.low_text), Decimal(band.high_text)
        assert (low, high) == (band.low, band.high)
        for value, is_inside in (
            (low, True),
            (high, True),
            (low - step, False),
            (high + step, False),
        ):
            result = mark(sheet, {find.symbol: f"{value:f}"}, in_check=True)
            assert isinstance(result, Marking)
            found = next(each for each in result.finds if each.symbol == find.symbol)
            assert (found.outcome is Outcome.INSIDE) is is_inside


@settings(max_examples=150)
@given(which=indices, number=numbers)
def test_a_named_slip_is_never_inside(which: int, number: int) -> None:
    exercise = CALCULATIONS[which]
    sheet = make(exercise, draw_key_for(exercise.hash, number))
    for slip in exercise.slips:
        value = slip.formula.bare(sheet.bare)
        result = mark(sheet, {slip.find: f"{value:f}"}, in_check=True)
        assert isinstance(result, Marking)
        found = next(each for each in result.finds if each.symbol == slip.find)
        assert found.outcome is Outcome.NAMED_SLIP
        assert found.mark == 0


@settings(max_examples=200)
@given(value=plain_decimals("-1000", "1000", 3), number=numbers)
def test_any_value_has_one_outcome_and_a_whole_sentence(value: Decimal, number: int) -> None:
    exercise = CALCULATIONS[number % len(CALCULATIONS)]
    sheet = make(exercise, draw_key_for(exercise.hash, number))
    answers = {find.symbol: f"{value:f}" for find in exercise.finds}
    result = mark(sheet, answers, in_check=True)
    assert isinstance(result, Marking)
    for find in result.finds:
        assert find.said.endswith(".")
        assert find.said.startswith("Yours is ")
        assert bool(find.slip) == (find.outcome in {Outcome.NAMED_SLIP, Outcome.UNIT_SLIP})
        assert find.mark == (find.outcome in {Outcome.INSIDE, Outcome.CARRIED_ON})
    assert result.mark == sum(find.mark for find in result.finds)
