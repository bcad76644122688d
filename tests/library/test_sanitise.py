"""The allow-list against planted attacks of our own, judged by a parser of another make."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from trainer.library import sanitise
from trainer.library.sanitise import clean, clean_text

HIT = "parent.__hit=1"
FRAMED = [
    f"<script>{HIT}</script>",
    f"<SCRIPT>{HIT}</SCRIPT>",
    f"<script\n>{HIT}</script\n>",
    f"<script/x>{HIT}</script>",
    f"<scr<script>ipt>{HIT}</scr</script>ipt>",
    f"<script src=//x.example/a.js></script>{HIT}",
    f"<svg><script>{HIT}</script></svg>",
    f"<svg><script href=data:,{HIT} /></svg>",
    f"<svg onload={HIT}>",
    f"<svg/onload={HIT}>",
    f"<svg><g onload={HIT}></g></svg>",
    f"<svg><animate onbegin={HIT} attributeName=x dur=1s>",
    f"<svg><set attributeName=href to=javascript:{HIT}><a>x</a></svg>",
    f"<svg><a href=javascript:{HIT}><text>x</text></a></svg>",
    f"<svg><a xlink:href=javascript:{HIT}><text>x</text></a></svg>",
    f"<svg><use href=data:image/svg+xml,{HIT}></use></svg>",
    f"<svg><foreignObject><p onclick={HIT}>x</p></foreignObject></svg>",
    f"<svg><image href=x onerror={HIT} /></svg>",
    f"<svg><style>@import '//x.example/{HIT}'</style></svg>",
    f"<svg><desc><img src=x onerror={HIT}></desc></svg>",
    f"<svg><title><img src=x onerror={HIT}></title></svg>",
    f"<svg><path d='M0 0' onmouseover={HIT} /></svg>",
    "<svg viewBox='0 0 24 24'><path d='M0 0H999V999'/></svg>",
    f"<math href=javascript:{HIT}>x</math>",
    f"<math><mi href=javascript:{HIT}>x</mi></math>",
    f"<math><mrow xlink:href=javascript:{HIT}>x</mrow></math>",
    f"<math><maction actiontype=statusline xlink:href=javascript:{HIT}>x</maction></math>",
    f"<math><annotation-xml encoding=text/html><img src=x onerror={HIT}></annotation-xml></math>",
    f"<math><semantics><annotation-xml><script>{HIT}</script></annotation-xml></semantics></math>",
    f"<math><mtext><img src=x onerror={HIT}></mtext></math>",
    f"<math><mtext><table><mglyph><style><img src=x onerror={HIT}></style></mglyph></table>",
    f"<math><mi><style><!--</style><img src=x onerror={HIT}>--></mi></math>",
    f"<math><mstyle mathbackground='url(javascript:{HIT})'>x</mstyle></math>",
    f"<math style=background:url(//x.example)>{HIT}</math>",
    f"<form><math><mtext></form><form><mglyph><style></math><img src=x onerror={HIT}>",
    f"<noscript><p title='</noscript><img src=x onerror={HIT}>'>",
    f"<table><caption><svg><title><style></caption><img src=x onerror={HIT}>",
    f"<select><template><style></select><img src=x onerror={HIT}></style></template>",
    f"<p><style></p><img src=x onerror={HIT}></style>",
    f"<a><table><a onclick={HIT}>x</a></table></a>",
    f"<img src=x onerror={HIT}>",
    f"<img/src=x/onerror={HIT}>",
    f"<img src=x oneonerrorrror={HIT}>",
    f"<img srcset='//x.example/a 1x' alt={HIT}>",
    f"<img src='figure:a.svg' onload={HIT}>",
    "<img src='figure:../../secret.svg'>",
    "<img src='figure:a.svg?x=1'>",
    "<img src='figure://x.example/a.svg'>",
    "<img src='figure:a.html'>",
    "<img src='http://x.example/a.svg'>",
    "<img src='//x.example/a.svg'>",
    r"<img src='\\x.example\a.svg'>",
    "<img src='file:///etc/passwd'>",
    "<img src='data:image/svg+xml;base64,PHN2Zz4='>",
    "<img src='/sign-out'>",
    "<img lowsrc='//x.example/a' dynsrc='//x.example/b'>",
    "<picture><source srcset='//x.example/a.svg'><img></picture>",
    "<picture><source media='all' srcset='figure:a.svg'></picture>",
    f"<video src=x onerror={HIT}></video>",
    f"<video><source onerror={HIT}></video>",
    f"<audio src=x onerror={HIT}></audio>",
    f"<iframe src=javascript:{HIT}></iframe>",
    f"<iframe srcdoc='<script>{HIT}</script>'></iframe>",
    f"<object data=javascript:{HIT}></object>",
    f"<embed src=javascript:{HIT}>",
    f"<applet code={HIT}></applet>",
    "<base href=//x.example/>",
    f"<meta http-equiv=refresh content='0;url=javascript:{HIT}'>",
    "<meta charset=utf-7>",
    "<link rel=stylesheet href=//x.example/a.css>",
    f"<link rel=import href=data:text/html,{HIT}>",
    f"<style>*{{background:url(//x.example/{HIT})}}</style>",
    f"<p style='background:url(//x.example/{HIT})'>x</p>",
    f"<p style='width:expression({HIT})'>x</p>",
    f"<div style='behavior:url(#x)'>{HIT}</div>",
    f"<form action=javascript:{HIT}><button>x</button></form>",
    f"<button formaction=javascript:{HIT}>x</button>",
    "<form id=sheet><input name=action></form>",
    f"<input autofocus onfocus={HIT}>",
    f"<textarea autofocus onfocus={HIT}></textarea>",
    f"<select onchange={HIT}><option>x</option></select>",
    f"<details open ontoggle={HIT}>x</details>",
    f"<dialog open onclose={HIT}>x</dialog>",
    f"<marquee onstart={HIT}>x</marquee>",
    f"<body onload={HIT}>",
    f"<html onclick={HIT}>x</html>",
    f"<frameset onload={HIT}></frameset>",
    f"<isindex action=javascript:{HIT}>",
    f"<template><script>{HIT}</script></template>",
    f"<slot onslotchange={HIT}></slot>",
    f"<xmp><img src=x onerror={HIT}></xmp>",
    f"<plaintext><img src=x onerror={HIT}>",
    f"<listing>&lt;img src=x onerror={HIT}&gt;</listing>",
    f"<!--><img src=x onerror={HIT}>-->",
    f"<!--[if IE]><script>{HIT}</script><![endif]-->",
    f"<![CDATA[<img src=x onerror={HIT}>]]>",
    f"<?xml version='1.0'?><img src=x onerror={HIT}>",
    f"</p onclick={HIT}>",
    f"<p onclick={HIT}>x</p>",
    f"<p ONCLICK={HIT}>x</p>",
    f"<p\x0conclick={HIT}>x</p>",
    f"<p onclick\x00={HIT}>x</p>",
    f"<p x:onclick={HIT}>x</p>",
    f"<p data-x='{HIT}' contenteditable draggable>x</p>",
    f"<a href=javascript:{HIT}>x</a>",
    f"<a href=JaVaScRiPt:{HIT}>x</a>",
    f"<a href='java\nscript:{HIT}'>x</a>",
    f"<a href='java&#9;script:{HIT}'>x</a>",
    f"<a href='javascript&colon;{HIT}'>x</a>",
    f"<a href='&#106;avascript:{HIT}'>x</a>",
    f"<a href=' \x01javascript:{HIT}'>x</a>",
    f"<a href=vbscript:{HIT}>x</a>",
    f"<a href=data:text/html,{HIT}>x</a>",
    "<a href='//x.example/'>x</a>",
    r"<a href='\\x.example\a'>x</a>",
    r"<a href='/\x.example'>x</a>",
    "<a href='https://x.example/'>x</a>",
    "<a href='mailto:a@x.example'>x</a>",
    "<a href='/sign-out'>x</a>",
    "<a href='/lesson/M01-L1/../../people'>x</a>",
    "<a href='/sheet/M01-E1?x=1'>x</a>",
    "<a href='#sheet'>x</a>",
    "<a href='#p1' target=_blank ping=//x.example rel=opener download>x</a>",
    "<p id=sheet name=location>x</p>",
    "<p id=__proto__>x</p>",
    "<a id=cookie name=cookie>x</a>",
    "<p class='act main skip house'>x</p>",
    "<div class='matter thumb' role=alert tabindex=0>x</div>",
    "<section class='signal danger stamp' aria-labelledby=sheet>x</section>",
    "<ol start=-1 type=a reversed><li value=3>x</li></ol>",
    "<td colspan=1000 class='v x'>x</td>",
    f"<x-thing onclick={HIT}>x</x-thing>",
    f"<p is=x-thing>{HIT}</p>",
    f"<font color={HIT} size=9>x</font>",
    f"<image src=x onerror={HIT}>",
    f"<keygen autofocus onfocus={HIT}>",
]
VOID = {"br", "img", "source"}


class Judge(HTMLParser):
    """Finds everything in a page that our allow-list does not name."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.wrong: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in sanitise.TAGS:
            self.wrong.append(f"<{tag}>")
        if tag not in VOID:
            self.open.append(tag)
        for name, value in attrs:
            self.attribute(tag, name, value or "")

    def attribute(self, tag: str, name: str, value: str) -> None:
        bare = re.sub(r"[\x00-\x20]", "", value).lower()
        allowed = {one.lower() for one in sanitise.ATTRIBUTES.get(tag, set())} | {"id"}
        if name.startswith("on") or name == "style" or name not in allowed:
            self.wrong.append(f"{tag} {name}")
        if name in {"href", "src", "srcset"} and not re.match(
            r"#(p|fn)|/lesson/m\d\d-l\d|/sheet/m\d\d-e\d|figure:[a-z0-9][\w.-]*$", bare
        ):
            self.wrong.append(f"{name}={value}")
        if name == "class" and not set(value.split()) <= sanitise.CLASSES[tag]:
            self.wrong.append(f"class {value}")
        if name == "id" and not re.match(r"p\d|fn|caution-", value):
            self.wrong.append(f"id {value}")

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.wrong.append(f"</{tag}> out of order")

    def handle_comment(self, _data: str) -> None:
        self.wrong.append("a comment")

    def handle_decl(self, _decl: str) -> None:
        self.wrong.append("a declaration")

    def handle_pi(self, _data: str) -> None:
        self.wrong.append("an instruction")


