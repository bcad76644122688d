"""Every finding that reading an exercise block can give: what is wrong, what to write instead."""

from __future__ import annotations

from trainer.errors import register

# The text as a whole
block_too_large = register(
    "ENG-200",
    "The exercise has {size} bytes; {limit} is the most.",
    "Move data into a file of the module, or make two exercises of it.",
)
not_toml = register("ENG-201", "{what}", "{cure}")
key_twice = register(
    "ENG-202", "'{name}' stands twice; first in line {first}.", "Keep one of the two."
)
unseen_character = register(
    "ENG-203",
    "The text holds the unseen character {shown}.",
    "Write texts between ' and ' or between ''' and ''': there a backslash is itself.",
)
not_finite = register(
    "ENG-204", "'{text}' is no number to work with.", "Write a plain number such as 12.5."
)
number_beyond = register(
    "ENG-205",
    "The number {text} has too many digits or lies beyond 1e30.",
    "Use a unit with a fitting prefix and as many figures as are known.",
)
unknown_key = register("ENG-206", "'{name}' is not a key {where}.", "{cure}")
wrong_type = register("ENG-207", "'{name}' must be {wanted}.", "Write {example}.")
key_missing = register("ENG-208", "{where} has no '{name}'.", "Write {example}.")
too_many = register(
    "ENG-209", "{what}: {count} are too many; {limit} is the most.", "Make two exercises of it."
)
text_empty = register("ENG-210", "'{name}' is empty.", "Write {example}.")
misplaced_key = register(
    "ENG-211",
    "'{name}' stands inside [{table}].",
    "Move it up: keys of the whole exercise stand before the first [table].",
)
more_findings = register(
    "ENG-212", "There are more findings than {limit}.", "Mend these first, then look again."
)

# The exercise as a whole
bad_id = register(
    "ENG-215",
    "'{text}' is not the id of an exercise.",
    "Write it like M06-E2: module, then number.",
)
no_kind = register(
    "ENG-216",
    "The block does not say what is asked.",
    "Write [find] and [method], or pick and [[options]], or [[acts]] and before.",
)
two_kinds = register(
    "ENG-217",
    "'{name}' belongs to another kind of exercise: this one is a {kind}.",
    "Make two exercises: one block has one kind.",
)
bad_choice = register("ENG-218", "'{text}' is not allowed for '{name}'.", "{cure}")
safe_side_missing = register(
    "ENG-219",
    "A safety exercise does not say which side of the answer is safe.",
    "Add safe_side = 'higher' or 'lower' to {symbol}, or accept = 'exact'.",
)
safe_side_idle = register(
    "ENG-220",
    "safe_side stands in an exercise whose stakes are not safety.",
    "Write stakes = 'safety', or leave safe_side out.",
)

# Quantities
bad_symbol = register("ENG-225", "'{name}' cannot be a symbol: {why}.", "{cure}")
symbol_twice = register(
    "ENG-226", "The symbol '{name}' is taken: it stands in [{table}].", "Choose another letter."
)
bad_unit = register("ENG-227", "'{text}' is not a unit: {why}", "{cure}")
no_values = register(
    "ENG-228",
    "The quantity '{name}' does not say what values it takes.",
    "Write from, to and step, or one_of, or is, or another kind of value.",
)
two_value_kinds = register(
    "ENG-229",
    "The quantity '{name}' says in two ways what values it takes: {first} and {second}.",
    "Keep one of the two.",
)
bad_span = register("ENG-230", "The span of '{name}' is turned round or empty.", "{cure}")
bad_step = register("ENG-231", "The step of '{name}' is refused: {why}.", "{cure}")
one_of_short = register("ENG-232", "The list of '{name}' is refused: {why}.", "{cure}")
bad_tie = register("ENG-233", "'{name}' cannot be tied to '{other}': {why}.", "{cure}")
given_unused = register(
    "ENG-234",
    "'{name}' is used nowhere: in no method line, derived value or slip.",
    "Use it, or take it out: an idle number misleads.",
)

