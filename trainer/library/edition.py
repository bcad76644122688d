"""Editions: the canonical form of a module or the scheme, its hash, and the way back.

The canonical form holds everything a module is made of: its files, in the one form of ``sources``,
and the cautions it uses, because a caution that changes changes the module. Its hash names the
edition. ``load_module`` makes the same module from it anywhere, without a disk; with the pages
stored beside it no lesson is set again, and Markdown is not even imported.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping
from dataclasses import replace
from typing import cast

from trainer.canonical import Plain, digest
from trainer.errors import StateError, register
from trainer.library.catalogue import Caution, Module, Scheme
from trainer.library.module import build
from trainer.library.pages import Pages, as_pages, cautions_of, plain_caution
from trainer.library.scheme import read_scheme
from trainer.library.sources import Sources

__all__ = ["canonical", "digest", "load_module", "load_scheme", "rendered", "scheme_canonical"]

UNSOUND = register(
    "LIB-601",
    "The stored edition of {subject} cannot be read: {why}",
    "Restore the database from a backup; put the content in force again for a new edition.",
    audience="operator",
    status=500,
)


def canonical(module: str, sources: Sources, cautions: Mapping[str, Caution]) -> dict[str, Plain]:
    """The canonical form of a module: plain values, the same for the same sources anywhere.

    Args:
        module: the module's id.
        sources: every file of its folder.
        cautions: those of ``cautions.md`` that the module uses.
    """
    return {
        "module": module,
        "files": dict(sources.files),
        "binary": {
            path: base64.b64encode(content).decode("ascii")
            for path, content in sources.binary.items()
        },
        "cautions": {name: plain_caution(caution) for name, caution in cautions.items()},
    }


def load_module(canonical: Mapping[str, Plain], pages: Pages | None = None) -> Module:
    """The module of a stored edition, equal to what the reader gave when it was stored.

    Raises:
        StateError: LIB-601 where the stored form is not a sound module.
    """
    module = str(canonical["module"])
    binary = cast("Mapping[str, str]", canonical["binary"])
    sources = Sources(
        files=dict(cast("Mapping[str, str]", canonical["files"])),
        binary={path: base64.b64decode(text) for path, text in binary.items()},
    )
    built = build(
        sources, cautions_of(canonical), folder=module, base=f"modules/{module}/", pages=pages
    )
    if built.module is None:
        why = next(str(found) for found in built.findings if found.severity == "error")
        raise StateError(UNSOUND, subject=module, why=why)
    return replace(built.module, hash=digest(canonical))


def rendered(module: Module) -> Pages:
    """The set lessons of a module as plain values, to be stored beside its edition."""
    called = {name for lesson in module.lessons for name in lesson.hazards}
    own = [one for name, one in module.cautions.items() if name in called]
    return as_pages(module.lessons, own, module.intro)


def scheme_canonical(files: Mapping[str, str]) -> dict[str, Plain]:
    """The canonical form of the scheme: its files by their paths inside the content folder."""
    return {"scheme": True, "files": dict(files)}


def load_scheme(canonical: Mapping[str, Plain]) -> Scheme:
    """The scheme of a stored edition.

    Raises:
        StateError: LIB-601 where the stored form is not a sound scheme.
    """
    read = read_scheme(cast("Mapping[str, str]", canonical["files"]))
    if read.findings:
        raise StateError(UNSOUND, subject="the scheme", why=str(read.findings[0]))
    return replace(read.scheme, hash=digest(canonical))
