"""What a certificate prints so that a stranger can check it: a link and an address in words."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CheckAddress:
    """Where a paper is checked: the link in the square code, and the words to type."""

    link: str
    words: str


def base_address(address: str) -> str:
    """The public address without a slash at its end.

    Example:
        >>> base_address("https://train.example.org/")
        'https://train.example.org'
    """
    return address.rstrip("/")


def check_address(address: str, link_token: str) -> CheckAddress:
    """Both forms of the address; the words leave the scheme out, as people type it.

    Example:
        >>> check_address("https://train.example.org", "abc")
        CheckAddress(link='https://train.example.org/c/abc', words='train.example.org/check')
    """
    base = base_address(address)
    return CheckAddress(f"{base}/c/{link_token}", f"{base.partition('://')[2] or base}/check")
