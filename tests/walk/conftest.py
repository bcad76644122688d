"""The walkers share one played house."""

from tests.playhouse import played

__all__ = ["played"]
