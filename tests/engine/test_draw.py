"""Draws: published test vectors, no bias, the order of words, redraws, what is kept."""

from __future__ import annotations

import hashlib
from collections import Counter
from decimal import Decimal

import pytest

from tests.engine.blocks import LAG, ORDER, PICK, exercise_of
from trainer.engine.draw import Stream, draw_key_for, every, index_count, values_for
from trainer.engine.sheet import make
from trainer.errors import StateError

KEY = bytes(range(32))
VECTORS = ["a9d6e500293a88bd", "6061c4386d7a1788"]


def word(key: bytes, counter: int) -> int:
    """The algorithm of the guide, in one line, apart from the code under test."""
    return int.from_bytes(hashlib.sha256(key + counter.to_bytes(8, "big")).digest()[:8], "big")


def test_words_are_the_published_vectors() -> None:
    stream = Stream(KEY)
    assert [stream.word() for _ in range(4)] == [word(KEY, counter) for counter in range(4)]
    # Worked with the sha256sum command over 00 … 1f followed by the counter.
    assert [f"{word(KEY, counter):016x}" for counter in range(2)] == VECTORS


def test_numbers_below_a_count_are_words_modulo_the_count() -> None:
    stream = Stream(KEY)
    counts = [141, 26, 13, 2, 1000]
    expected = [word(KEY, counter) % count for counter, count in enumerate(counts)]
    assert [stream.below(count) for count in counts] == expected


def test_a_word_beyond_the_last_whole_multiple_is_passed_over() -> None:
    # With 2^63 + 1 values nearly half of all words lie beyond the one multiple that fits.
    count = 2**63 + 1
    stream = Stream(KEY)
    words = [word(KEY, counter) for counter in range(60)]
    kept = [each for each in words if each < count]
    assert 10 < len(kept) < 50
    assert [stream.below(count) for _ in range(10)] == kept[:10]


def test_a_count_of_one_takes_no_word() -> None:
    stream = Stream(KEY)
    assert stream.below(1) == 0
    assert stream.word() == word(KEY, 0)


def test_values_come_in_the_order_written_and_redraws_go_on_in_the_stream() -> None:
    exercise = exercise_of(LAG)
    for number in range(40):
        key = draw_key_for(exercise.hash, number)
        draw = values_for(exercise, key)
        at = 3 * draw.redraws
        indices = [word(key, at) % 141, word(key, at + 1) % 26, word(key, at + 2) % 13]
        assert draw.values == {
            "m": Decimal("7.0") + Decimal("0.1") * indices[0],
            "q": Decimal("2.5") + Decimal("0.1") * indices[1],
            "z": Decimal("0.20") + Decimal("0.05") * indices[2],
        }


def test_the_draw_key_of_a_number() -> None:
    digest = "ab" * 32
    expected = hashlib.sha256(b"draw" + b"\xab" * 32 + b"\0\0\0\0\0\0\0\x07").digest()
    assert draw_key_for(digest, 7) == expected


def test_every_value_is_drawn_about_as_often() -> None:
    stream = Stream(KEY)
    counts = Counter(stream.below(7) for _ in range(7000))
    # Chi-square with 6 degrees of freedom: above 22.5 once in a thousand (tables).
    assert sum((counts[value] - 1000) ** 2 / 1000 for value in range(7)) < 22.5


def test_hidden_follow_given_fixed_and_tied_take_no_word() -> None:
    block = LAG.replace(
        "[find]",
        "A = { what = 'section', one_of = [0.75, 1.0, 1.5], unit = 'mm2' }\n"
        "[hidden]\n"
        "k = { is = 1.5 }\n"
        "r = { one_of = [26.0, 19.5, 13.3], tied_to = 'A', unit = 'ohm/km' }\n"
        "h = { from = 1, to = 3, step = 1 }\n"
        "[find]",
    ).replace("t = 'z + f'", "t = 'z + f + 0 s * h * k * A / (1 mm2) * r / (1 ohm/(1 km))'")
    block = block.replace("r / (1 ohm/(1 km))", "r * 1 km / 1 ohm")
    exercise = exercise_of(block)
    key = draw_key_for(exercise.hash, 3)
    draw = values_for(exercise, key)
    at = 5 * draw.redraws
    section = word(key, at + 3) % 3
    assert draw.values["A"] == [Decimal("0.75"), Decimal("1.00"), Decimal("1.50")][section]
    assert draw.values["r"] == [Decimal("26.0"), Decimal("19.5"), Decimal("13.3")][section]
    assert draw.values["k"] == Decimal("1.5")
    assert draw.values["h"] == 1 + word(key, at + 4) % 3
    assert index_count(exercise) == 141 * 26 * 13 * 3 * 3


def test_the_shuffle_follows_the_values() -> None:
    exercise = exercise_of(PICK)
    key = draw_key_for(exercise.hash, 1)
    order = [0, 1, 2]
    for at, place in ((2, 2), (3, 1)):
        other = word(key, at) % (place + 1)
        order[place], order[other] = order[other], order[place]
    sheet = make(exercise, key)
    assert list(sheet.choice_order) == order


def test_every_order_of_the_acts_is_shown_about_as_often() -> None:
    exercise = exercise_of(ORDER)
    orders = Counter(
        make(exercise, draw_key_for(exercise.hash, number)).choice_order for number in range(2400)
    )
    assert len(orders) == 24
    # Chi-square with 23 degrees of freedom: above 49.7 once in a thousand (tables).
    assert sum((count - 100) ** 2 / 100 for count in orders.values()) < 49.7


def test_every_draw_of_the_grid() -> None:
    block = LAG.replace("to = 21.0", "to = 7.1").replace("to = 5.0", "to = 2.6")
    block = block.replace("to = 0.80", "to = 0.25")
    draws = list(every(exercise_of(block)))
    assert len(draws) == 8
    assert draws[0] == {"m": Decimal("7.0"), "q": Decimal("2.5"), "z": Decimal("0.20")}
    assert draws[1] == {"m": Decimal("7.0"), "q": Decimal("2.5"), "z": Decimal("0.25")}
    assert draws[-1] == {"m": Decimal("7.1"), "q": Decimal("2.6"), "z": Decimal("0.25")}


def test_tied_values_walk_together() -> None:
    block = LAG.replace("to = 21.0", "to = 7.1").replace("to = 5.0", "to = 2.6")
    block = block.replace("from = 0.20, to = 0.80, step = 0.05", "one_of = [0.2, 0.3]").replace(
        "[find]",
        "r = { what = 'r', one_of = [5, 9], tied_to = 'z' }\n[find]",
    )
    exercise = exercise_of(block.replace("'z + f'", "'z + f * r / r'"))
    assert [(draw["z"], draw["r"]) for draw in every(exercise)] == [
        (Decimal("0.2"), Decimal(5)),
        (Decimal("0.3"), Decimal(9)),
    ] * 4


def test_an_exercise_without_a_kept_draw_says_so() -> None:
    block = LAG.replace("plausible = '1 s to 10 s'", "plausible = '100 s to 200 s'")
    with pytest.raises(StateError, match="not plausible"):
        make(exercise_of(block), KEY)
