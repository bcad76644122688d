"""Text as people type it, made fit to be kept."""

from __future__ import annotations

import unicodedata


def plain_text(text: str, most: int) -> str:
    """Text without control signs (line ends and tabs stay) and halves of signs, cut to a length."""
    kept = (
        sign
        for sign in text[: most * 2]
        if sign in "\n\t" or unicodedata.category(sign) not in {"Cc", "Cs", "Cn"}
    )
    return unicodedata.normalize("NFC", "".join(kept))[:most]
