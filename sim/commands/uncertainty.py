"""The command that says how sure the verdicts are."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.base.errors import ScenarioError
from sim.base.files import require_place, write_whole
from sim.commands.shared import AsJson, File, Quick, assessed, leave, progress
from sim.commands.streams import say, say_object

if TYPE_CHECKING:
    from sim.assessment.results import Assessment
    from sim.uncertainty import Input


def uncertainty(
    file: File,
    samples: Annotated[
        int, typer.Option("--samples", help="rows of each of the two samples: a power of two, 256 to 16384")
    ] = 512,
    seed: Annotated[int, typer.Option("--seed", min=0, help="the same seed gives the same answer")] = 1,
    out: Annotated[Path, typer.Option("--out", help="folder of the plot")] = Path("out"),
    *,
    usual: Annotated[
        bool,
        typer.Option(
            "--usual",
            help="for what the scenario gives no spread, spreads of common practice, each shown with its basis",
        ),
    ] = False,
    picture: Annotated[bool, typer.Option("--picture", help="also a plot (PNG)")] = False,
    as_json: AsJson = False,
    quick: Quick = False,
) -> None:
    """How sure the verdicts are: probability that each holds, what matters most, percentiles.

    The scenario's table [uncertainty] says what may differ and how far. Exit status 1 if a verdict fails as stated.
    """
    from sim.uncertainty import analysed
    from sim.uncertainty.analysis import LEAST_SAMPLES, MOST_SAMPLES

    if samples & (samples - 1) or not LEAST_SAMPLES <= samples <= MOST_SAMPLES:
        raise ScenarioError(
            f"--samples must be a power of two from {LEAST_SAMPLES} to {MOST_SAMPLES}, found {samples}"
        )
    if picture:
        require_place(out, folder=True)
    with progress() as tell:
        assessment = assessed(file, tell, quick=quick)
        inputs = _inputs(assessment, file, usual=usual)
        found = analysed(assessment, inputs, samples, seed, tell)
        written = None
        if picture:
            from sim.views.figure import as_png
            from sim.views.uncertainty import uncertainty_figure

            written = write_whole(out / f"{file.stem}-uncertainty.png", as_png(uncertainty_figure(found)))
    if as_json:
        from sim.report.uncertainty import uncertainty_object

        say_object(uncertainty_object(found))
    else:
        from sim.terminal.uncertainty import show_uncertainty

        show_uncertainty(found)
    if written is not None:
        say(str(written), err=as_json)
    leave(assessment)


def _inputs(assessment: Assessment, file: Path, *, usual: bool) -> tuple[Input, ...]:
    """Return the inputs of a file.

    Raises
    ------
    ScenarioError
        If there is none, or one of them cannot be.
    """
    from sim.uncertainty import stated_inputs, usual_inputs

    try:
        inputs = stated_inputs(assessment)
        if usual:
            inputs = usual_inputs(assessment, inputs)
    except ScenarioError as error:
        raise ScenarioError(f"{file}: {error}") from None
    if not inputs:
        raise ScenarioError(
            f"{file}: uncertainty must give at least one spread, found none; --usual takes those of common practice"
        )
    return inputs
