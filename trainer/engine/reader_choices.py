"""Pick and order: options with the right ones marked, acts with what must come before what."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING, Literal

from trainer.engine import reader_errors as wrong
from trainer.engine.definition import Act, Before, Option
from trainer.engine.spelling import meant

if TYPE_CHECKING:
    from trainer.engine.positions import Path
    from trainer.engine.reader_block import Block

MAX_OPTIONS = 12
MAX_ACTS = 12
MAX_PAIRS = 60
_ACT_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,15}")


def read_options(block: Block) -> tuple[Literal["one", "all"], tuple[Option, ...]]:
    """The options of a pick."""
    pick: Literal["one", "all"] = "one"
    if not block.has(("pick",)):
        block.note(wrong.key_missing, ("options", 0), where="The pick", name="pick",
                   example="pick = 'one' or pick = 'all' before the first [[options]]")  # fmt: skip
    elif block.take_choice(("pick",), ("one", "all"), "one") == "all":
        pick = "all"
    options: list[Option] = []
    for path in block.take_tables(("options",), example="[[options]]", limit=MAX_OPTIONS):
        block.known_keys(path, ("text", "right", "remark"), "of an option")
        text = block.take_text((*path, "text"), example="text = '…'", where="The option", limit=600)
        right = block.take_flag((*path, "right"))
        remark = block.take_text((*path, "remark"), example="remark = '…'", limit=600)
        if text is not None and any(option.text == text for option in options):
            block.note(wrong.option_twice, (*path, "text"), what="options")
        if not right and not block.has((*path, "remark")):
            block.note(wrong.remark_missing, path)
        options.append(Option(text or "", right, remark or ""))
    _check_right(block, pick, options)
    return pick, tuple(options)


def _check_right(block: Block, pick: Literal["one", "all"], options: list[Option]) -> None:
    if not block.has(("options",)):
        block.note(wrong.option_count, ("pick",), count="no", wanted="at least two",
                   cure="Write [[options]] with text, right and remark.")  # fmt: skip
        return
    if len(options) < 2:
        block.note(wrong.option_count, ("options",), count=len(options), wanted="at least two",
                   cure="Write another [[options]].")  # fmt: skip
        return
    right = sum(option.right for option in options)
    cure = ""
    if pick == "one" and right != 1:
        cure = "Mark exactly one with right = true, or write pick = 'all'."
    elif pick == "all" and right in {0, len(options)}:
        cure = "Mark at least one as right and leave at least one wrong."
    if cure:
        what = f"{right} of {len(options)} options"
        block.note(wrong.right_count, ("options",), what=what, pick=pick, cure=cure)


def read_acts(block: Block) -> tuple[tuple[Act, ...], tuple[Before, ...]]:
    """The acts of an order and the pairs that it must keep."""
    acts: list[Act] = []
    for path in block.take_tables(("acts",), example="[[acts]]", limit=MAX_ACTS):
        block.known_keys(path, ("id", "text"), "of an act")
        act = block.take_text((*path, "id"), example="id = 'unplug'", where="The act")
        text = block.take_text((*path, "text"), example="text = '…'", where="The act", limit=600)
        if act is None:
            continue
        why = "" if _ACT_ID.fullmatch(act) else "it is no short plain word"
        if any(other.id.lower() == act.lower() for other in acts):
            why = "another act bears it"
        if why:
            block.note(wrong.bad_act_id, (*path, "id"), text=act, why=why)
        if text is not None and any(other.text == text for other in acts):
            block.note(wrong.option_twice, (*path, "text"), what="acts")
        acts.append(Act(act, text or ""))
    if len(acts) < 2:
        block.note(wrong.option_count, ("acts",), count=len(acts), wanted="at least two acts",
                   cure="Write another [[acts]].")  # fmt: skip
    return tuple(acts), _pairs(block, [act.id for act in acts])


def _pairs(block: Block, ids: list[str]) -> tuple[Before, ...]:
    value = block.get(("before",))
    if not block.has(("before",)):
        block.note(wrong.no_wrong_order, ("acts",))
        return ()
    if not isinstance(value, list):
        block.note(wrong.wrong_type, ("before",), name="before", wanted="a list of pairs",
                   example="before = [['unplug', 'open']]")  # fmt: skip
        return ()
    if len(value) > MAX_PAIRS:
        block.note(wrong.too_many, ("before",), what="before", count=len(value), limit=MAX_PAIRS)
        return ()
    pairs: list[Before] = []
    sound = True
    for number in range(len(value)):
        pair = _pair(block, ("before", number), ids, pairs)
        sound = sound and pair is not None
        if pair is not None:
            pairs.append(pair)
    if sound and not pairs:
        block.note(wrong.no_wrong_order, ("before",))
    circle = circle_in(pairs)
    if circle:
        block.note(wrong.before_circle, ("before",), circle=" → ".join(circle))
    return tuple(pairs)


def _pair(block: Block, path: Path, ids: list[str], pairs: list[Before]) -> Before | None:
    value = block.get(path)
    why = ""
    if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
        why = "it is no list of two words"
    elif len(value) not in {2, 3}:
        why = f"it has {len(value)} entries"
    elif value[0] == value[1]:
        why = f"'{value[0]}' cannot come before itself"
    elif any((pair.first, pair.then) == (value[0], value[1]) for pair in pairs):
        why = "it stands twice"
    if why:
        block.note(wrong.bad_pair, path, why=why)
        return None
    unknown = False
    for number in (0, 1):
        if value[number] not in ids:
            close = meant(value[number], ids, nearness=0.5)
            cure = f"Did you mean {close}?" if close else f"Acts are: {', '.join(ids)}."
            block.note(wrong.unknown_act, (*path, number), name=value[number], cure=cure)
            unknown = True
    return None if unknown else Before(value[0], value[1], value[2] if len(value) == 3 else "")


def circle_in(pairs: Iterable[Before]) -> list[str]:
    """A way round that comes back to its beginning; empty when there is none."""
    after: dict[str, list[str]] = {}
    for pair in pairs:
        after.setdefault(pair.first, []).append(pair.then)
    done: set[str] = set()

    def follow(act: str, way: list[str]) -> list[str]:
        if act in way:
            return [*way[way.index(act) :], act]
        if act in done:
            return []
        for following in after.get(act, ()):
            found = follow(following, [*way, act])
            if found:
                return found
        done.add(act)
        return []

    for act in list(after):
        found = follow(act, [])
        if found:
            return found
    return []
