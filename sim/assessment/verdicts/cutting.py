"""Verdicts on cuts as stated and on the noses of a path: do nose and edge take feed and depth, can forces be true."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import reduce

from meshes.insert import Insert
from sim.assessment.demand import asked_speed, metal_of
from sim.assessment.edges import (
    BEYOND,
    DEPTH_BASIS,
    FEED_BASIS,
    UNKNOWN_NOSE,
    feed_of_nose,
    nose_of,
    usual_depth,
    usual_feed,
)
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.figures.path import PathFigures
from sim.assessment.verdict import Status, Verdict
from sim.assessment.verdicts.path import place
from sim.assessment.verdicts.rule import Rule, over
from sim.base.floats import Number, larger, smaller
from sim.base.printable import printable
from sim.base.rounding import near
from sim.base.tables import Material
from sim.mechanics import cutting, drilling, kienzle
from sim.mechanics.threading import HALF_ANGLE
from sim.scenario import Cut
from sim.setup.parts import Parts

# Printings of Kienzle's values differ by 30 % and more: measured forces below the lower one's for a sharp edge warn,
# those below half of it are no forces of that cut.
LEAST_MEASURED = 0.5
THRUST = 0.2  # feed and passive force together over the cutting force, at the least (as `cutting.FEED_RATIO`)
# Mean force of a milling cutter over that of a turning tool with its depth and its feed a revolution, where a
# sixteenth of the diameter is engaged: a_e / (pi d) (derived).
MILLING = 0.02

FEED_ON_THE_NOSE = Rule(
    key="feed_on_the_nose",
    name="feed on the nose",
    unit="mm/rev",
    at_least=False,
    basis=FEED_BASIS,
    background="common practice: two thirds of the nose radius, 0.03 of a drill's diameter, two thirds to a "
    "quarter of the edge by its shape; half as much again fails",
    depends=frozenset({"cut"}),
    view="",
    asks="does the nose of the insert take the feed of each cutting move?",
)
FEED_OF_THE_CUTS = Rule(
    key="feed_of_the_cuts",
    name="feed of the cuts",
    unit="of usual",
    at_least=False,
    basis=FEED_BASIS,
    background="common practice: two thirds of the nose radius, 0.03 of a drill's diameter, two thirds to a "
    "quarter of the edge by its shape; half as much again fails",
    depends=frozenset({"cut"}),
    view="cut",
    asks="does the nose of the insert (or the drill) take the feed?",
)
DEPTH_OF_THE_CUTS = Rule(
    key="depth_of_the_cuts",
    name="depth of the cuts",
    unit="of usual",
    at_least=False,
    basis=DEPTH_BASIS,
    background="common practice: two thirds of the nose radius, 0.03 of a drill's diameter, two thirds to a "
    "quarter of the edge by its shape; half as much again fails",
    depends=frozenset({"cut"}),
    view="cut",
    asks="does the edge of the insert take the depth?",
)
SPECIFIC_FORCE_OF_THE_CUTS = Rule(
    key="specific_force_of_the_cuts",
    name="specific force of the cuts",
    unit="of the table's",
    at_least=True,
    basis=(
        "the lower of two printings of Kienzle's values for the material, at the same feed and rake; printings differ "
        f"by 30\u00a0% and more, so that less than {LEAST_MEASURED:g} fails"
    ),
    depends=frozenset({"cut"}),
    view="cut",
    asks="can a stated kc1.1 with its mc be that of the part's material?",
)
MEASURED_FORCES = Rule(
    key="measured_forces",
    name="measured forces",
    unit="of Kienzle's",
    at_least=True,
    basis=(
        "Kienzle's lower printing with a sharp edge, feed and passive force a fifth of the cutting force at "
        f"least (common practice); printings differ by 30\u00a0% and more, so that less than {LEAST_MEASURED:g} fails"
    ),
    depends=frozenset({"speed", "cut"}),
    view="cut",
    asks="can stated forces be those of the stated depth and feed?",
)


def feed_on_the_nose_and_limit(feed: float, nose: float) -> tuple[float, float]:
    """Return a feed and the usual one of a nose radius (mm), mm/rev."""
    return feed, feed_of_nose(nose)


def feed_of_the_cuts_and_limit(feeds: Iterable[Number], cuts: Iterable[Cut]) -> tuple[Number, float]:
    """Return the largest feed (mm/rev) of cuts over the usual one of each, and 1."""
    return reduce(larger, (feed / usual_feed(cut) for feed, cut in zip(feeds, cuts, strict=True))), 1.0


def depth_of_the_cuts_and_limit(depths: Iterable[Number], cuts: Iterable[Cut]) -> tuple[Number, float]:
    """Return the largest depth (mm) of cuts over the usual one of each, and 1."""
    return reduce(larger, (depth / usual_depth(cut) for depth, cut in zip(depths, cuts, strict=True))), 1.0


def specific_force_of_the_cuts_and_limit(
    feeds: Iterable[Number], cuts: Iterable[Cut], material: Material
) -> tuple[Number, float]:
    """Return the least specific force that cuts state over the table's least at their feeds (mm/rev), and 1."""
    pairs = zip(feeds, cuts, strict=True)
    return reduce(smaller, (stated_share(feed, cut, material) for feed, cut in pairs)), 1.0


