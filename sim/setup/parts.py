"""From a scenario to parts: dimensions and solids, each in its own frame, and where the part is held.

Lengths in mm. Nothing here depends on the travel; `sim.setup.pose` places the parts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
import trimesh

from meshes import chuck_body, jaw_screw, master_jaw, soft_jaw, t_nut
from meshes.boring_ring import BoringRing
from meshes.outer_ring import OuterRing
from meshes.plug import Plug
from meshes.pocket import Pocket, removed_inside, removed_outside
from meshes.turning_tool import TurningTool
from meshes.workpiece import Workpiece
from sim.base.arrays import Floats
from sim.base.errors import ScenarioError, in_field
from sim.base.floats import Number
from sim.base.tables import Material, material, thread
from sim.scenario import BackStop, Operation, Scenario
from sim.scenario import OuterRing as OuterRingTable
from sim.scenario import Plug as PlugTable
from sim.scenario import Pocket as PocketTable
from sim.scenario import Ring as RingTable
from sim.setup import tooling
from sim.setup.jaw_model import jaw_model
from sim.setup.jaw_solid import GrippedFace, require_solid

# Lengths of socket head cap screws that are made, mm (ISO 4762, from memory, not verified).
SCREW_LENGTHS = (16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100, 110, 120, 130, 140, 150)
GRIPPED_WITHIN = 0.6  # mm, an outline's edge this near to the gripped radius belongs to the gripped surface

TOUCHES = 0.1  # mm by which what the jaws grip may stand back: they close by less (assumption, no source)

Direction = Literal["outside", "inside"]


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


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """Everything of a setup in its own frame.

    Attributes
    ----------
    scenario : Scenario
    direction : Direction
        'outside' or 'inside'.
    jaw_material : Material
    pockets : tuple of Pocket
        As turned, without the fixture's seat.
    removed : (n, 2) array
        (r, z) outline of all that is turned out of the jaws at the boring travel, fixture's seat included; mm.
    stock_removed : (n, 2) array or None
        What has been turned before the boring path starts (pre-bore, fixture's seat), mm; None for the blank.
    blank, stock, bored : Trimesh
        One soft jaw in the jaw frame: as it is mounted (earlier borings taken away), as the boring path finds it,
        and finished.
    body, master, nut, screw : Trimesh
        Chuck body; master jaw; T-nut; jaw screw.
    workpieces : tuple of Workpiece
        One for each operation, part frame.
    ring, plug, outer_ring : BoringRing or None, Plug or None, OuterRing or None
        Fixture's dimensions, None where not used.
    boring_tools : tuple of TurningTool
        In the order of the program's tools, or the one of `boring.tool`.
    part_tools : tuple of tuple of TurningTool
        For each operation; empty without a program.
    back_stops : tuple of Plug or None
        For each operation, a disc.
    """

    scenario: Scenario
    direction: Direction
    jaw_material: Material
    pockets: tuple[Pocket, ...]
    removed: Floats
    stock_removed: Floats | None
    blank: trimesh.Trimesh
    stock: trimesh.Trimesh
    bored: trimesh.Trimesh
    body: trimesh.Trimesh
    master: trimesh.Trimesh
    nut: trimesh.Trimesh
    screw: trimesh.Trimesh
    workpieces: tuple[Workpiece, ...]
    ring: BoringRing | None
    plug: Plug | None
    outer_ring: OuterRing | None
    boring_tools: tuple[TurningTool, ...]
    part_tools: tuple[tuple[TurningTool, ...], ...]
    back_stops: tuple[Plug | None, ...]


def inner_end_radius(scenario: Scenario, travel: Number) -> Number:
    """Return the radius (mm) of the soft jaws' inner ends at a travel (mm)."""
    jaw, stroke = scenario.soft_jaw, scenario.chuck.stroke
    opened = jaw.mounting_radius + jaw.serration_index * scenario.chuck.serration_pitch
    return opened - travel if gripping_direction(scenario) == "outside" else opened - stroke + travel


def face_half_chord(scenario: Scenario, radius: float) -> float:
    """Return half the chord (mm) of the face that boring to a radius (mm) gives, between its edge chamfers.

    As wide as the jaw where the bore leaves the blank through its sides. A small bore leaves it through the inner end
    (or its flanks, beside a narrowed tip): then the face is narrower, and its edges are those of the inner end.
    """
    jaw, inner = scenario.soft_jaw, inner_end_radius(scenario, scenario.boring.travel)
    tip = 0.5 * (jaw.tip_width or jaw.width)
    end = math.sqrt(max(radius**2 - max(inner, 0.0) ** 2, 0.0))
    if end > tip:
        # The flank's line stands this far from the axis; it meets the bore at 60 deg less what that takes off.
        off = tip * math.cos(soft_jaw.FLANK_ANGLE) - inner * math.sin(soft_jaw.FLANK_ANGLE)
        angle = soft_jaw.FLANK_ANGLE + math.asin(max(-1.0, min(1.0, off / radius)))
        end = radius * math.sin(min(angle, 0.5 * math.pi))
    return min(0.5 * jaw.width - jaw.edge_chamfer, end)


def master_inner_radius(scenario: Scenario, travel: float) -> float:
    """Return the radius (mm) of the master jaws' inner ends at a travel (mm)."""
    stroke, opened = scenario.chuck.stroke, scenario.master_jaw.inner_radius
    return opened - travel if gripping_direction(scenario) == "outside" else opened - stroke + travel


def gripping_direction(scenario: Scenario) -> Direction:
    """Return 'outside' or 'inside', the same for all operations."""
    return scenario.operations[0].gripping.direction


def build(scenario: Scenario) -> Parts:
    """Build every part of a scenario.

    Raises
    ------
    ScenarioError
        If a part cannot be made as stated; the message names the table.
    """
    try:
        return _built(scenario)
    except ValueError as error:
        raise ScenarioError(str(error)) from None


def _built(scenario: Scenario) -> Parts:
    direction = gripping_direction(scenario)
    travel = scenario.boring.travel
    inner = inner_end_radius(scenario, travel)
    jaw = scenario.soft_jaw
    dimensions = in_field("soft_jaw", blank_dimensions, scenario)
    pockets = tuple(in_field(f"pockets[{n}]", _pocket, p) for n, p in enumerate(scenario.pockets))
    seat = _fixture_seat(scenario)
    beyond = math.hypot(inner + jaw.length, 0.5 * jaw.width) + 5.0
    all_pockets = pockets if seat is None else (*pockets, seat)

    def turned(pockets: tuple[Pocket, ...]) -> Floats:
        if direction == "outside":
            return removed_outside(pockets, jaw.height, scenario.boring.through_diameter)
        return removed_inside(pockets, jaw.height, beyond)

    removed = in_field("pockets", turned, all_pockets)
    stock_removed = _pre_bored(scenario, seat, beyond)
    block, modelled = soft_jaw.mesh(dimensions), jaw_model(scenario)
    if modelled is not None and jaw.model is not None:
        faces = tuple(
            GrippedFace(0.5 * p.diameter - inner, jaw.height - p.depth, jaw.height, direction == "outside")
            for p in pockets
        )
        require_solid(modelled, block, faces, jaw.model.file)
    blank = _as_found(scenario, block if modelled is None else modelled)
    stock = blank if stock_removed is None else soft_jaw.bored(blank, stock_removed, inner)
    finished, jaw_material = (
        # What a pre-bore takes away is missing in the end, too; a fixture's seat is among what is removed.
        soft_jaw.bored(blank if seat is not None else stock, removed, inner),
        in_field("soft_jaw.material", material, jaw.material),
    )
    _require_mass(scenario, float(finished.volume) * jaw_material.density)
    fixture = scenario.boring.fixture
    return Parts(
        scenario=scenario,
        direction=direction,
        jaw_material=jaw_material,
        pockets=pockets,
        removed=removed,
        stock_removed=stock_removed,
        blank=blank,
        stock=stock,
        bored=finished,
        body=chuck_body.mesh(in_field("chuck", body_dimensions, scenario)),
        master=master_jaw.mesh(in_field("master_jaw", master_dimensions, scenario)),
        nut=t_nut.mesh(in_field("master_jaw.t_nut", nut_dimensions, scenario)),
        screw=jaw_screw.mesh(screw_dimensions(scenario)),
        workpieces=tuple(
            in_field(f"operations[{n}].workpiece.outline", Workpiece, operation.workpiece.outline)
            for n, operation in enumerate(scenario.operations)
        ),
        ring=_ring(scenario) if isinstance(fixture, RingTable) else None,
        plug=in_field("boring.fixture", _plug, fixture) if isinstance(fixture, PlugTable) else None,
        outer_ring=in_field("boring.fixture", _outer_ring, fixture)
        if isinstance(fixture, OuterRingTable)
        else None,
        boring_tools=tooling.boring_tools(scenario, direction),
        part_tools=tuple(
            () if o.program is None else tooling.program_tools(f"operations[{n}].program", o.program.tools)
            for n, o in enumerate(scenario.operations)
        ),
        back_stops=tuple(
            None if o.back_stop is None else in_field(f"operations[{n}].back_stop", _back_stop, o.back_stop)
            for n, o in enumerate(scenario.operations)
        ),
    )


def _require_mass(scenario: Scenario, bored: float) -> None:
    """Refuse a soft jaw that weighs nothing or less, its bored blank weighing `bored` kg."""
    for number, more in enumerate(scenario.soft_jaw.mass_differences):
        if not bored + more > 0.0:
            raise ScenarioError(
                f"soft_jaw.mass_differences[{number}] must leave the jaw a mass: the bored jaw weighs {bored:.3f} kg, "
                f"found {more:+.3f} kg"
            )


def earlier_inner_end(scenario: Scenario, number: int) -> float:
    """Return the radius (mm) at which the jaws' inner ends stood when they were bored before."""
    jaw, bored = scenario.soft_jaw, scenario.soft_jaw.bored_before[number]
    opened = jaw.mounting_radius + bored.serration_index * scenario.chuck.serration_pitch
    return opened + (bored.travel - scenario.chuck.stroke if bored.direction == "inside" else -bored.travel)


def earlier_bore(scenario: Scenario, number: int) -> tuple[float, Floats]:
    """Return radius (mm) of the inner end and outline (r, z) of what was removed when the jaws were bored before.

    Raises
    ------
    ValueError
        If the pockets do not nest.
    """
    jaw, bored = scenario.soft_jaw, scenario.soft_jaw.bored_before[number]
    inner = earlier_inner_end(scenario, number)
    pockets = tuple(_pocket(p) for p in bored.pockets)
    if bored.direction == "outside":
        return inner, removed_outside(pockets, jaw.height, bored.through_diameter)
    beyond = math.hypot(max(inner, 0.0) + jaw.length, 0.5 * jaw.width) + 5.0
    return inner, removed_inside(pockets, jaw.height, beyond)


def _as_found(scenario: Scenario, blank: trimesh.Trimesh) -> trimesh.Trimesh:
    """Return the jaw as it is before it is bored now: the blank less all earlier borings."""
    for number in range(len(scenario.soft_jaw.bored_before)):
        inner, outline = in_field(
            f"soft_jaw.bored_before[{number}]", lambda n: earlier_bore(scenario, n), number
        )
        blank = soft_jaw.bored(blank, outline, inner)
    return blank


def _pocket(stated: PocketTable) -> Pocket:
    return Pocket(stated.diameter, stated.depth, stated.groove_width, stated.groove_depth, stated.chamfer)


def _plug(stated: PlugTable) -> Plug:
    return Plug(stated.diameter, stated.thickness, stated.bore_diameter)


def _back_stop(stated: BackStop) -> Plug:
    return Plug(stated.outer_diameter, stated.thickness, stated.inner_diameter)


def _outer_ring(stated: OuterRingTable) -> OuterRing:
    return OuterRing(stated.outer_diameter, stated.inner_diameter, stated.thickness)


def _fixture_seat(scenario: Scenario) -> Pocket | None:
    """Return the seat that a plug or an outer ring has in the jaws, turned before the pockets."""
    fixture, height = scenario.boring.fixture, scenario.soft_jaw.height
    if isinstance(fixture, PlugTable):
        diameter, low = fixture.diameter, fixture.height
    elif isinstance(fixture, OuterRingTable):
        diameter, low = fixture.inner_diameter, fixture.height
    else:
        return None
    if not low < height:
        raise ValueError(
            f"boring.fixture.height must lie below the jaws' top face, {height:g} mm, found {low:g} mm"
        )
    return Pocket(diameter, height - low)


def _pre_bored(scenario: Scenario, seat: Pocket | None, beyond: float) -> Floats | None:
    """Return what is turned away before the boring path starts."""
    jaw_height, wide = scenario.soft_jaw.height, scenario.boring.passes.pre_bore_diameter
    inside = gripping_direction(scenario) == "inside"
    if seat is not None:
        return removed_inside((seat,), jaw_height, beyond) if inside else removed_outside((seat,), jaw_height)
    if wide is None or inside:
        return None
    over = 2.0
    return np.array(
        [(0.0, -over), (0.5 * wide, -over), (0.5 * wide, jaw_height + over), (0.0, jaw_height + over)]
    )


def pin_circle(scenario: Scenario, screw: int, pin_diameter: float) -> float:
    """Return the diameter (mm) on which a ring's pins stand: at the boring travel each touches its counterbore's wall.

    Jaws that close press the outer side of a counterbore against its pin, jaws that open the inner side.
    """
    axis = inner_end_radius(scenario, scenario.boring.travel) + scenario.soft_jaw.screws.positions[screw]
    play = 0.5 * (scenario.soft_jaw.screws.counterbore_diameter - pin_diameter)
    return 2.0 * (axis + play if gripping_direction(scenario) == "outside" else axis - play)


def _ring(scenario: Scenario) -> BoringRing:
    fixture, screws = scenario.boring.fixture, scenario.soft_jaw.screws.positions
    if not isinstance(fixture, RingTable):
        raise TypeError("only a boring ring has pins")
    if fixture.screw >= len(screws):
        raise ValueError(
            f"boring.fixture.screw must be 0 to {len(screws) - 1} (there are {len(screws)} screws), "
            f"found {fixture.screw}"
        )
    circle = pin_circle(scenario, fixture.screw, fixture.pin_diameter)

    def made(stated: RingTable) -> BoringRing:
        return BoringRing(
            stated.outer_diameter,
            stated.inner_diameter,
            stated.thickness,
            stated.pin_diameter,
            stated.pin_length,
            circle,
        )

    return in_field("boring.fixture", made, fixture)


def blank_dimensions(scenario: Scenario) -> soft_jaw.SoftJawBlank:
    """Return the soft jaw blank's dimensions."""
    jaw = scenario.soft_jaw
    return soft_jaw.SoftJawBlank(
        length=jaw.length,
        width=jaw.width,
        height=jaw.height,
        tip_width=jaw.width if jaw.tip_width is None else jaw.tip_width,
        screws=jaw.screws.positions,
        hole_diameter=jaw.screws.hole_diameter,
        counterbore_diameter=jaw.screws.counterbore_diameter,
        counterbore_depth=jaw.screws.counterbore_depth,
    )


def body_dimensions(scenario: Scenario) -> chuck_body.ChuckBody:
    """Return the chuck body's dimensions."""
    chuck = scenario.chuck
    return chuck_body.ChuckBody(
        diameter=chuck.body_diameter,
        bore=chuck.bore_diameter,
        height=chuck.body_height,
        slot_width=chuck.slot_width,
        slot_depth=chuck.slot_depth,
        face_drop=chuck.face_drop,
    )


def master_dimensions(scenario: Scenario, *, serration_teeth: bool = False) -> master_jaw.MasterJaw:
    """Return the master jaw's dimensions."""
    jaw = scenario.master_jaw
    return master_jaw.MasterJaw(
        length=jaw.length,
        width=jaw.width,
        height=jaw.height,
        serration_pitch=scenario.chuck.serration_pitch,
        t_slot_neck_width=jaw.slot_neck_width,
        t_slot_width=jaw.slot_width,
        t_slot_neck_depth=jaw.slot_neck_depth,
        t_slot_height=jaw.slot_height,
        serration_teeth=serration_teeth,
    )


def nut_dimensions(scenario: Scenario) -> t_nut.TNut:
    """Return a T-nut's dimensions; its neck fills the slot's neck but for 0.3 mm."""
    jaw, nut = scenario.master_jaw, scenario.master_jaw.t_nut
    return t_nut.TNut(
        length=nut.length,
        neck_width=jaw.slot_neck_width - 0.3,
        neck_height=nut.neck_height,
        width=nut.width,
        height=nut.height,
        thread_diameter=thread(scenario.soft_jaw.screws.thread).diameter,
    )


def head_seat(scenario: Scenario) -> float:
    """Return the z (mm) of the counterbores' bottom, on which the screw heads rest, or the washers below them."""
    return scenario.soft_jaw.height - scenario.soft_jaw.screws.counterbore_depth


def head_underside(scenario: Scenario) -> float:
    """Return the z (mm) of the screw heads' undersides; a washer lifts them by its listed thickness."""
    screws = scenario.soft_jaw.screws
    washer = 0.0 if screws.washer_diameter is None else thread(screws.thread).washer_thickness
    return head_seat(scenario) + washer


def head_top(scenario: Scenario) -> float:
    """Return the z (mm) to which the screw heads reach."""
    return head_underside(scenario) + jaw_screw.HEADS[thread(scenario.soft_jaw.screws.thread).diameter].height


def nut_top(scenario: Scenario) -> float:
    """Return the z (mm) of a tightened T-nut's top: its foot bears on the shoulders of the T-slot."""
    return -scenario.master_jaw.slot_neck_depth + scenario.master_jaw.t_nut.neck_height


def screw_dimensions(scenario: Scenario) -> jaw_screw.JawScrew:
    """Return the longest made screw that ends inside the T-nut.

    Raises
    ------
    ValueError
        If no made length reaches at least half a thread diameter into the T-nut.
    """
    nut, size = scenario.master_jaw.t_nut, thread(scenario.soft_jaw.screws.thread).diameter
    most = head_underside(scenario) - nut_top(scenario) + nut.neck_height + nut.height
    lengths = [length for length in SCREW_LENGTHS if length <= most]
    least = head_underside(scenario) - nut_top(scenario) + 0.5 * size
    if not lengths or lengths[-1] < least:
        raise ValueError(
            f"soft_jaw.screws.counterbore_depth must let a screw end in the T-nut, between {least:g} and "
            f"{most:g} mm under its head; no made length does"
        )
    return jaw_screw.JawScrew(size, float(lengths[-1]))


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
        )
    best = max(spans, key=lambda span: span[1] - span[0])
    return HeldZone(seat, seat + best[0], seat + best[1], max(heights) - min(heights))


