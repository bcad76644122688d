"""Dates of validity: months on the calendar, notice before the end, waiting times.

A proof of competence made on a day holds through the same day of the month so many months later;
where that month is shorter, through its last day. The day after, it has lapsed. Source: PRACTICE.
"""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta
from typing import Literal

NEW_REQUEST_AFTER_DAYS = 3
"""Days between "not yet competent" and the next request. Source: house rule, INVENTED."""
SHEET_OPEN_DAYS = 30
"""Days an observation sheet with criteria not seen stays open. Source: house rule, INVENTED."""

InDate = Literal["in date", "due", "lapsed"]


def add_months(day: date, months: int) -> date:
    """The same day of the month, ``months`` later, or the last day of a month that is too short.

    Args:
        day: Where to start.
        months: Whole months, 0 or more.

    Returns:
        The day of the calendar.

    Source: PRACTICE.

    Example:
        >>> add_months(date(2028, 1, 31), 1)
        datetime.date(2028, 2, 29)
    """
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def last_day(proved_on: date, months: int) -> date:
    """The last day on which a proof of this day holds.

    Example:
        >>> last_day(date(2026, 3, 13), 24)
        datetime.date(2028, 3, 13)
    """
    return add_months(proved_on, months)


def in_date(until: date, today: date, notice_days: int) -> InDate:
    """Whether something that holds through ``until`` is in date, due (within the notice) or lapsed.

    Args:
        until: The last day it holds.
        today: The day that is asked about.
        notice_days: From so many days before the end on it is due, 0 or more.

    Example:
        >>> in_date(date(2026, 3, 31), date(2026, 3, 1), 30)
        'due'
    """
    if today > until:
        return "lapsed"
    return "due" if until - today <= timedelta(days=notice_days) else "in date"


def may_ask_again_on(not_yet_on: date) -> date:
    """The first day of a new request after a sheet was signed as not yet competent."""
    return not_yet_on + timedelta(days=NEW_REQUEST_AFTER_DAYS)


def sheet_open_until(begun_on: date) -> date:
    """The last day on which an observation sheet may be filled in and signed."""
    return begun_on + timedelta(days=SHEET_OPEN_DAYS)