def wrong_in(html: str) -> list[str]:
    judge = Judge()
    judge.feed(html)
    judge.close()
    return judge.wrong + [f"<{tag}> open" for tag in judge.open]


def test_there_are_more_than_a_hundred_attacks() -> None:
    assert len(set(FRAMED)) == len(FRAMED) > 100


def test_the_judge_sees_what_is_wrong() -> None:
    assert wrong_in("<p onclick=x>") == ["p onclick", "<p> open"]
    assert wrong_in("<script></script><a href='//x'></a><p id=sheet></p><p class=act></p>") == [
        "<script>",
        "href=//x",
        "id sheet",
        "class act",
    ]
    assert wrong_in('<p>a <a href="#p1">b</a></p>') == []


@pytest.mark.parametrize("attack", FRAMED)
def test_nothing_of_an_attack_gets_through(attack: str) -> None:
    for text in (
        attack,
        f"<p>before {attack} after</p>",
        f"<table><tr><td>{attack}</td></tr></table>",
    ):
        cleaned = clean(text)
        assert wrong_in(cleaned) == [], cleaned
        assert clean(cleaned) == cleaned


GOOD = [
    "<p>dose <em>x</em> <strong>y</strong> <code>z</code><br></p>",
    '<ol class="steps"><li id="p3-1"><span class="no">3.1<small>burrs</small></span></li></ol>',
    '<div class="signal danger" role="note" aria-labelledby="caution-1"></div>',
    '<figure class="plate"><img src="figure:run-down.svg" width="64" height="24" alt=""></figure>',
    '<a href="/lesson/M01-L2#p3">x</a><a class="act" href="/sheet/M01-E1" data-sheet="M01-E1"></a>',
    '<sup id="fnref-1"><a href="#fn-1">1</a></sup>',
    '<math display="block" alttext="z"><mrow><msup><mi>z</mi><mn>2</mn></msup></mrow></math>',
    '<table class="values"><thead><tr><th class="v">a</th></tr></thead></table>',
]


