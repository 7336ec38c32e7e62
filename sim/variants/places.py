"""Where variants' parts sit and where their cuts lie: `verdicts.seating` and `verdicts.cuts` over a grid.

Distances are piecewise linear in travel and depth of cut but for what corners do, so that between grid points they lie
within `WITHIN` of their own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.meeting import while_gripped, while_put_in
from sim.assessment.verdicts.cuts import (
    CUTS_CLEAR_OF_THE_JAWS,
    CUTS_ON_THE_PART,
    cut_place,
    cuts_clear_of_the_jaws_and_limit,
    cuts_on_the_part_and_limit,
    drawn_surfaces,
    in_the_way,
    least_room,
    missed,
    standing,
)
from sim.assessment.verdicts.seating import (
    PART_CLEAR_OF_THE_CHUCK,
    PART_ON_ITS_BACK_FACE,
    behind,
    land_width,
    part_clear_of_the_chuck_and_limit,
    part_on_its_back_face_and_limit,
    slim,
)
from sim.base.arrays import Floats
from sim.mechanics.stroke import within_stroke
from sim.setup.parts import Parts
from sim.setup.surroundings import Around
from sim.variants.keys import Values
from sim.variants.line import Line
from sim.variants.result import PASS, WARN, fails_where
from sim.variants.table import Axis, GridTable, Notes
from sim.variants.travel import Sizes

TRAVEL_STEP, DEPTH_STEP = 0.05, 0.05  # mm
WITHIN = 0.03  # mm
SEATED, MISSED, ROOM = "seated", "cut on the part", "cut clear"  # name these tables among those of a setup


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """What one operation's variants share of it.

    Attributes
    ----------
    parts, figures : Parts, OperationFigures
        Of the judged setup.
    put_in : float
        Least distance to what the part passes on its way in, mm.
    seated : GridTable
        Over the travel: least distance of the gripped part to what does not grip it, and the width of its back face
        on the land, mm.
    missed : tuple of GridTable
        For each cut over the depth of cut: how far it lies off the surface that it cuts, mm.
    room : tuple of GridTable
        For each cut over travel and depth of cut: how far it stays off the jaws, mm; 1 where it lies beside them.
    """

    parts: Parts
    figures: OperationFigures
    put_in: float
    seated: GridTable
    missed: tuple[GridTable, ...]
    room: tuple[GridTable, ...]

    @property
    def named(self) -> Mapping[str, GridTable]:
        """Its tables by the name that tells them from an operation's others."""
        cuts = {f"{MISSED} {k}": table for k, table in enumerate(self.missed)}
        return {SEATED: self.seated, **cuts, **{f"{ROOM} {k}": table for k, table in enumerate(self.room)}}


def places(parts: Parts, figures: OperationFigures, notes: Notes) -> Places:
    """Return where an operation's part sits and where its cuts lie, ready for its variants."""
    seat, cuts, index = figures.zone.seat, figures.operation.cuts, str(figures.index)
    stroke = parts.scenario.chuck.stroke
    drawn = cache(lambda: drawn_surfaces(parts, figures))

    @cache
    def bodies(travel: float) -> tuple[Around, ...]:
        return standing(parts, figures, travel)

    def seated(place: tuple[float, ...]) -> Floats:
        held = while_gripped(parts, figures, within_stroke(place[0], stroke))
        return np.array([held.gap, land_width(parts, figures, place[0])])

    def off(k: int) -> GridTable:
        def node(place: tuple[float, ...]) -> Floats:
            return np.array([missed(cut_place(cuts[k], seat), place[0], drawn())])

        return GridTable((Axis("linear", DEPTH_STEP),), node, 1, (index, f"{MISSED} {k}"), notes)

    def free(k: int) -> GridTable:
        def node(place: tuple[float, ...]) -> Floats:
            found, _ = least_room(cut_place(cuts[k], seat), place[1], bodies(place[0]))
            return np.array([found.gap, float(found.deep)])

        axes = (Axis("linear", TRAVEL_STEP), Axis("linear", DEPTH_STEP))
        return GridTable(axes, node, 2, (index, f"{ROOM} {k}"), notes)

    return Places(
        parts=parts,
        figures=figures,
        put_in=while_put_in(parts, figures).gap,
        seated=GridTable((Axis("linear", TRAVEL_STEP),), seated, 2, (index, SEATED), notes),
        missed=tuple(off(k) for k in range(len(cuts))),
        room=tuple(free(k) for k in range(len(cuts))),
    )


def place_lines(own: Places, values: Values, where: Sizes) -> Iterator[Line]:
    """Yield the verdicts on where the part sits and where its cuts lie."""
    figures, stage, stroke = own.figures, own.figures.operation.name, own.parts.scenario.chuck.stroke
    ends = [own.seated(travel[:, None]) for travel in (where.first, where.last)]
    clipped = [own.seated(within_stroke(travel, stroke)[:, None]) for travel in (where.first, where.last)]
    gaps = [*(found[:, 0] for found in clipped), np.full(values.count, own.put_in)]
    passed = WARN if behind(own.parts, figures) > 0.0 else PASS
    pair = part_clear_of_the_chuck_and_limit(gaps, values("limits.loading_clearance"))
    yield Line(PART_CLEAR_OF_THE_CHUCK, stage, *pair, passed=passed)
    width, least = part_on_its_back_face_and_limit(found[:, 1] for found in ends)
    grave = ~slim(figures.operation.workpiece.outline, width)
    yield Line(PART_ON_ITS_BACK_FACE, stage, width, least, otherwise=fails_where(grave))
    yield from _cut_lines(own, values, where)


def _cut_lines(own: Places, values: Values, where: Sizes) -> Iterator[Line]:
    figures, stage = own.figures, own.figures.operation.name
    off, free = [], []
    for k in range(len(figures.operation.cuts)):
        key = f"operations.{figures.index}.cuts.{k}.depth_of_cut"
        depth = values(key)
        off.append(own.missed[k](depth[:, None])[:, 0])
        free += [own.room[k](np.column_stack([travel, depth])) for travel in (where.first, where.last)]
    yield Line(CUTS_ON_THE_PART, stage, *cuts_on_the_part_and_limit(off))
    ways = np.array(free)  # (cuts and ends, n, 2)
    gaps, deep = ways[:, :, 0], ways[:, :, 1] > 0.5
    # A limit of the scenario that these keys do not vary.
    pair = cuts_clear_of_the_jaws_and_limit(gaps.min(axis=0), own.parts.scenario.limits.clearance)
    # A cut over the jaws that only warns hides none beside them that fails.
    grave = np.any(~(gaps >= pair[1]) & in_the_way(gaps, deep), axis=0)
    yield Line(CUTS_CLEAR_OF_THE_JAWS, stage, *pair, otherwise=fails_where(grave))
