"""What can be wrong with a formula: one class for its writing, one for its working out."""

from __future__ import annotations

from trainer.errors import InputError, register

too_long = register(
    "ENG-101",
    "The formula has {count} {things}; {limit} is the most.",
    "Split it: write a part of it as a method line of its own.",
)
too_nested = register(
    "ENG-102",
    "The formula is nested more than {limit} levels deep.",
    "Write the inner part as a method line of its own.",
)
character_refused = register("ENG-103", "{shown} cannot stand in a formula here.", "{cure}")
number_refused = register("ENG-104", "The number {text} is refused: {why}.", "{cure}")
something_missing = register("ENG-105", "After {after} something is missing: {wanted}.", "{cure}")
unexpected = register("ENG-106", "'{text}' is not expected here.", "{cure}")
unknown_function = register("ENG-107", "There is no function '{name}'.", "{cure}")
argument_count = register(
    "ENG-108",
    "{name} takes {wanted}; here {count} stand in the brackets.",
    "Write {pattern}.",
)
unknown_unit = register("ENG-109", "'{text}' is no unit.", "{cure}")
unit_in_slip = register(
    "ENG-110",
    "A slip works with bare numbers in the shown units; '{text}' has a unit.",
    "Write {number} alone; to multiply by a symbol write {number} * {unit}.",
)
compound_constant = register(
    "ENG-111",
    "A number in a formula takes one plain unit; after '{text}' comes '{word}'.",
    "Make the constant a [hidden] quantity with 'is' and its unit, and write its symbol here; "
    "to multiply write '*'.",
)
power_refused = register("ENG-112", "The power {text} is refused: {why}.", "{cure}")
chained_comparison = register(
    "ENG-113",
    "Two comparisons stand in one row.",
    "Write them one by one: a <= b and b <= c.",
)
text_refused = register(
    "ENG-114",
    "A text in quotes cannot stand here.",
    "Only a catalogue function that asks for a word takes one, such as a class 'III'.",
)
name_refused = register("ENG-115", "The name '{name}' is refused.", "{cure}")

unknown_name = register("ENG-120", "'{name}' is not a symbol of this exercise.", "{cure}")
other_dimension = register(
    "ENG-121",
    "'{first}' is {first_unit} and '{second}' is {second_unit}: they cannot be {act}.",
    "{cure}",
)
bare_wanted = register(
    "ENG-122",
    "{name} wants a bare number, and '{text}' is {unit}.",
    "Divide by a quantity of the same kind first, such as {text} / (1 {base}).",
)
root_refused = register(
    "ENG-123",
    "The root of '{text}' has no unit: it is {unit}.",
    "Look whether a factor is missing under the root, or one too many stands there.",
)
point_refused = register(
    "ENG-124",
    "'{text}' is a temperature in degC and cannot be {act}.",
    "Take a difference first: {text} - 0 degC is a number of kelvins.",
)
truth_misplaced = register("ENG-125", "'{text}' is {shape} where {wanted} is wanted.", "{cure}")
angle_wanted = register(
    "ENG-126",
    "{name} wants an angle, and '{text}' is {unit}.",
    "Multiply by 1 rad or 1 deg.",
)
argument_unit = register(
    "ENG-127",
    "{name} wants {meaning} in {wanted}, and '{text}' is {unit}.",
    "Give '{argument}' as a quantity of {dimension}.",
)
unknown_word = register(
    "ENG-128", "{name} does not know the word '{text}'.", "Write one of these: {choices}."
)

cannot_compute = register(
    "ENG-140",
    "'{source}' cannot be worked out: {why}.",
    "Change the range, or keep such draws away with only_when.",
)


class FormulaError(InputError):
    """A formula that is not written as one. ``column`` counts from 1 in the formula's text."""

    def __init__(self, code: str, **fields: object) -> None:
        fields.setdefault("column", 1)
        fields.setdefault("cure", "")
        super().__init__(code, **fields)

    @property
    def column(self) -> int:
        """Where in the formula it stands, from 1."""
        column = self.fields["column"]
        assert isinstance(column, int)
        return column


class FormulaValueError(InputError):
    """A sound formula that has no value for these figures."""
