"""The house rule on imports: they only point down, and each layer knows its own third parties."""

from __future__ import annotations

import ast
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent / "trainer"
L0 = {"errors", "findings", "settings", "clock", "canonical"}
WEB_STACK = {
    "flask",
    "flask_wtf",
    "flask_sqlalchemy",
    "wtforms",
    "werkzeug",
    "jinja2",
    "markupsafe",
}


@dataclass(frozen=True)
class Layer:
    """What one room may import: rooms of ours (``room`` or ``room.module``) and third parties."""

    rooms: frozenset[str]
    parties: frozenset[str]


def layer(rooms: str, parties: str = "") -> Layer:
    return Layer(frozenset(rooms.split()), frozenset(parties.split()))


LAYERS = {
    "drawing": layer("drawing"),
    "maths": layer("maths", "scipy"),
    "engine": layer("engine maths drawing"),
    "cases": layer("cases engine maths drawing", "numpy"),
    "library": layer("library cases engine maths drawing", "markdown nh3 latex2mathml"),
    "records": layer("records", "sqlalchemy alembic cryptography"),
    "rules": layer("rules maths"),
    "actions": layer(
        "actions rules records library cases engine maths drawing", "sqlalchemy argon2 cryptography"
    ),
    "paper": layer("paper rules records library engine drawing", "segno reportlab"),
    "exchange": layer("exchange actions rules records library engine", ""),
    "web": layer(
        "web actions paper exchange library drawing engine.definition "
        "engine.outcome cases.definition rules",
        " ".join(WEB_STACK) + " sqlalchemy",
    ),
    "cli": layer(
        "cli actions paper exchange library engine cases maths rules "
        "records.database web.application drawing",
        "click granian flask",
    ),
}
LAZY_ONLY = {("maths", "scipy"), ("cli", "flask"), ("cli", "granian"), ("cli", "web.application")}


def modules() -> list[Path]:
    return sorted(ROOT.rglob("*.py"))


def imports_of(path: Path) -> list[tuple[str, int, bool]]:
    """Every import of a file: dotted name, line, and whether it runs when the file is imported."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found: list[tuple[str, int, bool]] = []

    def walk(node: ast.AST, *, at_import: bool, typing_only: bool) -> None:
        for child in ast.iter_child_nodes(node):
            inside = isinstance(child, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda))
            guard = typing_only or (
                isinstance(child, ast.If) and "TYPE_CHECKING" in ast.unparse(child.test)
            )
            if isinstance(child, ast.Import):
                found.extend(
                    (alias.name, child.lineno, at_import and not typing_only)
                    for alias in child.names
                )
            elif isinstance(child, ast.ImportFrom):
                assert child.level == 0, f"{path}:{child.lineno}: a relative import"
                names = [child.module or ""]
                if child.module == "trainer" or (child.module or "").count(".") == 1:
                    names = [f"{child.module}.{alias.name}" for alias in child.names]
                found.extend((name, child.lineno, at_import and not typing_only) for name in names)
            walk(child, at_import=at_import and not inside, typing_only=guard)

    walk(tree, at_import=True, typing_only=False)
    return found


def room_of(path: Path) -> str:
    parts = path.relative_to(ROOT).parts
    return parts[0] if len(parts) > 1 else ""


def is_allowed(room: str, name: str) -> bool:
    rules = LAYERS[room]
    if name.startswith("trainer"):
        parts = name.split(".")[1:]
        if not parts or parts[0] in L0 or parts[0] == "__version__":
            return True
        return parts[0] in rules.rooms or ".".join(parts[:2]) in rules.rooms
    top = name.split(".", maxsplit=1)[0]
    return top in sys.stdlib_module_names or top in rules.parties


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_point_down(path: Path) -> None:
    room = room_of(path)
    for name, line, at_import in imports_of(path):
        top = name.split(".")[0]
        where = f"{path.relative_to(ROOT.parent)}:{line}: {name}"
        if not room:
            ours = name.removeprefix("trainer.").split(".")[0] if name.startswith("trainer") else ""
            assert top in sys.stdlib_module_names or top == "rfc8785" or ours in L0 | {""}, where
            continue
        assert is_allowed(room, name), f"{where} is not for the room {room}"
        short = ".".join(name.split(".")[1:3]) if name.startswith("trainer") else top
        if (room, short) in LAZY_ONLY:
            assert not at_import, f"{where} must be imported inside the function that needs it"


def test_chance_and_wall_clock_have_one_home() -> None:
    for path in modules():
        for name, line, _ in imports_of(path):
            assert name.split(".")[0] != "random" or path.name == "database.py", f"{path}:{line}"


def test_every_room_has_a_rule() -> None:
    rooms = {room_of(path) for path in modules()} - {""}
    assert rooms <= set(LAYERS)


def test_a_forbidden_import_is_seen(tmp_path: Path) -> None:
    bad = tmp_path / "bad.py"
    bad.write_text("def f():\n    from flask import g\n", encoding="utf-8")
    assert imports_of(bad) == [("flask", 2, False)]
    assert not is_allowed("maths", "flask")
    assert not is_allowed("records", "trainer.engine.draw")
    assert is_allowed("engine", "trainer.maths.units")


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(ROOT)))
def test_files_stay_short(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400


def test_no_catch_all_names() -> None:
    vague = {"utils", "util", "helpers", "helper", "common", "manager", "service", "misc"}
    assert not {path.stem for path in modules()} & vague
