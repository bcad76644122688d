"""The form all forms build on: it carries what an act said and lists what is to be mended."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from flask_wtf import FlaskForm
from wtforms.validators import DataRequired, Length

from trainer.actions.sign_ins import WAIT, WRONG_PASSWORD

if TYPE_CHECKING:
    from wtforms import Field

    from trainer.errors import RefusedError, TrainerError

LINE = 120
PARAGRAPH = 2000
PASSWORD = 256


class Form(FlaskForm):
    """A form with its complaints: those of its fields and those of the act it was for."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:  # noqa: ANN401 - handed on
        super().__init__(*args, **kwargs)
        self.refusals: list[str] = []

    def complain(self, error: TrainerError) -> None:
        """Keep what an act said about these values, to be shown with the values still in place."""
        self.refusals.append(" ".join(part for part in (str(error), error.cure) if part))

    def complain_of_password(self, error: RefusedError) -> None:
        """Keep the refusal of a wrong password; any other refusal is raised again."""
        if error.code not in {WRONG_PASSWORD, WAIT}:
            raise error
        self.complain(error)

    def said_wrong(self) -> list[tuple[str, str]]:
        """Everything to mend: (id of the field or '', words)."""
        wrong = [("", words) for words in self.refusals]
        for name, errors in self.errors.items():
            field = self._fields.get(name)
            if field is None:
                continue
            label = field.label.text
            wrong += [(field.id, f"{label}: {words}") for words in errors if isinstance(words, str)]
        return wrong


def wanted(words: str) -> list[Any]:
    """The validators of a line that must not be empty."""
    return [DataRequired(words), Length(max=LINE, message="That is too long.")]


def reasoned(words: str) -> list[Any]:
    """The validators of a paragraph that must not be empty."""
    return [DataRequired(words), Length(max=PARAGRAPH, message="That is too long.")]


def words_of(field: Field) -> str:
    """What was written in a field, '' when nothing was."""
    return str(field.data or "")
