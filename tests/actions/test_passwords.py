"""Which passwords are taken; that the real parameters are used; that files of keys are safe."""

from __future__ import annotations

import stat
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from argon2 import extract_parameters

from trainer.actions import keys, passwords
from trainer.actions.passwords import check_new_password
from trainer.errors import BusyError, InputError, StateError

CONTEXT = ("Quernhithe Grinder Care", "delphine", "Delphine Marrowick")


@pytest.mark.parametrize(
    ("password", "why"),
    [
        ("short one 14 !", "14 signs"),
        ("x" * 1025, "longer than 1024"),
        ("aaaaaaaaaaaaaaaaaaaa", "very few different"),
        ("abcabcabcabcabcabc", "very few different"),
        ("lantern7lantern7", "repeats itself"),
        ("PasswordPassword1234", "little is left"),
        ("quernhithe-grinder-care-2026", "little is left"),
        ("Delphine.Marrowick.1!", "little is left"),
        ("qwertyuiop1234567890", "little is left"),
        ("gristmark-coffee-gr!", "little is left"),
    ],
)
def test_easy_ones_are_refused(password: str, why: str) -> None:
    with pytest.raises(InputError, match=why):
        check_new_password(password, CONTEXT)


@pytest.mark.parametrize(
    "password",
    [
        "seven lanterns over delphine harbour",
        "quern-hithe-lantern-piers",
        "ünïcødé wörds thät wörk",
        "7 cats, 9 dogs; 1 owl",
        "correct-ish staple 42 xylophone",
        "x7" + "kQz!p" * 3 + "Lm2",
    ],
)
def test_good_ones_are_taken(password: str) -> None:
    check_new_password(password, CONTEXT)


def test_every_keyboard_gives_the_same_password() -> None:
    composed, apart = "caf\u00e9 lantern harbour", "cafe\u0301 lantern harbour"
    assert passwords.is_right(apart, passwords.hashed(composed))
    assert not passwords.is_right("cafe lantern harbour", passwords.hashed(composed))


def test_no_hash_is_never_right_and_long_ones_are_not_hashed() -> None:
    assert not passwords.is_right("anything at all here", None)
    assert not passwords.is_right("nobody has this password", None)
    assert not passwords.is_right("x" * 1025, passwords.hashed("x" * 1024))
    assert not passwords.is_right("x", "not a hash")


def test_the_real_parameters(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    found = extract_parameters(passwords.hashed("seven lanterns over harbour"))
    assert (found.memory_cost, found.time_cost, found.parallelism) == (19_456, 2, 1)
    assert found.type.name == "ID"
    passwords._dummy.cache_clear()
    dummy = extract_parameters(passwords._dummy())
    assert dummy == found
    assert not passwords.is_outdated(passwords.hashed("seven lanterns over harbour"))
    passwords._dummy.cache_clear()


def test_hashing_waits_its_turn(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "_WAIT_S", 0.01)
    with passwords._turn(), pytest.raises(BusyError, match="signing in just now"):
        passwords.hashed("seven lanterns over harbour")


def test_a_key_is_made_once_for_everybody(tmp_path: Path) -> None:
    file = tmp_path / "instance" / "draw.key"
    with ThreadPoolExecutor(8) as pool:
        found = set(pool.map(lambda _: keys.secret_file(file), range(24)))
    assert len(found) == 1
    assert len(found.pop()) == 32
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert [path.name for path in file.parent.iterdir()] == ["draw.key"]


@pytest.mark.parametrize("content", ["", "00" * 31, "not hex at all, certainly not"])
def test_a_bad_key_file_is_refused_not_replaced(tmp_path: Path, content: str) -> None:
    file = tmp_path / "draw.key"
    file.write_text(content)
    file.chmod(0o600)
    with pytest.raises(StateError, match="cannot be used"):
        keys.secret_file(file)
    assert file.read_text() == content


def test_a_key_that_others_may_read_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "draw.key"
    keys.secret_file(file)
    file.chmod(0o640)
    with pytest.raises(StateError, match="other users may read"):
        keys.secret_file(file)


def test_a_derived_key_is_bound_to_purpose_and_parts() -> None:
    secret = b"s" * 32
    found = {
        keys.derived(secret, "draw", b"ab", b"c"),
        keys.derived(secret, "draw", b"a", b"bc"),
        keys.derived(secret, "draw", b"abc"),
        keys.derived(secret, "note", b"ab", b"c"),
        keys.derived(b"t" * 32, "draw", b"ab", b"c"),
    }
    assert len(found) == 5
    assert len({keys.new_token() for _ in range(100)}) == 100
    assert len(keys.short_token()) == 22  # 128 bits in base 64
