"""Figures and verdicts of one operation's variants."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from sim.assessment.edges import BEYOND
from sim.assessment.jaws import Screwed, rotor_mass
from sim.assessment.part_wall import part_wall
from sim.assessment.side import largest_side_force
from sim.assessment.stress import share_of_yield
from sim.assessment.verdicts.cutting import (
    DEPTH_OF_THE_CUTS,
    FEED_OF_THE_CUTS,
    LEAST_MEASURED,
    SPECIFIC_FORCE_OF_THE_CUTS,
    depth_of_the_cuts_and_limit,
    feed_of_the_cuts_and_limit,
    specific_force_of_the_cuts_and_limit,
    states_specific_force,
)
from sim.assessment.verdicts.friction import (
    FRICTION_OF_THE_PART_IN_THE_JAWS,
    friction_of_the_part_in_the_jaws_and_limit,
    known_friction,
)
from sim.assessment.verdicts.grip import (
    GRIP_AT_REST,
    GUIDEWAY_MOMENT,
    HOLDING_FACTOR,
    LARGEST_GRIP,
    LEAST_GRIP_OF_A_JAW,
    SPINDLE_SPEED,
    grip_at_rest_and_limit,
    guideway_moment_and_limit,
    holding_factor_and_limit,
    largest_grip_and_limit,
    least_grip_of_a_jaw_and_limit,
    may_creep,
    spindle_speed_and_limit,
)
from sim.assessment.verdicts.metal import (
    WALL_BEHIND_THE_FACE,
    carrying_width,
    face_lever,
    wall_behind_the_face_and_limit,
)
from sim.assessment.verdicts.part import (
    DISPLACEMENT_AGAINST_WALL,
    JAW_TAPER_UNDER_GRIP,
    MARKING,
    PART_CLEAR_OF_THE_JAWS,
    ROUNDNESS_AFTER_RELEASE,
    STRESS_AGAINST_YIELD,
    SWING,
    displacement_against_wall_and_limit,
    jaw_taper_under_grip_and_limit,
    marking_and_limit,
    part_clear_of_the_jaws_and_limit,
    roundness_after_release_and_limit,
    stress_against_yield_and_limit,
    swing_and_limit,
    swing_diameter,
)
from sim.assessment.verdicts.part_balance import (
    UNBALANCE_OF_THE_PART,
    part_off_axis,
    unbalance_of_the_part_and_limit,
)
from sim.assessment.verdicts.pockets import CLEAR_OF_THE_OTHER_STEP, clear_of_the_other_step_and_limit
from sim.assessment.verdicts.rule import over
from sim.assessment.verdicts.spindle import SPINDLE_POWER, chart_of, spindle_loads, spindle_power_and_limit
from sim.assessment.verdicts.supports import (
    BEND_OF_THE_PART,
    WEIGHT_HELD_BY_THE_JAWS,
    WHIP_OF_THE_PART,
    bend_of_the_part_and_limit,
    weight_held_by_the_jaws_and_limit,
    whip_of_the_part_and_limit,
)
from sim.assessment.verdicts.thin_section import SECTION_UNDER_THE_CUT, section_under_the_cut_and_limit
from sim.base.arrays import Floats
from sim.contact import taper_um
from sim.mechanics.grip import force_alike
from sim.mechanics.thin_section import worst_stress
from sim.setup.pairing import pairing_of
from sim.setup.sections import part_metal
from sim.variants.batch import OperationBatch, fit_of, fits_of, states_of
from sim.variants.clamped import MOVED, PRESSURE, ROUNDNESS, SLOPE, STRESS
from sim.variants.demand import demanded, friction, moves_demanded
from sim.variants.grip import boring_rest, gripped, left_at, permissible_speed
from sim.variants.jaws import seat_lines
from sim.variants.keys import Values
from sim.variants.line import Line
from sim.variants.places import place_lines
from sim.variants.ready import Variants
from sim.variants.result import FAIL, PASS, WARN, fails_where
from sim.variants.running import running_lines
from sim.variants.travel import Sizes, travel_lines


def operation_batch(ready: Variants, index: int, values: Values, where: Sizes) -> OperationBatch:
    """Return the figures of an operation's variants."""
    scenario, own = ready.parts.scenario, ready.operations[index]
    zone = own.figures.zone
    grip = gripped(
        scenario, index, values, zone.middle, own.moment + own.moment_per_travel * where.grip_travel
    )
    fit = fit_of(index, values, where, where.middle)
    mu, times = friction(scenario, index, values), values("limits.holding_factor")
    cuts, held = [], []
    for k in range(len(scenario.operations[index].cuts)):
        cuts.append(demanded(scenario, index, k, values, zone))
        left = left_at(scenario, index, values, grip, cuts[k].speed)
        held.append(own.holdings.held(k, grip.rest, fit, left, mu, cuts[k].forces.tangential, times))
    moves = moves_demanded(scenario, index, values, zone, own.programmed)
    moves_held = []
    for k, move in enumerate(moves):
        left = left_at(scenario, index, values, grip, move.speed)
        moves_held.append(
            own.program_holdings.held(k, grip.rest, fit, left, mu, move.forces.tangential, times)
        )
    pushing = [one.grip.side for one in moves_demanded(scenario, index, values, zone, own.pushing)]
    alone = None if own.alone is None else own.alone.factor(grip.rest, fit, grip.counted, mu)
    return OperationBatch(
        index,
        where,
        grip,
        tuple(cuts),
        tuple(held),
        moves,
        tuple(moves_held),
        tuple(pushing),
        alone,
    )


