"""What `fit` does with readings of a dial."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import typer

from sim.base.errors import ReadingsError
from sim.base.files import write_whole
from sim.commands.fit_files import option_within, require_accepted, taken_in, without
from sim.commands.shared import progress
from sim.commands.streams import say, say_object

if TYPE_CHECKING:
    from sim.setup.parts import Parts

STEPS = (1e-4, 0.1)  # mm: finer is no dial of a workshop, coarser tells nothing of a run-out


def fit_dial(file: Path, readings: Path, place: Path, step: str | None, *, as_json: bool) -> NoReturn:
    """Fit, write and show; exit status as of `fit`.

    Raises
    ------
    ReadingsError, ScenarioError
    """
    from sim.readings import dial_findings, dial_fit, dial_written, dialled, read_dial
    from sim.setup import parts
    from sim.setup.loading import load

    least = _step(step)
    with progress() as tell:
        tell("reading")
        scenario = load(file, without(file, place))
        tell("solids of the jaws")
        built = parts.build(scenario)
        most = min(scenario.chuck.pressure_limit, scenario.machine.pressure_limit)
        taken = read_dial(readings, most, *_ends(built))
        if float(taken.movement.max()) < least:
            raise ReadingsError(
                f"{readings}: must hold a movement of {1000.0 * least:g} µm, the dial's step, or more, found at most "
                f"{1000.0 * float(taken.movement.max()):.3g} µm (is it in the unit of the header?)"
            )
        tell("contact and fit")
        try:
            found = dial_fit(dialled(built, taken, least))
        except ReadingsError as error:
            raise ReadingsError(f"{readings}: {error}") from None
        what = dial_findings(found)
        if all(estimate.held for estimate in found.fields.values()):
            name, why = next(iter(found.reasons.items()))
            raise ReadingsError(
                f"{readings}: tells no field of [running], no table is written: of {name}, {why}"
            )
        require_accepted(what, readings, place)
        text = dial_written(found, what, f"Fit of {readings.name} on {file.name}")
        path = write_whole(place, text.encode("utf-8"))
    title = f"{scenario.chuck.name}: readings of a dial in {readings.name}"
    if as_json:
        from sim.report.readings import dial_object

        say_object(dial_object(found, what, title))
    else:
        from sim.terminal.readings import show_dial

        show_dial(found, what, title)
    say(str(path), err=as_json)
    if not as_json:
        say(taken_in(place, file))
    raise typer.Exit(1 if taken.bad or any(f.serious for f in what) else 0)


def _ends(built: Parts) -> tuple[float, float]:
    """Return height and radius at which the part of the first operation ends, mm, rounded up."""
    from sim.setup.held import held_zone, section

    zone = held_zone(built.scenario, 0)
    _, _, widest, highest = section(built.workpieces[0], zone.seat).bounds
    return float(math.ceil(highest)), float(math.ceil(widest))


def _step(stated: str | None) -> float:
    """Return the dial's step in mm.

    Raises
    ------
    ReadingsError
    """
    if stated is None:
        raise ReadingsError(
            "--dial-step must say the smallest movement that the dial shows (as in '1 um'), it is missing"
        )
    return option_within("--dial-step", stated, "length", STEPS, "um", 1e-3)
