"""Pictures: sizes read from their heads, and files that are not what their ending says."""

from __future__ import annotations

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from tests.library.conftest import png
from trainer.library.figures import Figure, plate, read_figure


def jpeg(width: int, height: int, *, before: bytes = b"") -> bytes:
    """The parts of a JPEG that its size is read from: start, tables, frame, end."""
    frame = struct.pack(">BHHB", 8, height, width, 1) + b"\x01\x11\x00"
    table = b"\xff\xdb" + struct.pack(">H", 5) + b"abc"
    return b"".join(
        (b"\xff\xd8", before, table, b"\xff\xc0", struct.pack(">H", len(frame) + 2), frame,
         b"\xff\xda\x00\x02", b"scan", b"\xff\xd9")
    )  # fmt: skip


@pytest.mark.parametrize(
    ("name", "content"),
    [("a.png", png(640, 236)), ("a.jpg", jpeg(640, 236)), ("a.jpeg", jpeg(640, 236))],
)
def test_the_size_stands_in_the_head(name: str, content: bytes) -> None:
    figure, findings = read_figure(name, content, file=name)
    assert figure == Figure(name, content, 640, 236)
    assert findings == ()


@pytest.mark.parametrize(
    ("name", "content", "why"),
    [
        ("a.png", b"", "does not begin"),
        ("a.png", jpeg(6, 2), "does not begin"),
        ("a.png", png(6, 2)[:-5], "cut off"),
        ("a.png", png(6, 2) + b"<script>", "behind its end"),
        ("a.png", png(6, 2).replace(b"\x08\x00", b"\x09\x00"), "damaged"),
        ("a.png", png(0, 2), "no area"),
        ("a.png", png(6, 2)[:8] + png(6, 2)[33:], "no head"),
        ("a.jpg", b"", "does not begin"),
        ("a.jpg", png(6, 2), "does not begin"),
        ("a.jpg", jpeg(6, 2)[:-1], "cut off"),
        ("a.jpg", jpeg(6, 2) + b"<script>", "behind its end"),
        ("a.jpg", b"\xff\xd8\xff\xda\x00\x02scan\xff\xd9", "no frame"),
        ("a.jpg", b"\xff\xd8\xff\xd9", "no frame"),
    ],
)
def test_what_is_no_picture_is_told(name: str, content: bytes, why: str) -> None:
    figure, findings = read_figure(name, content, file=name)
    assert figure is None
    assert [one.code for one in findings] == ["LIB-412"]
    assert why in findings[0].message


@pytest.mark.parametrize(
    ("name", "content"),
    [("a.png", png(4001, 2)), ("a.png", png(2, 50_000)), ("a.jpg", jpeg(60_000, 2))],
)
def test_a_picture_too_large_is_told(name: str, content: bytes) -> None:
    figure, findings = read_figure(name, content, file=name)
    assert figure is None
    assert [one.code for one in findings] == ["LIB-413"]


@given(st.sampled_from(["a.png", "a.jpg"]), st.binary(max_size=80), st.integers(0, 60))
def test_any_bytes_are_a_picture_or_told(name: str, noise: bytes, at: int) -> None:
    sound = png(6, 2) if name == "a.png" else jpeg(6, 2)
    for content in (noise, sound[:at] + noise + sound[at:], sound[:at] + noise):
        figure, findings = read_figure(name, content, file=name)
        assert (figure is None) == bool(findings)


def test_a_plate_has_its_number_its_words_and_a_narrow_drawing() -> None:
    wide, narrow = Figure("a.svg", b"", 640, 236), Figure("a-narrow.svg", b"", 320, 300)
    assert plate(wide, narrow, alt='Speed "falls" < 1', caption="It <em>falls</em>", number=2) == (
        '<figure class="plate"><picture>'
        '<source media="screen and (max-width: 52rem)" srcset="figure:a-narrow.svg">'
        '<img src="figure:a.svg" width="640" height="236" alt="Speed &quot;falls&quot; &lt; 1">'
        "</picture><figcaption><b>Figure 2</b> It <em>falls</em></figcaption></figure>"
    )
    bare = plate(wide, None, alt="x", caption="", number=1)
    assert "<picture>" not in bare
    assert "<figcaption><b>Figure 1</b></figcaption>" in bare