def stated_share(feed: Number, cut: Cut, material: Material) -> Number:
    """Return a cut's specific force as stated over the table's least, each at the cut's rake and chip; 1 for none."""
    if not states_specific_force(cut, material):
        return 0.0 * feed + 1.0
    drill = cut.kind == "drilling"
    # As `drilling.drill_forces` and `cutting.kienzle_forces` find the chip.
    angle = drilling.DRILL_POINT / 2.0 if drill else _edge_angle(cut)
    thickness, _ = kienzle.chip_section(0.5 * feed if drill else feed, cut.depth_of_cut, angle)
    if cut.kind == "tapping":
        thickness = drilling.TAP_CHIP * feed
    if cut.kind == "threading":
        thickness = 0.0 * feed + math.sin(HALF_ANGLE) * cut.depth_of_cut
    own, table = metal_of(cut, material), kienzle.group_metal(material)
    found, least = (
        kienzle.specific_force(thickness, *metal.kienzle.favourable(thickness))
        * kienzle.rake_factor(cut.rake_angle, metal.rake)
        for metal in (own, table)
    )
    return found / least


def measured_forces_and_limit(share: float) -> tuple[float, float]:
    """Return what forces as measured are of the least by Kienzle, and 1."""
    return share, 1.0


def states_specific_force(cut: Cut, material: Material) -> bool:
    """Tell whether a cut's forces follow from values of the shop's own: the cut's, or its material's."""
    return cut.specific_force is not None or (material.cutting is not None and cut.forces is None)


