"""The unit check of a formula: what each part measures, and every place where units do not agree.

It runs once, when a block is read. A part whose own check failed is not held against the parts
around it, so that one mistake gives one finding.
"""

from __future__ import annotations

from collections.abc import Mapping

from trainer.engine.formula_check_calls import call_sort
from trainer.engine.formula_errors import (
    FormulaError,
    bare_wanted,
    other_dimension,
    point_refused,
    power_refused,
    truth_misplaced,
    unknown_name,
)
from trainer.engine.formula_functions import FUNCTIONS, function_named
from trainer.engine.formula_nodes import (
    Bracket,
    Chain,
    Comparison,
    Logic,
    Name,
    Negative,
    Node,
    Number,
    Power,
    Text,
    constant,
)
from trainer.engine.formula_sorts import (
    DATE,
    NUMBER,
    SHAPE_WORDS,
    TIME,
    TRUTH,
    WORD,
    Shape,
    Sort,
    usual_unit,
)
from trainer.engine.spelling import meant
from trainer.maths.units import BARE, Dimension, parse_unit

MAX_UNIT_POWER = 9
_ACTS = {"+": "added", "-": "subtracted", "*": "multiplied", "/": "divided"}


def checked(
    source: str, tree: Node, sorts: Mapping[str, Sort]
) -> tuple[Sort | None, tuple[FormulaError, ...]]:
    """The sort of a whole formula and everything wrong with its units.

    Args:
        source: the formula's text, for the messages.
        tree: its tree.
        sorts: what each symbol is.

    Returns:
        The sort, or ``None`` when a mistake leaves it unknown; and the mistakes by their places.
    """
    check = Check(source, sorts)
    sort = check.sort(tree)
    return sort, tuple(sorted(check.problems, key=lambda problem: problem.column))