def operation_lines(
    ready: Variants,
    batch: OperationBatch,
    values: Values,
    screw: Screwed[Floats],
    before: Sequence[OperationBatch] = (),
) -> Iterator[Line]:
    """Yield the verdicts of an operation; `before` are the operations before it."""
    yield from _part_lines(ready, batch, values)
    yield from place_lines(ready.operations[batch.index].places, values, batch.where)
    yield from _contact_lines(ready, batch, values, before)
    yield from _grip_lines(ready, batch, values)
    yield from _friction_lines(ready, batch, values)
    yield from _cut_lines(ready, batch, values)
    yield from _spindle_lines(ready, batch, values)
    mu = friction(ready.parts.scenario, batch.index, values)
    yield from seat_lines(ready, batch.index, batch.grip, batch.where.grip_travel, screw, mu)


def _part_lines(ready: Variants, batch: OperationBatch, values: Values) -> Iterator[Line]:
    scenario, own, where = ready.parts.scenario, ready.operations[batch.index], batch.where
    stage, wanted = own.figures.operation.name, values("limits.loading_clearance")
    yield from travel_lines(scenario, stage, where, values)
    overlap = own.clear(where.grip_travel[:, None])[:, 0]
    yield Line(PART_CLEAR_OF_THE_JAWS, stage, *part_clear_of_the_jaws_and_limit(overlap))
    if own.other_step is not None:
        gap = own.other_step(where.last[:, None])[:, 0]
        yield Line(CLEAR_OF_THE_OTHER_STEP, stage, *clear_of_the_other_step_and_limit(gap, wanted))
    zone = own.figures.zone
    pair = wall_behind_the_face_and_limit(
        own.wall_behind,
        batch.grip.largest / 3.0,
        face_lever(ready.parts, zone),
        carrying_width(ready.parts, scenario.pocket_of(own.figures.operation)),
        ready.parts.jaw_material.yield_strength,
    )
    yield Line(WALL_BEHIND_THE_FACE, stage, *pair)
    swing = swing_diameter(ready.parts, batch.index, where.grip_travel)
    yield Line(SWING, stage, *swing_and_limit(swing, values("machine.swing_diameter")))
    if ready.parts.workpieces[batch.index].solid is not None:
        speed = values(f"operations.{batch.index}.gripping.speed_high")
        amount, mass = part_off_axis(ready.parts, batch.index)
        limited = unbalance_of_the_part_and_limit(amount, mass + rotor_mass(ready.parts, ready.jaw), speed)
        yield Line(UNBALANCE_OF_THE_PART, stage, *limited)


