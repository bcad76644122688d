"""The command line: one module a command, imported only when that command runs."""

from __future__ import annotations

from importlib import import_module

import click

from trainer import __version__
from trainer.errors import TrainerError

COMMANDS: dict[str, tuple[str, str]] = {
    "demo": ("trainer.cli.demo", "Play the demonstration company and serve it on this machine."),
    "people": ("trainer.cli.people", "Invite, list and disable people."),
    "proof": ("trainer.cli.proof", "Prove exercises over thousands of draws."),
    "put-in-force": ("trainer.cli.put_in_force", "Take sound modules of a folder into force."),
    "serve": ("trainer.cli.serve", "Start the server."),
    "settings": ("trainer.cli.settings", "Print every setting, its value and its source."),
    "work": ("trainer.cli.work", "Show a calculation sheet; mark answers to it."),
}


class CommandList(click.Group):
    """A group that names its commands without importing them."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """The command names in order."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Import one command when it is asked for."""
        if cmd_name not in COMMANDS:
            return None
        command = import_module(COMMANDS[cmd_name][0]).command
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Say which name was meant when there is no such command."""
        name = args[0] if args else ""
        if name and name not in COMMANDS and not name.startswith("-"):
            from difflib import get_close_matches

            near = get_close_matches(name, COMMANDS, 1)
            meant = f" Did you mean {near[0]}?" if near else ""
            ctx.fail(f"There is no command {name!r}.{meant} `trainer --help` lists them all.")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Print the list from the table, importing nothing."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name][1]) for name in sorted(COMMANDS)])

    def invoke(self, ctx: click.Context) -> object:
        """Turn our own errors into one plain sentence with its cure, and exit code 2."""
        try:
            return super().invoke(ctx)
        except TrainerError as error:
            click.echo(f"{error}\n{error.cure}", err=True)
            ctx.exit(2)


@click.group(cls=CommandList, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="trainer")
def main() -> None:
    """Gristmark: training and certification for the people who look after coffee grinders.

    Exit code 0: good; 1: findings; 2: misuse.
    """
