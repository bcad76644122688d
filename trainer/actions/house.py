"""The open house: settings, database, secrets and the editions in force, handed to every act."""

from __future__ import annotations

import json
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from threading import Lock
from typing import TYPE_CHECKING, Generic, TypeVar

from sqlalchemy import select

from trainer.actions import keys
from trainer.actions.actor import Actor, operator
from trainer.actions.carried import NOTHING_AGAIN, Carried, carried
from trainer.errors import NotFoundError, register
from trainer.records.database import Database, open_database
from trainer.records.editions import Edition, EditionPages, InForce

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from trainer.library.catalogue import Competency, Module, Scheme
    from trainer.settings import Settings

__all__ = ["Actor", "House", "open_house", "operator"]

NO_MODULE = register(
    "HOU-001",
    "There is no module {module} in force.",
    "The programme lists what is in force.",
    audience="trainee",
    status=404,
)
NO_COMPETENCY = register(
    "HOU-002",
    "The scheme has no competency {competency}.",
    "It has: {known}.",
    audience="trainee",
    status=404,
)
NO_EXERCISE = register(
    "HOU-004",
    "There is no exercise {exercise} in force.",
    "The programme lists what is in force.",
    audience="trainee",
    status=404,
)
NO_LESSON = register(
    "HOU-005",
    "There is no lesson {lesson} in force.",
    "The programme lists what is in force.",
    audience="trainee",
    status=404,
)
NO_EDITION = register(
    "HOU-003",
    "There is no edition {edition}.",
    "The editions page lists them all.",
    audience="trainee",
    status=404,
)
SCHEME = "scheme"
"""Subject of the scheme among the editions."""

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class Shelf(Generic[K, V]):
    """Values that never change for their key, kept up to a number; the oldest goes first."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: dict[K, V] = {}
        self._lock = Lock()

    def get(self, key: K, make: Callable[[], V]) -> V:
        """The value of this key, made when it is not on the shelf."""
        found = self._kept.get(key)
        if found is not None:
            return found
        made = make()
        with self._lock:
            while len(self._kept) >= self._most:
                self._kept.pop(next(iter(self._kept)))
            return self._kept.setdefault(key, made)


@dataclass(frozen=True)
class House:
    """Everything an act needs; one a process."""

    settings: Settings
    database: Database
    secret_key: bytes = field(repr=False)  # signs form tokens
    draw_secret: bytes = field(repr=False)  # behind every draw key; never leaves this object
    first_words: tuple[str, ...] = ()  # what opening has to tell the operator, a sentence a line
    _modules: Shelf[str, Module] = field(default_factory=lambda: Shelf(256), repr=False)
    _schemes: Shelf[str, Scheme] = field(default_factory=lambda: Shelf(64), repr=False)
    _numbers: Shelf[str, int] = field(default_factory=lambda: Shelf(4096), repr=False)
    _orders: Shelf[frozenset[str], tuple[Module, ...]] = field(
        default_factory=lambda: Shelf(64), repr=False
    )

    _carried: Shelf[tuple[str, str], Carried] = field(
        default_factory=lambda: Shelf(4096), repr=False
    )

    def close(self) -> None:
        """Give the database connections back."""
        self.database.close()

    def in_force(self, session: Session | None = None) -> Mapping[str, str]:
        """Subject (module id or 'scheme') -> hash of the edition in force now; one statement."""
        if session is None:
            with self.database.reading() as own:
                return self.in_force(own)
        rows = session.execute(select(InForce.subject, InForce.edition_hash)).all()
        return {row.subject: row.edition_hash for row in rows}

    def module_in_force(self, module_id: str) -> Module:
        """The module's edition in force.

        Raises:
            NotFoundError: HOU-001.
        """
        pointers = self.in_force()
        if module_id == SCHEME or module_id not in pointers:
            raise NotFoundError(NO_MODULE, module=module_id)
        return self.module(pointers[module_id])

    def module(self, edition_hash: str) -> Module:
        """Any stored edition of a module, from the shelf or the database.

        Raises:
            NotFoundError: HOU-003.
        """
        return self._modules.get(edition_hash, lambda: self._load_module(edition_hash))

    def modules(self, pointers: Mapping[str, str] | None = None) -> tuple[Module, ...]:
        """The modules in force in programme order: what a module needs stands before it."""
        found = self.in_force() if pointers is None else pointers
        hashes = frozenset(edition for subject, edition in found.items() if subject != SCHEME)
        return self._orders.get(hashes, lambda: in_order([self.module(one) for one in hashes]))

    def module_with_exercise(
        self, exercise: str, pointers: Mapping[str, str] | None = None
    ) -> Module:
        """The module in force that holds an exercise.

        Raises:
            NotFoundError: HOU-004.
        """
        for module in self.modules(pointers):
            if exercise in module.exercises:
                return module
        raise NotFoundError(NO_EXERCISE, exercise=exercise[:40])

    def module_with_lesson(self, lesson: str, pointers: Mapping[str, str] | None = None) -> Module:
        """The module in force that holds a lesson.

        Raises:
            NotFoundError: HOU-005.
        """
        for module in self.modules(pointers):
            if any(one.id == lesson for one in module.lessons):
                return module
        raise NotFoundError(NO_LESSON, lesson=lesson[:40])

    def scheme(self, pointers: Mapping[str, str] | None = None) -> Scheme:
        """The scheme edition in force; an empty one, number 0, before the first."""
        from trainer.library.catalogue import Scheme  # noqa: PLC0415 - only types until then

        found = self.in_force() if pointers is None else pointers
        return self.scheme_edition(found[SCHEME]) if SCHEME in found else Scheme({}, {})

    def scheme_edition(self, edition_hash: str) -> Scheme:
        """Any stored edition of the scheme.

        Raises:
            NotFoundError: HOU-003.
        """
        return self._schemes.get(edition_hash, lambda: self._load_scheme(edition_hash))

    def number(self, edition_hash: str) -> int:
        """The number of a stored edition, which never changes; 0 for none.

        Raises:
            NotFoundError: HOU-003.
        """

        def look_up() -> int:
            with self.database.reading() as session:
                return self._edition(session, edition_hash).number

        return self._numbers.get(edition_hash, look_up) if edition_hash else 0

    def carried(self, edition_hash: str, module: Module) -> Carried:
        """What acts under an older edition leave to be done again under this one."""
        if edition_hash == module.hash:
            return NOTHING_AGAIN
        key = (edition_hash, module.hash)
        return self._carried.get(key, lambda: carried(self.module(edition_hash), module))

    def still_counts(self, edition_hash: str | None, module: Module, exercise: str) -> bool:
        """Whether an exercise that was done at an edition (None: never) is done at this one."""
        if edition_hash is None:
            return False
        return exercise not in self.carried(edition_hash, module).work_again

    def changes(self, edition_hash: str | None, module: Module) -> tuple[str, ...]:
        """In words what changed between an older edition (None: none) and this one."""
        from trainer.library import differences  # noqa: PLC0415 - only where two editions meet

        older = self.module(edition_hash) if edition_hash is not None else None
        return tuple(differences.between(older, module).words)

    def competency(self, competency: str, scheme: Scheme) -> Competency:
        """A competency of a scheme edition.

        Raises:
            NotFoundError: HOU-002.
        """
        if competency not in scheme.competencies:
            known = ", ".join(scheme.competencies)
            raise NotFoundError(NO_COMPETENCY, competency=competency, known=known)
        return scheme.competencies[competency]

    def _edition(self, session: Session, edition_hash: str) -> Edition:
        row = session.get(Edition, edition_hash)
        if row is None:
            raise NotFoundError(NO_EDITION, edition=edition_hash[:12])
        return row

    def _load_module(self, edition_hash: str) -> Module:
        from trainer.library import edition  # noqa: PLC0415 - only where nothing is on the shelf

        with self.database.reading() as session:
            row = self._edition(session, edition_hash)
            pages = session.get(EditionPages, edition_hash)
            canonical = json.loads(row.canonical)
            rendered = json.loads(pages.pages) if pages is not None else None
        return edition.load_module(canonical, pages=rendered)

    def _load_scheme(self, edition_hash: str) -> Scheme:
        from trainer.library import edition  # noqa: PLC0415 - only where nothing is on the shelf

        with self.database.reading() as session:
            canonical = json.loads(self._edition(session, edition_hash).canonical)
        return edition.load_scheme(canonical)


def in_order(modules: list[Module]) -> tuple[Module, ...]:
    """Modules by id, but each after what it needs."""
    known = {module.id: module for module in modules}
    placed: dict[str, Module] = {}

    def place(module_id: str, above: frozenset[str]) -> None:
        if module_id in placed or module_id not in known or module_id in above:
            return
        for need in sorted(known[module_id].needs):
            place(need, above | {module_id})
        placed[module_id] = known[module_id]

    for module_id in sorted(known):
        place(module_id, frozenset())
    return tuple(placed.values())


def open_house(settings: Settings) -> House:
    """Open the instance: folder, secrets and tables where missing; content in force on first start.

    Raises:
        StateError: KEY-001 for a key file that cannot be used.
    """
    from trainer.actions import authoring  # noqa: PLC0415 - it needs an open house itself
    from trainer.records import migrations  # noqa: PLC0415 - only at the start

    folder = settings.instance_folder
    folder.mkdir(parents=True, exist_ok=True)
    database = open_database(settings.database_url, create=True)
    migrations.upgrade(database)
    given = settings.secret_key.encode() if settings.secret_key else b""
    house = House(
        settings,
        database,
        secret_key=given or secret_file_of(settings, "secret.key"),
        draw_secret=secret_file_of(settings, "draw.key"),
    )
    return authoring.first_start(house)


def secret_file_of(settings: Settings, name: str) -> bytes:
    """A secret of this instance, made at the first start."""
    return keys.secret_file(settings.instance_folder / name)
