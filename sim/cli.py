"""The command line; `chuckscene --help` lists the commands.

Exit status 0: every verdict passes or only warns; 1: some verdict fails; 2: the input is wrong.
"""

from __future__ import annotations

import json
import os
import sys
from typing import Annotated

import typer

from sim.commands import layouts, readings, studies, views
from sim.commands.shared import File, Quick, leave
from sim.commands.shared import assessed as _assessed
from sim.commands.shared import progress as _progress
from sim.commands.uncertainty import uncertainty
from sim.errors import ChuckSceneError

app = typer.Typer(
    name="chuckscene",
    help="Judge a turned part in soft jaws on a three-jaw power chuck before any metal is cut.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


@app.command()
def check(
    file: File,
    *,
    as_json: Annotated[bool, typer.Option("--json", help="one JSON object instead of the table")] = False,
    moves: Annotated[
        bool, typer.Option("--moves", help="also every move of the cutting paths with its clearance")
    ] = False,
    quick: Quick = False,
) -> None:
    """Figures and verdicts, worst first."""
    with _progress() as tell:
        assessment = _assessed(file, tell, quick=quick)
    if as_json:
        from sim.report import as_object

        typer.echo(json.dumps(as_object(assessment, moves=moves), indent=2, ensure_ascii=False))
    else:
        from sim.terminal import show

        show(assessment, moves=moves)
    leave(assessment)


@app.command()
def schema(
    *, study: Annotated[bool, typer.Option("--study", help="of a study file instead")] = False
) -> None:
    """Print the JSON schema of a scenario, with which an editor completes and checks it."""
    from sim.scenario import Scenario
    from sim.scenario.study import Study

    model = Study if study else Scenario
    typer.echo(json.dumps(model.model_json_schema(), indent=2, ensure_ascii=False))


@app.command()
def materials() -> None:
    """List the materials and friction pairings that a scenario may name, with their sources."""
    from rich.console import Console
    from rich.table import Table

    from sim import tables

    console = Console(highlight=False, width=None if sys.stdout.isatty() else 160)
    found = Table("material", "E GPa", "yield MPa", "under a head MPa", "source", box=None, pad_edge=False)
    for m in tables.materials():
        found.add_row(
            m.name,
            f"{m.modulus / 1000:.0f}",
            f"{m.yield_strength:.0f}",
            f"{m.surface_pressure:.0f}",
            m.source,
        )
    console.print(found)
    pairs = Table("friction pairing", "low", "high", "source", box=None, pad_edge=False)
    for f in tables.frictions():
        pairs.add_row(f.name, f"{f.low:.2f}", f"{f.high:.2f}", f.source)
    console.print("")
    console.print(pairs)


app.command()(views.picture)
app.command()(views.review)
app.command(name="open")(views.open_page)
app.command()(layouts.compare)
app.command()(layouts.window)
app.command()(layouts.search)
app.command()(layouts.shelf)
app.command()(readings.fit)
app.command()(uncertainty)
app.command()(studies.study)


def main() -> None:
    """Run the command; every mistake in the input ends in one sentence and exit status 2."""
    try:
        app()
    except ChuckSceneError as error:
        # A name out of the file may hold line breaks or control characters; the sentence stays one line.
        line = "".join(c if c.isprintable() else " " for c in str(error))
        typer.echo(f"error: {line}", err=True)
        raise SystemExit(2) from None
    except BrokenPipeError:
        # The reader of a pipe has left (as in `| head`); nothing more can be said.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(1) from None
