"""The proof run: each check made to fail by one change to a sound exercise, at its own place."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from tests.engine import marking_blocks as blocks
from trainer.engine import proof
from trainer.engine.figures import Figures
from trainer.engine.outcome import ENGINE_EDITION, Band, Proof
from trainer.engine.proof_tally import Tally
from trainer.engine.reader import read_block
from trainer.findings import Finding

SMALL = """
id = 'M05-E2'
title = 'Rest the card asks for'
situation = 'A dose takes =a=, the duty is =D=.'
accept = 'within 2 %'
stakes = 'quality'
worked = 'The cycle is =C=, the rest =b=.'

[given]
a = { what = 'time', from = 4, to = 30, step = 1, unit = 's' }
D = { what = 'duty', from = 15, to = 45, step = 5, unit = '%' }

[find]
b = { what = 'rest', unit = 's' }

[method]
C = 'a / D'
b = 'C - a'

[[slips]]
name = 'whole cycle given'
value = 'a*100/D'
remark = 'Take the grinding off.'
"""


def run(text: str, *, line: int = 1, **options: int) -> Proof:
    exercise, findings = read_block(text, line=line)
    assert exercise is not None, findings
    return proof.run(exercise, **options)  # type: ignore[arg-type]


def only(found: Proof, code: str) -> Finding:
    matching = [finding for finding in found.findings if finding.code == code]
    assert len(matching) == 1, found.findings
    return matching[0]


def spot(text: str, part: str) -> tuple[int, int]:
    """Line and column of a part of the block, counted here."""
    before = text[: text.index(part)]
    return before.count("\n") + 1, len(before) - before.rfind("\n")


def test_a_sound_exercise_over_its_whole_grid() -> None:
    found = run(SMALL)
    # 27 times by 7 duties; every one is kept.
    assert (found.draws, found.kept, found.distinct, found.exhaustive) == (189, 189, 189, True)
    assert found.slips_apart == 1
    assert found.is_clean
    # Rest = a (100 - D)/D: least 4 s at 45 %, 4.889 s; most 30 s at 15 %, 170 s.
    (low,), (high,) = found.lowest, found.highest
    assert (low.find, low.value, low.draw) == ("b", "4.889 s", {"a": "4 s", "D": "45 %"})
    assert (high.find, high.value, high.draw) == ("b", "170.0 s", {"a": "30 s", "D": "15 %"})
    assert only(found, "ENG-416").severity == "remark"  # 189 draws are too few for a module check
    assert (found.hash, found.engine_edition) == (run(SMALL).hash, ENGINE_EDITION)


def test_a_large_grid_is_drawn_and_always_alike() -> None:
    # 141 doses by 26 flows by 13 lags.
    first, again = run(blocks.DOSE_TIME, draws=500), run(blocks.DOSE_TIME, draws=500)
    assert (first.draws, first.exhaustive) == (500, False)
    assert first == again
    assert first.findings == ()
    walked = run(blocks.DOSE_TIME, exhaustive_to=50_000)
    assert (walked.draws, walked.exhaustive) == (141 * 26 * 13, True)
    assert walked.lowest[0].draw == {"m": "7.0 g", "q": "5.0 g/s", "z": "0.20 s"}
    assert walked.highest[0].value == "9.200 s"  # 21/2.5 + 0.8


def test_progress_is_told_to_the_end() -> None:
    exercise = blocks.exercise(blocks.DOSE_TIME)
    told: list[tuple[int, int]] = []
    proof.run(exercise, draws=600, progress=lambda done, total: told.append((done, total)))
    assert told == [(250, 600), (500, 600), (600, 600)]


def test_a_value_that_does_not_exist_names_the_draw() -> None:
    text = SMALL.replace("D = { what = 'duty', from = 15", "D = { what = 'duty', from = 0")
    finding = only(run(text), "ENG-410")
    assert finding.severity == "error"
    assert finding.message == (
        "M05-E2: C has no value in 10 % of the draws, first at a = 4 s, D = 0 %: "
        "a division by zero, a root or logarithm out of range, or a result too large."
    )
    assert (finding.line, finding.column) == spot(text, "C = 'a / D'")


def test_few_draws_kept_is_an_error_with_the_reason_and_its_place() -> None:
    text = SMALL.replace("[given]", "only_when = ['a > 25 s']\n\n[given]", 1)
    found = run(text)
    # 26 to 30 s of 4 to 30 s: 5 of 27.
    finding = only(found, "ENG-411")
    assert (finding.severity, found.kept) == ("error", 35)
    assert "Only 18.5 % of the draws are kept" in finding.message
    assert "the condition a > 25 s is not met (81.5 % of all draws)" in finding.message
    assert "[hidden]" in finding.cure
    assert (finding.line, finding.column) == spot(text, "only_when")


def test_not_many_draws_kept_is_a_remark() -> None:
    text = SMALL.replace("[given]", "only_when = ['a > 16 s']\n\n[given]", 1)
    found = run(text)
    assert only(found, "ENG-411").severity == "remark"  # 14 of 27: 51.9 %
    assert found.is_clean


def test_no_draw_kept() -> None:
    text = SMALL.replace("accept = 'within 2 %'", "accept = 'within 2 %'\nplausible = '1 s to 2 s'")
    found = run(text)
    finding = only(found, "ENG-423")
    assert "b is not plausible (100 % of all draws)" in finding.message
    assert (finding.line, finding.column) == spot(text, "plausible")
    assert (found.kept, len(found.lowest)) == (0, 0)


def test_a_slip_that_is_right_keeps_the_exercise_back() -> None:
    text = SMALL.replace("value = 'a*100/D'", "value = 'a*(100 - D)/D'")
    finding = only(run(text), "ENG-423")
    assert "the slip 'whole cycle given' lies too near to the answer" in finding.message
    assert (finding.line, finding.column) == spot(text, "value = 'a*(100")


def test_a_slip_without_any_value() -> None:
    text = SMALL.replace("value = 'a*100/D'", "value = 'a/(D - D)'")
    finding = only(run(text), "ENG-413")
    assert finding.severity == "remark"
    assert (finding.line, finding.column) == spot(text, "value = 'a/(D")
    assert finding.text == "a/(D - D)"


def test_slips_alike_name_the_pair_and_how_often() -> None:
    text = SMALL + "\n[[slips]]\nname = 'cycle'\nvalue = 'a/D*100 + 0.001'\nremark = 'No.'\n"
    found = run(text)
    finding = only(found, "ENG-414")
    assert finding.message == (
        "M05-E2: The slips 'whole cycle given' and 'cycle' of b are told apart in 0 % of the "
        "draws only."
    )
    assert (finding.line, finding.column) == spot(text, "value = 'a/D*100 + 0.001'")
    assert finding.severity == "remark"
    assert found.slips_apart == 0


def test_slips_apart_counts_whole_draws() -> None:
    # The second slip is a + 12 s: alike with a*100/D where both agree within 2 % of the rest.
    text = SMALL + "\n[[slips]]\nname = 'added'\nvalue = 'a + 12'\nremark = 'No.'\n"
    found = run(text)
    assert Decimal("0.9") < found.slips_apart < 1
    alike = 0
    for seconds in range(4, 31):
        for duty in range(15, 46, 5):
            rest = Decimal(seconds) * (100 - duty) / duty
            if abs(Decimal(seconds) * 100 / duty - seconds - 12) <= rest * Decimal("0.02"):
                alike += 1
    # Some draws are refused: 'added' lies within two tolerances of the answer itself.
    assert found.kept < 189
    assert found.slips_apart == (Decimal(found.kept - alike) / found.kept).quantize(
        Decimal("0.0001")
    )


def test_few_different_draws_need_a_reason() -> None:
    text = SMALL.replace("from = 4, to = 30", "from = 4, to = 9")
    finding = only(run(text), "ENG-415")
    assert (finding.severity, "There are 42 different draws" in finding.message) == ("error", True)
    assert (finding.line, finding.column) == spot(text, "[given]")
    with_reason = text.replace("stakes =", "few_draws = 'the card has few lines'\nstakes =")
    found = run(with_reason)
    assert found.is_clean
    assert only(found, "ENG-416").severity == "remark"


def test_a_safety_exercise_may_stand_in_a_check_with_few_draws() -> None:
    found = run(blocks.STANDSTILL)
    # 15 times by 2 factors by 6 margins.
    assert (found.kept, [finding.code for finding in found.findings]) == (180, [])


def test_strict_rounding_that_leads_outside() -> None:
    text = SMALL.replace("accept = 'within 2 %'", "accept = 'within 0.1 %'\nstrict = true")
    finding = only(run(text), "ENG-417")
    assert finding.severity == "error"
    # First at a = 4 s, D = 15 %: the cycle is 26.667, rounded 26.7, the rest 22.7 for 22.667.
    assert "gets 22.7000 s for b and is not inside" in finding.message
    assert "at a = 4 s, D = 15 %" in finding.message
    assert (finding.line, finding.column) == spot(text, "accept")


def test_the_working_must_end_with_the_answer() -> None:
    text = SMALL.replace("the rest =b=.", "the rest.")
    finding = only(run(text), "ENG-419")
    assert finding.message == "M05-E2: The last value that 'worked' prints is C, not a find."
    assert finding.cure == "End it with the answer: =b=."
    assert (finding.line, finding.column) == spot(text, "worked")


def test_words_of_danger_need_a_hazard() -> None:
    text = SMALL.replace("A dose takes", "With the cover off the burrs show. A dose takes")
    finding = only(run(text), "ENG-422")
    assert (finding.severity, finding.text) == ("remark", "cover off")
    assert (finding.line, finding.column) == spot(text, "situation")
    declared = text.replace("stakes =", "hazards = ['H03']\nstakes =")
    assert all(finding.code != "ENG-422" for finding in run(declared).findings)


def test_pick_and_order_are_exempt_from_counting_draws() -> None:
    for text in (blocks.PICK_ALL, blocks.ORDER):
        found = run(text)
        assert (found.draws, found.kept, found.findings) == (1, 1, ())


def test_orders_that_cannot_be_broken_or_kept() -> None:
    exercise = blocks.exercise(blocks.ORDER)
    free = proof.run(replace(exercise, before=()))
    assert only(free, "ENG-421").severity == "error"
    pair = exercise.before[0]
    turned = replace(pair, first=pair.then, then=pair.first)
    circle = proof.run(replace(exercise, before=(pair, turned)))
    assert only(circle, "ENG-420").severity == "error"


def test_findings_carry_the_file_and_the_worst_comes_first() -> None:
    text = SMALL.replace("the rest =b=.", "the rest.")
    exercise, _ = read_block(text, line=40)
    assert exercise is not None
    found = proof.run(exercise, file="M05/exercises.md")
    assert [(finding.severity, finding.file) for finding in found.findings] == [
        ("error", "M05/exercises.md"),
        ("remark", "M05/exercises.md"),
    ]
    line, column = spot(text, "worked")
    assert str(found.findings[0]).startswith(f"M05/exercises.md:{line + 39}:{column}: error: ")


def test_a_derived_value_that_does_not_exist() -> None:
    derived = "[derived]\nd = { what = 'd', value = '1 s / (a - 4 s)', unit = '', step = 0.01 }"
    text = SMALL.replace("[find]", f"{derived}\n\n[find]")
    text = text.replace("b = 'C - a'", "b = 'C - a * d / d'")
    finding = only(run(text), "ENG-410")
    assert "d has no value in 3.7 % of the draws, first at a = 4 s, D = 15 %" in finding.message
    assert (finding.line, finding.column) == spot(text, "d = { what")


def test_a_slip_of_the_unit_that_is_right_is_named_as_the_reason() -> None:
    # The answer is 1 upside down in every draw.
    text = SMALL.replace("b = 'C - a'", "b = 'C / C * 1 s'").replace("'a*100/D'", "'D'")
    finding = only(run(text), "ENG-423")
    assert "a slip of the unit lies too near to b" in finding.message
    assert (finding.line, finding.column) == spot(text, "b = { what")


def test_the_guards_behind_the_draw() -> None:
    """What the draw already refuses is looked at once more, should its rules ever loosen."""
    exercise = blocks.exercise(SMALL)
    tally = Tally(exercise, 10, 100)
    figures = tally.plan.figures({column.symbol: column.at(0) for column in tally.plan.columns})
    assert isinstance(figures, Figures)
    seen = tally.seen["b"]
    # First draw: 4 s at 15 %. The cycle, the slip's value, is 26.67 s; the answer 22.67 s.
    wrong = Band(Decimal(26), Decimal(27), Decimal("22.67"), "26", "27", "s")
    for _ in range(2):
        tally._check_slips(seen, wrong, Decimal(0), figures)
        tally._check_inside(seen.find, wrong, figures, None)
    assert [finding.code for finding in tally.findings] == ["ENG-412", "ENG-418"]
    assert "'whole cycle given' gives 26.67 s, which is accepted as b" in tally.findings[0].message


def test_an_exercise_without_places_has_findings_of_the_whole_file() -> None:
    exercise = replace(blocks.exercise(SMALL.replace("the rest =b=.", "the rest.")), lines={})
    assert {(finding.line, finding.column) for finding in proof.run(exercise).findings} == {(0, 0)}


def test_words_of_danger_are_looked_for_in_options_and_acts() -> None:
    for text, key in ((blocks.PICK_ALL, "options"), (blocks.ORDER, "acts")):
        bare = text.replace("hazards = ['H01']\n", "").replace("'safety'", "'quality'")
        exercise = blocks.exercise(bare)
        words = {"tell the staff": "open the machine", "the stop button": "the mains switch"}
        for old, new in words.items():
            bare = bare.replace(old, new)
        finding = only(run(bare), "ENG-422")
        place = {exercise.lines[name] for name in exercise.lines if name.startswith(key)}
        assert (finding.line, finding.column) in place


def test_what_mostly_cannot_be_worked_out_is_the_reason_given() -> None:
    text = SMALL.replace(
        "C = 'a / D'", "C = 'sqrt(15 % - D) / (15 % - D) * a / D * sqrt(15 % - D)'"
    )
    found = run(text)
    assert found.kept == 0
    assert "C cannot be worked out (100 % of all draws)" in only(found, "ENG-423").message


def test_each_find_is_looked_at_with_its_own_slips_and_tied_values_go_together() -> None:
    text = blocks.CHAIN.replace(
        "r = { what = 'belt ratio', from = 0.25, to = 0.45, step = 0.01 }",
        "r = { what = 'belt ratio', one_of = [0.25, 0.35, 0.45] }",
    ).replace(
        "g = { what = 'coffee per turn', from = 0.2, to = 0.6, step = 0.05, unit = 'g' }",
        "g = { what = 'coffee per turn', one_of = [0.3, 0.4, 0.5], tied_to = 'r', unit = 'g' }",
    )
    found = run(text)
    # 16 speeds, 3 ratios with their grams, 7 hours.
    assert (found.draws, found.exhaustive) == (16 * 3 * 7, True)
    assert [extreme.find for extreme in found.lowest] == ["b", "c", "k"]
    # Least: 1300/min by 0.25 by 0.3 g, 2 h: 1300 * 0.25 * 0.3 * 120 = 11 700 g.
    assert found.lowest[2].value == "11.70 kg"


def test_samples_have_too_many_draws_to_walk() -> None:
    text = """
