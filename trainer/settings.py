"""The settings table: every setting with its type, default and help, read in one place.

A value comes from the default, then ``instance/settings.toml``, then the environment
(``TRAINER_NAME``), then what a command or a test hands over; the last one wins.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trainer.errors import InputError, register

SET_UNKNOWN = register(
    "SET-001", "There is no setting called {name} (in {source}).", "{cure}", audience="operator"
)
SET_TYPE = register(
    "SET-002",
    "The setting {name} (in {source}) must be {kind}, not {value!r}.",
    "Mend it there, or take the line out to use the default.",
    audience="operator",
)


@dataclass(frozen=True, slots=True)
class Setting:
    """One row of the table."""

    name: str
    kind: type[str] | type[int] | type[bool]
    default: str | int | bool
    help: str
    secret: bool = False


TABLE: tuple[Setting, ...] = (
    Setting("instance", str, "instance", "Folder of the database, the keys and settings.toml."),
    Setting(
        "content",
        str,
        "",
        "Folder of the lessons; empty: ./content, else the starter content.",
    ),
    Setting(
        "database",
        str,
        "",
        "Database URL, such as postgresql://user@host/name; empty: SQLite in the instance folder.",
    ),
    Setting(
        "secret_key",
        str,
        "",
        "Signs form tokens; empty: made at first start and kept in the instance folder.",
        secret=True,
    ),
    Setting(
        "secret_key_fallbacks",
        str,
        "",
        "Older secret keys, separated by spaces, still accepted after a change.",
        secret=True,
    ),
    Setting("firm", str, "Gristmark", "Name of the company, shown at the head of every page."),
    Setting(
        "address",
        str,
        "",
        "Public address printed on certificates; empty: the address of the request.",
    ),
    Setting("host", str, "127.0.0.1", "Address the server listens on."),
    Setting("port", int, 8600, "Port the server listens on; 0 lets the system choose."),
    Setting("workers", int, 0, "Worker processes; 0 means one a core."),
    Setting(
        "plain_http",
        bool,
        False,  # noqa: FBT003 - a default, not an argument
        "Allow cookies without TLS. For demonstrations on this machine only.",
    ),
    Setting(
        "trusted_hosts",
        str,
        "",
        "Host names the server answers to, separated by spaces; empty: any.",
    ),
    Setting("trusted_proxies", int, 0, "How many proxies in front may set X-Forwarded-For."),
    Setting("idle_minutes", int, 60, "A sign-in ends after this long without a request."),
    Setting("sign_in_hours", int, 12, "A sign-in ends after this long in any case."),
    Setting(
        "confirm_minutes",
        int,
        5,
        "A signature asks for the password again when it was given longer ago.",
    ),
    Setting("invitation_hours", int, 72, "How long an invitation link works."),
    Setting("notice_days", int, 30, "A competency shows as due this long before it lapses."),
)
NAMES = tuple(setting.name for setting in TABLE)


class Settings(Mapping[str, Any]):
    """The settings in force: read them as attributes; ``source_of`` tells where each came from."""

    def __init__(self, values: Mapping[str, Any], sources: Mapping[str, str]) -> None:
        self._values = dict(values)
        self._sources = dict(sources)

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401 - a row's own type
        if name.startswith("_"):
            raise AttributeError(name)
        try:
            return self._values[name]
        except KeyError:
            raise AttributeError(name) from None

    def __getitem__(self, name: str) -> Any:  # noqa: ANN401 - a row's own type
        return self._values[name]

    def __iter__(self) -> Any:  # noqa: ANN401
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def source_of(self, name: str) -> str:
        """Where the value in force came from: default, a file, the environment or the command."""
        return self._sources[name]

    @property
    def instance_folder(self) -> Path:
        """The instance folder as an absolute path."""
        return Path(self._values["instance"]).absolute()

    @property
    def content_folder(self) -> Path:
        """Where authors write: the setting, else ./content, else the starter content."""
        if self._values["content"]:
            return Path(self._values["content"]).absolute()
        here = Path("content").absolute()
        return here if here.is_dir() else packaged_content()

    @property
    def database_url(self) -> str:
        """The SQLAlchemy URL of the database in force."""
        return self._values["database"] or f"sqlite:///{self.instance_folder / 'trainer.sqlite'}"


def packaged_content() -> Path:
    """The starter content: beside the package in a checkout, inside it in an installed wheel."""
    inside = Path(__file__).parent / "packaged_content"
    return inside if inside.is_dir() else Path(__file__).parent.parent / "content"


def load(
    overrides: Mapping[str, Any] | None = None, environment: Mapping[str, str] | None = None
) -> Settings:
    """Read the settings in force.

    Args:
        overrides: What a command or a test sets; wins over everything.
        environment: The process environment unless given.

    Raises:
        InputError: SET-001 for an unknown name, SET-002 for a wrong type; both name the source.
    """
    env = os.environ if environment is None else environment
    given = dict(overrides or {})
    values: dict[str, Any] = {row.name: row.default for row in TABLE}
    sources = dict.fromkeys(NAMES, "default")
    from_env = {
        key[8:].lower(): value
        for key, value in env.items()
        if key.startswith("TRAINER_") and key[8:].lower() in NAMES
    }
    folder = given.get("instance") or from_env.get("instance") or values["instance"]
    file = Path(folder) / "settings.toml"
    from_file = tomllib.loads(file.read_text(encoding="utf-8")) if file.is_file() else {}
    for source, found in ((str(file), from_file), ("environment", from_env), ("command", given)):
        for name, value in found.items():
            if value is None:
                continue
            values[name] = _typed(name, value, source)
            sources[name] = source
    return Settings(values, sources)


def _typed(name: str, value: object, source: str) -> str | int | bool:
    row = next((row for row in TABLE if row.name == name), None)
    if row is None:
        from difflib import get_close_matches  # noqa: PLC0415 - only on the way to an error

        near = get_close_matches(name, NAMES, 1)
        cure = f"Did you mean {near[0]}?" if near else "`trainer settings` lists them all."
        raise InputError(SET_UNKNOWN, name=name, source=source, cure=cure)
    if (
        row.kind is bool
        and isinstance(value, str)
        and value.lower() in {"1", "true", "yes", "0", "false", "no"}
    ):
        return value.lower() in {"1", "true", "yes"}
    if (
        row.kind is int
        and isinstance(value, str)
        and value.isascii()
        and value.lstrip("-").isdigit()
    ):
        return int(value)
    if isinstance(value, Path):
        value = str(value)
    if type(value) is row.kind:
        return value
    kinds = {str: "text", int: "a whole number", bool: "true or false"}
    raise InputError(SET_TYPE, name=name, source=source, kind=kinds[row.kind], value=value)
