"""Verdicts on the metal that is left of the jaws: floor, fixture's seat, under heads, behind and under the part."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from sim.assessment.figures.boring import BoringFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.jaws import screwed_as_stated
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.floats import Number, larger, root
from sim.base.rounding import near
from sim.base.unit_words import percent
from sim.mechanics.screws import shear_yield
from sim.scenario import Pocket
from sim.setup.held import GRIPPED_WITHIN, HeldZone, section
from sim.setup.jaw_place import stands_free
from sim.setup.jaw_screws import head_seat
from sim.setup.metal import LEAST_SEAT, fixture_seat, least_floor, wall_behind
from sim.setup.parts import Parts
from sim.setup.rebore import END_WALL, FRESH

BORING, JAWS = "boring", "jaws"
PRACTICE = "common practice"
LIFT = 0.02  # mm by which a part's corner may stand on what boring leaves of a pocket's corner (no source)
CORNER = 5.0  # mm from the corner in which that is looked for
SLIVER = 1e-4  # mm2 of overlap that is none

FLOOR_UNDER_THE_POCKET = Rule(
    key="floor_under_the_pocket",
    name="floor under the pocket",
    unit="mm",
    at_least=True,
    basis=(
        "limits.floor of the scenario (common practice, no source): metal down to the roots of the serrations"
    ),
    depends=frozenset({"geometry"}),
    view="metal",
    asks=(
        "does metal stand over the roots of the serrations under pockets, fixture's seat, counterbores "
        "and earlier borings?"
    ),
)
METAL_AT_THE_FIXTURE = Rule(
    key="metal_at_the_fixture",
    name="metal at the fixture",
    unit="of its seat",
    at_least=True,
    basis=(
        f"geometry: the jaws press and carry the fixture with whole surfaces, a seat cut {FRESH:g} mm deep or "
        f"more ({PRACTICE}); less than {percent(LEAST_SEAT)} of metal is none"
    ),
    depends=frozenset({"geometry"}),
    view="fixture",
    asks="is there metal to press the fixture and to carry it, in jaws that were bored before too?",
)
WALL_BEHIND_THE_FACE = Rule(
    key="wall_behind_the_face",
    name="wall behind the face",
    unit="mm",
    at_least=True,
    basis=(
        f"a plate clamped at the back face's height that yields neither in bending nor in shear; {END_WALL:g} mm "
        f"at least ({PRACTICE}, no source)"
    ),
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry"}),
    view="held",
    asks="does the wall behind the gripped face bear the grip?",
)
METAL_UNDER_THE_SCREW_HEAD = Rule(
    key="metal_under_the_screw_head",
    name="metal under the screw head",
    unit="MPa",
    at_least=False,
    basis=(
        "largest preload over the metal under the head along its rim, against the jaw's yield strength in shear "
        "(von Mises)"
    ),
    depends=frozenset({"friction", "geometry"}),
    view="screw",
    asks="does the metal under the heads bear the preload?",
)
CORNER_OF_THE_PART = Rule(
    key="corner_of_the_part",
    name="corner of the part",
    unit="mm",
    at_least=False,
    basis=(
        "geometry: the part's corner against what the boring insert's nose leaves of the pocket's corner "
        f"({PRACTICE}, no source)"
    ),
    depends=frozenset({"geometry"}),
    view="held",
    asks="does the part's corner clear what the boring insert's nose leaves in the pocket's corner?",
)


def metal_verdicts(parts: Parts) -> Iterator[Verdict]:
    """Yield the verdicts on the jaws as they are bored, which hold for every operation."""
    yield _floor(parts)
    yield _under_head(parts)
    seat = _fixture_seat(parts)
    if seat is not None:
        yield seat


def held_metal_verdicts(parts: Parts, boring: BoringFigures, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield the verdicts on what carries the part of one operation."""
    yield wall_verdict(parts, figures)
    yield _corner(parts, boring, figures)


