"""Exercise blocks that several engine tests work with."""

from __future__ import annotations

from trainer.engine.definition import Exercise
from trainer.engine.reader import read_block
from trainer.findings import Finding

LAG = """\
id = 'M06-E2'
title = 'Time for a dose with start lag'
situation = '''
The chute gives =q= once it flows, but nothing falls for the first =z=.
'''
accept = 'within 1 %'
plausible = '1 s to 10 s'
stakes = 'quality'
shows = ['C09.3']
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
remark = 'Nothing falls during the run-up: add the lag.'

[[slips]]
name = 'lag taken off'
value = 'm / q - z'
remark = 'The lag lengthens the run.'
"""

PICK = """\
id = 'M03-E8'
title = 'Reset value not written down'
situation = 'The counter showed =c1=; after a reset nobody wrote down, it shows =c2=.'
stakes = 'quality'
pick = 'one'

[given]
c1 = { what = 'last visit', from = 400, to = 900, step = 0.5, unit = 'kg' }
c2 = { what = 'now', from = 5, to = 120, step = 0.5, unit = 'kg' }

[[options]]
text = 'at least =c2=, no rate'
right = true

[[options]]
text = 'exactly =c2='
remark = 'What passed before the reset is not known.'

[[options]]
text = '=c1= and =c2= together'
remark = 'The old reading is not use in this period.'
"""

ORDER = """\
id = 'M01-E6'
title = 'The isolation order'
situation = 'Put the acts in order.'
stakes = 'safety'
hazards = ['H01']
before = [['tell', 'unplug'], ['unplug', 'wait'], ['wait', 'prove', 'A turning burr cuts.']]

[[acts]]
id = 'prove'
text = 'Prove dead with a proved tester.'

[[acts]]
id = 'tell'
text = 'Tell the people at the counter.'

[[acts]]
id = 'wait'
text = 'Wait for standstill.'

[[acts]]
id = 'unplug'
text = 'Pull the plug and keep it in your own hand.'
"""


def exercise_of(text: str) -> Exercise:
    """The exercise of a block that has no finding at all."""
    exercise, findings = read_block(text)
    assert findings == (), "\n".join(map(str, findings))
    assert exercise is not None
    return exercise


def findings_of(text: str) -> tuple[Finding, ...]:
    """The findings of a block, worst first."""
    return read_block(text)[1]