id = 'M07-E3'
title = 'Repeatability'
situation = 'The readings are =r=.'
accept = 'within 3 %'
worked = 'The spread is =s=.'

[given]
r = { what = 'readings', readings = 5, about = 100.0, spread = 0.1, step = 0.1, unit = 'g' }

[find]
s = { what = 'spread', unit = 'g' }

[method]
s = 'sd(r)'
"""
    found = run(text, draws=300)
    assert (found.exhaustive, found.draws) == (False, 300)
    assert found.distinct > 200
    assert proof.from_plain(proof.as_plain(found)) == found


# --- the store ----------------------------------------------------------------------------------


def proofs() -> list[Proof]:
    strict = SMALL.replace("accept = 'within 2 %'", "accept = 'within 0.1 %'\nstrict = true")
    return [run(SMALL), run(strict), run(blocks.PICK_ALL)]


def test_a_proof_goes_through_the_store_unchanged() -> None:
    for found in proofs():
        assert proof.from_plain(proof.as_plain(found)) == found
    stored = proof.write_store(proofs())
    assert proof.read_store(stored) == {found.hash: found for found in proofs()}
    assert proof.write_store(reversed(proofs())) == stored
    assert proof.write_store([]) == "[]\n"


def test_proofs_of_another_engine_edition_are_not_taken() -> None:
    (other,) = [replace(run(SMALL), engine_edition=ENGINE_EDITION + 1)]
    assert proof.read_store(proof.write_store([other])) == {}


@pytest.mark.parametrize("text", ["", "{", "[1]", '[{"engine_edition": 1}]', "null"])
def test_a_store_that_cannot_be_read_holds_nothing(text: str) -> None:
    assert proof.read_store(text) == {}


def test_a_stored_proof_moves_with_its_exercise() -> None:
    found = run(SMALL, line=10)
    exercise, _ = read_block(SMALL, line=110)
    assert exercise is not None
    moved = proof.placed(found, exercise, "M05/exercises.md")
    assert moved == proof.run(exercise, file="M05/exercises.md")
    assert moved.findings[0].line == found.findings[0].line + 100
