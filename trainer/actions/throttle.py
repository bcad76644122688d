"""The throttle of wrong passwords: a growing delay, kept in the database for every worker alike.

It is bound to a name together with an address, so that a stranger can slow down nobody but himself.
Every try is counted before the password is looked at, so that parallel tries gain nothing.
"""

from __future__ import annotations

import hashlib
from datetime import datetime, timedelta

from sqlalchemy import delete
from sqlalchemy.orm import Session

from trainer.records.throttle import Throttle

FREE_TRIES = 4
"""Wrong tries without a delay. Source: house rule; a guesser gains nothing from five."""
LONGEST_S = 300
_FORGET = timedelta(hours=1)


def key_of(sign_in_name: str, address: str) -> str:
    """The row's key: a digest, so that the table lists neither names nor addresses."""
    return hashlib.sha256(f"{sign_in_name}\n{address}".encode("utf-8", "surrogatepass")).hexdigest()


def delay_s(failures: int) -> int:
    """Seconds to wait after so many wrong tries in a row.

    Example:
        >>> [delay_s(n) for n in (4, 5, 6, 7, 20)]
        [0, 1, 2, 4, 300]
    """
    if failures <= FREE_TRIES:
        return 0
    return min(LONGEST_S, 1 << min(failures - FREE_TRIES - 1, 20))


def count_try(session: Session, key: str, now: datetime) -> int:
    """Count one try; returns 0 when the password may be looked at, else the seconds to wait."""
    session.execute(delete(Throttle).where(Throttle.until < now - _FORGET))
    row = session.get(Throttle, key)
    if row is None:
        session.add(Throttle(key=key, failures=1, until=now))
        return 0
    if row.until is not None and row.until > now:
        return max(1, int((row.until - now).total_seconds() + 0.999))
    row.failures += 1
    row.until = now + timedelta(seconds=delay_s(row.failures))
    return 0


def forget(session: Session, key: str) -> None:
    """The password was right: the count starts anew."""
    session.execute(delete(Throttle).where(Throttle.key == key))
