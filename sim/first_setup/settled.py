"""Pressures for a first setup, by the windows of gripping and boring: those farthest from every limit.

Where a window is closed: those at which the fewest verdicts fail.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base import units
from sim.base.share import Tell
from sim.first_setup.classes import stated_tables
from sim.first_setup.known import Known
from sim.first_setup.writing import scenario_text
from sim.layouts.boring_window import boring_window
from sim.layouts.window import Window, least_failing, window
from sim.setup.loading import load

RING = 5.0  # bar, to begin with
NAME = "first_setup.toml"


@dataclass(frozen=True, slots=True)
class Settled:
    """The text of a first setup and what a full check says of it."""

    text: str
    assessment: Assessment


def _judged(text: str, place: Path, tell: Tell, *, quick: bool, advised: bool) -> Assessment:
    place.write_text(text, encoding="utf-8")
    return assess(load(place), tell, "foundation" if quick else "elastic", advised=advised)


def _half_bars(pressure: float) -> float:
    """Round a pressure in MPa down to half a bar."""
    return max(0.5, 0.5 * math.floor(20.0 * pressure + 1e-6))


def settled(known: Known, folder: Path, tell: Tell = lambda _: None, *, quick: bool = False) -> Settled:
    """Return a first setup whose pressures are the best that the quick contact model finds, judged in full.

    Parameters and errors are those of `proposed_text`; `quick` judges by that model, too.
    """
    gripping, boring = _pressures(known, folder, tell)
    tell("judging")
    text = scenario_text(_anywhere(known), gripping=gripping, boring=boring)
    assessment = _judged(text, folder / NAME, tell, quick=quick, advised=True)
    return Settled(scenario_text(known, gripping=gripping, boring=boring), assessment)


def proposed_text(known: Known, folder: Path, tell: Tell = lambda _: None) -> str:
    """Return a first setup as text, whose pressures are the best that the quick contact model finds.

    Parameters
    ----------
    known : Known
    folder : Path
        Where files may lie while they are judged.

    Raises
    ------
    ScenarioError
        If the part cannot be held in this class, or a figure is impossible.
    """
    gripping, boring = _pressures(known, folder, tell)
    return scenario_text(known, gripping=gripping, boring=boring)


def _anywhere(known: Known) -> Known:
    """Return what is known with the part's file by its whole path, for a text that lies elsewhere than it will."""
    drawn = known.part.drawn
    return known if drawn is None else replace(known, part=replace(known.part, drawn=drawn.by_whole_path()))


def _best(window_: Window) -> float:
    """Return the pressure (MPa) that a window recommends, or at which the fewest would fail."""
    found = window_.recommended
    return least_failing(window_, window_.stated.speed) if found is None else found.pressure


def _pressures(known: Known, folder: Path, tell: Tell) -> tuple[float, float]:
    """Return pressure of gripping and of boring, bar."""
    place, judged = folder / NAME, _anywhere(known)
    limit = units.read(stated_tables(known.size_class, known.plate)["chuck"]["pressure_limit"], "pressure")
    gripping, boring = _half_bars(0.6 * limit), RING

    def found() -> Assessment:
        text = scenario_text(judged, gripping=gripping, boring=boring)
        return _judged(text, place, lambda _: None, quick=True, advised=False)

    def of_ring() -> float:
        ring = boring_window(found())
        return boring if ring is None else _half_bars(_best(ring))

    tell("finding pressures")
    boring = of_ring()
    for _ in range(2):  # each counts in the other's window: the ring's in how true the part runs
        gripping = _half_bars(_best(window(found(), 0, tell)))
        before, boring = boring, of_ring()
        if boring == before:
            break
    return gripping, boring
