"""``trainer serve``: the server, one worker a core."""

from __future__ import annotations

import os
from typing import Any

import click

from trainer import settings as settings_table
from trainer.settings import Settings


@click.command(
    "serve",
    epilog="Example: trainer serve --port 8600",
    short_help="Start the server.",
)
@click.option("--host", help="Address to listen on (setting: host).")
@click.option("--port", type=click.IntRange(1, 65535), help="Port to listen on (setting: port).")
@click.option(
    "--workers", type=click.IntRange(1, 64), help="Worker processes (default: one a core)."
)
def command(host: str | None, port: int | None, workers: int | None) -> None:
    """Start the server on the instance folder and content of the settings.

    The database is brought up to date first. Stop it with Ctrl-C.
    """
    from trainer.actions.house import open_house

    settings = settings_table.load({"host": host, "port": port, "workers": workers})
    house = open_house(settings)
    for line in house.first_words:
        click.echo(line)
    house.close()
    run(settings)


def run(settings: Settings, **changes: Any) -> None:  # noqa: ANN401 - handed on to the server
    """Run granian in the foreground until stopped; workers read the settings by environment."""
    from granian import Granian
    from granian.constants import Interfaces
    from granian.log import LogLevels

    for name, value in settings.items():
        if settings.source_of(name) == "command" and value not in ("", None):
            os.environ[f"TRAINER_{name.upper()}"] = (
                str(value).lower() if value in (True, False) else str(value)
            )
    os.environ["TRAINER_INSTANCE"] = str(settings.instance_folder)
    Granian(
        "trainer.web.application:from_environment",
        address=settings.host,
        port=settings.port,
        interface=Interfaces.WSGI,
        factory=True,
        workers=settings.workers or os.cpu_count() or 1,
        blocking_threads=1,
        log_level=LogLevels.warning,
        websockets=False,
        **changes,
    ).serve()
