"""``trainer people``: the people of this instance, from the server's own terminal."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from trainer import settings as settings_table
from trainer.rules import roles

if TYPE_CHECKING:
    from trainer.actions.house import House


@contextmanager
def _house() -> Iterator[House]:
    from trainer.actions.house import open_house

    house = open_house(settings_table.load())
    try:
        yield house
    finally:
        house.close()


def _say_link(house: House, token: str, expires: str) -> None:
    address = house.settings.address or f"http://{house.settings.host}:{house.settings.port}"
    click.echo(f"{address}/invitation/{token}")
    click.echo(f"This link works once, until {expires}. Hand it over in person or by a safe way.")


@click.group(
    "people",
    epilog="Example: trainer people list",
)
def command() -> None:
    """Invite, list and disable people; there is no default account, so begin here."""


@command.command(
    "invite",
    epilog='Example: trainer people invite "Hilde Saltonstone" --sign-in hilde --role trainer',
)
@click.argument("full_name")
@click.option("--sign-in", required=True, help="The name to sign in with.")
@click.option("--short", help="Name for narrow columns; default: initial and last name.")
@click.option(
    "--role",
    "held",
    multiple=True,
    required=True,
    type=click.Choice(roles.ALL),
    help="A role; may be given again.",
)
def invite(full_name: str, sign_in: str, short: str | None, held: tuple[str, ...]) -> None:
    """Take a person in and print the one-time link with which the password is set."""
    from trainer.actions import people
    from trainer.actions.actor import operator

    words = full_name.split()
    with _house() as house:
        made = people.invite(
            house,
            operator(),
            full_name=full_name,
            short_name=short or (f"{words[0][0]}. {words[-1]}" if len(words) > 1 else full_name),
            sign_in_name=sign_in,
            roles=held,
        )
        click.echo(f"{made.number} {full_name}: {', '.join(held)}")
        _say_link(house, made.token, f"{made.expires_at:%Y-%m-%d %H:%M} UTC")


@command.command("link", epilog="Example: trainer people link P-0003")
@click.argument("person")
def link(person: str) -> None:
    """Print a fresh one-time link for a PERSON already taken in (number or sign-in name)."""
    from trainer.actions import people
    from trainer.actions.actor import operator

    with _house() as house:
        found = people.acting(house, person)
        made = people.new_link(house, operator(), person_id=found.person_id)
        _say_link(house, made.token, f"{made.expires_at:%Y-%m-%d %H:%M} UTC")


@command.command("list", epilog="Example: trainer people list")
def list_people() -> None:
    """Print everybody with number, name, roles and teams."""
    from trainer.actions import viewing
    from trainer.actions.actor import operator

    with _house() as house:
        for row in viewing.people_list(house, operator()).people:
            closed = "  (closed)" if row.disabled_at else ""
            teams = f"  [{', '.join(name for _, name in row.teams)}]" if row.teams else ""
            click.echo(f"{row.number}  {row.full_name}: {', '.join(row.roles)}{teams}{closed}")


@command.command(
    "disable", epilog='Example: trainer people disable P-0009 --reason "left the firm"'
)
@click.argument("person")
@click.option("--reason", required=True, help="Why; it stays in the record log.")
def disable(person: str, reason: str) -> None:
    """Close the account of a PERSON: every sign-in ends, nothing recorded is lost."""
    from trainer.actions import people
    from trainer.actions.actor import operator

    with _house() as house:
        found = people.acting(house, person)
        people.disable(house, operator(), person_id=found.person_id, reason=reason)
        click.echo(f"{found.number} {found.name}: account closed")
