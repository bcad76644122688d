"""A copy of the sample folder that a test may break."""

from __future__ import annotations

import shutil
import struct
from dataclasses import dataclass
from pathlib import Path
from zlib import crc32

import pytest

from trainer.findings import Finding
from trainer.library.catalogue import Library
from trainer.library.reader import read

SHELF = Path(__file__).parent / "shelf"
LESSON = "modules/M01/01-the-plug.md"
TOO_FEW_WORDS = "LIB-214"  # the sample's lessons are short on purpose


def png(width: int, height: int) -> bytes:
    """The smallest file that says it is a picture of this size; it holds no row of it."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", crc32(kind + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IEND", b"")


@dataclass(frozen=True)
class Folder:
    """A content folder in the test's own place."""

    path: Path

    def write(self, name: str, content: str | bytes) -> Folder:
        file = self.path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(
            content.encode("utf-8", "surrogateescape") if isinstance(content, str) else content
        )
        return self

    def text(self, name: str) -> str:
        return (self.path / name).read_text(encoding="utf-8")

    def replace(self, name: str, old: str, new: str) -> Folder:
        text = self.text(name)
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
        return self.write(name, text.replace(old, new))

    def add(self, name: str, more: str) -> Folder:
        return self.write(name, self.text(name) + more)

    def library(self) -> Library:
        return read(self.path)[0]

    def findings(self) -> list[Finding]:
        """All but the remark that the sample's lessons are short."""
        return [one for one in read(self.path)[1] if one.code != TOO_FEW_WORDS]

    def codes(self) -> list[str]:
        return [one.code for one in self.findings()]


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    shutil.copytree(SHELF, tmp_path / "content")
    return Folder(tmp_path / "content")
