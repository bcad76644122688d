"""A formula's tokens as a tree. Chains of sums and products are flat, so depth means brackets."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Literal

from trainer.engine.formula_errors import (
    FormulaError,
    argument_count,
    chained_comparison,
    compound_constant,
    number_refused,
    power_refused,
    something_missing,
    text_refused,
    too_nested,
    unexpected,
    unit_in_slip,
    unknown_function,
    unknown_unit,
)
from trainer.engine.formula_functions import FUNCTIONS, function_named, near
from trainer.engine.formula_nodes import (
    Bracket,
    Call,
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
from trainer.engine.formula_tokens import MAX_POWER_OF_TEN, Token, tokens_of
from trainer.errors import InputError
from trainer.maths.units import parse_unit

MAX_NESTING = 32
MAX_EXPONENT = 64


_Part = Callable[[], Node]
_COMPARISONS = ("<=", ">=", "==", "!=", "<", ">")


def tree_of(source: str, *, bare: bool) -> Node:
    """The tree of a formula.

    Args:
        source: the text as the author wrote it.
        bare: whether literals with units are refused, as in a slip.

    Raises:
        FormulaError: with the place of the first thing that cannot be read.
    """
    reader = _TreeReader(source, bare=bare)
    tree = reader.logic()
    reader.close()
    return tree


class _TreeReader:
    """Recursive descent over the tokens; ``depth`` counts brackets, calls, signs and powers."""

    def __init__(self, source: str, *, bare: bool) -> None:
        self.source = source
        self.bare = bare
        self.tokens = tokens_of(source)
        self.at = 0
        self.depth = 0

    @property
    def token(self) -> Token:
        return self.tokens[self.at]

    def take(self) -> Token:
        token = self.tokens[self.at]
        self.at += 1
        return token

    def is_operator(self, *texts: str) -> bool:
        return self.token.kind == "operator" and self.token.text in texts

    def deeper(self, token: Token) -> None:
        self.depth += 1
        if self.depth > MAX_NESTING:
            raise FormulaError(too_nested, limit=MAX_NESTING, column=token.column, text=token.text)

    def close(self) -> None:
        if self.token.kind != "end":
            raise self.stray()

    def stray(self) -> FormulaError:
        token = self.token
        before = self.tokens[self.at - 1] if self.at else None
        cure = "Look for a missing sign or bracket before it."
        if token.text == ",":
            cure = "A decimal number has a point: 1.5. A comma parts the arguments of a function."
        elif token.text == ")":
            cure = "There is one ')' too many, or a '(' is missing before it."
        elif before and before.kind == "unit" and token.kind == "word":
            number = self.tokens[self.at - 2].text
            return FormulaError(
                compound_constant,
                text=f"{number} {before.text}",
                word=token.text,
                column=token.column,
            )
        elif token.kind in {"word", "number", "text"} or token.text == "(":
            cure = "To multiply write '*' before it."
        return FormulaError(unexpected, text=token.text, cure=cure, column=token.column)

    def logic(self) -> Node:
        return self._row("or", lambda: self._row("and", self.negation))

    def _row(self, kind: Literal["and", "or"], part: _Part) -> Node:
        parts = [part()]
        while self.is_operator(kind):
            self.take()
            parts.append(part())
        if len(parts) == 1:
            return parts[0]
        return Logic(kind, tuple(parts), parts[0].start, parts[-1].end)

    def negation(self) -> Node:
        if not self.is_operator("not"):
            return self.comparison()
        token = self.take()
        self.deeper(token)
        part = self.negation()
        self.depth -= 1
        return Logic("not", (part,), token.start, part.end)

    def comparison(self) -> Node:
        left = self.chain()
        if not self.is_operator(*_COMPARISONS):
            return left
        sign = self.take().text
        right = self.chain()
        if self.is_operator(*_COMPARISONS):
            raise FormulaError(chained_comparison, column=self.token.column, text=self.token.text)
        return Comparison(sign, left, right, left.start, right.end)

    def chain(self) -> Node:
        return self._chain("sum", ("+", "-"), lambda: self._chain("product", ("*", "/"), self.sign))

    def _chain(self, kind: Literal["sum", "product"], signs: tuple[str, str], part: _Part) -> Node:
        first = part()
        rest: list[tuple[str, Node]] = []
        while self.is_operator(*signs):
            sign = self.take().text
            rest.append((sign, part()))
        if not rest:
            return first
        return Chain(kind, first, tuple(rest), first.start, rest[-1][1].end)

    def sign(self) -> Node:
        if not self.is_operator("-", "+"):
            return self.power()
        token = self.take()
        self.deeper(token)
        part = self.sign()
        self.depth -= 1
        return part if token.text == "+" else Negative(part, token.start, part.end)

    def power(self) -> Node:
        base = self.atom()
        if not self.is_operator("^"):
            return base
        self.deeper(self.take())
        exponent = self.sign()
        self.depth -= 1
        value = constant(exponent)
        if value is not None and abs(value) > MAX_EXPONENT:
            raise FormulaError(
                power_refused,
                text=self.source[exponent.start : exponent.end][:40],
                why=f"it is beyond {MAX_EXPONENT}",
                cure="Look at the formula again.",
                column=exponent.start + 1,
            )
        return Power(base, exponent, base.start, exponent.end)

    def atom(self) -> Node:
        token = self.token
        if token.kind == "number":
            return self.number()
        if token.kind == "word":
            self.take()
            if self.is_operator("("):
                return self.call(token)
            return Name(token.text, token.start, token.end)
        if token.kind == "text":
            raise FormulaError(text_refused, column=token.column, text=token.text)
        if self.is_operator("("):
            self.deeper(self.take())
            part = self.logic()
            self.depth -= 1
            return Bracket(part, token.start, self.closing(token).end)
        raise self.missing("a number or a symbol")

    def missing(self, wanted: str) -> FormulaError:
        token = self.token
        if token.kind != "end" and self.at and self.tokens[self.at - 1].text in {")", ","}:
            return self.stray()
        after = f"'{self.tokens[self.at - 1].text}'" if self.at else "the beginning"
        return FormulaError(
            something_missing,
            after=after,
            wanted=wanted,
            cure=f"Write {wanted} there.",
            column=token.column,
            text=token.text,
        )

    def closing(self, opened: Token) -> Token:
        if self.is_operator(")"):
            return self.take()
        if self.token.kind != "end":
            raise self.stray()
        raise FormulaError(
            something_missing,
            after=f"'{self.tokens[self.at - 1].text}'",
            wanted="a ')'",
            cure=f"Close the bracket that opens in place {opened.column}.",
            column=self.token.column,
            text="",
        )

    def number(self) -> Node:
        token = self.take()
        value = Decimal(token.text)
        if value and abs(value.adjusted()) > MAX_POWER_OF_TEN:
            raise FormulaError(
                number_refused,
                text=token.text[:40],
                why=f"it is beyond 1e{MAX_POWER_OF_TEN}",
                cure="Use a unit with a fitting prefix.",
                column=token.column,
            )
        if self.token.kind != "unit":
            return Number(value, token.text, None, token.start, token.end)
        word = self.take()
        if self.bare:
            raise FormulaError(
                unit_in_slip,
                text=f"{token.text} {word.text}",
                number=token.text,
                unit=word.text,
                column=token.column,
            )
        try:
            unit = parse_unit(word.text)
        except InputError as refused:
            raise FormulaError(
                unknown_unit,
                text=word.text,
                cure=f"{refused.cure} To multiply write {token.text} * {word.text}.",
                column=word.column,
            ) from refused
        return Number(value, token.text, unit, token.start, word.end)

    def call(self, name: Token) -> Node:
        function = function_named(name.text)
        if function is None:
            raise FormulaError(
                unknown_function,
                name=name.text,
                cure=near(name.text) or f"To multiply write {name.text} * (…).",
                column=name.column,
                text=name.text,
            )
        opened = self.take()
        self.deeper(opened)
        arguments: list[Node] = []
        if not self.is_operator(")"):
            arguments.append(self.argument(name.text))
            while self.is_operator(","):
                self.take()
                arguments.append(self.argument(name.text))
        self.depth -= 1
        end = self.closing(opened).end
        if not function.least <= len(arguments) <= function.most:
            raise FormulaError(
                argument_count,
                name=name.text,
                wanted=function.wanted,
                count=len(arguments),
                pattern=function.pattern,
                column=name.column,
                text=name.text,
            )
        return Call(name.text, tuple(arguments), name.start, end)

    def argument(self, function: str) -> Node:
        token = self.token
        if token.kind == "text" and function not in FUNCTIONS:
            self.take()
            return Text(token.text, token.start, token.end)
        return self.logic()
