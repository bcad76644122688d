"""Choices for lists and boxes: the one place that knows how this WTForms wants them."""

from __future__ import annotations

from collections.abc import Iterable

from wtforms import SelectMultipleField
from wtforms.widgets import CheckboxInput, ListWidget


class Boxes(SelectMultipleField):
    """Several of a few, as check boxes."""

    widget = ListWidget(prefix_label=False)
    option_widget = CheckboxInput()


def pairs(found: Iterable[tuple[object, str]]) -> dict[str, str]:
    """Value -> words, both text; values stay unique because they are ids."""
    return {str(value): words for value, words in found}
