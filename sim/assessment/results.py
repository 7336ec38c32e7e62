"""What is known of a setup after it was judged: frozen results that the views read and never recompute.

Lengths in mm, forces in N, pressures in MPa, speeds in rev/min.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal, Self

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from meshes.turning_tool import TurningTool
from sim.base.arrays import Floats
from sim.base.rounding import SAME
from sim.clearance.advice import FixtureAdvice
from sim.clearance.machine_words import AtWork
from sim.clearance.path import Move
from sim.clearance.result import Body, ClearanceResult
from sim.clearance.runs import Run
from sim.clearance.tool import Tool
from sim.contact import ClampedShape, ContactResult, JawOpening, Revolution, TaperAdvice
from sim.holding import Holding
from sim.mechanics.cutting import CutForces
from sim.mechanics.fixtures import Bearing, Load
from sim.mechanics.hold import grip_for
from sim.mechanics.spin import PermissibleSpeed
from sim.mechanics.stroke import TravelBand
from sim.scenario import Operation, Scenario
from sim.setup.parts import HeldZone, Parts, section

Status = Literal["pass", "warn", "fail"]
ORDER: tuple[Status, ...] = ("fail", "warn", "pass")  # worst first


@dataclass(frozen=True, slots=True)
class Verdict:
    """One question with its answer.

    Attributes
    ----------
    key : str
        Of the rule that judges (`sim.assessment.verdicts.rule.Rule`): by it a verdict is looked up.
    name : str
        What is judged, in the trade's words: for people only.
    stage : str
        'boring', 'jaws' or the operation's name.
    status : {'pass', 'warn', 'fail'}
    value, limit : float
        In `unit`; the value must be at least the limit where `at_least` is True, at most it otherwise.
    unit : str
        '' for a factor or a share.
    basis : str
        Standard, handbook or 'common practice' that the limit comes from.
    message : str
        One sentence: what was found.
    advice : str
        One sentence: what to change; empty for a pass.
    """

    key: str
    name: str
    stage: str
    status: Status
    value: float
    limit: float
    unit: str
    basis: str
    message: str
    advice: str = ""
    at_least: bool = True

    @property
    def missed(self) -> bool:
        """Whether the value is on the wrong side of the limit, whatever follows from that."""
        beyond = self.limit - self.value if self.at_least else self.value - self.limit
        return beyond > SAME * abs(self.limit)

    @property
    def margin(self) -> float:
        """Value over limit (or the reverse for an upper limit): 1 is just enough, more is better."""
        high, low = (self.value, self.limit) if self.at_least else (self.limit, self.value)
        return high / low if low > 0.0 else float("inf")

    @property
    def rank(self) -> tuple[int, float]:
        """Sorts verdicts worst first; within a status the least margin first."""
        return ORDER.index(self.status), self.margin


@dataclass(frozen=True, slots=True)
class NotJudged:
    """One question that was not asked, or not answered by what stands in for it.

    Attributes
    ----------
    question : str
        What stays open, in the trade's words.
    stage : str
        As of a verdict; 'chuck' or 'machine' where it belongs to none of these.
    why : str
        What is not stated, or what was done in its place; one clause.
    needs : str
        What to state, or to do, so that it is asked.
    matters : bool
        The answer could throw the part or a jaw, break the chuck, or bring a tool into what turns.
    verdicts : tuple of str
        Keys of the verdicts that would answer it; empty where the program has none.
    """

    question: str
    stage: str
    why: str
    needs: str
    matters: bool
    verdicts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class SpeedCurve:
    """Grip against speed (rev/min), for the plot: total grip left and total grip needed, N, (n,) arrays."""

    speeds: Floats
    grip: Floats
    needed: Floats

    def __post_init__(self) -> None:
        for name in ("speeds", "grip", "needed"):
            copy = np.array(getattr(self, name), dtype=np.float64)
            copy.setflags(write=False)
            object.__setattr__(self, name, copy)


@dataclass(frozen=True, slots=True)
class CutDemand:
    """What one cut asks of the grip: its forces, side force and needed total grip, N, no safety.

    `needed` is the handbooks' figure, the larger of torque with axial force, and tipping.
    """

    name: str
    speed: float
    forces: CutForces
    side_force: float
    needed: float
    governing: str


@dataclass(frozen=True, slots=True, eq=False)
class CutHolding:
    """How one cut is held at its own speed: multiples of the cut's forces beside the part's weight.

    Attributes
    ----------
    grip : float
        Total grip left, N; the gain of inside gripping is not counted.
    turn : Holding
        Over one revolution with everything at once, by linear programs: what is judged.
    without_shift : float
        At its least favourable spindle angle if pressure did not shift along the jaws. No unit.
    without_back_face : float
        There if the part did not stand on the back face. No unit.
    handbook : float
        By the closed forms: grip over `CutDemand.needed`. No unit.
    """

    grip: float
    turn: Holding
    without_shift: float
    without_back_face: float
    handbook: float

    @property
    def factor(self) -> float:
        """The least over the revolution."""
        return self.turn.factor

    @property
    def needed(self) -> float:
        """Total grip that the cut needs with everything at once, N, no safety; 0 where it cannot be told."""
        return grip_for(self.grip, self.factor)


@dataclass(frozen=True, slots=True, eq=False)
class GripFigures:
    """Grip of one operation; forces in N.

    Attributes
    ----------
    rest_total, rest_per_jaw, low_speed_total, high_speed_total : float
        Total at rest, per jaw at rest, total at the operation's lowest and highest speed.
    per_jaw_at_speed : float
        Per jaw at the highest speed.
    basis : str
        'chuck data' or 'free body'.
    height : float
        Grip height above the serrated plane, mm.
    needed_total : float
        Grip needed while cutting (without safety): the most that a cut needs by closed forms or linear programs.
    friction : float
        Friction of part in jaws used for holding, no unit.
    centrifugal_per_jaw : float
        At the highest speed.
    largest_total, largest_per_jaw : float
        The most that the jaws press in any state: at rest outside; inside at the highest speed, all of the
        centrifugal force added, whatever share of it the scenario lets count.
    counted_total : float
        At the highest speed without the gain of inside gripping, which holds nothing.
    guide_moment : float
        Largest grip force per jaw times its height above the guideway's middle, N mm.
    centrifugal_moment : float
        Sum of mass times centroid radius of one jaw with all that hangs on it, kg mm.
    permissible : PermissibleSpeed
        By VDI 3106, by the loss of two thirds of the grip, marked on the chuck, and the least.
    curve : SpeedCurve
    """

    rest_total: float
    rest_per_jaw: float
    largest_total: float
    largest_per_jaw: float
    counted_total: float
    guide_moment: float
    low_speed_total: float
    high_speed_total: float
    per_jaw_at_speed: float
    basis: str
    height: float
    needed_total: float
    friction: float
    centrifugal_moment: float
    centrifugal_per_jaw: float
    permissible: PermissibleSpeed
    curve: SpeedCurve


@dataclass(frozen=True, slots=True, eq=False)
class RunOut:
    """How far the part's axis stands off the spindle's in one state, mm; `sim.assessment.run_out` says how it is found.

    Attributes
    ----------
    state : str
        'at rest' or 'at the highest speed'.
    orders : tuple of int
        Lobes over a turn that the gripped surface may have.
    by_lobes : (k,) array
        By each of them alone, as the contact model gives it.
    by_jaws : float
        By jaws that stand off and masses that differ; nan where a jaw leaves the part.
    free_lobes, free_jaws : float
        The worst lobe, and the jaws, where the jaws yield freely along their faces.
    """

    state: str
    orders: tuple[int, ...]
    by_lobes: Floats
    by_jaws: float
    free_lobes: float
    free_jaws: float

    def __post_init__(self) -> None:
        copy = np.array(self.by_lobes, dtype=np.float64)
        copy.setflags(write=False)
        object.__setattr__(self, "by_lobes", copy)

    @property
    def shift(self) -> float:
        """Distance of the axes: a lobe points anywhere, so its share and that of the jaws are added."""
        solved = float(self.by_lobes.max()) + self.by_jaws
        free = self.free_lobes + self.free_jaws
        return max(solved, free) if math.isfinite(solved) else free

    @property
    def worst_order(self) -> int:
        """The order that shifts most by the contact model."""
        return self.orders[int(self.by_lobes.argmax())]


@dataclass(frozen=True, slots=True, eq=False)
class ClampingFigures:
    """The part between the jaws: each limit at the worst of standstill and the highest speed.

    Attributes
    ----------
    model : {'foundation', 'elastic'}
        What stands behind all of it: columns (order of magnitude) or finite elements.
    contact : ContactResult
        Under the largest force: at rest outside, at the highest speed inside.
    rest : ContactResult
        At rest.
    state : str
        What `contact` shows: 'at rest' or 'at the highest speed'.
    band_peak : float
        Largest band-mean pressure of the smallest, the middle and the largest part within the tolerance, MPa.
    revolution : Revolution or None
        Grip per jaw over one turn at the highest speed under the worst side load, fixed in space; at angle 0 it
        pushes straight off jaw 1. Back face and friction keep the part from tipping. None where no grip is left or
        the part is pushed off a jaw.
    unsupported_least : float or None
        Least grip of a jaw in that state if nothing but the jaws' pressure resisted tipping, N; None where that
        does not hold the part.
    side : float
        Worst side force, the part's weight included, N.
    roundness, roundness_basis : float, str
        Peak to peak after release, micrometres, of the first of `surfaces`, the worst within the tolerance.
    shape : ClampedShape or None
        Elastic displacement of the reported surfaces; None without finite elements.
    surfaces : tuple of str
        Names of the shape's places.
    flatness : float
        Of the free face after release, micrometres; nan where there is none or without finite elements.
    openings : tuple of (float, JawOpening)
        Bell-mouth of the jaws under the grip per jaw (N) at rest and, if any is left, at the highest speed.
    opening : JawOpening
        The one of these that stands farthest from what was bored.
    taper : TaperAdvice
        What to turn into the jaws against boring force unlike gripping force, for that one.
    run_outs : tuple of RunOut
        At rest and, if any grip is left, at the highest speed.
    hoop_stress : float
        Largest stress around the part in its wall, MPa; 0 for a solid part.
    stress_share : float
        Largest share of a yield strength: of the wall's stress, and of the stress under the jaws' pressure.
    displacement : float
        Largest radial displacement of bore and outside at the gripped height, mm.
    wall : float
        Wall at the gripped height, mm; of a solid part its radius.
    loss_share_by_stiffness : float
        Share of the centrifugal force lost as grip by the stiffnesses; nan where it was not found.
    """

    model: Literal["foundation", "elastic"]
    contact: ContactResult
    rest: ContactResult
    state: str
    band_peak: float
    revolution: Revolution | None
    unsupported_least: float | None
    side: float
    roundness: float
    roundness_basis: str
    shape: ClampedShape | None
    surfaces: tuple[str, ...]
    flatness: float
    openings: tuple[tuple[float, JawOpening], ...]
    opening: JawOpening
    taper: TaperAdvice
    run_outs: tuple[RunOut, ...]
    hoop_stress: float
    stress_share: float
    displacement: float
    wall: float
    loss_share_by_stiffness: float

    @property
    def run_out(self) -> RunOut:
        """The worst of the states."""
        return max(self.run_outs, key=lambda found: found.shift)


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
    def roundness(self) -> float:
        """Out-of-roundness after release, micrometres."""
        return self.clamping.roundness


@dataclass(frozen=True, slots=True)
class BarFigures:
    """A boring bar in the cut that bends it most.

    Attributes
    ----------
    tool : str
    shank : str
        What it is made of.
    diameter, reach : float
        mm.
    move : int or None
        Number of the move; None if it cuts nothing.
    tangential, radial : float
        Cutting force, and the larger of feed and passive force, N.
    bend, push : float
        Of the tip under both, and under the radial one alone, mm.
    """

    tool: str
    shank: str
    diameter: float
    reach: float
    move: int | None
    tangential: float
    radial: float
    bend: float
    push: float

    @property
    def slenderness(self) -> float:
        """Reach over diameter."""
        return self.reach / self.diameter


@dataclass(frozen=True, slots=True, eq=False)
class PathFigures:
    """A cutting path with everything that turns, and what the clearance check found.

    Attributes
    ----------
    file : str
        The program that it was read from; empty for a path that was made from the pockets.
    runs : tuple of Run
        The path, one run for each tool in force; at least one.
    drawn : tuple of TurningTool
        Dimensions of the tool of each run.
    moves : tuple of Move
        Of all runs.
    bodies, stock, wanted : images, (rho, z) in mm
        What must not be touched; what may be cut, before the first move; what must remain of it, None if not stated.
    stock_name : str
    clearance : ClearanceResult
    zero : float
        z of the program's zero point, chuck frame, mm.
    swing : float
        Largest diameter that turns, mm.
    safe_plane : float
        z above which a tip may run across at rapid, with the clearance wanted, mm.
    notes : tuple of str
        What was assumed in reading the program, and what moves no axis.
    bars : tuple of BarFigures
        Each boring bar of the path.
    at_work : AtWork or None
        Spindle, chuck and turret along a program; None for a path that was made.
    reading : str
        Which optional blocks were run and skipped, in words; empty for a program without any.
    others : tuple of PathFigures
        The same program with other optional blocks run and skipped, where that makes another path.
    """

    file: str
    runs: tuple[Run, ...]
    drawn: tuple[TurningTool, ...]
    moves: tuple[Move, ...]
    bodies: tuple[Body, ...]
    stock: BaseGeometry
    wanted: BaseGeometry | None
    stock_name: str
    clearance: ClearanceResult
    zero: float
    swing: float
    safe_plane: float
    notes: tuple[str, ...]
    bars: tuple[BarFigures, ...]
    at_work: AtWork | None = field(default=None, kw_only=True)
    reading: str = field(default="", kw_only=True)
    others: tuple[Self, ...] = field(default=(), kw_only=True)

    @property
    def readings(self) -> tuple[Self, ...]:
        """The path as shown, and as its program runs with other optional blocks."""
        return (self, *self.others)

    def run_of(self, move: int) -> int:
        """Return the number of the run that a move belongs to."""
        for number, run in enumerate(self.runs):
            if move < len(run.moves):
                return number
            move -= len(run.moves)
        return len(self.runs) - 1

    def tool_of(self, move: int) -> Tool:
        """Return the tool of a move."""
        return self.runs[self.run_of(move)].tool

    @property
    def tool(self) -> Tool:
        """The first tool."""
        return self.runs[0].tool

    @property
    def tools(self) -> tuple[Tool, ...]:
        """The tool of each move."""
        return tuple(run.tool for run in self.runs for _ in run.moves)


@dataclass(frozen=True, slots=True)
class FixtureStrain:
    """What one part of the boring fixture, or of its seat in the jaws, has to bear in its worst state.

    Attributes
    ----------
    what : str
        A clause.
    value, allowed : float
        In `unit`.
    unit : {'MPa', 'N'}
    state : str
        'at rest' or 'at the highest speed'.
    basis, remedy : str
        Formula and limit; what mends it besides less load, as a sentence.
    """

    what: str
    value: float
    allowed: float
    unit: Literal["MPa", "N"]
    state: str
    basis: str
    remedy: str

    @property
    def share(self) -> float:
        """Value over what is allowed."""
        return self.value / self.allowed


@dataclass(frozen=True, slots=True)
class FixtureFigures:
    """How the jaws load the boring fixture, and how it bears that.

    Attributes
    ----------
    material : str
    height : float
        Of the load above the serrated plane, mm.
    bearing : Bearing
        By the fixture's dimensions.
    load : Load
        Total load at the boring pressure.
    at_speed : float
        Total load at the highest boring speed, N; all of the centrifugal force counts.
    guide_moment : float
        Largest load of a jaw times its height above the guideway's middle, N mm.
    strength, seat : tuple of FixtureStrain
        Of the fixture itself; where jaws and fixture press each other.
    give : float
        How far each jaw has moved under the largest load, mm.
    """

    material: str
    height: float
    bearing: Bearing
    load: Load
    at_speed: float
    guide_moment: float
    strength: tuple[FixtureStrain, ...]
    seat: tuple[FixtureStrain, ...]
    give: float

    @property
    def rest(self) -> float:
        """Total load at rest, N."""
        return self.load.rest

    @property
    def largest(self) -> float:
        """Largest total load, N."""
        return max(self.rest, self.at_speed)


@dataclass(frozen=True, slots=True, eq=False)
class BoringFigures(PathFigures):
    """The boring set-up: the jaws are the stock.

    Attributes
    ----------
    fixture : FixtureAdvice or None
        Which ring or plug the path leaves room for; None for gripping inside, and without moves.
    outer_ring_top : float or None
        For gripping inside: highest z (mm) of an outer ring's upper face; None otherwise.
    highest_speed : float
        Of the path, rev/min.
    advice : str
        What to do about the fixture, empty if nothing.
    bearing : FixtureFigures or None
        The fixture under the jaws' load; None without one.
    """

    wanted: BaseGeometry
    fixture: FixtureAdvice | None
    outer_ring_top: float | None
    highest_speed: float
    advice: str
    bearing: FixtureFigures | None


@dataclass(frozen=True, slots=True, eq=False)
class MoveGrip:
    """Grip along a program that machines the part; n moves.

    Attributes
    ----------
    speed : (n,) array
        Highest spindle speed of each move, rev/min.
    left : (n,) array
        Total grip left where the move is worst, N; the gain of inside gripping is not counted.
    needed : (n,) array
        Total grip that its cut needs there, N, no safety; 0 where nothing is cut.
    assumed_feed : float or None
        Feed (mm/rev) of cutting moves for which the program gives none; None if it gives all.
    assumed_speed : float or None
        Speed (rev/min) of moves for which the program gives none; None if it gives all.
    """

    speed: Floats
    left: Floats
    needed: Floats
    assumed_feed: float | None
    assumed_speed: float | None

    def __post_init__(self) -> None:
        for name in ("speed", "left", "needed"):
            copy = np.array(getattr(self, name), dtype=np.float64)
            copy.setflags(write=False)
            object.__setattr__(self, name, copy)

    @property
    def factor(self) -> Floats:
        """Grip left over grip needed, (n,); inf where nothing is cut."""
        cuts = self.needed > 0.0
        return np.where(cuts, self.left / np.where(cuts, self.needed, 1.0), np.inf)


@dataclass(frozen=True, slots=True, eq=False)
class HeldMove:
    """The move of a program whose cut is held least: its number from 0, what it asks for, how it is held."""

    move: int
    demand: CutDemand
    holding: CutHolding


@dataclass(frozen=True, slots=True, eq=False)
class MachiningFigures(PathFigures):
    """A program that machines the part of an operation: the part is the stock.

    Attributes
    ----------
    operation : int
    grip : MoveGrip
        By closed forms, for every move.
    held : HeldMove or None
        Out of the moves that these find worst, the one held least by everything at once over one turn; None
        where nothing is cut.
    """

    operation: int
    grip: MoveGrip
    held: HeldMove | None

    @property
    def least_held(self) -> HeldMove | None:
        """The move that is held least, whichever optional blocks are run."""
        found = [one.held for one in self.readings if one.held is not None]
        return min(found, key=lambda one: one.holding.factor, default=None)


@dataclass(frozen=True, slots=True, eq=False)
class Assessment:
    """A judged setup; verdicts worst first, `machining` one for each operation (None without a program).

    `not_judged` is what was not asked, what matters first.
    """

    scenario: Scenario
    parts: Parts
    boring: BoringFigures
    operations: tuple[OperationFigures, ...]
    machining: tuple[MachiningFigures | None, ...]
    verdicts: tuple[Verdict, ...]
    not_judged: tuple[NotJudged, ...]

    @property
    def paths(self) -> tuple[tuple[str, PathFigures], ...]:
        """Every cutting path with its stage: boring, then the operations that have a program."""
        found: list[tuple[str, PathFigures]] = [("boring", self.boring)]
        found += [
            (figures.operation.name, path)
            for figures, path in zip(self.operations, self.machining, strict=True)
            if path is not None
        ]
        return tuple(found)

    @property
    def status(self) -> Status:
        """Worst status of all verdicts; at best a warning where something that matters was not asked."""
        worst = min((v.status for v in self.verdicts), key=ORDER.index, default=ORDER[-1])
        return "warn" if worst == "pass" and self.unasked else worst

    @property
    def unasked(self) -> tuple[NotJudged, ...]:
        """What was not asked and matters."""
        return tuple(one for one in self.not_judged if one.matters)


def half_section(figures: OperationFigures, parts: Parts) -> shapely.Polygon:
    """Return the workpiece's half section on its seat, (r, z) in the chuck frame."""
    return section(parts.workpieces[figures.index], figures.zone.seat)


CAUTIONS = (
    "A chuck can throw a part: keep the guard closed and stand out of its plane.",
    "All figures are an engineering estimate, not a release.",
    "The limits of the chuck, of the jaws and of the machine and the local safety rules stand above them.",
    "Measure the grip with a gauge before running at speed.",
    "A competent person releases the setup.",
)
