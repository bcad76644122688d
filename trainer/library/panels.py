"""Signal panels: the markup of a caution, the same in a lesson and on a sheet."""

from __future__ import annotations

from trainer.library.catalogue import Caution, SignalWord
from trainer.library.sanitise import BANG, TRIANGLE, clean_text

WORDS: tuple[SignalWord, ...] = ("danger", "warning", "caution", "notice", "safety")
SHOWN_WORDS = {"safety": "SAFETY INSTRUCTION"}
WITHOUT_TRIANGLE = frozenset({"notice", "safety"})  # no person is hurt: no alert symbol
_ALERT = (
    '<svg viewBox="0 0 24 24" aria-hidden="true" focusable="false">'
    f'<path class="tri" d="{TRIANGLE}"></path><path class="bang" d="{BANG}"></path></svg>'
)


def panel(caution: Caution, ident: str) -> str:
    """The panel of a caution as HTML; ``ident`` is its anchor, unique on the page.

    It is a note, no region: a page may show several panels that bear the same signal word.

    Args:
        caution: the caution to show.
        ident: letters, digits and ``-``, beginning with ``caution-``.
    """
    shown = SHOWN_WORDS.get(caution.word, caution.word.upper())
    alert = "" if caution.word in WITHOUT_TRIANGLE else _ALERT
    lines = [("Hazard", caution.hazard), ("Harm", caution.harm), ("Avoid", caution.avoid)]
    if caution.to_whom:
        lines.append(("For", caution.to_whom))
    body = "".join(f"<dt>{name}</dt><dd>{clean_text(words)}</dd>" for name, words in lines)
    return (
        f'<div class="signal {caution.word}" role="note" aria-labelledby="{ident}">'
        f'<p class="word" id="{ident}">{alert}{shown}</p><dl>{body}</dl></div>'
    )
