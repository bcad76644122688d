"""``trainer demo``: the invented company, played through the acts of live use, on this machine."""

from __future__ import annotations

import shutil
import socket
import tempfile
import time
from pathlib import Path

import click

from trainer import settings as settings_table


@click.command(
    "demo",
    epilog="Example: trainer demo --port 8611",
    short_help="Play the demonstration company and serve it on this machine.",
)
@click.option(
    "--port", type=click.IntRange(0, 65535), default=8600, show_default=True, help="0: any."
)
@click.option(
    "--instance", type=click.Path(path_type=Path), help="A new folder; default: temporary."
)
@click.option("--keep", is_flag=True, help="Leave the instance folder when the server stops.")
@click.option("--no-serve", is_flag=True, help="Only make the instance, print the links and stop.")
def command(*, port: int, instance: Path | None, keep: bool, no_serve: bool) -> None:
    """Make a fresh instance, play the last weeks of an invented company in it, and serve it.

    It listens on this machine only and prints a one-time sign-in link and a password for each role.
    Everything it shows is invented; nothing of it touches another instance.
    """
    from trainer.actions.house import open_house
    from trainer.cli import scenario
    from trainer.cli.serve import run

    begun = time.monotonic()
    folder = instance or Path(tempfile.mkdtemp(prefix="gristmark-demo-"))
    port = _free_port(port)
    settings = settings_table.load(
        {
            "instance": folder,
            "firm": "Quernhithe Grinder Care",
            "host": "127.0.0.1",
            "port": port,
            "plain_http": True,
            "address": f"http://127.0.0.1:{port}",
            "database": "",
        }
    )
    try:
        click.echo("Playing the last weeks of Quernhithe Grinder Care (invented) ...")
        house = open_house(settings)
        guests = scenario.play(house)
        house.close()
        _say(guests, settings.address, time.monotonic() - begun)
        if not no_serve:
            run(settings)
    finally:
        if not (keep or instance or no_serve):
            shutil.rmtree(folder, ignore_errors=True)


def _say(guests: object, address: str, seconds: float) -> None:
    from trainer.cli.scenario import Guest

    assert isinstance(guests, tuple)
    click.echo(
        f"\nReady after {seconds:.1f} s. Open one of these once, or sign in with the password:\n"
    )
    for guest in guests:
        assert isinstance(guest, Guest)
        click.echo(f"  {guest.roles}: {guest.name}")
        click.echo(f"    {address}/invitation/{guest.link}")
        click.echo(f"    or sign in as {guest.sign_in_name}, password {guest.password}\n")
    click.echo(f"{address}/check answers anyone who holds a certificate's number and word.")
    click.echo("Ctrl-C stops it.")


def _free_port(wanted: int) -> int:
    """The wanted port when it is free on this machine, else one that is."""
    for port in (wanted, 0):
        with socket.socket() as probe:
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
            return int(probe.getsockname()[1])
    raise AssertionError
