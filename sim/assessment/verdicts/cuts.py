"""Verdicts on where the cuts lie: on a surface of the part that a tool reaches, and where no jaw stands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import reduce
from typing import overload

import numpy as np
import shapely

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.arrays import Flags, Floats
from sim.base.floats import Number, larger
from sim.base.printable import printable
from sim.base.rounding import near
from sim.mechanics.cut_surface import DRAWN, CutPlace, Room, Surfaces, off_surface, room, surfaces
from sim.scenario import Cut
from sim.setup.parts import Parts
from sim.setup.surroundings import Around, around, off_the_core, stop, supports

PRACTICE = "common practice"
NOWHERE = 999.0  # mm, shown where no surface of the part is of the kind that the cut needs

CUTS_ON_THE_PART = Rule(
    key="cuts_on_the_part",
    name="cuts on the part",
    unit="mm",
    at_least=False,
    basis=(
        f"{PRACTICE}: the ring between the cut's diameter (facing: height) and its depth of cut touches the "
        "outline, as it is before the cut or after it"
    ),
    depends=frozenset({"cut", "geometry"}),
    view="cut",
    asks=(
        "does every cut lie on a surface of the outline, as it is before the cut or after it, that a "
        "tool reaches?"
    ),
)
CUTS_CLEAR_OF_THE_JAWS = Rule(
    key="cuts_clear_of_the_jaws",
    name="cuts clear of the jaws",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: limits.clearance of the scenario, from the cut and its straight way in to jaws, screws, chuck",
    depends=frozenset({"size", "cut", "geometry"}),
    view="cut",
    asks="does every cut, with a straight way in, keep off jaws, screws and chuck?",
)


def cut_place(cut: Cut, seat: float) -> CutPlace:
    """Return where a cut of a scenario lies, in the chuck's frame; `seat` is the z of the part's back face, mm."""
    return CutPlace(
        kind=cut.kind,
        feed_towards=cut.feed_towards,
        diameter=cut.diameter,
        height=seat + cut.height,
        off_axis=cut.off_axis or 0.0,
        rotating_tool=cut.rotating_tool,
        end_diameter=cut.end_diameter or 0.0,
    )


def drawn_surfaces(parts: Parts, figures: OperationFigures) -> tuple[Surfaces, ...]:
    """Return the surfaces that a tool reaches of every outline of the part: as held, raw, finished."""
    operation, seat = figures.operation, figures.zone.seat
    outlines = [operation.workpiece.outline]
    if operation.program is not None:
        more = (operation.program.raw_outline, operation.program.finished_outline)
        outlines += [outline for outline in more if outline is not None]
    beside = shapely.union_all([body.image for body in standing(parts, figures, figures.grip_travel)])
    floor = -parts.scenario.chuck.face_drop
    return tuple(
        surfaces(shapely.Polygon([(r, z + seat) for r, z in outline]), beside, floor) for outline in outlines
    )


def standing(parts: Parts, figures: OperationFigures, travel: float) -> tuple[Around, ...]:
    """Return what stands around the part while it is cut, the jaws at a travel (mm)."""
    behind, beside = stop(parts, figures.index), supports(parts, figures.index)
    lugs = off_the_core(parts, figures.index)
    return (*around(parts, travel), *beside, *(one for one in (behind, lugs) if one is not None))


def missed(place: CutPlace, depth: float, drawn: tuple[Surfaces, ...]) -> float:
    """Return how far (mm) a cut lies off the surface that it cuts."""
    return min(off_surface(place, depth, drawn), NOWHERE)


def least_room(place: CutPlace, depth: float, bodies: tuple[Around, ...]) -> tuple[Room, str]:
    """Return how far a cut stays off all that stands around the part, and off what before all.

    Its way in is one: what leads past the jaws from in front and past a steady rest from outside leads past neither.
    """
    images = [body.image for body in bodies if not body.image.is_empty]
    nearest = min(bodies, key=lambda body: room(place, depth, body.image).gap)
    return room(place, depth, shapely.geometrycollections(images)), nearest.name


@overload
def in_the_way(gap: float, deep: bool) -> bool: ...  # noqa: FBT001
@overload
def in_the_way(gap: Floats, deep: Flags) -> Flags: ...
def in_the_way(gap: Floats | float, deep: Flags | bool) -> Flags | bool:  # noqa: FBT001
    """Tell whether a cut or its way in lies in what stands around the part: too little room then fails.

    Parameters
    ----------
    gap : float or array
        Room to what stands there, mm.
    deep : bool or array
        Whether the cut does not get in from outside (`Room.deep`).
    """
    none: Flags | bool = np.logical_not(np.isfinite(gap)) | (gap <= 0.0)
    return none | deep


def cuts_on_the_part_and_limit(off: Iterable[Number]) -> tuple[Number, float]:
    """Return how far the worst of cuts lies off the surface that it cuts and how far it may, mm."""
    return reduce(larger, off), DRAWN


def cuts_clear_of_the_jaws_and_limit(gap: Number, wanted: float) -> tuple[Number, float]:
    """Return how far a cut and its way in stay off what stands around the part and how far they must, mm."""
    return gap, wanted


def cut_verdicts(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield whether every cut lies on the part, and off the jaws and the chuck."""
    yield _on_part(parts, figures)
    yield _clear(parts, figures)