def _contact_lines(
    ready: Variants, batch: OperationBatch, values: Values, before: Sequence[OperationBatch]
) -> Iterator[Line]:
    scenario, own, where = ready.parts.scenario, ready.operations[batch.index], batch.where
    operation, stage = own.figures.operation, own.figures.operation.name
    states = states_of(ready, batch)
    fits = fits_of(batch.index, values, where)
    at = [states.split(own.clamped.pressed(states.force, states.both(fit), states.pulls)) for fit in fits]
    peak = np.max([found[..., PRESSURE] for found in at], axis=(0, 1))
    marked = WARN if operation.marking_allowed else FAIL
    yield Line(MARKING, stage, *marking_and_limit(peak, own.figures.yield_strength), otherwise=marked)
    sizes = at if own.figures.clamping.model == "elastic" else at[:1]
    round_, stress, moved = (
        np.max([found[..., of] for found in sizes], axis=(0, 1)) for of in (ROUNDNESS, STRESS, MOVED)
    )
    limit = values(f"operations.{batch.index}.roundness_limit")
    yield Line(ROUNDNESS_AFTER_RELEASE, stage, *roundness_after_release_and_limit(round_, limit))
    wall = part_wall(ready.parts, batch.index, own.figures.zone)
    share = share_of_yield(stress, wall.material.yield_strength, peak, own.figures.yield_strength)
    yield Line(STRESS_AGAINST_YIELD, stage, *stress_against_yield_and_limit(share))
    thick = wall.thickness_at(0.5 * where.middle)
    yield Line(DISPLACEMENT_AGAINST_WALL, stage, *displacement_against_wall_and_limit(moved, thick))
    yield from running_lines(ready, batch, values, before, round_)
    boring = np.zeros(values.count)
    if scenario.boring.fixture.kind != "none":
        rest, lever = boring_rest(scenario, values)
        boring = force_alike(rest / 3.0, lever, batch.grip.height)
    per_jaw = states.split(states.force) / 3.0
    tapers = taper_um(at[0][..., SLOPE], per_jaw, boring, own.figures.zone.length)
    pair = jaw_taper_under_grip_and_limit(tapers, values("limits.jaw_taper"))
    yield Line(JAW_TAPER_UNDER_GRIP, stage, *pair, otherwise=WARN)
    sides = [share * c.grip.side for share, c in zip(own.shares, batch.cuts, strict=True)]
    sides += [share * one for share, one in zip(own.pushing_shares, batch.pushing, strict=True)]
    side = largest_side_force(sides, own.weight)
    least = own.clamped.least(batch.grip.counted, fits[0], side, states.pulls[values.count :])
    asked = values("limits.holding_factor")
    pair = least_grip_of_a_jaw_and_limit(least, batch.grip.counted, asked)
    yield Line(LEAST_GRIP_OF_A_JAW, stage, *pair)


def _grip_lines(ready: Variants, batch: OperationBatch, values: Values) -> Iterator[Line]:
    scenario, own, grip = ready.parts.scenario, ready.operations[batch.index], batch.grip
    stage = own.figures.operation.name
    factor, limit = holding_factor_and_limit((h.factor for h in batch.held), values("limits.holding_factor"))
    bare = np.min([h.without_back_face for h in batch.held], axis=0)
    passed = np.where((bare < limit) | may_creep(factor), WARN, PASS).astype(np.int8)
    yield Line(HOLDING_FACTOR, stage, factor, limit, passed=passed)
    bends = [gives * c.grip.side for gives, c in zip(own.figures.gives, batch.cuts, strict=True)]
    depths = [values(f"operations.{batch.index}.cuts.{k}.depth_of_cut") for k in range(len(bends))]
    grave = np.any([over(bend, depth) for bend, depth in zip(bends, depths, strict=True)], axis=0)
    pair = bend_of_the_part_and_limit(bends, values("limits.part_bend"))
    yield Line(BEND_OF_THE_PART, stage, *pair, otherwise=fails_where(grave))
    yield _section_line(ready, batch, values)
    whipping = whip_of_the_part_and_limit(grip.speed_high, own.figures.whips_at)
    yield Line(WHIP_OF_THE_PART, stage, *whipping)
    if batch.alone is not None:
        pair = weight_held_by_the_jaws_and_limit(batch.alone, values("limits.holding_factor"))
        yield Line(WEIGHT_HELD_BY_THE_JAWS, stage, *pair)
    pair = grip_at_rest_and_limit(
        grip.rest,
        batch.needed,
        grip.pull(grip.speed_high),
        ready.parts.direction,
        values("limits.holding_factor"),
        values("limits.grip_factor"),
    )
    yield Line(GRIP_AT_REST, stage, *pair)
    permissible = permissible_speed(scenario, batch.index, values, grip, batch.needed)
    pair = spindle_speed_and_limit(grip.speed_high, permissible, values("machine.speed_limit"))
    yield Line(SPINDLE_SPEED, stage, *pair)
    pair = guideway_moment_and_limit(grip.guide_moment(grip.height), values("chuck.moment_limit"))
    yield Line(GUIDEWAY_MOMENT, stage, *pair)
    if scenario.chuck.largest_grip is not None:
        pair = largest_grip_and_limit(grip.largest, values("chuck.largest_grip"))
        yield Line(LARGEST_GRIP, stage, *pair)


