"""Verdicts on the pockets as a set: one boring travel for all, parts clear of other steps, reach, metal left."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import reduce

import shapely
from shapely.geometry.base import BaseGeometry

from meshes.boring_bar import BoringBar
from sim.assessment.figures.boring import BoringFigures
from sim.assessment.figures.operation import OperationFigures, half_section
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.floats import Number, larger, smaller
from sim.base.rounding import near
from sim.setup.grip_travel import serving_travels
from sim.setup.parts import Parts
from sim.setup.rebore import FRESH, LEAST_LAND, pocket_stock, pre_bored, rebores, used_jaw

PRACTICE = "common practice"
FAR = 1e4  # mm, beyond everything on a lathe
SETTING = 0.2  # mm, how well a travel is set and read (common practice, no source)

ONE_BORING_TRAVEL_FOR_ALL = Rule(
    key="one_boring_travel_for_all",
    name="one boring travel for all",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: range of boring travels that suits every operation, as wide as a travel is set",
    depends=frozenset({"size", "geometry"}),
    view="travel",
    asks="does one set-up serve every pocket's part?",
)
CLEAR_OF_THE_OTHER_STEP = Rule(
    key="clear_of_the_other_step",
    name="clear of the other step",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: limits.loading_clearance of the scenario, here off a step that does not grip",
    depends=frozenset({"size", "geometry"}),
    view="held",
    asks="does the part in one pocket stay off the other's wall and back face?",
)
BAR_REACH = Rule(
    key="bar_reach",
    name="bar reach",
    unit="mm",
    at_least=True,
    basis="the bar's holder stays above jaws and fixture by limits.clearance",
    depends=frozenset({"geometry"}),
    view="deepest",
    asks="does the bar's holder stay above jaws and fixture?",
)
METAL_FOR_A_REBORE = Rule(
    key="metal_for_a_rebore",
    name="metal for a re-bore",
    unit="mm",
    at_least=True,
    basis="limits.rebore of the scenario (common practice: one cut over the worn face)",
    depends=frozenset({"geometry"}),
    view="metal",
    asks="can the pocket be turned over later, in its place?",
)
FRESHLY_BORED_FACE = Rule(
    key="freshly_bored_face",
    name="freshly bored face",
    unit="of the face",
    at_least=True,
    basis=f"geometry: the whole gripped face is cut anew, {FRESH:g} mm deep or more (common practice)",
    depends=frozenset({"geometry"}),
    view="",
    asks="in jaws that were bored before: is the whole face cut anew?",
)
BACK_FACE_ON_METAL = Rule(
    key="back_face_on_metal",
    name="back face on metal",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: axial stop for the part",
    depends=frozenset({"geometry"}),
    view="",
    asks="in jaws that were bored before: is there an axial stop?",
)


@dataclass(frozen=True, slots=True)
class TravelRange:
    """Boring travels (mm) at which an operation loads and keeps its reserve; empty where low is over high."""

    operation: str
    low: float
    high: float


@dataclass(frozen=True, slots=True, eq=False)
class _Step:
    """A pocket in the half-plane (mm): mouth and inner end of its back face, and the metal beside and below it."""

    name: str
    depth: float
    mouth: float
    land: float
    metal: BaseGeometry


def pocket_verdicts(
    parts: Parts, boring: BoringFigures, operations: tuple[OperationFigures, ...]
) -> Iterator[Verdict]:
    """Yield the verdicts on all pockets together."""
    if len(operations) > 1:
        yield _one_travel(parts, operations)
    if len(parts.pockets) > 1:
        for figures in operations:
            yield from _other_steps(parts, figures)
    reach = _reach(parts, boring)
    if reach is not None:
        yield reach
    yield _stock_left(parts)
    if parts.scenario.soft_jaw.bored_before or pre_bored(parts.scenario, parts.place) > 0.0:
        for figures in operations:
            yield from _after_earlier_borings(parts, figures)


def boring_travels(parts: Parts, figures: OperationFigures) -> TravelRange:
    """Return the boring travels (mm) at which both limits of a size load and are gripped off the stroke's ends."""
    scenario, limits, work = parts.scenario, parts.scenario.limits, figures.operation.workpiece
    size = work.gripped_diameter_low, work.gripped_diameter_high, work.out_of_round
    reserve = limits.stroke_reserve * scenario.chuck.stroke
    low, high = serving_travels(scenario, parts.place, figures.index, size, reserve, limits.loading_clearance)
    return TravelRange(figures.operation.name, low, high)