def _floor(parts: Parts) -> Verdict:
    thinnest, what = least_floor(parts)
    least, limit = floor_under_the_pocket_and_limit(thinnest, parts.scenario.limits.floor)
    return FLOOR_UNDER_THE_POCKET.verdict(
        JAWS,
        least,
        limit,
        message=f"{what} leaves {near(least, limit, 1)} mm of metal over the roots of the serrations.",
        advice="Turn less deep, or take higher jaws.",
    )


def _under_head(parts: Parts) -> Verdict:
    """Judge whether a screw's head would shear through the metal under it, along the rim that it presses."""
    under, shear = head_seat(parts.scenario), screwed_as_stated(parts.scenario).head_shear
    stress, limit = metal_under_the_screw_head_and_limit(shear, parts.jaw_material.yield_strength)
    return METAL_UNDER_THE_SCREW_HEAD.verdict(
        JAWS,
        stress,
        limit,
        message=f"{under:.1f} mm of metal under the head are sheared with {near(stress, limit, 0)} MPa.",
        advice="Use shallower counterbores, a washer, or less torque.",
    )


def _fixture_seat(parts: Parts) -> Verdict | None:
    """Judge what earlier borings leave of the surfaces that press and carry the boring fixture; None without one."""
    left, kind = fixture_seat(parts.scenario), parts.scenario.boring.fixture.kind
    if left is None:
        return None
    pressed, under, fresh = (
        near(100.0 * share, 100.0, 0) for share in (left.pressed, left.under, left.fresh)
    )
    return METAL_AT_THE_FIXTURE.verdict(
        BORING,
        *metal_at_the_fixture_and_limit(left.standing, left.fresh),
        message=(
            f"of the walls that press the ring's pins {pressed}\u00a0% are metal, of the top faces under it "
            f"{under}\u00a0%."
            if kind == "ring"
            else f"of the side of the {kind}'s seat {pressed}\u00a0% are metal and {fresh}\u00a0% are cut anew, of the "
            f"ledge under it {under}\u00a0% are metal."
        ),
        advice="Take a fixture of another size or height, move the jaws by some serrations, or take other jaws.",
        otherwise="fail" if left.standing < LEAST_SEAT else "warn",
    )


def wall_verdict(parts: Parts, figures: OperationFigures) -> Verdict:
    """Judge the wall behind the gripped face as a plate clamped at the back face, a counterbore off its width."""
    scenario, zone = parts.scenario, figures.zone
    pocket = scenario.pocket_of(figures.operation)
    carrying = (
        f"carry the face of '{pocket.name}', the thinner of the wall behind it and the floor that bends with it where "
        "the jaw stands free beside its master jaw"
        if stands_free(scenario)
        else f"stand behind the face of '{pocket.name}'"
    )
    wall, needed = wall_behind_the_face_and_limit(
        wall_behind(scenario, zone, pocket),
        figures.grip.largest_per_jaw,
        face_lever(parts, zone),
        carrying_width(parts, pocket),
        parts.jaw_material.yield_strength,
    )
    return WALL_BEHIND_THE_FACE.verdict(
        figures.operation.name,
        wall,
        needed,
        message=f"{near(wall, needed, 1)} mm of metal {carrying}, "
        f"{carrying_width(parts, pocket):.0f} mm wide beside a counterbore.",
        advice="Take longer jaws, move them by some serrations, or take jaws that were not bored there.",
    )


def carrying_width(parts: Parts, pocket: Pocket) -> float:
    """Return the width (mm) of a jaw that carries a pocket's face: beside its counterbores, its face's if narrowed."""
    screws = parts.scenario.soft_jaw.screws
    least = min(parts.place.width_at(position) for position in screws.positions) - screws.counterbore_diameter
    if not parts.place.narrowed:
        return least
    return min(least, 2.0 * parts.place.face_half_chord(0.5 * pocket.diameter))


def face_lever(parts: Parts, zone: HeldZone) -> float:
    """Return the height (mm) of the held zone's middle above what carries the face.

    That is the back face, or the middle of the floor under it where the jaw stands free beside its master jaw.
    """
    return zone.middle - (0.5 if stands_free(parts.scenario) else 1.0) * zone.seat