def _section_line(ready: Variants, batch: OperationBatch, values: Values) -> Line:
    """Return the verdict on the thinnest section that a cut, or a move of the program, loads."""
    own = ready.operations[batch.index]
    metal = part_metal(ready.parts.scenario, batch.index)
    scenario, moves = ready.parts.scenario, [one.demand for one in own.thin[len(batch.cuts) :]]
    loaded = moves_demanded(scenario, batch.index, values, own.figures.zone, moves)
    asked = [of.forces for of in (*batch.cuts, *loaded)]
    late, sure = (
        np.max([worst_stress(forces, these, brittle=metal.brittle)[0] for forces, these in pairs], axis=0)
        for pairs in (
            [(forces, one.sections) for forces, one in zip(asked, own.thin, strict=True)],
            [(forces, one.certain or one.sections) for forces, one in zip(asked, own.thin, strict=True)],
        )
    )
    share, most = section_under_the_cut_and_limit(late, metal.yield_strength)
    grave = over(section_under_the_cut_and_limit(sure, metal.yield_strength)[0], most)
    return Line(SECTION_UNDER_THE_CUT, own.figures.operation.name, share, most, otherwise=fails_where(grave))


def _friction_lines(ready: Variants, batch: OperationBatch, values: Values) -> Iterator[Line]:
    """Yield the verdict on a friction that varies, which then counts as measured."""
    key = f"operations.{batch.index}.gripping.friction"
    if key not in values:
        return
    operation = ready.operations[batch.index].figures.operation
    scenario = ready.parts.scenario
    materials = scenario.metal(operation.workpiece.material), scenario.metal(scenario.soft_jaw.material)
    known = known_friction(pairing_of(scenario, batch.index), *materials, measured=True)
    used = friction(scenario, batch.index, values)
    pair = friction_of_the_part_in_the_jaws_and_limit(used, np.full_like(used, known.limit))
    otherwise = fails_where(over(used, known.most))
    yield Line(FRICTION_OF_THE_PART_IN_THE_JAWS, operation.name, *pair, otherwise=otherwise)


def _cut_lines(ready: Variants, batch: OperationBatch, values: Values) -> Iterator[Line]:
    """Yield the verdicts on feed and depth of the cuts, each for the cut that is nearest to what its edge takes."""
    operation, name = ready.operations[batch.index].figures.operation, f"operations.{batch.index}.cuts"
    cuts = operation.cuts
    feeds, depths = (
        [values(f"{name}.{k}.{of}") for k in range(len(cuts))] for of in ("feed", "depth_of_cut")
    )
    share, most = feed_of_the_cuts_and_limit(feeds, cuts)
    yield Line(FEED_OF_THE_CUTS, operation.name, share, most, otherwise=fails_where(over(share, BEYOND)))
    if any(cut.insert is not None for cut in cuts):
        share, most = depth_of_the_cuts_and_limit(depths, cuts)
        yield Line(DEPTH_OF_THE_CUTS, operation.name, share, most, otherwise=fails_where(over(share, BEYOND)))
    metal = ready.parts.scenario.metal(operation.workpiece.material)
    own = [k for k, cut in enumerate(cuts) if states_specific_force(cut, metal)]
    if own:
        pair = specific_force_of_the_cuts_and_limit([feeds[k] for k in own], [cuts[k] for k in own], metal)
        grave = fails_where(over(LEAST_MEASURED, pair[0]))
        yield Line(SPECIFIC_FORCE_OF_THE_CUTS, operation.name, *pair, otherwise=grave)


def _spindle_lines(ready: Variants, batch: OperationBatch, values: Values) -> Iterator[Line]:
    """Yield the power that the cuts ask of the spindle, each variant's for the cut that takes most of what it gets."""
    operation = ready.operations[batch.index].figures.operation
    chart = chart_of(ready.parts.scenario.machine)
    top = values(f"operations.{batch.index}.gripping.speed_high")
    loads = spindle_loads(operation.cuts, [(of.forces, of.speed) for of in batch.cuts], top)
    if chart and loads:
        pair = spindle_power_and_limit(loads, chart, values("machine.drive_efficiency"))
        yield Line(SPINDLE_POWER, operation.name, *pair)