def clear_of_the_other_step_and_limit(gap: Number, wanted: Number) -> tuple[Number, Number]:
    """Return how far a part stays off a step that does not grip it and how far it must, mm."""
    return gap, wanted


def bar_reach_and_limit(reach: float, below: float, clearance: float) -> tuple[float, float]:
    """Return how far a bar reaches and how far it must, mm, where its tip goes `below` the highest body in its way."""
    return reach, below + clearance


def metal_for_a_rebore_and_limit(left: float, cut: float) -> tuple[float, float]:
    """Return how much of a pocket's wall may yet be turned away and what one re-bore takes, mm of radius."""
    return left, cut


def freshly_bored_face_and_limit(share: float) -> tuple[float, float]:
    """Return which share of a gripped face is cut anew, and 1."""
    return share, 1.0


def back_face_on_metal_and_limit(width: float) -> tuple[float, float]:
    """Return how much back face earlier borings leave and how much there must be, mm."""
    return width, LEAST_LAND


def one_boring_travel_for_all_and_limit(
    lows: Sequence[Number], highs: Sequence[Number]
) -> tuple[Number, float]:
    """Return how wide the ranges of boring travels of all operations overlap and how wide they must, mm."""
    return reduce(smaller, highs) - reduce(larger, lows), SETTING


def _one_travel(parts: Parts, operations: tuple[OperationFigures, ...]) -> Verdict:
    ranges = [boring_travels(parts, f) for f in operations]
    latest, earliest = max(ranges, key=lambda r: r.low), min(ranges, key=lambda r: r.high)
    room, setting = one_boring_travel_for_all_and_limit([r.low for r in ranges], [r.high for r in ranges])
    each = "; ".join(f"{r.operation} {r.low:.2f} to {r.high:.2f} mm" for r in ranges)
    return ONE_BORING_TRAVEL_FOR_ALL.verdict(
        "boring",
        room,
        setting,
        message=(
            f"one set-up between {latest.low:.2f} and {earliest.high:.2f} mm of travel serves all ({each})."
            if room >= 0.0
            else f"no travel serves all: {each}."
        ),
        advice=(
            f"Turn the pocket of '{latest.operation}' larger or that of '{earliest.operation}' smaller, or use two "
            "sets of jaws."
            if parts.direction == "outside"
            else f"Turn the step of '{latest.operation}' smaller or that of '{earliest.operation}' larger, or use two "
            "sets of jaws."
        ),
    )


