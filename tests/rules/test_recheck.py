"""Calendar months by hand from a wall calendar."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.rules import recheck


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        ("2026-03-13", 24, "2028-03-13"),
        ("2026-03-13", 0, "2026-03-13"),
        ("2027-01-31", 1, "2027-02-28"),  # no 31 February
        ("2028-01-31", 1, "2028-02-29"),  # leap year
        ("2028-02-29", 12, "2029-02-28"),  # no 29 February 2029
        ("2028-02-29", 48, "2032-02-29"),
        ("2026-08-31", 6, "2027-02-28"),
        ("2026-08-31", 3, "2026-11-30"),
        ("2026-12-31", 1, "2027-01-31"),  # over the year's end
        ("2026-11-30", 2, "2027-01-30"),
        ("2026-12-15", 12, "2027-12-15"),  # December to December, not month 0
        ("2099-12-31", 2, "2100-02-28"),  # 2100 is no leap year
    ],
)
def test_months_on_the_calendar(start: str, months: int, end: str) -> None:
    assert recheck.add_months(date.fromisoformat(start), months) == date.fromisoformat(end)
    assert recheck.last_day(date.fromisoformat(start), months) == date.fromisoformat(end)


@given(
    st.dates(date(2000, 1, 1), date(2090, 1, 1)),
    st.integers(0, 60),
    st.integers(0, 60),
)
def test_later_proofs_never_end_earlier(day: date, months: int, more: int) -> None:
    end = recheck.add_months(day, months)
    assert end <= recheck.add_months(day + timedelta(days=1), months)
    assert end <= recheck.add_months(day, months + more)
    assert end.day <= day.day


@pytest.mark.parametrize(
    ("today", "standing"),
    [
        ("2026-05-01", "in date"),
        ("2026-05-31", "in date"),  # 31 days before the end
        ("2026-06-01", "due"),  # 30 days before the end
        ("2026-06-30", "due"),
        ("2026-07-01", "due"),  # the last day still holds
        ("2026-07-02", "lapsed"),
    ],
)
def test_notice_and_lapse(today: str, standing: str) -> None:
    assert recheck.in_date(date(2026, 7, 1), date.fromisoformat(today), 30) == standing


def test_without_notice_only_the_last_day_is_due() -> None:
    end = date(2026, 7, 1)
    assert recheck.in_date(end, date(2026, 6, 30), 0) == "in date"
    assert recheck.in_date(end, end, 0) == "due"


def test_waiting_times() -> None:
    assert recheck.may_ask_again_on(date(2026, 2, 27)) == date(2026, 3, 2)
    assert recheck.sheet_open_until(date(2026, 1, 31)) == date(2026, 3, 2)
