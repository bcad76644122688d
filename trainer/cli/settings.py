"""``trainer settings``: the settings table with values and sources."""

from __future__ import annotations

import json

import click

from trainer import settings


@click.command(
    "settings",
    epilog="Example: trainer settings --json",
    short_help="Print every setting, its value and its source.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON for a program to read.")
def command(*, as_json: bool) -> None:
    """Print every setting with its value, where the value came from, and what it is for.

    A setting is changed in instance/settings.toml or by an environment variable TRAINER_NAME.
    Secrets are not shown.
    """
    found = settings.load()
    rows = [
        {
            "name": row.name,
            "value": ("(set)" if found[row.name] else "") if row.secret else found[row.name],
            "source": found.source_of(row.name),
            "help": row.help,
        }
        for row in settings.TABLE
    ]
    if as_json:
        click.echo(json.dumps(rows, indent=2))
        return
    for row in rows:
        value = json.dumps(row["value"])
        click.echo(f"{row['name']} = {value}   # {row['source']}\n    {row['help']}")