class Check:
    """One pass over a tree; ``problems`` fills up on the way."""

    def __init__(self, source: str, sorts: Mapping[str, Sort]) -> None:
        self.source = source
        self.sorts = sorts
        self.problems: list[FormulaError] = []

    def text(self, node: Node) -> str:
        """A part as the author wrote it."""
        return self.source[node.start : node.end]

    def refuse(self, code: str, node: Node, **fields: object) -> None:
        """Note a problem at a part."""
        fields.setdefault("text", self.text(node))
        self.problems.append(FormulaError(code, column=node.start + 1, **fields))

    def sort(self, node: Node) -> Sort | None:  # noqa: PLR0911 - one return a kind
        """What a part is; ``None`` once something in it was refused."""
        match node:
            case Number():
                return Sort.of(node.unit) if node.unit else NUMBER
            case Name():
                return self._name(node)
            case Text():
                return WORD
            case Bracket():
                return self.sort(node.part)
            case Negative():
                return self._negative(node)
            case Chain(kind="sum"):
                return self._sum(node)
            case Chain():
                return self._product(node)
            case Power():
                return self._power(node)
            case Comparison():
                return self._comparison(node)
            case Logic():
                for part in node.parts:
                    self.shaped(part, "truth")
                return TRUTH
            case _:
                return call_sort(self, node)

    def _name(self, node: Name) -> Sort | None:
        if node.name == "pi":
            return NUMBER
        found = self.sorts.get(node.name)
        if found is None:
            self.refuse(unknown_name, node, name=node.name, cure=self._nearest(node.name))
        return found

    def _nearest(self, name: str) -> str:
        if name in FUNCTIONS or function_named(name):
            return f"A function is called with brackets: {name}(…)."
        close = meant(name, self.sorts, nearness=0.5)
        if close:
            return f"Did you mean {close}?"
        known = ", ".join(list(self.sorts)[:12])
        return f"Known here: {known}." if known else "No symbol is known here."

    def shaped(self, node: Node, wanted: Shape) -> Sort | None:
        """The sort of a part that must have this shape."""
        sort = self.sort(node)
        if sort is None or sort.shape == wanted:
            return sort
        cures = {
            "series": "Take one number of it, such as mean(…) or max(…).",
            "truth": "A comparison stands in only_when or in when(condition, a, b).",
            "log": "Only catalogue functions read a run log.",
            "date": "Take the difference of two dates: it is a time.",
        }
        cure = cures.get(sort.shape, "")
        if wanted == "truth":
            cure = "Compare it with something: a < b."
        self.refuse(
            truth_misplaced,
            node,
            shape=SHAPE_WORDS[sort.shape],
            wanted=SHAPE_WORDS[wanted],
            cure=cure,
        )
        return None

    def number(self, node: Node, act: str) -> Sort | None:
        """A number that is no point on a scale."""
        sort = self.shaped(node, "number")
        if sort is not None and sort.point:
            self.refuse(point_refused, node, act=act)
            return None
        return sort

    def bare(self, node: Node, name: str) -> bool:
        """Whether a part is a bare number; refused if not."""
        sort = self.number(node, f"given to {name}")
        if sort is not None and sort.dimension != BARE:
            base = sort.unit if sort.unit and not set(sort.unit) & set(" /(") else ""
            self.refuse(
                bare_wanted,
                node,
                name=name,
                unit=sort.in_words,
                base=base or usual_unit(sort.dimension),
            )
            return False
        return sort is not None

    def _negative(self, node: Negative) -> Sort | None:
        # A literal '-5 degC' is a point below zero; the minus belongs to its number.
        if isinstance(node.part, Number) and node.part.unit and node.part.unit.is_point:
            return Sort.of(node.part.unit)
        return self.number(node.part, "negated")

    def either(self, node: Node) -> Sort | None:
        """A number or a date: what may be added, compared or chosen."""
        sort = self.sort(node)
        if sort is None or sort.shape in {"number", "date"}:
            return sort
        return self.shaped(node, "number")

    def _sum(self, node: Chain) -> Sort | None:
        total = self.either(node.first)
        end = node.first.end
        known = total is not None
        for sign, part in node.rest:
            sort = self.either(part)
            if sort is None:
                known = False
            elif total is None:
                total = sort
            else:
                total = self._added(self.source[node.start : end], total, sign, part, sort)
                known = known and total is not None
            end = part.end
        return total if known else None

    def _added(self, first: str, total: Sort, sign: str, part: Node, sort: Sort) -> Sort | None:
        if total.dimension != sort.dimension:
            self._mismatch(first, total, part, sort, _ACTS[sign])
            return None
        if total.shape == "date" or sort.shape == "date":
            return self._dates(total, sign, part, sort)
        if not sort.point:
            return total
        if sign == "-" and total.point:
            return Sort("number", total.dimension, unit="K")
        if sign == "+" and not total.point:
            return sort
        act = "added to another" if sign == "+" else "taken from a difference"
        self.refuse(point_refused, part, act=act)
        return None

    def _dates(self, total: Sort, sign: str, part: Node, sort: Sort) -> Sort | None:
        if total.shape == sort.shape and sign == "-":
            return Sort("number", TIME, unit="day")
        if total.shape == "date" and sort.shape == "number":
            return DATE
        if sign == "+" and sort.shape == "date" and total.shape == "number":
            return DATE
        self.refuse(
            truth_misplaced,
            part,
            shape="a date",
            wanted="a time",
            cure="Two dates are only subtracted; a time is added to a date.",
        )
        return None

    def _mismatch(self, first: str, first_sort: Sort, second: Node, sort: Sort, act: str) -> None:
        cure = "Multiply or divide one of them until both measure the same thing."
        if isinstance(second, Number) and sort.is_bare and first_sort.shape == "number":
            unit = first_sort.unit or usual_unit(first_sort.dimension)
            cure = f"Write the unit beside the number: {second.text} {unit}."
            if set(unit) & set(" /("):
                cure = f"Make it a [hidden] quantity with 'is' and the unit {unit}."
        self.refuse(
            other_dimension,
            second,
            first=first.strip(),
            first_unit=first_sort.in_words,
            second=self.text(second),
            second_unit=sort.in_words,
            act=act,
            cure=cure,
        )

    def _product(self, node: Chain) -> Sort | None:
        dimension: Dimension = BARE
        known = True
        units = []
        for sign, part in (("*", node.first), *node.rest):
            sort = self.number(part, _ACTS[sign])
            if sort is None:
                known = False
                continue
            turn = 1 if sign == "*" else -1
            dimension = tuple(
                have + turn * more for have, more in zip(dimension, sort.dimension, strict=True)
            )
            if sort.dimension != BARE:
                units.append(sort.unit)
        if not known:
            return None
        # One part with a unit keeps the author's own word for it in a message: 2 * m is in g.
        kept = len(units) == 1 and parse_unit(units[0]).dimension == dimension
        return Sort("number", dimension, unit=units[0] if kept else "")

    def _power(self, node: Power) -> Sort | None:
        base = self.number(node.base, "raised to a power")
        if base is None:
            self.bare(node.exponent, "an exponent")
            return None
        exponent = constant(node.exponent)
        if exponent is None and not self.bare(node.exponent, "an exponent"):
            return None
        if base.dimension == BARE:
            return NUMBER
        if exponent is None or exponent != exponent.to_integral_value():
            why, cure = (
                f"{self.text(node.base)} is {base.in_words}",
                "A quantity with a unit takes a whole number as power, or sqrt(…).",
            )
        elif abs(exponent) > MAX_UNIT_POWER:
            why, cure = f"it is beyond {MAX_UNIT_POWER}", "Look at the formula again."
        else:
            return Sort("number", tuple(int(exponent) * part for part in base.dimension))
        self.refuse(power_refused, node.exponent, why=why, cure=cure)
        return None

    def _comparison(self, node: Comparison) -> Sort:
        left, right = self.either(node.left), self.either(node.right)
        self.alike(node.left, left, node.right, right, "compared")
        return TRUTH

    def alike(
        self, first: Node, first_sort: Sort | None, second: Node, sort: Sort | None, act: str
    ) -> bool:
        """Whether two parts may stand side by side; an unknown one is given the benefit."""
        if first_sort is None or sort is None:
            return True
        if first_sort.dimension != sort.dimension or first_sort.shape != sort.shape:
            self._mismatch(self.text(first), first_sort, second, sort, act)
            return False
        if first_sort.point != sort.point:
            point = first if first_sort.point else second
            self.refuse(point_refused, point, act=f"{act} with a difference")
            return False
        return True
