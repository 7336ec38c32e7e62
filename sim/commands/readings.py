"""Commands that take what was measured: fit."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sim.base.errors import ReadingsError
from sim.base.files import write_whole
from sim.commands.fit_files import option_within, require_accepted, require_own, taken_in, without
from sim.commands.shared import AsJson, File, progress
from sim.commands.streams import say, say_object

# N/mm at one jaw: a gauge far softer or stiffer than any jaw's drive (20 to 2500 kN/mm) tells nothing of it.
GAUGE_STIFFNESS = (10e3, 5000e3)


def fit(
    file: File,
    readings: Annotated[
        Path,
        typer.Argument(
            help="gauge readings (CSV) with the columns pressure, speed, height, force per jaw; or readings of a dial "
            "with mounting, clamping, pressure, height or radius, TIR or amplitude, high spot; units in the header",
            show_default=False,
        ),
    ],
    out: Annotated[
        Path | None,
        typer.Option("--out", help="TOML file for scenarios to include; default: out/<readings>.toml"),
    ] = None,
    gauge_stiffness: Annotated[
        str | None,
        typer.Option(
            "--gauge-stiffness",
            help="of the gauge at one jaw, as in '500 kN/mm'; gives the chuck's stiffness",
        ),
    ] = None,
    dial_step: Annotated[
        str | None,
        typer.Option(
            "--dial-step", help="smallest movement that the dial shows, as in '1 um'; dial readings need it"
        ),
    ] = None,
    *,
    with_loss: Annotated[
        bool,
        typer.Option(
            "--with-loss",
            help="write the loss by speed for use, too; only for parts no stiffer than the gauge",
        ),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Fit the chuck to readings of a grip gauge, or what keeps a part from running true to those of a dial.

    Of a gauge: efficiency, friction and loss by speed. Says what the readings contradict. Writes a file that
    scenarios can include, of a gauge a plot beside it. Bad rows are named and the others used. Exit status 1 if a row
    is bad or the readings contradict the chuck's data or point to missing grease, 2 if the input is wrong or the
    readings cannot be those of this chuck: then no file is written.
    """
    from sim.readings import findings, fitted, gauged, is_dial_file, read_readings, stiffness, written
    from sim.setup import parts
    from sim.setup.loading import load

    place = out or Path("out") / f"{readings.stem}.toml"
    require_own(place, file, readings)
    dial = is_dial_file(readings)
    _require_options(
        readings, dial=dial, gauge_stiffness=gauge_stiffness, dial_step=dial_step, with_loss=with_loss
    )
    if dial:
        from sim.commands.dial import fit_dial

        fit_dial(file, readings, place, dial_step, as_json=as_json)
    gauge = (
        None
        if gauge_stiffness is None
        else option_within("--gauge-stiffness", gauge_stiffness, "stiffness", GAUGE_STIFFNESS, "kN/mm", 1e3)
    )
    with progress() as tell:
        tell("reading")
        scenario = load(file, without(file, place))
        limit = min(scenario.chuck.pressure_limit, scenario.machine.pressure_limit)
        points = scenario.chuck.grip_points
        taken = read_readings(readings, min(limit, points[-1].pressure) if points else limit)
        tell("solids of the jaws")
        built = parts.build(scenario)
        tell("fit")
        try:
            found = fitted(gauged(built, taken))
        except ReadingsError as error:
            raise ReadingsError(f"{readings}: {error}") from None
        what = findings(found, gauge)
        require_accepted(what, readings, place)
        chuck = stiffness(found, gauge)
        source = f"Fit of {readings.name} on {file.name}"
        text = written(found, scenario.chuck, what, chuck, source, with_loss=with_loss)
        tell("plot")
        from sim.views.fit_plot import write_fit

        # The plot first: what a scenario may include is not left behind by a command that then fails.
        plot = write_fit(found, place.with_suffix(".png"))
        paths = [write_whole(place, text.encode("utf-8")), plot]
    title = f"{scenario.chuck.name}: gauge readings of {readings.name}"
    if as_json:
        from sim.report.readings import fit_object

        say_object(fit_object(found, what, chuck, title))
    else:
        from sim.terminal.readings import show_fit

        show_fit(found, what, chuck, title)
    for path in paths:
        say(str(path), err=as_json)
    if not as_json:
        say(taken_in(place, file))
    raise typer.Exit(1 if taken.bad or any(f.serious for f in what) else 0)


def _require_options(
    readings: Path, *, dial: bool, gauge_stiffness: str | None, dial_step: str | None, with_loss: bool
) -> None:
    """Refuse options that go with readings of the other kind.

    Raises
    ------
    ReadingsError
    """
    if not dial and dial_step is not None:
        raise ReadingsError(
            f"--dial-step goes with readings of a dial, found those of a grip gauge in {readings}"
        )
    if dial and (gauge_stiffness is not None or with_loss):
        option = "--gauge-stiffness" if gauge_stiffness is not None else "--with-loss"
        raise ReadingsError(
            f"{option} goes with readings of a grip gauge, found those of a dial in {readings}"
        )
