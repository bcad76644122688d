r"""Reading LaTeX: a short list of commands, bounds, and the formula said in one line of plain text.

What may stand in a formula: letters, digits, ``+ - * / = < > ( ) [ ] | , . ; : ! '``, groups in
braces, ``_`` and ``^``, the commands of ``SYMBOLS``, and ``\frac{a}{b}``, ``\sqrt{x}``,
``\sqrt[n]{x}``, ``\text{words}``, ``\mathrm{kg}``, ``\bar{x}``, ``\hat{x}``, ``\dot{x}``,
``\overline{xy}``, ``\left( … \right)``. Everything else is refused with its place, before a
converter sees it: no colour, no link, no environment, no definition. At most 600 characters and 12
groups deep.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from trainer.errors import InputError
from trainer.library.problems import did_you_mean, problem

LONGEST = 600
DEEPEST = 12

EMPTY = problem("LIB-301", "The formula is empty.", "Write LaTeX, or leave the block out.")
TOO_LONG = problem(
    "LIB-302",
    "The formula has {length} characters.",
    "Keep a formula under {longest}; cut it in two.",
)
TOO_DEEP = problem(
    "LIB-303", "The formula is nested too deep.", "Keep it under {deepest} groups within groups."
)
UNKNOWN = problem("LIB-304", "The formula calls '{text}', which is not on the list.", "{cure}")
LOOSE = problem("LIB-305", "The formula cannot hold '{text}' here.", "{cure}")
UNFINISHED = problem("LIB-306", "The formula ends too early: {what} is missing.", "{cure}")

_GREEK = """
    alpha α beta β gamma γ delta δ epsilon ε varepsilon ε zeta ζ eta η theta θ iota ι kappa κ
    lambda λ mu μ nu ν xi ξ pi π rho ρ sigma σ tau τ upsilon υ phi φ varphi φ chi χ psi ψ omega ω
    Gamma Γ Delta Δ Theta Θ Lambda Λ Xi Ξ Pi Π Sigma Σ Phi Φ Psi Ψ Omega Ω
"""
_SIGNS = """
    cdot · times × div ÷ pm ± mp ∓ le ≤ leq ≤ ge ≥ geq ≥ lt < gt > ne ≠ neq ≠ approx ≈ sim ~
    equiv ≡ propto ∝ infty ∞ partial ∂ to → rightarrow → Rightarrow ⇒ circ ° prime ′ ldots …
    dots … cdots … sum Σ prod Π int ∫ lfloor ⌊ rfloor ⌋ lceil ⌈ rceil ⌉ lvert | rvert | degree °
    ln ln log log exp exp sin sin cos cos tan tan min min max max lim lim
