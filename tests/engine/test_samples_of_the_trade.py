"""Exercises as a trainer writes them, with their check values worked out beforehand.

Each check is one choice of values, the answer, and what each named slip gives, to ten figures;
they were worked out when the exercises were planned, apart from this code.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.engine.blocks import exercise_of
from trainer.engine.draw import draw_key_for
from trainer.engine.figures import slip_value
from trainer.engine.formula import computing
from trainer.engine.outcome import Sheet
from trainer.engine.sheet import make, make_from_values

CARRIER = """\
id = 'M01-E5'
title = 'Energy left in the carrier'
situation = 'A carrier of =m= and =d= runs at =n= when the plug is pulled.'
accept = 'within 3 %'
plausible = '2 J to 44 J'
stakes = 'quality'
worked = 'J = =J=, w = =w=, so W = =W=.'
[given]
m = { what = 'carrier plus burr', from = 0.5, to = 1.8, step = 0.1, unit = 'kg' }
d = { what = 'diameter', from = 82, to = 110, step = 2, unit = 'mm' }
n = { what = 'speed', from = 900, to = 1700, step = 50, unit = '1/min' }
[find]
W = { what = 'energy', unit = 'J' }
[method]
J = 'm * (d / 2)^2 / 2'
w = '2 * pi * n'
W = 'J * w^2 / 2'
[[slips]]
name = 'diameter for radius'
value = '0.25*m*(d/1000)^2*(2*pi*n/60)^2'
remark = 'The formula wants the radius: half the diameter.'
[[slips]]
name = 'ring taken for disc'
value = '0.5*m*(d/2000)^2*(2*pi*n/60)^2'
remark = 'For a flat disc J is m r^2/2; you used m r^2.'
[[slips]]
name = 'turns instead of radians'
value = '0.25*m*(d/2000)^2*(n/60)^2'
remark = 'Angular speed in rad/s is 2 pi times turns per second.'
""".replace("J = =J=, w = =w=, so W = =W=.", r"J \= =J=, w \= =w=, so W \= =W=.")
COFFEE = """\
id = 'M03-E2'
title = 'Coffee through the burrs'
situation = '=n= of =m= and =p= purge.'
accept = 'within 1 %'
plausible = '12 kg to 330 kg'
worked = 'Served =s=, with purge =M=.'
[given]
n = { what = 'doses', from = 1500, to = 15000, step = 100, unit = 'dose' }
m = { what = 'mean dose', from = 8, to = 20, step = 0.1, unit = 'g' }
p = { what = 'purge and waste', from = 1, to = 6, step = 0.5, unit = '%' }
[find]
M = { what = 'coffee', unit = 'kg' }
[method]
s = 'n * m'
M = 's * (1 + p)'
[[slips]]
name = 'purge left out'
value = 'n*m/1000'
remark = 'Purged coffee also passed the burrs: add its share.'
[[slips]]
name = 'share taken off'
value = 'n*m/1000*(1 - p/100)'
remark = 'Purge is on top of the served coffee, not out of it.'
[[slips]]
name = 'left in grams'
value = 'n*m*(1 + p/100)'
remark = 'Kilograms are asked.'
"""
REST = """\
id = 'M05-E2'
title = 'Rest the card asks for'
situation = 'The grinder ran for =a=; the card permits =D=.'
accept = 'within 2 %'
plausible = '4 s to 171 s'
stakes = 'safety'
safe_side = 'higher'
worked = 'Whole cycle =c=, rest =b=.'
[given]
a = { what = 'grinding time', from = 4, to = 30, step = 0.5, unit = 's' }
D = { what = 'permitted duty', from = 15, to = 45, step = 5, unit = '%' }
[find]
b = { what = 'rest', unit = 's' }
[method]
c = 'a / D'
b = 'c - a'
[[slips]]
name = 'whole cycle given'
value = 'a*100/D'
remark = 'That is grinding plus rest; take the grinding off.'
[[slips]]
name = 'percent of grinding'
value = 'a*D/100'
remark = 'Duty is the share of the whole cycle, not of the grinding time.'
"""
COOLING = """\
id = 'M05-E6'
title = 'Cooling down to carry on'
situation = 'The motor is =y0= above the room; it may start again at =y1=.'
accept = 'within 2 %'
plausible = '7 min to 95 min'
worked = 'The time is =t=.'
[given]
y0 = { what = 'rise now', from = 60, to = 95, step = 1, unit = 'K' }
y1 = { what = 'wanted rise', from = 20, to = 45, step = 1, unit = 'K' }
T = { what = 'time constant, standing', from = 25, to = 60, step = 1, unit = 'min' }
[find]
t = { what = 'time', unit = 'min' }
[method]
t = 'T * ln(y0 / y1)'
[[slips]]
name = 'straight line'
value = 'T*(y0 - y1)/y0'
remark = 'Cooling slows down: use the logarithm.'
[[slips]]
name = 'wrong logarithm'
value = 'T*log10(y0/y1)'
remark = 'The natural logarithm belongs to this law.'
"""
DAYS = """\
id = 'M04-E1'
title = 'Days until the burr change'
situation = '=L= planned, =u= used, =r=.'
accept = 'exact'
plausible = '4 day to 640 day'
worked = 'Days: =n=.'
[given]
L = { what = 'planned burr life', from = 300, to = 800, step = 10, unit = 'kg' }
u = { what = 'used on this set', from = 100, to = 280, step = 1, unit = 'kg' }
r = { what = 'calendar rate', from = 1.1, to = 6.3, step = 0.1, unit = 'kg/day' }
[find]
n = { what = 'whole days', unit = 'day', accept = 'whole, rounded down' }
[method]
n = '(L - u) / r'
[[slips]]
name = 'whole life used'
value = 'floor(L/r)'
remark = 'Part of the life is gone: subtract what is used.'
[[slips]]
name = 'rounded up'
value = 'ceil((L - u)/r)'
remark = 'Round down: a plan must never be late.'
"""
WINDING = """\
id = 'M11-E5'
title = 'Winding temperature from resistance'
situation = 'Cold =a= at =y=; hot =h=.'
accept = 'within 1 K'
plausible = '40 degC to 145 degC'
worked = 'The winding is at =t=.'
[given]
a = { what = 'cold resistance', from = 8, to = 30, step = 0.1, unit = 'ohm' }
y = { what = 'room', from = 18, to = 28, step = 1, unit = 'degC' }
[hidden]
x = { from = 1.15, to = 1.4, step = 0.01 }
k = { is = 235, unit = 'K' }
[derived]
h = { what = 'hot resistance', value = 'a * x', unit = 'ohm', step = 0.01 }
[find]
t = { what = 'temperature of the winding', unit = 'degC' }
[method]
t = '0 degC + h / a * (k + (y - 0 degC)) - k'
[[slips]]
name = 'in proportion'
value = 'h/a*y'
remark = 'Resistance goes with the temperature above -235 degC.'
"""

CHECKS = [
    (CARRIER, {"m": "1.1", "d": "84", "n": "1400"}, "10.42664487",
     ["41.70657949", "20.85328975", "0.26411"]),
    (COFFEE, {"n": "6200", "m": "17.6", "p": "3"}, "112.3936", ["109.12", "105.8464", "112393.6"]),
    (REST, {"a": "12", "D": "40"}, "18", ["30", "4.8"]),
    (COOLING, {"y0": "78", "y1": "35", "T": "40"}, "32.05443061", ["22.05128205", "13.92106233"]),
    (DAYS, {"L": "560", "u": "214", "r": "3.4"}, "101", ["164", "102"]),
    # 17.92 / 14 * (235 + 22) - 235 = 93.96; 1.28 * 22 = 28.16
    (WINDING, {"a": "14.0", "y": "22", "x": "1.28", "k": "235"}, "93.96", ["28.16"]),
]  # fmt: skip
IDS = ["carrier", "coffee", "rest", "cooling", "days", "winding"]


@pytest.mark.parametrize(("block", "values", "answer", "slips"), CHECKS, ids=IDS)
def test_check_values(block: str, values: dict[str, str], answer: str, slips: list[str]) -> None:
    exercise = exercise_of(block)
    sheet = make_from_values(exercise, {name: Decimal(text) for name, text in values.items()})
    assert isinstance(sheet, Sheet), sheet
    (band,) = sheet.bands.values()
    assert abs(band.expected - Decimal(answer)) <= abs(Decimal(answer)) * Decimal("1e-8")
    found = computing(lambda: [slip_value(slip, sheet.bare) for slip in exercise.slips])
    for value, text in zip(found, slips, strict=True):
        assert abs(value - Decimal(text)) <= abs(Decimal(text)) * Decimal("1e-8")


@pytest.mark.parametrize("block", [row[0] for row in CHECKS], ids=IDS)
def test_every_draw_can_be_set(block: str) -> None:
    exercise = exercise_of(block)
    for number in range(60):
        sheet = make(exercise, draw_key_for(exercise.hash, number))
        (band,) = sheet.bands.values()
        assert band.low <= band.expected <= band.high
        assert "=" not in sheet.shown.situation


def test_what_a_sheet_prints() -> None:
    rest = make_from_values(exercise_of(REST), {"a": Decimal(12), "D": Decimal(40)})
    assert isinstance(rest, Sheet)
    assert rest.texts == {"a": "12.0 s", "D": "40 %", "c": "30.00 s", "b": "18.00 s"}
    # Two per cent of 18 s, on the safe side only.
    assert (rest.bands["b"].low_text, rest.bands["b"].high_text) == ("18", "18.36")
    days = make_from_values(
        exercise_of(DAYS), {"L": Decimal(560), "u": Decimal(214), "r": Decimal("3.4")}
    )
    assert isinstance(days, Sheet)
    assert days.texts["n"] == "101 days"
    winding = make_from_values(
        exercise_of(WINDING),
        {"a": Decimal("14.0"), "y": Decimal(22), "x": Decimal("1.28"), "k": Decimal(235)},
    )
    assert isinstance(winding, Sheet)
    assert winding.texts["h"] == "17.92 Ω"
    assert winding.shown.finds[0].units == ("°C",)