def _gripped_spans(operation: Operation, low: float, high: float) -> list[tuple[float, float]]:
    """Return the heights between two, part frame, at which the jaws' wall meets the gripped surface.

    Of edges that are drawn near to the gripped radius the jaws meet what stands out most, and what stands back from it
    by `TOUCHES` at most.
    """
    part = operation.workpiece
    radius = 0.25 * (part.gripped_diameter_low + part.gripped_diameter_high)
    sign = 1.0 if operation.gripping.direction == "outside" else -1.0
    corners = part.outline
    edges = []
    for (r0, z0), (r1, z1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if max(abs(r0 - radius), abs(r1 - radius)) <= GRIPPED_WITHIN and z0 != z1:
            lower, upper = sorted(((z0, sign * r0), (z1, sign * r1)))
            start, end = max(lower[0], low), min(upper[0], high)
            if end > start:
                rise = (upper[1] - lower[1]) / (upper[0] - lower[0])
                ends = (lower[1] + rise * (z - lower[0]) for z in (start, end))
                edges.append((start, end, *ends))
    least = max((max(at_start, at_end) for _, _, at_start, at_end in edges), default=0.0) - TOUCHES
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


def fixture_height(scenario: Scenario) -> float:
    """Return the height (mm) above the serrated plane at which the jaws are loaded while boring; 0 without fixture."""
    fixture = scenario.boring.fixture
    if fixture.kind == "none":
        return 0.0
    if fixture.kind == "ring":
        return scenario.soft_jaw.height - 0.5 * fixture.pin_length
    return fixture.height + 0.5 * fixture.thickness


def section(workpiece: Workpiece, seat: float) -> shapely.Polygon:
    """Return a workpiece's half section in the chuck frame, (r, z) in mm."""
    return shapely.Polygon([(r, z + seat) for r, z in workpiece.outline])
