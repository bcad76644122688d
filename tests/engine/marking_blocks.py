"""Exercises that the tests of marking, working and proof share, and how to make a sheet of them."""

from __future__ import annotations

from decimal import Decimal

from trainer.engine.definition import Exercise
from trainer.engine.figures import NotKept
from trainer.engine.outcome import Sheet
from trainer.engine.reader import read_block
from trainer.engine.sheet import make_from_values

DOSE_TIME = """
id = 'M06-E2'
title = 'Time for a dose with start lag'
situation = '''
The chute gives =q= once it flows, but nothing falls for the first =z=.
'''
accept = 'within 1 %'
plausible = '1 s to 10 s'
stakes = 'quality'
worked = '''
Flow time: =m= over =q= is =f=. Add the lag =z=: the time to set is =t=.
'''

[given]
m = { what = 'wanted dose', from = 7.0, to = 21.0, step = 0.1, unit = 'g' }
q = { what = 'steady flow', from = 2.5, to = 5.0, step = 0.1, unit = 'g/s' }
z = { what = 'start lag', from = 0.20, to = 0.80, step = 0.05, unit = 's' }

[find]
t = { what = 'time to set for =m=', unit = 's' }

[method]
f = 'm / q'
t = 'z + f'

[[slips]]
name = 'lag left out'
value = 'm / q'
remark = 'Nothing falls during the run-up of =z=: add the lag.'

[[slips]]
name = 'lag taken off'
value = 'm / q - z'
remark = 'The lag lengthens the run.'
"""

STANDSTILL = """
id = 'M01-E1'
title = 'Waiting for the burrs to stop'
situation = '''
The burrs took =t= to run down.
'''
accept = 'within 0.1 s'
safe_side = 'higher'
stakes = 'safety'
hazards = ['H01']
worked = '''
=k= times =t= and =m= more: wait =w=.
'''

[given]
t = { what = 'run-down time', from = 2.0, to = 9.0, step = 0.5, unit = 's' }
k = { what = 'card factor', from = 2, to = 3, step = 1 }
m = { what = 'margin', from = 3, to = 8, step = 1, unit = 's' }

[find]
w = { what = 'time to wait', unit = 's' }

[method]
w = 'k * t + m'

[[slips]]
name = 'margin left out'
value = 'k*t'
remark = 'Add the margin last.'

[[slips]]
name = 'margin multiplied'
value = 'k*(t + m)'
remark = 'The margin is added once.'
"""

LOCKS = """
id = 'M01-E2'
title = 'How many personal locks'
situation = '''
=p= work at =s=.
'''
accept = 'exact'
stakes = 'safety'
hazards = ['H01']
few_draws = 'a crew is small'
worked = '''
One row a person: =n=.
'''

[given]
p = { what = 'people', from = 1, to = 4, step = 1, unit = 'person' }
s = { what = 'isolation points', from = 1, to = 3, step = 1, unit = 'point' }

[find]
n = { what = 'locks', unit = 'lock' }

[method]
n = 'p * s'

[[slips]]
name = 'one lock per person'
value = 'p'
remark = 'Each person locks every point.'

[[slips]]
name = 'one lock per point'
value = 's'
remark = 'A shared lock protects nobody.'

[[slips]]
name = 'added'
value = 'p + s'
remark = 'Times, not plus.'
"""

# Three finds, each worked out from the one before: a belt, its speed, the coffee of a day.
CHAIN = """
id = 'M02-E9'
title = 'From the motor to the day'
situation = '''
The motor turns at =n=.
'''
accept = 'within 1 %'
stakes = 'quality'
worked = '''
The burr turns at =b=, gives =c= and in =h= that is =k=.
'''

[given]
n = { what = 'motor speed', from = 1300, to = 1450, step = 10, unit = '1/min' }
r = { what = 'belt ratio', from = 0.25, to = 0.45, step = 0.01 }
g = { what = 'coffee per turn', from = 0.2, to = 0.6, step = 0.05, unit = 'g' }
h = { what = 'hours a day', from = 2, to = 8, step = 1, unit = 'h' }

[find]
b = { what = 'burr speed', unit = '1/min' }
c = { what = 'flow', unit = 'g/s' }
k = { what = 'coffee in =h=', unit = 'kg' }

[method]
b = 'n * r'
c = 'b * g'
k = 'c * h'

[[slips]]
name = 'ratio turned round'
find = 'b'
value = 'n / r'
remark = 'A small wheel driving a large one slows it down.'
"""

PICK_ALL = """
id = 'M01-E6'
title = 'What isolates'
situation = '''
Which of these isolate?
'''
stakes = 'safety'
hazards = ['H01']
pick = 'all'

[[options]]
text = 'pulling the plug and keeping it'
right = true
remark = 'The plug in your hand is isolation.'

[[options]]
text = 'the stop button'
right = false
remark = 'A button only asks the board.'

[[options]]
text = 'the locked isolator'
right = true
remark = 'A locked isolator is isolation.'

[[options]]
text = 'an open lid'
right = false
remark = 'A lid switch can stick.'
"""

PICK_ONE = PICK_ALL.replace("pick = 'all'", "pick = 'one'").replace(
    "text = 'the locked isolator'\nright = true", "text = 'the locked isolator'\nright = false"
)

ORDER = """
id = 'M01-E7'
title = 'The isolation order'
situation = '''
Put the acts in order.
'''
stakes = 'safety'
hazards = ['H01']
before = [
  ['tell', 'unplug', 'Staff must not start it.'],
  ['unplug', 'prove'],
  ['unplug', 'open'],
  ['prove', 'open', 'Dead is dead only when proved.'],
]

[[acts]]
id = 'tell'
text = 'tell the staff'

[[acts]]
id = 'unplug'
text = 'pull the plug'

[[acts]]
id = 'prove'
text = 'prove it dead'

[[acts]]
id = 'open'
text = 'open the cover'
"""


def exercise(text: str) -> Exercise:
    found, findings = read_block(text)
    assert found is not None, findings
    return found


def sheet(text: str, **values: str) -> Sheet:
    made = make_from_values(
        exercise(text), {symbol: Decimal(value) for symbol, value in values.items()}
    )
    assert not isinstance(made, NotKept), made.words
    return made


def dose_time() -> Sheet:
    """18 g at 3.8 g/s after 0.45 s: 0.45 + 4.736842105 = 5.186842105 s."""
    return sheet(DOSE_TIME, m="18.0", q="3.8", z="0.45")


def standstill() -> Sheet:
    """2 times 4.5 s and 5 s more: 14 s; slips 9 s and 19 s."""
    return sheet(STANDSTILL, t="4.5", k="2", m="5")


def locks() -> Sheet:
    """3 people at 2 points: 6 locks; slips 3, 2, 5."""
    return sheet(LOCKS, p="3", s="2")


def chain() -> Sheet:
    """1400/min over 0.3 is 420/min; times 0.25 g is 1.75 g/s; in 4 h, 14 400 s, 25.2 kg."""
    return sheet(CHAIN, n="1400", r="0.30", g="0.25", h="4")
