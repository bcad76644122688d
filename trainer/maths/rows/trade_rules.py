"""Rows of ``trade_rules``: duty printed on a label as seconds on and seconds off."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry

_ON = Argument("on_s", "s", "seconds on", 0, above=True)
_OFF = Argument("off_s", "s", "seconds off", 0)

ROWS = (
    Entry(
        name="printed_duty",
        meaning="The duty share that a label prints as seconds on and off.",
        arguments=(_ON, _OFF),
        unit="",
        formula="on over on plus off",
        source="definition of the duty factor",
        where="trade_rules:printed_duty",
        example="on_s=20 off_s=30",
        caution="The card of the machine decides.",
    ),
    Entry(
        name="printed_rest",
        meaning="The rest after a run that keeps to a duty printed as seconds on and off.",
        arguments=(Argument("run_s", "s", "length of the run", 0), _ON, _OFF),
        unit="s",
        formula="run times off over on",
        source="common practice, no source",
        where="trade_rules:printed_rest_s",
        example="run_s=8 on_s=20 off_s=30",
        caution="The card of the machine decides.",
    ),
)