@pytest.mark.parametrize("html", GOOD)
def test_what_lessons_are_made_of_stays_as_it_is(html: str) -> None:
    assert clean(html) == html


SCRAPS = st.sampled_from(
    [
        "<p>", "</p>", "<table>", "</table>", "<tr>", "<td>", "<li>", "<ul>", "<ol>",
        "<a href='#p1'>", "</a>", "<math>", "</math>", "<mtext>", "<mi>", "<svg>", "</svg>",
        "<path>",
        "<style>", "</style>", "<script>", "</script>", "<pre>", "\n", "<!--", "-->", "<br>",
        "<h2>",
        "<dl>", "<dt>", "<dd>", "<img src='figure:a.svg'>", "<figure>", "<em>", "<b>", "</b>", "x",
        "<template>", "<select>", "<title>", "<form>", "<noscript>", "&lt;", "&#x3c;", "&", "<",
        "\x00",
        "<mglyph>", "<annotation-xml encoding='text/html'>", "<foreignObject>", "<desc>", "<div>",
    ]
)  # fmt: skip


@given(st.lists(SCRAPS, max_size=25).map("".join))
def test_any_nesting_comes_out_clean_and_once_is_enough(html: str) -> None:
    cleaned = clean(html)
    assert wrong_in(cleaned) == [], cleaned
    assert clean(cleaned) == cleaned


@given(st.text(max_size=200))
def test_any_text_comes_out_clean_and_once_is_enough(html: str) -> None:
    cleaned = clean(html)
    assert wrong_in(cleaned) == []
    assert clean(cleaned) == cleaned


@given(st.text(alphabet=st.characters(exclude_categories=("Cs", "Cc")), max_size=100))
def test_plain_text_survives_as_text(text: str) -> None:
    class Reader(HTMLParser):
        said = ""

        def handle_data(self, data: str) -> None:
            self.said += data

    reader = Reader(convert_charrefs=True)
    reader.feed(clean_text(text))
    reader.close()
    assert reader.said == text


def test_a_text_that_never_settles_is_shown_as_text(monkeypatch: pytest.MonkeyPatch) -> None:
    class Restless:
        def clean(self, html: str) -> str:
            return html + "<p>"

    monkeypatch.setattr(sanitise, "_cleaner", Restless)
    assert clean("x") == "x" + "&lt;p&gt;" * 6