def cutting_verdicts(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield the verdicts on an operation's cuts as they are stated."""
    cuts, stage = figures.operation.cuts, figures.operation.name
    metal = parts.scenario.metal(figures.operation.workpiece.material)
    cut = max(cuts, key=lambda one: one.feed / usual_feed(one))
    share, most = feed_of_the_cuts_and_limit([one.feed for one in cuts], cuts)
    yield FEED_OF_THE_CUTS.verdict(
        stage,
        share,
        most,
        message=f"'{cut.name}': {near(cut.feed, usual_feed(cut), 2)} mm/rev {_edge(cut)}.",
        advice=f"Feed less, or state the tool's insert or nose_radius, if it is over {nose_of(cut):g} mm."
        if cut.kind not in ("drilling", "tapping", "grooving", "parting", "threading")
        else "Feed less.",
        otherwise=beyond(share),
    )
    if any(one.insert is not None for one in cuts):
        cut = max(cuts, key=lambda one: one.depth_of_cut / usual_depth(one))
        share, most = depth_of_the_cuts_and_limit([one.depth_of_cut for one in cuts], cuts)
        yield DEPTH_OF_THE_CUTS.verdict(
            stage,
            share,
            most,
            message=f"'{cut.name}': {near(cut.depth_of_cut, usual_depth(cut), 2)} mm with {cut.insert or 'no insert'}, "
            f"which takes {usual_depth(cut):.2f} mm.",
            advice="Take more passes, or a larger insert.",
            otherwise=beyond(share),
        )
    if any(states_specific_force(one, metal) for one in cuts):
        yield _specific_force(figures, metal)
    if any(one.forces is not None for one in cuts):
        yield _measured(figures, metal)


def beyond(share: float) -> Status:
    """Return what a share of the usual feed or depth is called where it is over 1."""
    return "fail" if over(share, BEYOND) else "warn"


def _edge(cut: Cut) -> str:
    if cut.kind == "drilling":
        return f"with a drill of {cut.diameter:g} mm, which takes {usual_feed(cut):.2f} mm/rev"
    if cut.kind == "tapping":
        return f"with a tap of {cut.diameter:g} mm, whose pitch is at most {usual_feed(cut):.2f} mm"
    if cut.kind in ("grooving", "parting"):
        return f"with a blade of {cut.depth_of_cut:g} mm, which takes {usual_feed(cut):.2f} mm/rev"
    if cut.kind == "threading":
        return "of lead, which is no feed of an edge"
    if not math.isfinite(usual_feed(cut)):
        return "with a cutter that turns"
    stated = cut.insert is not None or cut.nose_radius is not None
    words = (
        ""
        if stated
        else f", as neither insert nor nose_radius is stated ({UNKNOWN_NOSE:g} mm is the smallest usual)"
    )
    return f"on a nose of {nose_of(cut):g} mm, which takes {usual_feed(cut):.2f} mm/rev{words}"


def _specific_force(figures: OperationFigures, material: Material) -> Verdict:
    """Return the verdict on the shop's own values beside those of the table."""
    stated = [cut for cut in figures.operation.cuts if states_specific_force(cut, material)]
    share, least = specific_force_of_the_cuts_and_limit([cut.feed for cut in stated], stated, material)
    cut = min(stated, key=lambda one: stated_share(one.feed, one, material))
    own = metal_of(cut, material).kienzle
    return SPECIFIC_FORCE_OF_THE_CUTS.verdict(
        figures.operation.name,
        share,
        least,
        message=f"'{cut.name}': kc1.1 {own.kc11_low:.0f} MPa with mc {own.mc_low:g} as stated makes "
        f"{near(share, least, 2)} of the least force that the table gives {printable(material.name)} at that feed.",
        advice="Try again with this metal and a sharp edge, or leave specific_force out and take the table's.",
        otherwise="fail" if over(LEAST_MEASURED, share) else "warn",
    )


def _measured(figures: OperationFigures, material: Material) -> Verdict:
    """Return the verdict on measured forces beside the least that Kienzle gives for the same cut with a sharp edge."""
    stated = [cut for cut in figures.operation.cuts if cut.forces is not None]
    cut = min(stated, key=lambda one: measured_share(one, material))
    share, least = measured_forces_and_limit(measured_share(cut, material))
    main, thrust = least_forces(cut, material)
    forces = cut.forces
    if forces is None:
        raise ValueError("a cut with measured forces is looked at")
    across = (
        f"{math.hypot(forces.feed, forces.passive):.4g} N along feed and depth, for {thrust:.0f} N"
        if thrust
        else ""
    )
    return MEASURED_FORCES.verdict(
        figures.operation.name,
        share,
        least,
        message=f"'{cut.name}': {forces.tangential:.4g} N of cutting force are stated as measured, for {main:.0f} N by "
        f"Kienzle{f'; {across}' if across else ''}.",
        advice="Measure again with this depth and feed, or leave forces out and take Kienzle's.",
        otherwise="fail" if share < LEAST_MEASURED else "warn",
    )


def measured_share(cut: Cut, material: Material) -> float:
    """Return measured forces over the least by Kienzle: of the cutting force or of feed and passive force, the less."""
    if cut.forces is None:
        return math.inf
    main, thrust = least_forces(cut, material)
    across = math.hypot(cut.forces.feed, cut.forces.passive)
    return min(cut.forces.tangential / main, across / thrust if thrust > 0.0 else math.inf)


def _edge_angle(cut: Cut) -> float:
    return 0.5 * math.pi if cut.kind in ("grooving", "parting") else cut.approach_angle


def least_forces(cut: Cut, material: Material) -> tuple[float, float]:
    """Return the least cutting force, and feed and passive force together, of a cut by Kienzle, N.

    With a sharp edge, and without what is added to be cautious for slow cuts, boring and drilling.
    """
    metal = kienzle.group_metal(material)
    speed = cut.cutting_speed or kienzle.DEFAULT_SPEED
    if not cut.rotating_tool:
        speed = cutting.cutting_speed(cut.diameter, asked_speed(cut))
    factor = kienzle.correction(cut.rake_angle, 1.0, max(speed, 100.0), "turning", metal.rake)
    if cut.kind == "drilling":
        kc11, mc = metal.kienzle.favourable(0.5 * cut.feed)
        found = drilling.drilling_forces(cut.feed, cut.diameter, kc11, mc, 0.0, factor)
        return found.tangential, found.feed
    if cut.kind == "tapping":
        kc11, mc = metal.kienzle.favourable(cut.feed)
        return kienzle.specific_force(cut.feed, kc11, mc) * 0.25 * cut.feed**2 * factor, 0.0
    if cut.kind == "threading":
        # The least section of a pass: that of a V of 55 deg, its first one.
        section = math.tan(HALF_ANGLE) * cut.depth_of_cut**2
        kc11, mc = metal.kienzle.favourable(cut.depth_of_cut)
        return kienzle.specific_force(cut.depth_of_cut, kc11, mc) * section * factor, 0.0
    angle = _edge_angle(cut)
    thickness, _ = kienzle.chip_section(cut.feed, cut.depth_of_cut, angle)
    kc11, mc = metal.kienzle.favourable(thickness)
    main = kienzle.cutting_force(cut.feed, cut.depth_of_cut, angle, kc11, mc, factor)
    return (MILLING * main, 0.0) if cut.rotating_tool else (main, THRUST * main)


def nose_verdicts(path: PathFigures, stage: str, fallback: float) -> Iterator[Verdict]:
    """Yield the verdict on the feeds of a path's cutting moves on the noses of its inserts.

    `fallback` is the feed (mm/rev) of a move that has none.
    Cutters by their outline (a grooving blade, a drill) have no nose that feeds along, and a thread's lead is its
    pitch: they are left out.
    """
    worst: tuple[float, int, float, float] | None = None
    for number, move in enumerate(path.moves):
        cutter = path.drawn[path.run_of(number)].cutter
        if (
            move.kind != "feed"
            or move.thread is not None
            or not path.clearance.depth_of_cut[number] > 0.0
            or not isinstance(cutter, Insert)
        ):
            continue
        feed = move.feed or fallback
        share = feed / feed_of_nose(cutter.nose_radius)
        if worst is None or share > worst[0]:
            worst = share, number, feed, cutter.nose_radius
    if worst is None:
        return
    share, number, fed, nose = worst
    feed, usual = feed_on_the_nose_and_limit(fed, nose)
    yield FEED_ON_THE_NOSE.verdict(
        stage,
        feed,
        usual,
        message=f"{near(feed, usual, 2)} mm/rev in {place(path, number)} on a nose of {nose:g} mm, which takes "
        f"{usual:.2f} mm/rev.",
        advice="Feed less, or take an insert with a larger nose.",
        otherwise=beyond(share),
    )
