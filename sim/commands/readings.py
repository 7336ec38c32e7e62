"""Commands that take what was measured: fit."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sim.base.errors import OutputError, ReadingsError
from sim.base.files import require_place, write_whole
from sim.commands.shared import AsJson, File, progress
from sim.commands.streams import say, say_object

if TYPE_CHECKING:
    from sim.readings import Finding

# N/mm at one jaw: a gauge far softer or stiffer than any jaw's drive (20 to 2500 kN/mm) tells nothing of it.
GAUGE_STIFFNESS = (10e3, 5000e3)


def fit(
    file: File,
    readings: Annotated[
        Path,
        typer.Argument(
            help="gauge readings (CSV) with the columns pressure, speed, height, force per jaw; units in the header",
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
    """Fit efficiency, friction and loss by speed to grip gauge readings; say what they contradict.

    Writes a file that scenarios can include, and a plot beside it. Bad rows are named and the others used. Exit status
    1 if a row is bad or the readings contradict the chuck's data or point to missing grease, 2 if the input is wrong or
    the readings cannot be those of this chuck: then no file is written.
    """
    from sim.base import units
    from sim.readings import findings, fitted, gauged, read_readings, stiffness, written
    from sim.setup import parts
    from sim.setup.loading import load

    place = out or Path("out") / f"{readings.stem}.toml"
    _require_own(place, file, readings)
    gauge = None
    if gauge_stiffness is not None:
        try:
            gauge = units.read(gauge_stiffness, "stiffness", "positive")
        except ValueError as error:
            raise ReadingsError(f"--gauge-stiffness {error}") from None
        low, high = GAUGE_STIFFNESS
        if not low <= gauge <= high:
            raise ReadingsError(
                f"--gauge-stiffness must lie between {low / 1e3:g} and {high / 1e3:g} kN/mm, found "
                f"{gauge / 1e3:g} kN/mm"
            )
    with progress() as tell:
        tell("reading")
        scenario = load(file, _without(file, place))
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
        _require_accepted(what, readings, place)
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
        near, whole = Path(os.path.relpath(place, file.parent)).as_posix(), place.resolve().as_posix()
        name = near if len(near) <= len(whole) else whole
        say(f'A scenario in {file.parent} takes it in by include = ["{name}"] above its first table.')
    raise typer.Exit(1 if taken.bad or any(f.serious for f in what) else 0)


def _require_accepted(what: tuple[Finding, ...], readings: Path, place: Path) -> None:
    """Refuse readings that a finding rejects, before anything of them is written.

    Raises
    ------
    ReadingsError
    """
    against = [finding for finding in what if finding.rejects]
    if not against:
        return
    more = (
        ""
        if len(against) == 1
        else f" (and {len(against) - 1} more: {', '.join(f.kind for f in against[1:])})"
    )
    left = f"; {place} is left as it was" if place.exists() else ""
    raise ReadingsError(
        f"{readings}: rejected, no table is written{left}: {against[0].text.removesuffix('.')}{more}"
    )


def _require_own(place: Path, file: Path, readings: Path) -> None:
    """Refuse a place for the result that would take that of the input, or of the plot beside it.

    Raises
    ------
    OutputError
    """
    if place.suffix.lower() != ".toml":
        raise OutputError(f"--out must name a TOML file (as in out/chuck.toml), found '{place}'")
    for taken in (file, readings):
        if taken.resolve() in (place.resolve(), place.with_suffix(".png").resolve()):
            raise OutputError(f"--out must not take the place of {taken}, which is read; name another file")
    require_place(place, folder=False)


def _without(file: Path, place: Path) -> dict[str, Any]:
    """Return the change that leaves out the file to be written, so that readings meet the chuck's own data."""
    from sim.scenario.included import KEY
    from sim.scenario.scenario import tables_of

    names = tables_of(file).get(KEY, [])
    if not isinstance(names, list):
        return {}
    try:
        others = [
            n for n in names if not (isinstance(n, str) and (file.parent / n).resolve() == place.resolve())
        ]
    except (OSError, ValueError):  # a name that no file can have: reading it says so
        return {}
    return {} if others == names else {KEY: others}
