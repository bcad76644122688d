"""Redirects after signing in, and which markup may pass."""

from __future__ import annotations

from urllib.parse import urljoin, urlsplit

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.web.security import CONTENT_POLICY, own_page

HERE = "https://train.example.org/sign-in"


def as_a_browser_reads_it(address: str) -> str:
    """What a browser makes of a Location before it resolves it.

    Source: WHATWG URL Standard, URL parsing: tab and line ends are removed, leading and trailing
    control signs and spaces are stripped, a backslash is a slash (from memory).
    """
    plain = "".join(sign for sign in address if sign not in "\t\r\n")
    return plain.strip("".join(map(chr, range(33)))).replace("\\", "/")


@pytest.mark.parametrize(
    "asked",
    [
        "//h",
        "/\\h",
        "\\\\h",
        "https:h",
        "\t//h",
        "/\t/h",
        "/\n/h",
        "javascript:alert(1)",
        "http://127.0.0.1@h",
        "https://h/",
        "h",
        "",
        " /lesson",
        "/lesson\r\nX: y",
        "/\u2028/h",
    ],
)
def test_a_foreign_address_leads_to_our_own_page(asked: str) -> None:
    assert own_page(asked, "/front") == "/front"


@pytest.mark.parametrize("asked", ["/", "/lesson/M03-L1", "/skills-matrix?team=2", "/%2f%2fh"])
def test_a_path_of_ours_is_kept(asked: str) -> None:
    assert own_page(asked, "/front") == asked


@given(st.text(alphabet=st.sampled_from("/\\:@?#%.ahtps\t\n\r 2f\u2028"), max_size=12) | st.text())
def test_whatever_is_asked_the_origin_stays_ours(asked: str) -> None:
    address = urljoin(HERE, as_a_browser_reads_it(own_page(asked, "/")))
    assert urlsplit(address)[:2] == urlsplit(HERE)[:2]


def test_the_content_policy_allows_nothing_inline_and_nothing_foreign() -> None:
    parts = dict(part.split(" ", 1) for part in CONTENT_POLICY.split("; "))
    assert parts["default-src"] == "'none'"
    assert "unsafe" not in CONTENT_POLICY
    assert set(parts.values()) == {"'none'", "'self'"}
    for name in ("frame-ancestors", "base-uri", "object-src"):
        assert parts[name] == "'none'"