def _other_steps(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield how far the gripped part stays off the steps that do not grip it, if it reaches into one."""
    own = parts.scenario.pocket_of(figures.operation)
    gap, name = min(step_gaps(parts, figures), default=(math.inf, ""))
    if not name:
        return
    gap, wanted = clear_of_the_other_step_and_limit(gap, parts.scenario.limits.loading_clearance)
    yield CLEAR_OF_THE_OTHER_STEP.verdict(
        figures.operation.name,
        gap,
        wanted,
        message=(
            f"the part in '{own.name}' stays {near(gap, wanted, 2)} mm off the wall and back face of '{name}'."
            if gap > 0.0
            else f"the part in '{own.name}' meets '{name}'."
        ),
        advice="Change the pockets' depths, turn the other step larger, or use two sets of jaws.",
    )


def step_gaps(parts: Parts, figures: OperationFigures) -> Iterator[tuple[float, str]]:
    """Yield the least distance (mm) of the part to each step that it reaches into but that does not grip it."""
    own = parts.scenario.pocket_of(figures.operation)
    part = half_section(figures, parts)
    for step in _steps(parts, figures.travel.last):
        if step.name == own.name:
            continue
        low, high = (step.land, FAR) if parts.direction == "outside" else (0.0, step.land)
        if step.depth > own.depth:
            low, high = 0.0, FAR  # below the back face that the part stands on, at any radius
        reaching = shapely.intersection(part, shapely.box(low, -FAR, high, step.mouth))
        if reaching.area > 0.0:
            yield float(shapely.distance(reaching, step.metal)), step.name


def _steps(parts: Parts, travel: float) -> Iterator[_Step]:
    """Yield every pocket as the jaws stand at a travel (mm)."""
    scenario, outside = parts.scenario, parts.direction == "outside"
    sign = 1.0 if outside else -1.0
    shift = sign * (scenario.boring.travel - travel)
    ordered = sorted(scenario.pockets, key=lambda p: p.depth)
    mouth = scenario.soft_jaw.height
    for place, pocket in enumerate(ordered):
        seat, wall = scenario.soft_jaw.height - pocket.depth, _wall(parts, 0.5 * pocket.diameter, shift)
        if place + 1 < len(ordered):
            land = 0.5 * ordered[place + 1].diameter + sign * ordered[place + 1].chamfer + shift
        else:
            land = 0.5 * _opening(parts) + shift if outside else FAR
        beside = shapely.box(wall, seat, FAR, mouth) if outside else shapely.box(0.0, seat, wall, mouth)
        under = shapely.box(land, -FAR, FAR, seat) if outside else shapely.box(0.0, -FAR, land, seat)
        yield _Step(pocket.name, pocket.depth, mouth, land, shapely.union(beside, under))
        mouth = seat


def _wall(parts: Parts, radius: float, shift: float) -> float:
    """Return where a moved wall (mm) stands nearest to what it goes around, or to what goes around it."""
    half = parts.place.face_half_chord(radius)
    places = (radius + shift, math.hypot(math.sqrt(max(radius**2 - half**2, 0.0)) + shift, half))
    return min(places) if parts.direction == "outside" else max(places)


def _opening(parts: Parts) -> float:
    """Return the diameter (mm) that is open below the deepest pocket: the plug's seat or a through-bore."""
    seat = parts.plug.diameter if parts.plug is not None else 0.0
    return max(seat, parts.scenario.boring.through_diameter or 0.0)


def _reach(parts: Parts, boring: BoringFigures) -> Verdict | None:
    """Judge whether a bar's holder stays above everything when its tip is at its deepest; None without a bar."""
    scenario = parts.scenario
    highest = max(
        [scenario.soft_jaw.height, *(b.image.bounds[3] for b in boring.bodies if not b.image.is_empty)]
    )
    bars = []
    for run, drawn in zip(boring.runs, boring.drawn, strict=True):
        if isinstance(drawn.carrier, BoringBar):
            deepest = min([min(m.start[1], m.end[1]) for m in run.moves], default=highest)
            bars.append((highest - deepest, drawn.carrier))
    if not bars:
        return None
    below, bar = max(bars, key=lambda pair: pair[0] - pair[1].reach)
    reach, needed = bar_reach_and_limit(bar.reach, below, scenario.limits.clearance)
    return BAR_REACH.verdict(
        "boring",
        reach,
        needed,
        message=(
            f"the tip goes {below:.1f} mm below the highest body in its way, "
            f"{needed / bar.diameter:.1f} times the bar's diameter."
        ),
        advice=f"Use a bar that reaches {math.ceil(needed):.0f} mm, or shallower pockets.",
    )


def _stock_left(parts: Parts) -> Verdict:
    least = min(pocket_stock(parts), key=lambda s: s.radial)
    left, cut = metal_for_a_rebore_and_limit(least.radial, parts.scenario.limits.rebore)
    count = rebores(left, cut)
    return METAL_FOR_A_REBORE.verdict(
        "jaws",
        left,
        cut,
        message=(
            f"'{least.pocket}' can be turned over {count} times by {cut:g} mm in radius; then stands "
            f"{least.radial_end}."
        ),
        advice="Keep these jaws for this part alone, or move them by some serrations before they are bored.",
        otherwise="warn",
    )


def _after_earlier_borings(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    stage = figures.operation.name
    pocket = parts.scenario.pocket_of(figures.operation)
    left = used_jaw(parts.scenario, figures.zone, pocket.diameter)
    who = "earlier borings leave" if parts.scenario.soft_jaw.bored_before else "the pre-bore leaves"
    yield FRESHLY_BORED_FACE.verdict(
        stage,
        *freshly_bored_face_and_limit(left.fresh),
        message=f"{near(100.0 * left.fresh, 100.0, 0)}\u00a0% of the gripped face of '{pocket.name}' are cut "
        f"anew in these used jaws.",
        advice="Move the jaws inward by a serration, bore deeper or wider, or take another set of jaws.",
    )
    width, least = back_face_on_metal_and_limit(left.back_face)
    yield BACK_FACE_ON_METAL.verdict(
        stage,
        width,
        least,
        message=f"{who} {near(width, least, 1)} mm of back face under '{pocket.name}'.",
        advice="Bore less deep, or take another set of jaws.",
    )