# Formulas
condition_wanted = register(
    "ENG-241", "'{source}' is {shape}, not a condition.", "Compare it with something: a >= b."
)
result_unit = register(
    "ENG-242",
    "'{source}' is {found}, and {name} is told in {unit} ({dimension}).",
    "{cure}",
)
later_symbol = register(
    "ENG-243",
    "'{name}' cannot be used here: {why}.",
    "{cure}",
)
not_a_number = register("ENG-244", "'{source}' is {shape}, not a number.", "Take one number of it.")

# Finds, method, slips
find_without_line = register(
    "ENG-250",
    "The find '{name}' has no method line.",
    "Add to [method]: {name} = 'a formula'.",
)
bad_accept = register(
    "ENG-251",
    "accept = '{text}' is refused: {why}.",
    "{cure}",
)
accept_missing = register(
    "ENG-252",
    "Nothing says how near an answer to '{name}' must be.",
    "Write accept = 'within 1 %', 'within 0.05 s', 'to 3 figures', 'exact' or "
    "'whole, rounded down'.",
)
bad_plausible = register(
    "ENG-253", "plausible = '{text}' is refused: {why}.", "Write it like '1 s to 10 s'."
)
plausible_missing = register(
    "ENG-254",
    "Nothing says what answer to '{name}' is plausible.",
    "Write plausible = '1 s to 10 s': a typing slip is then asked about before marking.",
)
unknown_find = register("ENG-255", "'{name}' is not a find of this exercise.", "{cure}")
slip_needs_find = register(
    "ENG-256",
    "The slip '{name}' does not say to which find it belongs.",
    "Add find = '{example}'.",
)
slip_twice = register(
    "ENG-257", "Two slips of '{find}' bear the name '{name}'.", "Name each slip differently."
)
slip_is_method = register(
    "ENG-258",
    "The slip '{name}' is written like the method itself.",
    "A slip is the wrong arithmetic: write what the trainee did.",
)
line_unused = register(
    "ENG-259",
    "The method line '{name}' leads to no find.",
    "Use it in a later line, or take it out.",
)

# Wording
bad_placeholder = register("ENG-260", "'{text}' {why}.", "{cure}")
unknown_placeholder = register("ENG-261", "'{text}': there is no symbol '{name}'.", "{cure}")
secret_placeholder = register(
    "ENG-262",
    "'{text}' would show '{name}', which the trainee has to find out or must not see.",
    "Only given and derived values may stand in this text.",
)
placeholder_unit = register(
    "ENG-263",
    "'{text}': {name} is {found} and cannot be told in {unit}.",
    "Write a unit of the same kind, or =m= alone.",
)

# Pick and order
option_count = register("ENG-270", "The exercise needs {wanted}; it has {count}.", "{cure}")
right_count = register("ENG-271", "{what} are marked right, and pick = '{pick}'.", "{cure}")
option_twice = register("ENG-272", "This text stands twice among the {what}.", "Keep one of them.")
remark_missing = register(
    "ENG-273",
    "A wrong option has no remark.",
    "Write remark = 'why it is wrong': it is what the trainee reads.",
)
bad_act_id = register(
    "ENG-274", "'{text}' cannot be the id of an act: {why}.", "Write a short word such as 'unplug'."
)
unknown_act = register("ENG-275", "'{name}' is not an act of this exercise.", "{cure}")
before_circle = register(
    "ENG-276",
    "The order goes in a circle: {circle}.",
    "Take out one of these pairs.",
)
no_wrong_order = register(
    "ENG-277",
    "Every order of the acts would be right.",
    "Say in before which act comes before which.",
)
bad_pair = register(
    "ENG-278", "A pair of before is refused: {why}.", "Write ['unplug', 'open', 'why']."
)

# Rows of numbers, logs, dates
bad_sample = register("ENG-280", "The readings of '{name}' are refused: {why}.", "{cure}")
bad_column = register("ENG-281", "The column of '{name}' is refused: {why}.", "{cure}")
bad_run_log = register("ENG-282", "The run log of '{name}' is refused: {why}.", "{cure}")
bad_date = register("ENG-283", "The date of '{name}' is refused: {why}.", "{cure}")
