"""Errors, clock, canonical bytes and settings."""

from __future__ import annotations

import pickle
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from trainer import clock, errors, settings
from trainer.canonical import canonical_bytes, digest
from trainer.errors import InputError, TrainerError
from trainer.findings import Finding, has_errors, worst_first


def test_an_error_composes_its_sentence_and_cure_and_survives_pickling() -> None:
    error = InputError(
        settings.SET_TYPE, name="port", source="x.toml", kind="a whole number", value="a"
    )
    assert str(error) == "The setting port (in x.toml) must be a whole number, not 'a'."
    assert "default" in error.cure
    assert isinstance(error, ValueError)
    again = pickle.loads(pickle.dumps(error))  # noqa: S301 - our own bytes
    assert (type(again), again.code, str(again)) == (InputError, error.code, str(error))


def test_a_code_is_registered_once() -> None:
    with pytest.raises(ValueError, match="twice"):
        errors.register("SET-001", "a", "b")


def test_the_clock_can_be_set_and_comes_back() -> None:
    moment = datetime(2026, 3, 20, 14, 3, tzinfo=timezone(timedelta(hours=2)))
    with clock.at(moment):
        assert clock.now() == moment
        assert clock.now().tzinfo is UTC
        assert clock.today().isoformat() == "2026-03-20"
    assert clock.now() > datetime(2026, 1, 1, tzinfo=UTC)


# RFC 8785, section 3.2.3: names are sorted by their UTF-16 code units, so a sign beyond the first
# plane (written as surrogates from D83D on) stands before U+FF21, which a sort by code point would
# turn round. From memory.
def test_keys_are_sorted_by_utf16_units() -> None:
    order = ["1", "o", "\u00e9", "\u20ac", "\U0001f600", "\uff21"]
    assert sorted(order) != order
    text = canonical_bytes(dict.fromkeys(reversed(order), 0)).decode()
    assert text == "{" + ",".join(f'"{name}":0' for name in order) + "}"


def test_canonical_bytes_refuse_what_has_two_writings() -> None:
    for bad in (1.5, 2**53, {"a": object()}, [float("nan")]):
        with pytest.raises(InputError, match="cannot hold"):
            canonical_bytes(bad)  # type: ignore[arg-type]
    assert digest({"b": 1, "a": [True, None]}) == digest({"a": [True, None], "b": 1})
    assert digest("e\u0301") == digest("\u00e9")


def test_settings_come_from_four_places_and_the_last_wins(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('port = 1\nfirm = "A"\nworkers = 3\n', encoding="utf-8")
    found = settings.load(
        {"instance": tmp_path, "port": 3}, environment={"TRAINER_PORT": "2", "TRAINER_FIRM": "B"}
    )
    assert (found.port, found.firm, found.workers, found.host) == (3, "B", 3, "127.0.0.1")
    assert found.source_of("workers").endswith("settings.toml")
    assert found.source_of("host") == "default"
    assert found.database_url == f"sqlite:///{tmp_path / 'trainer.sqlite'}"


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("prot = 1", "Did you mean port"),
        ('port = "x"', "whole number"),
        ("plain_http = 1", "true or false"),
    ],
)
def test_a_wrong_setting_says_where_and_how_to_mend_it(
    tmp_path: Path, line: str, says: str
) -> None:
    (tmp_path / "settings.toml").write_text(line, encoding="utf-8")
    with pytest.raises(TrainerError) as caught:
        settings.load({"instance": tmp_path}, environment={})
    assert "settings.toml" in str(caught.value)
    assert says in f"{caught.value} {caught.value.cure}"


def test_findings_sort_worst_first_and_print_their_place() -> None:
    remark = Finding("a.md", 1, 1, "remark", "X-2", "Short.", "Write more.")
    error = Finding("b.md", 9, 4, "error", "X-1", "No unit.", "Write a unit.")
    assert worst_first([remark, error]) == (error, remark)
    assert str(error) == "b.md:9:4: error: No unit. Write a unit."
    assert has_errors([error])
    assert not has_errors([remark])
    assert error.in_file("c.md", line_offset=10).line == 19
