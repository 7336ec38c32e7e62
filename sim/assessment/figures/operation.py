"""Everything computed of one operation.

Lengths in mm, forces in N, pressures in MPa, speeds in rev/min.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from sim.assessment.figures.clamping import ClampingFigures
from sim.assessment.figures.cut import CutDemand, CutHolding
from sim.assessment.figures.grip import GripFigures
from sim.assessment.figures.machining import HeldMoves
from sim.assessment.figures.running import RunningFigures
from sim.assessment.figures.supports import HeldAlone
from sim.contact import ContactResult
from sim.mechanics.stroke import TravelBand
from sim.scenario import Operation
from sim.setup.held import HeldZone, section
from sim.setup.parts import Parts


@dataclass(frozen=True, slots=True, eq=False)
class OperationFigures:
    """Everything computed of one operation.

    Attributes
    ----------
    index : int
    operation : Operation
    zone : HeldZone
    travel : TravelBand
    grip_travel : float
        Travel at which the middle of the tolerance is gripped, mm.
    grip : GripFigures
    demands : tuple of CutDemand
        One for each cut.
    holdings : tuple of CutHolding
        One for each cut.
    yield_strength : float
        Of the softer of part and jaw, MPa.
    clamping : ClampingFigures
        The part between the jaws, at rest, at the highest speed, and under the worst cut there.
    running : RunningFigures
        Whether it runs true there.
    moves : tuple of HeldMoves
        Of its program, one for each way in which its optional blocks may run; empty without one.
    alone : HeldAlone or None
        Its weight in the jaws alone; None where it rests on them and nothing else bears it.
    gives : tuple of float
        How far it gives way at each cut, in mm for each N.
    whips_at : float
        Speed below the lowest at which it whips, rev/min.
    """

    index: int
    operation: Operation
    zone: HeldZone
    travel: TravelBand
    grip_travel: float
    grip: GripFigures
    demands: tuple[CutDemand, ...]
    holdings: tuple[CutHolding, ...]
    yield_strength: float
    clamping: ClampingFigures
    running: RunningFigures
    moves: tuple[HeldMoves, ...]
    alone: HeldAlone | None
    gives: tuple[float, ...]
    whips_at: float

    @property
    def contact(self) -> ContactResult:
        """The clamped part under the largest force of standstill and speed."""
        return self.clamping.contact

    @property
    def contact_at_speed(self) -> ContactResult | None:
        """The part at the highest speed under the worst side load, at the worst spindle angle; None if not held."""
        turn = self.clamping.revolution
        return None if turn is None else turn.worst

    @property
    def demands_of_moves(self) -> tuple[CutDemand, ...]:
        """What the moves of its program ask for that are looked at, whichever optional blocks are run."""
        return tuple(move.demand for way in self.moves for move in way.held)

    @property
    def all_demands(self) -> tuple[CutDemand, ...]:
        """What each stated cut and those moves ask for."""
        return (*self.demands, *self.demands_of_moves)

    @property
    def asked_of_grip(self) -> tuple[tuple[CutDemand, float], ...]:
        """Each stated cut and each move of its program that is looked at, with the grip that it needs, N, no safety."""
        return asked_of_grip(self.demands, self.holdings, self.moves)

    @property
    def roundness(self) -> float:
        """Out-of-roundness after release, micrometres."""
        return self.clamping.roundness


def asked_of_grip(
    demands: Sequence[CutDemand],
    holdings: Sequence[CutHolding],
    moves: Sequence[HeldMoves],
) -> tuple[tuple[CutDemand, float], ...]:
    """Return stated cuts and moves of a program, each with the grip that it needs, N, without safety."""
    pairs = [
        *zip(demands, holdings, strict=True),
        *((m.demand, m.holding) for way in moves for m in way.held),
    ]
    return tuple((demand, held.asked) for demand, held in pairs)


def half_section(figures: OperationFigures, parts: Parts) -> BaseGeometry:
    """Return the workpiece's half section on its seat, (r, z) in the chuck frame."""
    return section(parts.workpieces[figures.index], figures.zone.seat)
