"""What guards every request and every response: host, origin, form token, headers, cookies.

The order before a view: host (Flask, ``TRUSTED_HOSTS``), origin of a POST, form token, access rule.
A refusal at any step changes nothing. The headers are set on every response, errors included.
"""

from __future__ import annotations

import re
from base64 import b64encode
from functools import lru_cache
from hashlib import sha256
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from flask import Flask, Response, current_app, g, request, session
from flask_wtf.csrf import CSRFProtect
from werkzeug.middleware.proxy_fix import ProxyFix

from trainer.errors import RefusedError, register
from trainer.web.access import check_access

if TYPE_CHECKING:
    from trainer.settings import Settings

FOREIGN_POST = register(
    "WEB-010",
    "This form was sent from another site, so nothing was done.",
    "Open the page here and send the form again.",
    audience="trainee",
    status=403,
)

CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "font-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
        "object-src 'none'",
    )
)
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    # same-origin, not no-referrer: the form check over TLS compares the referrer with the host.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=()",
}
STRICT_TRANSPORT = "max-age=31536000; includeSubDomains"
ONE_MIB = 1024 * 1024
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})

form_tokens = CSRFProtect()


def guard(app: Flask, settings: Settings) -> None:
    """Put every guard of this module around the application."""
    plain = settings.plain_http
    prefix = "" if plain else "__Host-"
    app.config.update(
        SIGN_IN_COOKIE=f"{prefix}trainer",
        SESSION_COOKIE_NAME=f"{prefix}trainer-form",
        SESSION_COOKIE_SECURE=not plain,
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_PATH="/",
        WTF_CSRF_TIME_LIMIT=None,  # a sheet may stay open all day; the token ends with the sign-in
        MAX_CONTENT_LENGTH=ONE_MIB,
        MAX_FORM_MEMORY_SIZE=ONE_MIB,
        MAX_FORM_PARTS=400,
        TRUSTED_HOSTS=settings.trusted_hosts.split() or None,
        PREFERRED_URL_SCHEME="http" if plain else "https",
    )
    if settings.trusted_proxies:
        proxies = settings.trusted_proxies
        fixed = ProxyFix(app.wsgi_app, x_for=proxies, x_proto=proxies, x_host=0)
        app.wsgi_app = fixed  # type: ignore[method-assign]
    app.before_request(check_origin)
    form_tokens.init_app(app)
    app.before_request(check_access)
    app.after_request(set_headers)


def check_origin() -> None:
    """Refuse a changing request that a browser says came from elsewhere.

    Old browsers send Origin alone; a program that sends neither still needs the form token.
    Source: Fetch Metadata Request Headers, Sec-Fetch-Site (from memory).
    """
    if request.method in SAFE_METHODS:
        return
    site = request.headers.get("Sec-Fetch-Site")
    if site is not None:
        if site not in {"same-origin", "none"}:
            raise RefusedError(FOREIGN_POST)
        return
    origin = request.headers.get("Origin")
    if origin is not None and urlsplit(origin).netloc != request.host:
        raise RefusedError(FOREIGN_POST)


def set_headers(response: Response) -> Response:
    """Set the security headers on a response, and forbid storing what a signed-in person saw."""
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    response.headers.setdefault("Content-Security-Policy", CONTENT_POLICY)
    if current_app.config["SESSION_COOKIE_SECURE"]:
        response.headers.setdefault("Strict-Transport-Security", STRICT_TRANSPORT)
    if "Cache-Control" not in response.headers:
        response.headers["Cache-Control"] = "no-store"
    return response


@lru_cache(maxsize=256)
def figure_policy(content: bytes) -> str:
    """The policy of a figure opened on its own: its own style sheet by digest, and nothing else."""
    digests = [
        f"'sha256-{b64encode(sha256(style).digest()).decode()}'"
        for style in re.findall(rb"<style[^>]*>(.*?)</style>", content, re.DOTALL)
    ]
    styles = f"; style-src {' '.join(digests)}" if digests else ""
    return f"default-src 'none'{styles}; frame-ancestors 'none'; sandbox"


def renew_form_token() -> None:
    """Forget the form token, so that one of another sign-in is refused."""
    session.clear()
    g.pop(current_app.config["WTF_CSRF_FIELD_NAME"], None)


def set_sign_in(response: Response, token: str, *, hours: int) -> None:
    """Hand the sign-in token to the browser."""
    response.set_cookie(
        current_app.config["SIGN_IN_COOKIE"],
        token,
        max_age=hours * 3600,
        path="/",
        secure=current_app.config["SESSION_COOKIE_SECURE"],
        httponly=True,
        samesite="Lax",
    )


def clear_sign_in(response: Response) -> None:
    """Take the sign-in token and everything kept for it out of the browser."""
    response.delete_cookie(
        current_app.config["SIGN_IN_COOKIE"],
        path="/",
        secure=current_app.config["SESSION_COOKIE_SECURE"],
        httponly=True,
        samesite="Lax",
    )
    response.headers["Clear-Site-Data"] = '"cache", "cookies", "storage"'


def own_page(asked: str, otherwise: str) -> str:
    """The page to go to after signing in: ``asked`` if a plain path of ours, else ``otherwise``.

    Browsers drop tabs and line ends from an address and take a backslash for a slash, so anything
    but printable ASCII without a backslash is refused before the path is looked at.

    Example:
        >>> own_page("/lesson/M03-L1", "/"), own_page("//elsewhere", "/"), own_page("https:x", "/")
        ('/lesson/M03-L1', '/', '/')
    """
    plain = asked.isascii() and asked.isprintable() and "\\" not in asked and " " not in asked
    if plain and asked.startswith("/") and not asked.startswith("//"):
        return asked
    return otherwise
