"""``trainer proof``: is every lesson and exercise of a folder or file sound?"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer.findings import Finding, has_errors, worst_first

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise
    from trainer.engine.outcome import Proof

STORE = "proofs.json"


@click.command(
    "proof",
    epilog="Example: trainer proof content",
    short_help="Prove exercises over thousands of draws.",
)
@click.argument("path", type=click.Path(exists=True, path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print JSON for a program to read.")
@click.option("--store", is_flag=True, help=f"Keep the proofs in {STORE} beside the content.")
@click.option("--again", is_flag=True, help="Prove anew what a stored proof already covers.")
def command(*, path: Path, as_json: bool, store: bool, again: bool) -> None:
    """Read a content folder, or one Markdown file, and prove each exercise in it.

    Over every draw when an exercise has at most 20,000, else over 5,000. Exit code 0: no errors
    (remarks do not count); 1: errors; 2: misuse.
    """
    from trainer.engine import proof

    exercises, findings = _read(path)
    store_file = (path if path.is_dir() else path.parent) / STORE
    known = (
        {} if again or not store_file.is_file() else proof.read_store(store_file.read_text("utf-8"))
    )
    proofs = _prove(exercises, known, quiet=as_json)
    findings = [*findings, *(finding for one in proofs for finding in one.findings)]
    if path.is_dir():
        findings = [finding.in_file(str(path / finding.file)) for finding in findings]
    if store:
        store_file.write_text(proof.write_store(proofs), encoding="utf-8")
    if as_json:
        _print_json(proofs, findings)
    else:
        _print(proofs, findings)
    raise SystemExit(1 if has_errors(findings) else 0)


def _read(path: Path) -> tuple[list[Exercise], list[Finding]]:
    if path.is_file():
        from trainer.cli.blocks import exercises_in

        return exercises_in(path)
    from trainer.library import reader

    library, findings = reader.read(path)
    modules = library.modules.values()
    return [one for module in modules for one in module.exercises.values()], list(findings)


def _prove(exercises: list[Exercise], known: dict[str, Proof], *, quiet: bool) -> list[Proof]:
    """Proofs in the order of the exercises, with a bar while there is something to wait for."""
    from trainer.engine.proof_many import run_many

    waiting = len({one.hash for one in exercises} - set(known))
    with click.progressbar(length=waiting, label="proving", hidden=quiet or not waiting) as bar:
        return run_many(
            exercises,
            known=known,
            progress=lambda _done, _all: bar.update(1),
            files={one.id: one.file for one in exercises},
        )


def _print(proofs: list[Proof], findings: list[Finding]) -> None:
    for one in proofs:
        draws = f"every draw ({one.draws})" if one.exhaustive else f"{one.draws} draws"
        share = 100 * one.kept // one.draws if one.draws else 0
        errors = sum(finding.severity == "error" for finding in one.findings)
        apart = f"{100 * one.slips_apart:.0f} %"
        click.echo(
            f"{one.exercise:<8} {draws:<20} errors {errors}  kept {share} %  slips apart {apart}"
        )
        for word, extremes in (("lowest", one.lowest), ("highest", one.highest)):
            for extreme in extremes:
                drawn = ", ".join(f"{symbol} {value}" for symbol, value in extreme.draw.items())
                click.echo(f"         {word} {extreme.find} {extreme.value}  ({drawn})")
    for finding in worst_first(findings):
        click.echo(str(finding))
    errors = sum(finding.severity == "error" for finding in findings)
    word = "clean" if not errors else f"{errors} errors"
    click.echo(f"{len(proofs)} exercises: {word}, {len(findings) - errors} remarks")


def _print_json(proofs: list[Proof], findings: list[Finding]) -> None:
    from dataclasses import asdict

    from trainer.engine import proof

    rows = {
        "proofs": [proof.as_plain(one) for one in proofs],
        "findings": [asdict(finding) for finding in worst_first(findings)],
    }
    click.echo(json.dumps(rows, indent=2, ensure_ascii=False))