def floor_under_the_pocket_and_limit(floor: float, limit: float) -> tuple[float, float]:
    """Return the metal over the roots of the serrations and what must stand there, mm."""
    return floor, limit


def metal_at_the_fixture_and_limit(standing: float, fresh: float) -> tuple[float, float]:
    """Return which share of a fixture's seat is metal or is cut anew, whichever is less, and 1."""
    return min(standing, fresh), 1.0


def metal_under_the_screw_head_and_limit(stress: Number, yield_strength: float) -> tuple[Number, float]:
    """Return the shear stress under a screw's head and what metal of a yield strength bears, MPa."""
    return stress, shear_yield(yield_strength)


def corner_of_the_part_and_limit(lift: float) -> tuple[float, float]:
    """Return how far a part stands off the back face on what is left of a corner, and how far it may, mm."""
    return lift, LIFT


def wall_behind_the_face_and_limit(
    wall: float, force: Number, lever: float, width: float, yield_strength: float
) -> tuple[float, Number]:
    """Return the wall behind the gripped face, no less than 0, and what a force on it asks for, mm.

    Parameters
    ----------
    wall : float
        What stands there, mm; under 0 where the face lies beyond the jaw's end.
    force : float or array
        Of one jaw, N.
    lever, width : float
        Height of the force above the back face and width beside a counterbore, mm.
    yield_strength : float
        Of the jaw, MPa.
    """
    strength = yield_strength * width
    bending = root(6.0 * force * lever / strength)
    # A shear strength for each mm of wall.
    shear = force / shear_yield(strength)
    return max(0.0, wall), larger(larger(bending, shear), END_WALL)


def _corner(parts: Parts, boring: BoringFigures, figures: OperationFigures) -> Verdict:
    lift, most = corner_of_the_part_and_limit(corner_lift(parts, boring.clearance.leftover, figures))
    pocket = parts.scenario.pocket_of(figures.operation)
    groove = "no relief groove" if pocket.groove_width == 0.0 else "its relief groove"
    return CORNER_OF_THE_PART.verdict(
        figures.operation.name,
        lift,
        most,
        message=(
            f"the part's corner is clear of what boring leaves in the corner of '{pocket.name}'."
            if lift <= most
            else f"the part's corner meets what boring leaves in the corner of '{pocket.name}' ({groove}); against the "
            f"wall it stands {near(lift, most, 2)} mm off the back face."
        ),
        advice="Turn a relief groove that takes the insert's nose radius, or chamfer the part by more than it.",
        otherwise="warn",
    )


def corner_lift(parts: Parts, leftover: BaseGeometry, figures: OperationFigures) -> float:
    """Return how far (mm, `CORNER` at most) a part at the wall stands off the back face on what boring leaves."""
    outside = parts.direction == "outside"
    pocket, work = parts.scenario.pocket_of(figures.operation), figures.operation.workpiece
    wall, seat = 0.5 * pocket.diameter, figures.zone.seat
    near_corner = shapely.box(wall - CORNER, seat - 1.0, wall + CORNER, seat + min(CORNER, pocket.depth))
    left = shapely.intersection(leftover, near_corner)
    gripped = 0.25 * (work.gripped_diameter_low + work.gripped_diameter_high)
    radii = [r for r, _ in work.outline if abs(r - gripped) <= GRIPPED_WITHIN]
    touching = (max if outside else min)(radii, default=gripped)
    part = affinity.translate(section(parts.workpieces[figures.index], seat), xoff=wall - touching)

    def meets(lift: float) -> bool:
        return bool(shapely.intersection(affinity.translate(part, yoff=lift), left).area > SLIVER)

    if shapely.is_empty(left) or not meets(0.0):
        return 0.0
    low, high = 0.0, CORNER
    while high - low > 1e-3:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if meets(middle) else (low, middle)
    return high
