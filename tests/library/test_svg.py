"""Drawings: what may stand in one, what may not, and that a served file is read as itself."""

from __future__ import annotations

from xml.etree.ElementTree import fromstring

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from trainer.library.svg import DEEPEST, LONGEST, Drawing, read_svg

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 24">'


def drawn(inside: str) -> tuple[Drawing | None, list[str]]:
    drawing, findings = read_svg(f"{HEAD}{inside}</svg>".encode(), file="a.svg")
    return drawing, [f"{one.code} {one.text}" for one in findings]


def test_a_plain_drawing_is_served_as_it_is() -> None:
    inside = (
        '<g class="h"><path d="M0 0H9"></path><text x="4" y="5">4.5 s &lt; 5 s &amp; on</text></g>'
    )
    drawing, findings = drawn(inside)
    assert findings == []
    assert drawing == Drawing(f"{HEAD}{inside}</svg>\n", 64, 24)


def test_night_colours_and_local_references_stay() -> None:
    inside = (
        "<style>:root{--ink:#22262b}@media (prefers-color-scheme:dark){:root{--ink:#efe7d4}}"
        "/* why */.l{stroke:var(--ink);fill:url(#h)}</style>"
        '<defs><pattern id="h"><path d="M0 0"></path></pattern></defs>'
        '<rect style="fill:url( #h )" marker-end="url(#h)"></rect>'
    )
    drawing, findings = drawn(inside)
    assert findings == []
    assert drawing is not None
    assert inside in drawing.text


@pytest.mark.parametrize(
    ("inside", "finding"),
    [
        ("<script>x()</script>", "LIB-403 script"),
        ("<foreignObject><p/></foreignObject>", "LIB-403 foreignObject"),
        ("<image href='a.png'/>", "LIB-403 image"),
        ("<use href='#a'/>", "LIB-403 use"),
        ("<a><text>x</text></a>", "LIB-403 a"),
        ("<animate attributeName='x'/>", "LIB-403 animate"),
        ("<set attributeName='href' to='javascript:x'/>", "LIB-403 set"),
        ("<filter/>", "LIB-403 filter"),
        ("<feImage/>", "LIB-403 feImage"),
        ("<handler/>", "LIB-403 handler"),
        ("<x:g xmlns:x='urn:x'/>", "LIB-403 x:g"),
        ("<?xml-stylesheet href='//x'?>", "LIB-403 <?xml-stylesheet"),
        ("<g onload='x()'/>", "LIB-404 onload"),
        ("<g ONLOAD='x()'/>", "LIB-404 ONLOAD"),
        ("<g href='#a'/>", "LIB-404 href"),
        ("<g xlink:href='#a' xmlns:xlink='urn:x'/>", "LIB-404 xlink:href"),
        ("<g xmlns='http://www.w3.org/1999/xhtml'/>", "LIB-404 xmlns"),
        ("<rect fill='url(//x.example/a#b)'/>", "LIB-405 url(//x.example/a#b)"),
        ("<rect fill='url(http://x.example)'/>", "LIB-405 url(http://x.example)"),
        ("<rect mask='url( &quot;data:x&quot; )'/>", 'LIB-405 url( "data:x" )'),
        ("<rect fill='javascript:x'/>", "LIB-405 javascript:x"),
        ("<rect id='&lt;b&gt;'/>", "LIB-405 <b>"),
        ("<rect style='fill:url(//x)'/>", "LIB-406 url("),
        ("<rect style='fill:u\\72l(//x)'/>", "LIB-406 \\"),
        ("<style>@import '//x';</style>", "LIB-406 @import"),
        ("<style>@font-face{src:local(x)}</style>", "LIB-406 @font-face"),
        ("<style>a{b:image-set('x')}</style>", "LIB-406 image-set("),
        ("<style>a{b:URL (x)}</style>", "LIB-406 URL ("),
        ("<style>a{b:ur/**/l(x)}</style>", "LIB-406 l("),
        ("<style>/* never closed a{}</style>", "LIB-406 /*"),
        ("<style>a{b:expression(x)}</style>", "LIB-406 expression"),
        ("<style><![CDATA[</style><script>]]></style>", "LIB-406 <"),
    ],
)
def test_what_may_not_stand_is_told_and_left_out(inside: str, finding: str) -> None:
    drawing, findings = drawn(inside)
    assert finding in findings
    assert drawing is not None
    for sign in ("script", "href", "onload", "//x", "url(", "@import", "data:", "image-set"):
        assert sign not in drawing.text.replace(HEAD, "").lower()


