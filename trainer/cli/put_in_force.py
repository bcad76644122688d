"""``trainer put-in-force``: sound modules of the content folder go in force."""

from __future__ import annotations

import json

import click

from trainer import settings as settings_table


@click.command(
    "put-in-force",
    epilog='Example: trainer put-in-force M03 --as ottoline --reason "clearer roll-over example"',
    short_help="Take sound modules of a folder into force.",
)
@click.argument("module", nargs=-1)
@click.option("--as", "person", help="Who acts: a trainer's number or sign-in name.", required=True)
@click.option("--reason", required=True, help="Why, in a sentence; it stays with the edition.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for a program to read.")
def command(*, module: tuple[str, ...], person: str, reason: str, as_json: bool) -> None:
    """Read the content folder and put each changed MODULE (all, unless named) in force.

    A module with an error stays out and its last good edition stays in force. A safety change
    waits for a second reader. Exit code 1 when anything was kept out.
    """
    from trainer.actions import authoring, people
    from trainer.actions.house import open_house

    house = open_house(settings_table.load())
    try:
        actor = people.acting(house, person)
        results = authoring.put_in_force(house, actor, subjects=module or None, reason=reason)
    finally:
        house.close()
    if as_json:
        rows = [
            {
                "subject": one.subject,
                "outcome": one.outcome,
                "edition": one.number,
                "hash": one.edition_hash,
                "changes": list(one.changes),
                "findings": [str(finding) for finding in one.findings],
            }
            for one in results
        ]
        click.echo(json.dumps(rows, indent=2, ensure_ascii=False))
    else:
        for one in results:
            edition = f", edition {one.number}" if one.number else ""
            click.echo(f"{one.subject}: {one.outcome}{edition}")
            for words in (*one.changes, *(str(finding) for finding in one.findings)):
                click.echo(f"  {words}")
    if any(one.outcome == "kept out" for one in results):
        raise SystemExit(1)
