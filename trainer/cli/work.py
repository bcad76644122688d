"""``trainer work``: one calculation sheet at the terminal."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise
    from trainer.engine.outcome import Marking, Sheet


@click.command(
    "work",
    epilog="Example: trainer work content/modules/M05/exercises.md M05-E2 --draw 7 --answer b=64",
    short_help="Show a calculation sheet; mark answers to it.",
)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.argument("exercise")
@click.option(
    "--draw", "number", type=click.IntRange(1), default=1, show_default=True, help="Which draw."
)
@click.option(
    "--answer",
    "answers",
    multiple=True,
    metavar="CELL=TEXT",
    help="An answer as a person would write it: t=5.19, 't=5,2 s', pick='B D', order='a b c'.",
)
@click.option("--ask", is_flag=True, help="Ask for each answer at the terminal, then mark.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for a program to read.")
def command(
    *, file: Path, exercise: str, number: int, answers: tuple[str, ...], ask: bool, as_json: bool
) -> None:
    """Show the sheet of an EXERCISE in a Markdown FILE; with answers, close and mark it.

    The same draw number always gives the same sheet. Exit code 0: inside or only shown; 1: findings
    in the exercise, or an answer that is not inside; 2: misuse.
    """
    from trainer.engine import draw, marking, sheet

    found = _exercise(file, exercise)
    page = sheet.make(found, draw.draw_key_for(found.hash, number))
    given = dict(_pair(text) for text in answers)
    if ask:
        given |= _asked(page)
    if not given:
        _print_sheet(page, number, as_json=as_json)
        return
    _check_cells(page, given)
    result = marking.mark(page, given)
    if isinstance(result, marking.Asking):
        for cell, reading in result.problems.items():
            click.echo(f"{cell}: {reading.problem}", err=True)
        raise SystemExit(1)
    if as_json:
        click.echo(json.dumps(marking.as_plain(result), indent=2, ensure_ascii=False))
    else:
        _print_sheet(page, number, as_json=False)
        _print_marking(result)
    raise SystemExit(0 if result.mark == result.marks else 1)


def _exercise(file: Path, wanted: str) -> Exercise:
    from difflib import get_close_matches

    from trainer.cli.blocks import exercises_in

    found, findings = exercises_in(file)
    for one in found:
        if one.id == wanted:
            return one
    errors = [finding for finding in findings if finding.severity == "error"]
    for finding in errors:
        click.echo(str(finding), err=True)
    if errors:
        raise SystemExit(1)
    ids = [one.id for one in found]
    near = get_close_matches(wanted, ids, 1)
    hint = f" Did you mean {near[0]}?" if near else f" It has: {', '.join(ids) or 'none'}."
    raise click.UsageError(f"{file} has no exercise {wanted}.{hint}")


def _pair(text: str) -> tuple[str, str]:
    cell, equals, value = text.partition("=")
    if not equals:
        raise click.UsageError(f"--answer {text!r} has no cell: write it as t={text}")
    return cell.strip(), value.strip()


def _check_cells(page: Sheet, given: dict[str, str]) -> None:
    cells = [find.symbol for find in page.shown.finds] or [page.shown.kind]
    for cell in given:
        if cell.split("-")[0] not in cells:
            raise click.UsageError(f"there is no cell {cell}: the sheet has {', '.join(cells)}")


def _asked(page: Sheet) -> dict[str, str]:
    cells = [
        (find.symbol, f"{find.symbol}  {find.what} [{find.units[0]}]") for find in page.shown.finds
    ]
    cells = cells or [(page.shown.kind, page.shown.kind)]
    return {cell: click.prompt(words, default="", show_default=False) for cell, words in cells}


def _print_sheet(page: Sheet, number: int, *, as_json: bool) -> None:
    shown = page.shown
    if as_json:
        from dataclasses import asdict

        click.echo(json.dumps(asdict(shown) | {"draw": number}, indent=2, ensure_ascii=False))
        return
    click.echo(f"{shown.id}  {shown.title}    draw {number}, marks {shown.marks}\n")
    if shown.hazards:
        click.echo(f"Cautions {', '.join(shown.hazards)} hold here; local codes come first.\n")
    click.echo(f"{shown.situation.strip()}\n")
    if shown.givens:
        click.echo("given")
        for row in shown.givens:
            click.echo(f"  {row.symbol:<4} {row.what:<44} {row.value:>10} {row.unit}")
    for find in shown.finds:
        click.echo(f"find\n  {find.symbol:<4} {find.what}  [{find.units[0]}]")
    for choice in shown.choices:
        click.echo(f"  [ ] {choice.key}  {choice.text}")


def _print_marking(result: Marking) -> None:
    click.echo(f"\n{result.outcome.upper()}   mark {result.mark} of {result.marks}")
    for find in result.finds:
        click.echo(f"  {find.symbol}  {find.said}".rstrip())
        if find.slip:
            click.echo(f"  slip: {find.slip}")
        if find.remark:
            click.echo(f"  {find.remark}")
        if find.stopped_at:
            click.echo(f"  you stopped at line {find.stopped_at}")
    for line in result.working:
        click.echo(f"  {line.number}  {line.symbols} {line.figures} = {line.result}")
    if result.right_choices:
        click.echo(f"  right: {' '.join(result.right_choices)}")
    if result.worked:
        click.echo(f"\n{result.worked.strip()}")