"""
_SPACES = {",": " ", ";": " ", ":": " ", " ": " ", "quad": " ", "qquad": " "}
_ESCAPED = {mark: mark for mark in "%{}_#&$"}


def _pairs(text: str) -> dict[str, str]:
    words = text.split()
    return dict(zip(words[::2], words[1::2], strict=True))


SYMBOLS: dict[str, str] = _pairs(_GREEK) | _pairs(_SIGNS) | _SPACES | _ESCAPED
FRACTIONS = frozenset({"frac", "dfrac", "tfrac"})
RAW = frozenset({"text", "mathrm"})
ACCENTS = {"bar": "bar", "overline": "bar", "hat": "hat", "dot": "dot", "vec": "arrow"}
FENCES = frozenset({"left", "right"})
COMMANDS = frozenset(SYMBOLS) | FRACTIONS | RAW | frozenset(ACCENTS) | FENCES | {"sqrt"}
_DELIMITERS = frozenset("()[]|.") | {r"\lfloor", r"\rfloor", r"\lceil", r"\rceil", r"\{", r"\}"}
_REFUSED = {
    "%": r"Write \% for a percent sign.",
    "&": "Leave it out: a formula has no columns.",
    "#": "Leave it out.",
    "$": r"Leave it out: a formula stands between \( and \).",
    "~": r"Write \, for a space.",
    '"': "Leave it out.",
    "\\": "Write a command after the backslash.",
}
_TOKEN = re.compile(r"\\[A-Za-z]+|\\[^A-Za-z]|\s+|.", re.DOTALL)


@dataclass(frozen=True, slots=True)
class _Token:
    text: str
    column: int

    @property
    def command(self) -> str:
        return self.text[1:] if self.text.startswith("\\") and len(self.text) > 1 else ""


def in_words(latex: str) -> str:
    r"""Say the formula in one line of plain text; refuse what is not on the list.

    Raises:
        InputError: LIB-301 to LIB-306, with ``column`` (counted from 1) among the fields.

    Example:
        >>> in_words(r't = z + \frac{m}{q}')
        't = z + m / q'
    """
    if not latex.strip():
        raise InputError(EMPTY, column=1)
    if len(latex) > LONGEST:
        raise InputError(TOO_LONG, length=len(latex), longest=LONGEST, column=1)
    return _Reader(latex).whole()


class _Reader:
    """One pass over the tokens, each method reading one construct and giving its plain text."""

    def __init__(self, latex: str) -> None:
        self.tokens = [_Token(m.group(), m.start() + 1) for m in _TOKEN.finditer(latex)]
        self.at = 0
        self.end = len(latex) + 1

    def whole(self) -> str:
        text = self.row(closing="", depth=0)
        return re.sub(r"\s+", " ", text).strip().replace("^°", "°").replace("^′", "′")

    def peek(self) -> _Token | None:
        return self.tokens[self.at] if self.at < len(self.tokens) else None

    def skip_space(self) -> None:
        while (token := self.peek()) is not None and token.text.isspace():
            self.at += 1

    def row(self, *, closing: str, depth: int) -> str:
        """Everything up to the closing token, which is taken too."""
        if depth > DEEPEST:
            raise InputError(TOO_DEEP, deepest=DEEPEST, column=self.column)
        parts: list[str] = []
        while (token := self.peek()) is not None:
            if token.text == closing:
                self.at += 1
                return "".join(parts)
            if token.text == r"\right" and closing != token.text:
                raise InputError(
                    LOOSE, text=token.text, cure=r"Write \left first.", column=token.column
                )
            parts.append(self.with_scripts(depth))
        if closing:
            cure = f"Close it with {closing}."
            raise InputError(UNFINISHED, what=closing, cure=cure, column=self.end)
        return "".join(parts)

    @property
    def column(self) -> int:
        token = self.peek()
        return token.column if token else self.end

    def with_scripts(self, depth: int) -> str:
        """One atom with at most one index below and one above."""
        first = self.tokens[self.at]
        text = "" if first.text in {"_", "^"} else self.atom(depth)
        seen: set[str] = set()
        while (token := self.peek()) is not None and token.text in {"_", "^"}:
            if token.text in seen:
                cure = "Put braces round the first index."
                raise InputError(LOOSE, text=token.text, cure=cure, column=token.column)
            seen.add(token.text)
            self.at += 1
            text = (
                (text.rstrip() or text) + token.text + _bracketed(self.argument(depth, token.text))
            )
        return text

    def argument(self, depth: int, owner: str) -> str:
        """A group in braces or one single atom."""
        self.skip_space()
        token = self.peek()
        if token is None or token.text in {"}", "_", "^"}:
            cure = f"Give {owner} its part in braces."
            raise InputError(UNFINISHED, what=f"the part of {owner}", cure=cure, column=self.column)
        return self.atom(depth)

    def atom(self, depth: int) -> str:
        if depth > DEEPEST:
            raise InputError(TOO_DEEP, deepest=DEEPEST, column=self.column)
        token = self.tokens[self.at]
        self.at += 1
        if token.text.isspace():
            return " "
        if token.text == "{":
            return self.row(closing="}", depth=depth + 1)
        if token.command:
            return self.command(token, depth)
        if token.text == "}":
            cure = "Open it with { first."
            raise InputError(LOOSE, text="}", cure=cure, column=token.column)
        if token.text in _REFUSED or not token.text.isprintable():
            cure = _REFUSED.get(token.text, "Leave it out.")
            raise InputError(LOOSE, text=ascii(token.text)[1:-1], cure=cure, column=token.column)
        return token.text

    def command(self, token: _Token, depth: int) -> str:
        name = token.command
        if name in FRACTIONS:
            above = self.argument(depth + 1, token.text)
            return f"{_bracketed(above)} / {_bracketed(self.argument(depth + 1, token.text))}"
        if name == "sqrt":
            return self.root(token, depth)
        if name in RAW:
            return self.raw(token)
        if name in ACCENTS:
            return f"{_bracketed(self.argument(depth + 1, token.text))} {ACCENTS[name]}"
        if name == "left":
            opening = self.delimiter()
            inner = self.row(closing=r"\right", depth=depth + 1)
            return opening + inner + self.delimiter()
        if name in SYMBOLS:
            word = SYMBOLS[name]
            return f"{word} " if len(word) > 1 else word
        cure = did_you_mean(name, COMMANDS, otherwise="Leave it out.").replace("'", "'\\", 1)
        raise InputError(
            UNKNOWN,
            text=ascii(token.text)[1:-1].replace("\\\\", "\\"),
            cure=cure,
            column=token.column,
        )

    def root(self, token: _Token, depth: int) -> str:
        self.skip_space()
        degree = ""
        following = self.peek()
        if following is not None and following.text == "[":
            self.at += 1
            degree = self.row(closing="]", depth=depth + 1) + "-th "
        return f"{degree}root of {_bracketed(self.argument(depth + 1, token.text))}"

    def raw(self, token: _Token) -> str:
        r"""The words of a ``\text``, which hold no command and no sign of HTML."""
        self.skip_space()
        following = self.peek()
        if following is None or following.text != "{":
            cure = f"Write {token.text}{{words}}."
            raise InputError(UNFINISHED, what="{", cure=cure, column=self.column)
        self.at += 1
        parts: list[str] = []
        while (inner := self.peek()) is not None:
            self.at += 1
            if inner.text == "}":
                return "".join(parts)
            if (
                inner.text in "<>{"
                or inner.text in _REFUSED
                or inner.command not in {"", *_SPACES, "%"}
            ):
                cure = f"Only words and numbers stand in {token.text}."
                raise InputError(LOOSE, text=inner.text, cure=cure, column=inner.column)
            parts.append(" " if inner.command in _SPACES else inner.text.lstrip("\\"))
        raise InputError(UNFINISHED, what="}", cure="Close it with }.", column=self.end)

    def delimiter(self) -> str:
        self.skip_space()
        following = self.peek()
        if following is None or following.text not in _DELIMITERS:
            cure = r"Write a bracket after \left and \right, or a point for none."
            raise InputError(UNFINISHED, what="a bracket", cure=cure, column=self.column)
        self.at += 1
        shown = following.text.lstrip("\\")
        return "" if shown == "." else SYMBOLS.get(shown, shown)


def _bracketed(text: str) -> str:
    """In brackets where it is more than one thing."""
    text = text.strip()
    return text if re.fullmatch(r"[\w.,°′]+|\S", text) else f"({text})"