def test_entities_and_document_types_end_the_reading() -> None:
    bomb = '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
    drawing, findings = read_svg(f"{bomb}{HEAD}&b;</svg>".encode(), file="a.svg")
    assert drawing is None
    assert [(one.code, one.text) for one in findings] == [("LIB-403", "<!DOCTYPE")]


@pytest.mark.parametrize(
    "content",
    [b"", b"words", b"<svg", b"<svg/>", HEAD.encode(), b"\xff\xfe<\x00s\x00", b"<svg>\xe4</svg>"],
)
def test_what_is_no_drawing_gives_none_and_a_finding(content: bytes) -> None:
    drawing, findings = read_svg(content, file="a.svg")
    assert drawing is None
    assert findings


@pytest.mark.parametrize(
    ("box", "size"),
    [
        ("0 16 640 236", (640, 236)),
        ("0,0,640.4,235.6", (640, 236)),
        ("0 0 640", None),
        ("0 0 0 5", None),
        ("0 0 1e9 5", None),
        ("0 0 99999 5", None),
        ("0 0 -4 5", None),
    ],
)
def test_the_size_is_the_view_box(box: str, size: tuple[int, int] | None) -> None:
    text = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}"></svg>'
    drawing, findings = read_svg(text.encode(), file="a.svg")
    assert (drawing and (drawing.width, drawing.height)) == size
    assert bool(findings) == (size is None)


def test_too_deep_is_cut_off_and_told() -> None:
    levels = DEEPEST + 5
    drawing, findings = drawn("<g>" * levels + "</g>" * levels)
    assert findings == ["LIB-403 g"]
    assert drawing is not None
    assert drawing.text.count("<g>") == DEEPEST - 1, "the svg itself is one level"


def test_findings_end_somewhere() -> None:
    _, findings = drawn("<script/>" * 500)
    assert len(findings) == 40


def test_long_style_sheets_are_read_to_their_end() -> None:
    # Each of these took time that grew with the square of the length in a careless pattern.
    for piece in ("/*", "a", "url", "@", "(", "url(#a", " "):
        drawing, _ = drawn(f"<style>{piece * ((LONGEST - 200) // len(piece))}</style>")
        assert drawing is not None


TAG = st.sampled_from(["g", "path", "text", "script", "style", "use", "title", "x:y"])
ATTRIBUTE = st.sampled_from(
    ["", " id='a'", " onload='x'", " fill='url(#a)'", " fill='url(//x)'", " style='fill:red'"]
)
WORDS = st.text(alphabet="ab<>&\"'{}:;/*@\\ \n", max_size=12).map(
    lambda text: text.replace("&", "&amp;").replace("<", "&lt;")
)
SHAPES = st.recursive(
    WORDS,
    lambda inner: st.tuples(TAG, ATTRIBUTE, st.lists(inner, max_size=3)).map(
        lambda made: f"<{made[0]}{made[1]}>{''.join(made[2])}</{made[0]}>"
    ),
    max_leaves=12,
)


@given(SHAPES)
def test_a_served_drawing_is_sound_and_read_as_itself(inside: str) -> None:
    drawing, _ = drawn(inside)
    assert drawing is not None
    again, findings = read_svg(drawing.text.encode(), file="a.svg")
    assert findings == ()
    assert again == drawing
    for element in fromstring(drawing.text).iter():  # noqa: S314 - our own output
        assert element.tag.split("}")[1] not in {"script", "use"}
        assert not any(name.startswith("on") for name in element.attrib)


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(content: bytes) -> None:
    drawing, findings = read_svg(content, file="a.svg")
    assert drawing is not None or findings
