"""Files as authors' machines write them: encodings, ends of lines, cut-off copies, links."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from tests.library.conftest import LESSON, SHELF, Folder
from trainer.library.sources import LARGEST_TEXT, decode, read_bytes, read_folder


@pytest.mark.parametrize(
    ("content", "text"),
    [
        (b"", ""),
        (b"a\nb\n", "a\nb\n"),
        (b"a\r\nb\rc\n", "a\nb\nc\n"),
        (b"\xef\xbb\xbfa\n", "a\n"),
        ("Ångström\n".encode(), "Ångström\n"),
        ("A\u030angstro\u0308m\n".encode(), "Ångström\n"),
        (b"a\tb", "a\tb"),
    ],
)
def test_text_comes_in_one_form(content: bytes, text: str) -> None:
    assert decode(content, file="a.md") == (text, ())


@pytest.mark.parametrize(
    ("content", "place", "says"),
    [
        ("a\nb".encode("utf-16"), (1, 1), "it is UTF-16"),
        ("a\nb".encode("utf-32"), (1, 1), "it is UTF-32"),
        ("a\nb".encode("utf-16-be"), (1, 1), "zero byte"),
        (b"one\r\ntwo \xe4 x\n", (2, 5), "byte 0xe4"),
        ("ää".encode() + b"\xfc", (1, 3), "byte 0xfc"),
        ("one\ntwo €".encode()[:-1], (2, 5), "cut off"),
        (b"\xef\xbb\xbfab\xff", (1, 3), "0xff"),
        (b"one\ntwo\x00", (2, 4), "zero byte"),
        (b"\xc0\xaf", (1, 1), "0xc0"),
        ("\ud800".encode("utf-8", "surrogatepass"), (1, 1), "0xed"),
        (b"x" * (LARGEST_TEXT + 1), (0, 0), str(LARGEST_TEXT)),
    ],
)
def test_what_is_no_text_is_told_at_its_place(
    content: bytes, place: tuple[int, int], says: str
) -> None:
    text, findings = decode(content, file="a.md")
    assert text is None
    assert [(one.line, one.column) for one in findings] == [place]
    assert says in findings[0].message


@pytest.mark.parametrize("sign", ["\x07", "\x0c", "\u200b", "\u202e", "\u2066", "\ufeff", "\ue000"])
def test_a_sign_nobody_sees_is_told_and_the_text_is_read_on(sign: str) -> None:
    text, findings = decode(f"one\ntwo{sign}three\n".encode(), file="a.md")
    assert text == f"one\ntwo{sign}three\n"
    assert [(one.line, one.column, one.severity) for one in findings] == [(2, 4, "error")]
    assert f"U+{ord(sign):04X}" in findings[0].message


def test_findings_of_one_file_end_somewhere() -> None:
    assert len(decode("\u200b".encode() * 500, file="a.md")[1]) == 10


@given(st.binary(max_size=80))
def test_any_bytes_are_text_or_told(content: bytes) -> None:
    text, findings = decode(content, file="a.md")
    assert text is not None or findings
    if text is not None:
        assert "\r" not in text
        assert decode(text.encode(), file="a.md")[0] == text


@given(st.text(max_size=40), st.booleans())
def test_the_end_of_lines_and_a_mark_change_nothing(text: str, mark: bool) -> None:
    plain, _ = decode(text.replace("\r", "").encode(), file="a.md")
    other = text.replace("\r", "").replace("\n", "\r\n").encode()
    assert decode((b"\xef\xbb\xbf" if mark else b"") + other, file="a.md")[0] == plain


def test_a_file_that_cannot_be_read_is_a_finding(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(self: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", refuse)
    findings = folder.findings()
    told = {one.file for one in findings if one.code == "LIB-015"}
    assert LESSON in told
    assert "cautions.md" in told
    assert folder.library().modules == {}


def test_a_huge_file_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.png"
    path.write_bytes(b"x" * (1024 * 1024 + 1))
    monkeypatch.setattr(Path, "read_bytes", lambda _self: pytest.fail("it was read"))
    findings: list[object] = []
    assert read_bytes(path, file="a.png", findings=findings) is None  # type: ignore[arg-type]
    assert len(findings) == 1


def test_links_inside_are_followed_and_links_out_are_not(folder: Folder) -> None:
    module = folder.path / "modules/M01"
    outside = folder.path.parent / "outside"
    outside.mkdir()
    (outside / "module.md").write_text("secret", encoding="utf-8")
    (module / "03-same.md").symlink_to(module / "02-the-tag.md")
    (module / "04-out.md").symlink_to(outside / "module.md")
    (module / "cases").symlink_to(outside)
    (module / "05-round.md").symlink_to(module / "05-round.md")
    (folder.path / "modules/M09").symlink_to(outside)
    findings = folder.findings()
    refused = {one.file for one in findings if one.code == "LIB-016"}
    assert refused == {
        "modules/M01/04-out.md",
        "modules/M01/05-round.md",
        "modules/M01/cases",
        "modules/M09",
    }
    assert [one.file for one in findings if one.code == "LIB-505"] == ["modules/M01/03-same.md"]
    assert not any("secret" in f"{one.text}{one.message}" for one in findings)


def test_what_editors_leave_behind_is_passed_over(folder: Folder) -> None:
    for name in (".DS_Store", "01-the-plug.md~", ".01-the-plug.md.swp", "module.bak", "README.md"):
        folder.write(f"modules/M01/{name}", "x")
    folder.write("modules/.git/x", "x").write("modules/notes.txt", "x")
    assert folder.findings() == []


def test_a_folder_that_is_gone_is_a_finding(tmp_path: Path) -> None:
    sources, findings = read_folder(tmp_path / "gone", base="gone/", names=re.compile(".*"))
    assert not sources.files
    assert [one.code for one in findings] == ["LIB-015"]


CUTS = sorted(file for file in SHELF.rglob("*") if file.is_file())


@pytest.mark.parametrize("file", CUTS, ids=lambda file: file.name)
def test_a_file_cut_off_anywhere_never_breaks_the_reader(file: Path, folder: Folder) -> None:
    content, name = file.read_bytes(), file.relative_to(SHELF).as_posix()
    for part in (0, 1, 3, 40, len(content) // 3, len(content) // 2, len(content) - 2):
        folder.write(name, content[:part])
        for one in folder.findings():
            assert one.message, name


@pytest.mark.parametrize("encoding", ["utf-16", "utf-32", "latin-1", "cp1252", "utf-8-sig"])
def test_a_whole_folder_in_another_encoding_is_told_or_read(encoding: str, folder: Folder) -> None:
    for file in CUTS:
        text = file.read_text("utf-8") + ("\n<!-- ä -->\n" if file.suffix == ".svg" else "")
        folder.write(file.relative_to(SHELF).as_posix(), text.encode(encoding, "replace"))
    codes = set(folder.codes())
    assert ("LIB-011" in codes) == (encoding != "utf-8-sig")
    assert codes or encoding == "utf-8-sig"
