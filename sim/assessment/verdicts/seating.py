"""Verdicts on where the part sits: on its back face, in its pocket, and on nothing else."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import reduce
from typing import overload

from sim.assessment.figures.operation import OperationFigures, half_section
from sim.assessment.meeting import LOADED, Meeting, nearest
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.arrays import Flags, Floats
from sim.base.floats import Number, smaller
from sim.base.rounding import near
from sim.setup.land import back_rings, overlap, stop_width
from sim.setup.parts import Parts
from sim.setup.rebore import LEAST_LAND

PRACTICE = "common practice"
NARROW = 1.0  # mm of back face below which no shape of the part excuses it (assumption, no source)
WHOLE = 0.5  # mm by which the land may miss a narrow back face that lies on it

PART_CLEAR_OF_THE_CHUCK = Rule(
    key="part_clear_of_the_chuck",
    name="part clear of the chuck",
    unit="mm",
    at_least=True,
    basis=(
        f"{PRACTICE}: limits.loading_clearance of the scenario off chuck body, master jaws, T-nuts, screws and all "
        "of the soft jaws but the pocket; half-plane, gripped at both ends of the size and on the way in"
    ),
    depends=frozenset({"size", "geometry"}),
    view="held",
    asks=(
        "does the part, gripped or on its way in, keep off chuck body, master jaws, screws, the jaws' "
        "inner ends, floors and faces?"
    ),
)
PART_ON_ITS_BACK_FACE = Rule(
    key="part_on_its_back_face",
    name="part on its back face",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: radial width on which part and land (or back stop) meet, mean over the middle of each jaw",
    depends=frozenset({"size", "geometry"}),
    view="held",
    asks="does metal of the part at z = 0 lie over the jaws' land, or does a back stop touch it?",
)


def seating_verdicts(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield whether the part meets anything but its pocket, and whether its back face lies on the land."""
    yield _clear(parts, figures)
    yield _on_land(parts, figures)


def part_clear_of_the_chuck_and_limit(gaps: Iterable[Number], wanted: Number) -> tuple[Number, Number]:
    """Return how far a part stays, in the worst of its places, off what does not grip it and how far it must, mm."""
    return reduce(smaller, gaps), wanted


def part_on_its_back_face_and_limit(widths: Iterable[Number]) -> tuple[Number, float]:
    """Return on how much of its back face a part lies, at the worse end, and on how much it must, mm of radius."""
    return reduce(smaller, widths), LEAST_LAND


def behind(parts: Parts, figures: OperationFigures) -> float:
    """Return how far (mm) the part reaches out of the chuck body's back, where nothing is stated; 0 for not at all."""
    body = parts.sizes.body
    lowest = half_section(figures, parts).bounds[1]
    return max(0.0, -body.face_drop - body.height - lowest)


def _clear(parts: Parts, figures: OperationFigures) -> Verdict:
    found = nearest(parts, figures)
    gap, wanted = part_clear_of_the_chuck_and_limit([found.gap], parts.scenario.limits.loading_clearance)
    out = behind(parts, figures)
    verdict = PART_CLEAR_OF_THE_CHUCK.verdict(
        figures.operation.name,
        gap,
        wanted,
        message=_words(found, wanted),
        advice=(
            "Bore the jaws less deep, open them below the pocket (through_diameter), use higher jaws, or turn away "
            "what stands out of the part."
        ),
    )
    if out == 0.0 or verdict.status != "pass":
        return verdict
    return replace(
        verdict,
        status="warn",
        message=f"{verdict.message[:-1]}, but reaches {out:.1f} mm out of the back of the chuck body, where nothing is "
        "stated.",
        advice="See that drawtube and spindle leave it room and that its free end is guided.",
    )


def _words(found: Meeting, wanted: float) -> str:
    place = f"near radius {found.radius:.1f} mm, z {found.height:.1f} mm"
    when = " on its way in" if found.state == LOADED else ""
    if found.across > 0.0:
        return (
            f"the part stands in the {found.body}{when} {place}, by {near(found.along, 0.0, 2)} mm along the spindle "
            f"and {near(found.across, 0.0, 2)} mm of radius: it does not reach its seat."
        )
    if found.gap <= 0.0:
        return f"the part touches the {found.body}{when} {place}: it may not reach its back face."
    return (
        f"off its pocket the part stays {near(found.gap, wanted, 2)} mm off the {found.body}{when}, {place}."
    )


def land_width(parts: Parts, figures: OperationFigures, travel: float) -> float:
    """Return on how much (mm, radial) the part is stopped along the spindle, by the jaws' land or by its back stop."""
    stop = stop_width(parts, figures.index, figures.zone.seat)
    return max(overlap(parts, figures.index, travel).width, stop)


@overload
def slim(outline: tuple[tuple[float, float], ...], width: float) -> bool: ...
@overload
def slim(outline: tuple[tuple[float, float], ...], width: Floats) -> Flags: ...
def slim(outline: tuple[tuple[float, float], ...], width: Floats | float) -> Flags | bool:
    """Tell whether a back face is narrow by the part's own shape, and lies on the land as a whole: then it warns."""
    whole = math.fsum(b - a for a, b in back_rings(outline))
    return (width >= NARROW) & (whole <= width + WHOLE)


def _on_land(parts: Parts, figures: OperationFigures) -> Verdict:
    ends = figures.travel.first, figures.travel.last
    width, least = part_on_its_back_face_and_limit(land_width(parts, figures, travel) for travel in ends)
    on_stop = width > 0.0 and stop_width(parts, figures.index, figures.zone.seat) >= width
    what = "its back stop" if on_stop else "the land of the jaws"
    return PART_ON_ITS_BACK_FACE.verdict(
        figures.operation.name,
        width,
        least,
        message=(
            f"{near(width, least, 2)} mm of the part's back face lie on {what}."
            if width > 0.0
            else "no metal of the part's back face (z = 0) lies over the land of the jaws: it stands on air."
        ),
        advice=(
            "Hold a face of the part that reaches the land, bore the jaws so that the land lies under it, or stop the "
            "part elsewhere."
        ),
        otherwise="warn" if slim(figures.operation.workpiece.outline, width) else "fail",
    )
