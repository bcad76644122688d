"""Editions: the same module from disk and from storage, and a hash that follows the sources."""

from __future__ import annotations

import json
import shutil
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.library.conftest import LESSON, SHELF, Folder, png
from trainer.canonical import Plain, canonical_bytes, sha256_hex
from trainer.errors import StateError
from trainer.library import edition, lesson, pages
from trainer.library.cautions import read_cautions
from trainer.library.reader import read, read_module


def stored(plain: Mapping[str, Plain]) -> dict[str, Plain]:
    """What comes back from a database that keeps canonical bytes."""
    loaded = json.loads(canonical_bytes(plain))
    assert isinstance(loaded, dict)
    return loaded


def test_a_module_comes_back_from_storage_as_it_was_read(folder: Folder) -> None:
    library = folder.library()
    for name, module in library.modules.items():
        canonical = stored(library.canonical[name])
        again = edition.load_module(canonical)
        assert again == module
        with_pages = edition.load_module(canonical, pages=stored(edition.rendered(module)))
        assert with_pages == module
        assert module.hash == sha256_hex(canonical_bytes(library.canonical[name]))


def test_stored_pages_are_not_set_again(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    library = folder.library()
    module = library.modules["M01"]
    rendered = edition.rendered(module)
    monkeypatch.setattr(lesson, "render_lesson", lambda *_, **__: pytest.fail("a lesson was set"))
    assert edition.load_module(stored(library.canonical["M01"]), pages=rendered) == module


def test_pages_of_an_older_form_are_set_anew(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    library = folder.library()
    module = library.modules["M01"]
    older = stored(edition.rendered(module))
    monkeypatch.setattr(pages, "FORM", pages.FORM + 1)
    older["intro"] = "set by an older hand"
    assert edition.load_module(stored(library.canonical["M01"]), pages=older) == module


def test_a_lessons_own_caution_travels_with_it(folder: Folder) -> None:
    own = (
        "\n```caution\nid = 'own'\nabout = ['burrs']\nword = 'notice'\nhazard = 'H'\nharm = 'M'\n"
        "avoid = 'A'\n```\n\nWords.\n"
    )
    library = folder.add(LESSON, own).library()
    module = library.modules["M01"]
    assert module.cautions["own"].harm == "M"
    assert "own" not in library.canonical["M01"]["cautions"]  # type: ignore[operator]
    canonical = stored(library.canonical["M01"])
    assert edition.load_module(canonical) == module
    assert edition.load_module(canonical, pages=stored(edition.rendered(module))) == module


def test_a_module_alone_is_the_module_in_its_folder(folder: Folder) -> None:
    cautions, _ = read_cautions(folder.text("cautions.md"), file="cautions.md")
    module, findings, canonical = read_module(folder.path / "modules/M01", cautions)
    library = folder.library()
    assert module == library.modules["M01"]
    assert canonical == library.canonical["M01"]
    assert {one.severity for one in findings} == {"remark"}


def test_a_broken_module_alone_gives_none_and_its_findings(folder: Folder) -> None:
    folder.replace(LESSON, "(electrical)", "(elektrical)")
    module, findings, canonical = read_module(folder.path / "modules/M01", {})
    assert module is None
    assert findings[0].severity == "error"
    assert canonical["module"] == "M01"


def test_a_picture_comes_back_byte_for_byte(folder: Folder) -> None:
    library = folder.write("modules/M01/figures/dot.png", png(3, 2)).library()
    module = library.modules["M01"]
    assert module.files["dot.png"] == png(3, 2)
    assert edition.load_module(stored(library.canonical["M01"])) == module
    assert list(library.canonical["M01"]["binary"]) == ["figures/dot.png"]  # type: ignore[arg-type]


SOURCES = sorted(
    file.relative_to(SHELF).as_posix()
    for file in SHELF.rglob("*")
    if file.is_file() and "M02" not in file.parts
)
OF_THE_SCHEME = ("competencies/", "certificates/")


@pytest.mark.parametrize("name", SOURCES)
def test_the_hash_changes_with_every_source_and_only_its_own(name: str, folder: Folder) -> None:
    before = {key: edition.digest(plain) for key, plain in folder.library().canonical.items()}
    more = {"svg": "<!-- more -->\n", "csv": "18.3\n"}.get(
        name.rpartition(".")[2], "\nMore words.\n"
    )
    folder.add(name, more)
    after = {key: edition.digest(plain) for key, plain in folder.library().canonical.items()}
    changed = {key for key in before if before[key] != after[key]}
    if name.startswith(OF_THE_SCHEME):
        assert changed == {"scheme"}
    elif name == "cautions.md":
        assert changed == set(), "words between the cautions are no part of any module"
    else:
        assert changed == {"M01"}


@pytest.mark.parametrize(
    ("caution", "changed"), [("H01", {"M01"}), ("H05", {"M01"}), ("H20", set())]
)
def test_a_caution_changes_the_modules_that_use_it(
    caution: str, changed: set[str], folder: Folder
) -> None:
    before = {name: module.hash for name, module in folder.library().modules.items()}
    text = folder.text("cautions.md")
    at = text.index("avoid = '", text.index(f"'{caution}'")) + len("avoid = '")
    folder.write("cautions.md", f"{text[:at]}Stop. {text[at:]}")
    after = {name: module.hash for name, module in folder.library().modules.items()}
    assert {name for name in before if before[name] != after[name]} == changed


def test_the_hash_is_the_same_in_every_place_and_with_every_end_of_line(tmp_path: Path) -> None:
    here, there = tmp_path / "a", tmp_path / "elsewhere" / "b"
    shutil.copytree(SHELF, here)
    shutil.copytree(SHELF, there)
    for file in there.rglob("*.md"):
        file.write_bytes(b"\xef\xbb\xbf" + file.read_bytes().replace(b"\n", b"\r\n"))
    one, other = read(here)[0], read(there)[0]
    assert {name: module.hash for name, module in one.modules.items()} == {
        name: module.hash for name, module in other.modules.items()
    }
    assert one.scheme.hash == other.scheme.hash
    assert one.modules == other.modules


def test_the_form_of_an_edition_stands_still(folder: Folder) -> None:
    # The hash names editions for years: a change here means that every stored name would change.
    canonical = folder.library().canonical["M02"]
    assert canonical == {
        "module": "M02",
        "files": {
            "01-reading.md": (SHELF / "modules/M02/01-reading.md").read_text("utf-8"),
            "module.md": (SHELF / "modules/M02/module.md").read_text("utf-8"),
        },
        "binary": {},
        "cautions": {},
    }


def test_the_scheme_comes_back_from_storage(folder: Folder) -> None:
    library = folder.library()
    scheme = edition.load_scheme(stored(library.canonical["scheme"]))
    assert scheme == library.scheme
    assert scheme.competencies["C01"].criteria[0].critical
    assert scheme.certificates["making-safe"].grinder_types == ("QT-64",)
    assert scheme.hash


def test_a_scheme_with_an_error_has_no_canonical_form(folder: Folder) -> None:
    library = folder.replace("competencies/C01.md", "observers = 2", "observers = 1").library()
    assert "scheme" not in library.canonical
    assert "C01" not in library.scheme.competencies
    assert library.scheme.hash == ""


def test_a_stored_form_that_is_damaged_is_refused(folder: Folder) -> None:
    library = folder.library()
    canonical = stored(library.canonical["M01"])
    canonical["files"] = {"module.md": "+++\n"}
    with pytest.raises(StateError) as refused:
        edition.load_module(canonical)
    assert refused.value.code == "LIB-601"
    with pytest.raises(StateError):
        edition.load_scheme({"scheme": True, "files": {"competencies/C01.md": "+++\n+++\n"}})


def test_the_library_names_what_it_saw_and_what_it_kept(folder: Folder) -> None:
    library = folder.replace(LESSON, "minutes = 5", "minutes = 0").library()
    assert library.seen == ("M01", "M02")
    assert list(library.modules) == ["M02"]
    assert set(library.canonical) == {"M02", "scheme"}
