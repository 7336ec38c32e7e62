"""Where the part is held: the height over which jaw face and gripped surface meet, mm."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import affinity
from shapely.geometry.base import BaseGeometry

from meshes.workpiece import Workpiece, reached
from sim.base.errors import ScenarioError
from sim.scenario import Operation, Scenario
from sim.scenario.outline import curved

GRIPPED_WITHIN = 0.6  # mm, an outline's edge this near to the gripped radius belongs to the gripped surface
TOUCHES = 0.1  # mm by which what the jaws grip may stand back: they close by less (assumption, no source)


@dataclass(frozen=True, slots=True)
class HeldZone:
    """Where jaw face and part meet along the spindle, chuck frame, mm.

    Attributes
    ----------
    seat : float
        z of the pocket's back face.
    low, high : float
        Ends of the height over which the bored wall meets the gripped surface.
    part_length : float
        Length of the part.
    stands : bool
        The part's back face lies on the jaws' land (`sim.setup.land`): it takes a push towards the chuck and tipping.
    """

    seat: float
    low: float
    high: float
    part_length: float
    stands: bool = True

    @property
    def length(self) -> float:
        """Held length."""
        return self.high - self.low

    @property
    def middle(self) -> float:
        """Middle of the held height, where the grip force acts."""
        return 0.5 * (self.low + self.high)


def held_zone(scenario: Scenario, index: int) -> HeldZone:
    """Return where the part of an operation is held.

    Raises
    ------
    ScenarioError
        If the outline has no gripped surface of the stated diameter within the pocket.
    """
    operation = scenario.operations[index]
    pocket = scenario.pocket_of(operation)
    seat = scenario.soft_jaw.height - pocket.depth
    # A shallower pocket takes the upper part of the wall away.
    above = max((p.depth for p in scenario.pockets if p.depth < pocket.depth), default=0.0)
    low = pocket.groove_width
    high = pocket.depth - above - pocket.chamfer
    spans = _gripped_spans(operation, low, high)
    heights = [z for _, z in operation.workpiece.outline]
    if not spans:
        radius = 0.25 * (operation.workpiece.gripped_diameter_low + operation.workpiece.gripped_diameter_high)
        raise ScenarioError(
            f"operations[{index}].workpiece.outline must have a surface of radius {radius:.2f} mm (the gripped "
            f"diameter) between z = {low:g} and {high:g} mm, the pocket's bearing wall; it has none"
            + (", and an arc is not gripped" if any(curved(operation.workpiece.outline)) else "")
        )
    best = max(spans, key=lambda span: span[1] - span[0])
    return HeldZone(seat, seat + best[0], seat + best[1], max(heights) - min(heights))


def _gripped_spans(operation: Operation, low: float, high: float) -> list[tuple[float, float]]:
    """Return the heights between two, part frame, at which the jaws' wall meets the gripped surface.

    Of edges that are drawn near to the gripped radius the jaws meet what stands out most, and what stands back from it
    by `TOUCHES` at most. An arc is not gripped: where it stands out it keeps the jaws off the rest.
    """
    part = operation.workpiece
    radius = 0.25 * (part.gripped_diameter_low + part.gripped_diameter_high)
    sign = 1.0 if operation.gripping.direction == "outside" else -1.0
    corners = part.outline
    edges, met = [], []
    for (r0, z0), (r1, z1), arc in zip(corners, (*corners[1:], corners[0]), curved(corners), strict=True):
        if max(abs(r0 - radius), abs(r1 - radius)) <= GRIPPED_WITHIN and z0 != z1:
            lower, upper = sorted(((z0, sign * r0), (z1, sign * r1)))
            start, end = max(lower[0], low), min(upper[0], high)
            if end > start:
                rise = (upper[1] - lower[1]) / (upper[0] - lower[0])
                ends = (lower[1] + rise * (z - lower[0]) for z in (start, end))
                met.append((start, end, *ends))
                edges += [] if arc else met[-1:]
    least = max((max(at_start, at_end) for _, _, at_start, at_end in met), default=0.0) - TOUCHES
    spans = []
    for start, end, at_start, at_end in edges:
        if max(at_start, at_end) < least:
            continue
        # Where a slanted edge falls back behind the rest.
        share = (least - at_start) / (at_end - at_start) if min(at_start, at_end) < least else 0.0
        crossing = start + share * (end - start)
        spans.append(
            (max(start, crossing) if at_start < least else start, crossing if at_end < least else end)
        )
    return [(start, end) for start, end in spans if end > start]


def section(workpiece: Workpiece, seat: float) -> BaseGeometry:
    """Return a workpiece's half section in the chuck frame, (r, z) in mm: of a part with lugs all that it sweeps."""
    return affinity.translate(reached(workpiece), yoff=seat)