def _on_part(parts: Parts, figures: OperationFigures) -> Verdict:
    drawn, seat = drawn_surfaces(parts, figures), figures.zone.seat
    found = [
        (missed(cut_place(c, seat), c.depth_of_cut, drawn), n) for n, c in enumerate(figures.operation.cuts)
    ]
    off, most = cuts_on_the_part_and_limit(one for one, _ in found)
    _, number = max(found)
    cut = figures.operation.cuts[number]
    where = f"'{printable(cut.name)}' at diameter {cut.diameter:g} mm, height {cut.height:g} mm"
    if off <= most:
        message = (
            f"every cut lies on a surface of the part that a tool reaches; {where} is {off:.2f} mm off it."
        )
    elif off >= NOWHERE:
        message = f"{where} is no {cut.kind} of this part: no surface of that kind is reached by a tool."
    else:
        message = (
            f"{where} lies {near(off, most, 2)} mm off any surface that {cut.kind} could cut there: in solid metal, "
            "in the air, or where no tool gets to."
        )
    return CUTS_ON_THE_PART.verdict(
        figures.operation.name,
        off,
        most,
        message=message,
        advice="State diameter and height at which it cuts, or draw the outline as the part is then.",
    )


def _clear(parts: Parts, figures: OperationFigures) -> Verdict:
    seat = figures.zone.seat
    ends = {figures.travel.first, figures.travel.last}
    found = []
    for bodies in (standing(parts, figures, travel) for travel in sorted(ends)):
        for number, cut in enumerate(figures.operation.cuts):
            (way, name) = least_room(cut_place(cut, seat), cut.depth_of_cut, bodies)
            found.append((way.gap, number, name, way.deep))
    gap, wanted = cuts_clear_of_the_jaws_and_limit(min(found)[0], parts.scenario.limits.clearance)
    # A cut over the jaws that only warns hides none beside them that fails.
    grave = [one for one in found if not one[0] >= wanted and in_the_way(one[0], one[3])]
    shown, number, name, _ = min(grave or found)
    cut = figures.operation.cuts[number]
    where = f"'{printable(cut.name)}' at diameter {cut.diameter:g} mm, height {cut.height:g} mm"
    return CUTS_CLEAR_OF_THE_JAWS.verdict(
        figures.operation.name,
        gap,
        wanted,
        message=(
            f"{where} stays {near(shown, wanted, 2)} mm off the {name}."
            if shown > 0.0
            else f"{where} lies in the {name}, or no straight way leads past them."
        ),
        advice=(
            "Cut less deep into the pocket, hold the part farther out, or turn that surface from the other side."
        ),
        otherwise="fail" if grave else "warn",
    )
