"""Every finding of the library once: a sample broken in one place, and where that is said to be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from tests.library.conftest import Folder, png
from trainer.errors import CATALOGUE
from trainer.library import markup, module, prose, reader, scheme  # noqa: F401 - they register

L1 = "modules/M01/01-the-plug.md"
L2 = "modules/M01/02-the-tag.md"
EXERCISES = "modules/M01/exercises.md"
MODULE = "modules/M01/module.md"
FIGURE = "modules/M01/figures/wait.svg"
C01 = "competencies/C01.md"
CERTIFICATE = "certificates/making-safe.md"
CAUTIONS = "cautions.md"
M2 = "modules/M02/module.md"
M2_L1 = "modules/M02/01-reading.md"
DATA = "modules/M01/data/doses.csv"
PICTURE = "modules/M01/figures/a.png"
CHECK = "[check]\nminutes = 20\npass = 80\n[check.plan]\nwaiting = 1\n"
CRITERIA = """
[[criteria]]
id = 'C01.1'
text = 'Waits for standstill.'
critical = true

[[criteria]]
id = 'C01.2'
text = 'Hangs the tag.'
"""
EMPTY_LESSON = "+++\nmodule = 'M01'\nlesson = 'M01-L2'\ntitle = 'T'\nminutes = 4\n+++\n"
EXTRA = "+++\nmodule = 'x'\ntitle = 'T'\n+++\n"
H20 = "\n```caution\nuse = 'H20'\n```\n"
PNG = b"\x89PNG\r\n\x1a\n"
ELSEWHERE = {
    "LIB-015",  # test_sources
    "LIB-214",  # test_lesson
    "LIB-228",  # test_blocks
    *(f"LIB-30{number}" for number in range(1, 7)),  # test_latex
    "LIB-601",  # test_edition
}


@dataclass(frozen=True)
class Case:
    """A code, how the sample is broken, and where the finding must stand.

    ``at`` is the place in the broken file that the finding must name: words whose first letter it
    is, or line and column; the whole file (0, 0) where it is empty. ``says`` is part of its text.
    """

    code: str
    spoil: Callable[[Folder], object]
    file: str
    at: str | tuple[int, int] = (0, 0)
    says: str = ""
    severity: str = "error"

    def place(self, folder: Folder) -> tuple[str, int, int]:
        if isinstance(self.at, tuple):
            return (self.file, *self.at)
        text = (folder.path / self.file).read_bytes().decode("utf-8", "surrogateescape")
        before = text[: text.index(self.at)]
        return self.file, before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1


def swap(name: str, old: str, new: str) -> Callable[[Folder], object]:
    return lambda folder: folder.replace(name, old, new)


def put(name: str, content: str | bytes) -> Callable[[Folder], object]:
    return lambda folder: folder.write(name, content)


def more(name: str, text: str) -> Callable[[Folder], object]:
    return lambda folder: folder.add(name, text)


def link_out(folder: Folder) -> None:
    place = folder.path
    (place.parent / "secret.md").write_text("secret", encoding="utf-8")
    (place / "modules/M01/09-out.md").symlink_to(place.parent / "secret.md")


def no_modules(folder: Folder) -> None:
    place = folder.path
    for name in ("M01", "M02"):
        for file in sorted((place / "modules" / name).rglob("*"), reverse=True):
            file.rmdir() if file.is_dir() else file.unlink()
        (place / "modules" / name).rmdir()


def no_folder(folder: Folder) -> None:
    folder.path.rename(folder.path.parent / "elsewhere")


def link_to_nothing(folder: Folder) -> None:
    place = folder.path / FIGURE
    place.unlink()
    place.symlink_to(place.parent / "gone.svg")


def many_files(folder: Folder) -> None:
    for number in range(401):
        folder.write(f"modules/M01/data/d{number}.csv", "x\n")


CASES = [
    Case("LIB-001", no_folder, "content"),
    Case("LIB-002", no_modules, "modules"),
    Case("LIB-011", swap(L2, "next person", "n\udce4chste"), L2, "\udce4", "0xe4"),
    Case("LIB-011", put(L2, b"\xff\xfe+\x00+\x00"), L2, (1, 1), "UTF-16"),
    Case("LIB-011", swap(L2, "inside.'\n```\n", "inside\udce2\udc82"), L2, "\udce2", "cut off"),
    Case("LIB-012", swap(L2, "next person", "next\x00person"), L2, "\x00"),
    Case("LIB-013", swap(L2, "next person", "next\u202eperson"), L2, "\u202e", "U+202E"),
    Case("LIB-014", put(DATA, "x" * 262_145), DATA, says="262145"),
    Case("LIB-016", link_out, "modules/M01/09-out.md", says="09-out.md"),
    Case("LIB-016", link_to_nothing, FIGURE, says="wait.svg"),
    Case("LIB-017", put("modules/M01/a.txt", "x"), "modules/M01/a.txt", severity="remark"),
    Case("LIB-018", many_files, "modules/M01", says="400"),
    Case("LIB-101", swap(L2, "+++\nmodule", "module"), L2, (1, 1)),
    Case("LIB-102", put(L2, "+++\nmodule = 'M01'\n"), L2, (1, 1)),
    Case("LIB-103", swap(L2, "'The tag'", f"'{'x' * 65_600}'"), L2, (2, 1)),
    Case("LIB-111", swap(L2, "title = 'The tag'\n", ""), L2, (2, 1), "title"),
    Case("LIB-112", swap(L2, "minutes = 4", "minutes = 'four'"), L2, "minutes", "whole number"),
    Case("LIB-112", swap(L2, "['M01-L1']", "'M01-L1'"), L2, "needs", "list"),
    Case("LIB-112", swap(C01, "= true\nobs", "= 1\nobs"), C01, "safety_critical", "true or"),
    Case("LIB-112", swap(MODULE, "'The plug'", "7"), MODULE, "title", "text"),
    Case("LIB-112", swap(MODULE, CHECK, "check = 3\n"), MODULE, "check", "table"),
    Case("LIB-112", swap(C01, CRITERIA, "criteria = 3\n"), C01, "criteria =", "list of tables"),
    Case("LIB-111", swap(C01, CRITERIA, ""), C01, (2, 1), "[[criteria]]"),
    Case("LIB-113", swap(L2, "title = 'The", "titel = 'The"), L2, "titel", "mean 'title'?"),
    Case("LIB-114", swap(CAUTIONS, "'warning'", "'warnung'"), CAUTIONS, "word = 'warnung'", "mean"),
    Case("LIB-114", swap(CAUTIONS, "['burrs']", "['burr']"), CAUTIONS, "'burr'", "mean 'burrs'?"),
    Case("LIB-115", swap(L2, "minutes = 4", "minutes = 0"), L2, "minutes", "1 to 240"),
    Case("LIB-116", swap(L2, "'The tag'", "' '"), L2, "title"),
    Case("LIB-117", swap(L2, "['M01-L1']", "['M01-L1', 'M01-L1']"), L2, "needs", "M01-L1"),
    Case("LIB-201", swap(L2, "next person", "next <b>person</b>"), L2, "<b>"),
    Case("LIB-202", swap(L2, "next", "[next](https://x.example/a)"), L2, "https:"),
    Case("LIB-202", swap(L2, "next", "[next][a]\n\n[a]: file:///etc/x\n"), L2, "file:"),
    Case("LIB-202", swap(L2, "next", "<https://x.example>"), L2, "https:"),
    Case("LIB-202", swap(L2, "next", "[next](java&#115;cript:x)"), L2, "java&#"),
    Case("LIB-202", swap(L2, "next", "[next](//x.example/a)"), L2, "//x"),
    Case("LIB-202", swap(L2, "next", r"[next](<\\x\a>)"), L2, r"\x\a"),
    Case("LIB-203", swap(L2, "next", "![p](//x.example/a.png)"), L2, "//x"),
    Case("LIB-203", swap(L2, "next", "![p](data:image/png;base64,AA)"), L2, "data:"),
    Case("LIB-201", swap(EXERCISES, "Add the", "Add <i>the</i>"), EXERCISES, "<i>"),
    Case("LIB-202", swap(EXERCISES, "The run-down was", "The [x](M01-L1)"), EXERCISES, "M01-L1"),
    Case("LIB-204", swap(L1, "w = k t + m", r"w = \kolor t"), L1, r"\( w", "kolor"),
    Case("LIB-205", swap(L1, "seen and", "seen[^when] and"), L1, "when]", "[^when]: below"),
    Case("LIB-206", swap(L1, "seen and", "seen ![w](wait.svg) and"), L1, "wait.svg)"),
    Case("LIB-207", swap(L2, "The next", "![w](wiat.svg)\n\nThe next"), L2, "wiat.svg", "wait.svg"),
    Case("LIB-208", more(L1, "[^lost]: No.\n"), L1, "[^lost]:", severity="remark"),
    Case("LIB-211", put(L2, EMPTY_LESSON), L2, (7, 1)),
    Case("LIB-212", more(L2, "x " * 65_600), L2, (8, 1)),
    Case("LIB-213", more(L2, "\n" + "> " * 11 + "deep\n"), L2, "> >"),
    Case("LIB-215", more(L2, "\n" + "<b> " * 200), L2, (30, 0), "100"),
    Case("LIB-221", swap(L2, "## Who", "# Who"), L2, "# Who", "title"),
    Case("LIB-222", swap(L2, "## Who", "#### Who"), L2, "####"),
    Case("LIB-223", more(L2, "\n##\n\nWords.\n"), L2, "##\n"),
    Case("LIB-224", swap(L1, "```sheet", "```sheets"), L1, "sheets", "mean 'sheet'?"),
    Case("LIB-225", more(L2, "\n```sheet\nM01-E1\n"), L2, "```sheet"),
    Case("LIB-226", swap(L1, "```sheet", "```sheet M01-E1"), L1, "```sheet", "M01-E1"),
    Case("LIB-227", more(L2, "\n- a\n\n    ```sheet\n    M01-E1\n    ```\n"), L2, "    ```sheet"),
    Case("LIB-229", more(L2, H20), L2, "```caution", severity="remark"),
    Case("LIB-230", swap(L1, "M02-L1", "#p9"), L1, "#p9", "#p2-2"),
    Case("LIB-231", more(L2, "\n```steps\n\n```\n"), L2, "```steps"),
    Case("LIB-232", swap(L1, "(electrical)", "(elektrical)"), L1, "1. **", "elektrical"),
    Case("LIB-233", swap(L2, "reads it.", "reads it. (burrs)"), L2, "## Who", "burrs"),
    Case("LIB-233", swap(L1, "['H01']", "[]"), L1, "1. **", "electrical"),
    Case("LIB-233", swap(L1, "use = 'H05'", "use = 'H20'"), L1, "## Wait", "burrs"),
    Case("LIB-241", more(L2, "\n```sheet\n\n```\n"), L2, "```sheet"),
    Case("LIB-242", swap(L1, "\nM01-E1\n", "\nM01-E1, M01-E7\n"), L1, "M01-E7", "mean"),
    Case("LIB-243", swap(L1, "'wait.svg'", "'wiat.svg'"), L1, "file", "mean 'wait.svg'?"),
    Case("LIB-244", more(L2, "\n```formula\na = b\n  \\frac{a}\n```\n"), L2, (32, 11), "frac"),
    Case("LIB-245", swap(L1, "use = 'H05'", "use = 'H06'"), L1, "use", "mean"),
    Case("LIB-251", swap(CAUTIONS, "'H20'", "'H 20'"), CAUTIONS, "id = 'H 20'"),
    Case("LIB-252", swap(CAUTIONS, "'H20'", "'H05'"), CAUTIONS, (23, 1), "H05"),
    Case("LIB-253", more(CAUTIONS, "\n```sheet\nM01-E1\n```\n"), CAUTIONS, "```sheet"),
    Case("LIB-261", swap(L2, "next person", "next burr"), L2, "burr", "at all"),
    Case("LIB-261", swap(L2, "next person", "open\nthe cover"), L2, "open\nthe", "open the cover"),
    Case("LIB-261", more(L2, f"{H20}\nThe mains.\n"), L2, "mains", "about", severity="remark"),
    Case("LIB-401", put(FIGURE, "<svg"), FIGURE, (1, 1)),
    Case("LIB-402", put(FIGURE, " " * 131_073), FIGURE, says="131073"),
    Case("LIB-403", swap(FIGURE, "<text", "<script/><text"), FIGURE, "<script"),
    Case("LIB-404", swap(FIGURE, "<text x", "<text onload='x' x"), FIGURE, "<text", "onload"),
    Case("LIB-405", swap(FIGURE, "<text x", "<text fill='url(//x)' x"), FIGURE, "<text", "fill"),
    Case("LIB-406", swap(FIGURE, "fill:none", "fill:url(//x)"), FIGURE, "</style", "url("),
    Case("LIB-407", swap(FIGURE, 'viewBox="0 0 120 60"', ""), FIGURE, (1, 1)),
    Case("LIB-412", put(PICTURE, PNG), PICTURE, says="cut off"),
    Case("LIB-413", put(PICTURE, png(5000, 1)), PICTURE, says="5000 by 1 pixels"),
    Case("LIB-501", lambda folder: (folder.path / MODULE).unlink(), MODULE),
    Case("LIB-502", swap(L2, "module = 'M01'", "module = 'M02'"), L2, "module", "M02"),
    Case("LIB-503", put("modules/x/module.md", EXTRA), "modules/x/module.md", "module", "x"),
    Case("LIB-504", swap(L2, "'M01-L2'", "'M02-L2'"), L2, "lesson", "M02-L2"),
    Case("LIB-505", swap(L2, "'M01-L2'", "'M01-L1'"), L2, "lesson", "01-the-plug.md"),
    Case("LIB-506", swap(L2, "'M01-E2'", "'M01-E1'"), L2, "id = ", "exercises.md:4"),
    Case("LIB-507", swap(L2, "'M01-E2'", "'M02-E2'"), L2, "id = ", "M02-E2"),
    Case("LIB-508", swap(L1, "['H01']", "['H99']"), L1, "'H99'"),
    Case("LIB-508", swap(EXERCISES, "['H05']", "['H99']"), EXERCISES, "'H99'"),
    Case("LIB-508", swap(C01, "['H01']", "['H99']"), C01, "'H99'"),
    Case("LIB-509", more(EXERCISES, "\n```sheet\nM01-E1\n```\n"), EXERCISES, "```sheet"),
    Case("LIB-510", swap(MODULE, "waiting = 1", "waiting = 2"), MODULE, "waiting", "has 1"),
    Case("LIB-521", lambda folder: (folder.path / M2_L1).unlink(), M2, severity="remark"),
    Case("LIB-522", swap(L1, "\nM01-E1\n", "\nM01-E2\n"), EXERCISES, (4, 1), severity="remark"),
    Case("LIB-551", swap(C01, "competency = 'C01'", "competency = 'C02'"), C01, "compet", "C02"),
    Case("LIB-552", swap(C01, "competency = 'C01'", "competency = '01'"), C01, "competency"),
    Case("LIB-553", swap(CERTIFICATE, "'making-safe'", "'M safe'"), CERTIFICATE, "certificate"),
    Case("LIB-554", swap(C01, "'C01.2'", "'C02.2'"), C01, "id = 'C02.2'"),
    Case("LIB-555", swap(C01, "'C01.2'", "'C01.1'"), C01, (19, 1), "C01.1"),
    Case("LIB-556", swap(C01, "observers = 2", "observers = 1"), C01, "observers"),
    Case("LIB-557", swap(C01, "critical = true\n\n", "\n"), C01, "safety_critical"),
    Case("LIB-561", swap(C01, "['M01']", "['M01', 'M09']"), C01, "'M09'"),
    Case("LIB-561", swap(M2, "['M01']", "['M1']"), M2, "'M1'", "mean 'M01'?"),
    Case("LIB-562", swap(CERTIFICATE, "['C01']", "['C10']"), CERTIFICATE, "'C10'"),
    Case("LIB-562", swap(MODULE, "['C01']", "['C10']"), MODULE, "'C10'"),
    Case("LIB-563", swap(L1, "M02-L1", "M02-L7"), L1, "M02-L7"),
    Case("LIB-563", swap(L2, "['M01-L1']", "['M01-L9']"), L2, "'M01-L9'"),
    Case("LIB-564", swap(EXERCISES, "['C01.1']", "['C01.7']"), EXERCISES, "'C01.7'"),
    Case("LIB-565", swap(MODULE, "needs = []", "needs = ['M02']"), MODULE, "needs", "M02 needs"),
    Case("LIB-565", swap(L1, "needs = []", "needs = ['M01-L2']"), L1, "needs", "needs M01-L1"),
    Case("LIB-566", swap(M2, "competencies = []", "competencies = ['C01']"), M2, "compet", "C01"),
]


@pytest.mark.parametrize("case", CASES, ids=[f"{n}-{one.code}" for n, one in enumerate(CASES)])
def test_a_broken_sample_is_told_with_its_place(case: Case, folder: Folder) -> None:
    case.spoil(folder)
    findings = folder.findings()
    told = [one for one in findings if one.code == case.code]
    place = case.place(folder)
    here = [one for one in told if (one.file, one.line, one.column) == place]
    assert here, f"{case.code} is not told at {place}: {findings}"
    assert here[0].severity == case.severity
    assert case.says in f"{here[0].message} {here[0].cure}"
    assert here[0].cure, "every finding says what to write instead"


def test_the_sample_itself_has_no_findings(folder: Folder) -> None:
    assert folder.findings() == []
    assert set(folder.library().modules) == {"M01", "M02"}


def test_every_finding_of_the_library_has_its_case() -> None:
    ours = {code for code in CATALOGUE if code.startswith("LIB-")}
    assert ours == {case.code for case in CASES} | ELSEWHERE


def test_all_findings_of_all_files_come_at_once_and_errors_first(folder: Folder) -> None:
    folder.replace(L1, "(electrical)", "(elektrical)").replace(L2, "minutes = 4", "minutes = 0")
    folder.replace(C01, "observers = 2", "observers = 1").replace(CAUTIONS, "'H20'", "'H05'")
    folder.write("modules/M01/notes.txt", "x")
    findings = folder.findings()
    assert {one.file for one in findings} == {L1, L2, C01, CAUTIONS, "modules/M01/notes.txt"}
    severities = [one.severity for one in findings]
    assert severities == sorted(severities), "errors stand before remarks"
    assert "M01" not in folder.library().modules
    assert "M02" in folder.library().modules
