"""The main job end to end, in Chromium and by posted forms, on SQLite and on PostgreSQL."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.journey import story
from tests.journey.browsers import Browser
from trainer.actions.house import House


@pytest.mark.slow
def test_a_trainee_is_taught_marked_observed_signed_off_and_certified(
    house: House, content: Path, open_browser: Callable[[str], Browser]
) -> None:
    story.tell(story.World(house, content, open_browser))
