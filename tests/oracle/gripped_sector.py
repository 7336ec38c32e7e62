"""The symmetric half of one jaw and a sixth of the part, meshed and written as a CalculiX input deck.

Frame: x along the jaw's middle plane, z along the spindle axis; mm, N, MPa. The part fills the sector of 0..60 deg
from the jaw's middle plane and the jaw the half y >= 0; both planes are planes of symmetry. The jaw stands where its
bore first touches the part.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from hexahedral_mesh import (
    Block,
    Floats,
    Integers,
    doubled,
    extruded,
    graded,
    polar_lattice,
    structured_block,
    transfinite_plan,
)

ARC = np.radians(27.0)
SECTOR = np.radians(60.0)
HALF_WIDTH = 25.0
JAW_OUTER_END = 100.0
PART_RADIUS = 50.0
RING_BORE_RADIUS = 40.0
JAW_TOP, PART_BOTTOM, SECTION = 40.0, 10.0, 25.0
BANDS = 9
HALF_FORCE = 10_000.0
YOUNG_POISSON = {"steel": (210_000.0, 0.30), "aluminium": (70_000.0, 0.33)}
# Contact stiffness, MPa per mm of overclosure: stiffer makes the contact points of quadratic faces chatter.
PENALTY = 5.0e6
# Share of the guessed approach set in step 1. CalculiX judges convergence by the step's own motion: a step 2 that moves
# nothing would have to settle the last chattering contact point.
UNDERSHOT = 0.95


@dataclass(frozen=True, slots=True)
class Case:
    """One setup: part 'solid' or 'ring', jaw 'steel' or 'aluminium', bore radius less part radius in mm."""

    part: str
    jaw: str
    radius_difference: float
    plane_strain: bool = False

    @property
    def bore_radius(self) -> float:
        """Radius of the bored arc, mm."""
        return PART_RADIUS + self.radius_difference

    @property
    def first_touch(self) -> float:
        """Outward displacement e of the bore's centre where bore and part first touch, mm."""
        if self.radius_difference >= 0.0:
            return -self.radius_difference
        half_chord = self.bore_radius * np.sin(ARC)
        return float(np.sqrt(PART_RADIUS**2 - half_chord**2) - np.sqrt(self.bore_radius**2 - half_chord**2))

    def wall(self, angle: Floats) -> Floats:
        """Distance of the bored wall from the spindle axis at first touch, at angles off the jaw's middle, mm."""
        e = self.first_touch
        return np.asarray(e * np.cos(angle) + np.sqrt(self.bore_radius**2 - (e * np.sin(angle)) ** 2))

    @property
    def name(self) -> str:
        """Short name of the case, used for file names too."""
        kind = "2d" if self.plane_strain else "3d"
        return f"{kind}_{self.part}_{self.jaw}_{round(1000 * self.radius_difference):+d}um"


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """Both meshes of one case with the doubled lines of angle (0..27 deg) and height they share."""

    jaw: Block
    part: Block
    angles: Floats
    part_angles: Floats
    heights: Floats
    jaw_heights: Floats

    @property
    def first_part_layer(self) -> int:
        """Lattice index of the jaw's plane z = z of the part's lower face."""
        return len(self.jaw_heights) - len(self.heights)

    @property
    def bands(self) -> list[tuple[int, int]]:
        """Ranges of jaw columns (element index along the arc) that make up each 3 deg band."""
        edges = np.linspace(0.0, ARC, BANDS + 1)
        columns = [int(np.argmin(np.abs(self.angles[::2] - edge))) for edge in edges]
        return list(pairwise(columns))


def _arc_angles(level: int) -> Floats:
    """Element boundaries along the arc: even, finer in the last band towards the arc's end."""
    band = ARC / BANDS
    even = np.linspace(0.0, ARC - band, (BANDS - 1) * level + 1)
    last = graded(ARC, ARC - band, 2 * level, 1.6)[::-1]
    return np.concatenate([even, last[1:]])


def _part_heights(level: int) -> Floats:
    """Element boundaries of the part along z: finer towards both ends, z = 25 always one of them."""
    lower = graded(PART_BOTTOM, SECTION, 2 * level, 1.5)
    upper = graded(JAW_TOP, SECTION, 2 * level, 1.3)[::-1]
    return np.concatenate([lower, upper[1:]])


def _jaw_plan(case: Case, angles: Floats, level: int) -> Floats:
    """Return the (a, b, 2) lattice of the half jaw's plan at first touch."""
    arc = case.wall(angles)[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    outer_x = JAW_OUTER_END + case.first_touch
    end_of_arc = arc[-1]
    corner = np.array([end_of_arc[0] + HALF_WIDTH - end_of_arc[1], HALF_WIDTH])
    outer_corner = np.array([outer_x, HALF_WIDTH])
    flank = float(np.linalg.norm(corner - end_of_arc))
    share = flank / (flank + outer_x - corner[0])
    u = doubled(np.concatenate([np.linspace(0.0, share, level + 1), graded(share, 1.0, 4 * level, 1.5)[1:]]))
    on_flank = np.minimum(u / share, 1.0)[:, None]
    on_side = np.maximum((u - share) / (1.0 - share), 0.0)[:, None]
    side = end_of_arc + on_flank * (corner - end_of_arc) + on_side * (outer_corner - corner)
    middle = np.stack([arc[0, 0] + u * (outer_x - arc[0, 0]), np.zeros_like(u)], axis=-1)
    v = angles / ARC
    outer = np.stack([np.full_like(v, outer_x), HALF_WIDTH * v], axis=-1)
    return transfinite_plan(arc, outer, middle, side, u, v)


def meshed(case: Case, level: int, height_level: int | None = None) -> Model:
    """Mesh one case; the number of elements along each line is about in proportion to level (1, 2, 3, ...).

    height_level, if given, replaces level along z.
    """
    along_z = level if height_level is None else height_level
    angles = doubled(_arc_angles(level))
    part_angles = np.concatenate([angles, doubled(graded(ARC, SECTOR, 3 * level, 1.9))[1:]])
    if case.plane_strain:
        heights = jaw_heights = doubled(np.array([0.0, 1.0]))
    else:
        heights = doubled(_part_heights(along_z))
        below = doubled(graded(PART_BOTTOM, 0.0, along_z + 1, 1.5)[::-1])
        jaw_heights = np.concatenate([below, heights[1:]])
    if case.part == "solid":
        radii = graded(PART_RADIUS, 0.0, 4 * level, 1.7)[::-1]
    else:
        radii = graded(PART_RADIUS, RING_BORE_RADIUS, 2 * level, 1.3)[::-1]
    jaw = structured_block(extruded(_jaw_plan(case, angles, level), jaw_heights))
    part = structured_block(
        polar_lattice(doubled(radii), part_angles, heights),
        first_node=len(jaw.nodes) + 1,
        first_element=jaw.bricks.size + 1,
        collapsed=case.part == "solid",
    )
    return Model(jaw, part, angles, part_angles, heights, jaw_heights)


def listing(numbers: Iterable[int]) -> str:
    """Write numbers sixteen to a line, as a deck wants them."""
    items = [str(number) for number in numbers]
    return "\n".join(", ".join(items[i : i + 16]) for i in range(0, len(items), 16))


def element_lines(numbers: Integers, nodes: Integers) -> str:
    """Write elements with their nodes; a line may hold sixteen entries."""
    return "\n".join(
        listing([number, *row]).replace("\n", ",\n") for number, row in zip(numbers, nodes, strict=True)
    )


def _surface(name: str, elements: Integers, face: int) -> str:
    return f"*SURFACE, NAME={name}, TYPE=ELEMENT\n" + "\n".join(f"{e}, S{face}" for e in elements.ravel())


def _body(name: str, block: Block, material: str) -> str:
    """Write nodes, elements, material and section of one body."""
    young, poisson = YOUNG_POISSON[material]
    numbers = block.first_node + np.arange(len(block.nodes))
    lines = [f"*NODE, NSET={name}_NODES"]
    lines += [f"{n}, {x:.12g}, {y:.12g}, {z:.12g}" for n, (x, y, z) in zip(numbers, block.nodes, strict=True)]
    lines += [f"*ELEMENT, TYPE=C3D20, ELSET={name}", element_lines(block.brick_numbers, block.brick_nodes)]
    if len(block.wedge_nodes):
        lines += [
            f"*ELEMENT, TYPE=C3D15, ELSET={name}",
            element_lines(block.wedge_numbers, block.wedge_nodes),
        ]
    lines += [f"*MATERIAL, NAME={name}_METAL", "*ELASTIC", f"{young}, {poisson}"]
    lines += [f"*SOLID SECTION, ELSET={name}, MATERIAL={name}_METAL"]
    return "\n".join(lines)


def node_sets(model: Model, case: Case) -> dict[str, Integers]:
    """Return the node sets of the deck; the lines at mid-height are in order of angle."""
    jaw, part = model.jaw, model.part
    k_part = int(np.argmin(np.abs(model.heights - (0.5 if case.plane_strain else SECTION))))
    if case.plane_strain:
        k_part = 0
    k_jaw = k_part + model.first_part_layer
    base = jaw.plane(0, jaw.lattice.shape[0] - 1) if case.plane_strain else jaw.plane(2, 0)
    inner = part.lattice[0, :, k_part] if case.part == "ring" else part.lattice[-1, :, k_part]
    return {
        "BASE": base,
        "JAW_MIDDLE": jaw.plane(1, 0),
        "PART_MIDDLE": part.plane(1, 0),
        "PART_END": part.plane(1, part.lattice.shape[1] - 1),
        "AXIS": part.plane(0, 0) if case.part == "solid" else np.zeros(0, dtype=np.int64),
        "JAW_LINE": jaw.lattice[0, :, k_jaw],
        "PART_LINE": part.lattice[-1, : len(model.angles), k_part],
        "BORE_LINE": inner,
    }


def _constraints(model: Model, case: Case, sets: dict[str, Integers]) -> tuple[str, str]:
    """Return the equations and the boundary lines common to both steps."""
    master, *others = sets["BASE"]
    end = np.setdiff1d(sets["PART_END"], sets["AXIS"])
    sine, cosine = np.sin(SECTOR), np.cos(SECTOR)
    equations = [f"*EQUATION\n2\n{n}, 1, 1., {master}, 1, -1." for n in others]
    equations += [f"*EQUATION\n2\n{n}, 1, {-sine:.15g}, {n}, 2, {cosine:.15g}" for n in end]
    boundary = ["BASE, 2, 2", "JAW_MIDDLE, 2, 2", "PART_MIDDLE, 2, 2"]
    if len(sets["AXIS"]):
        boundary += ["AXIS, 1, 2"]
    if case.plane_strain:
        boundary += ["JAW_NODES, 3, 3", "PART_NODES, 3, 3"]
    else:
        boundary += ["BASE, 3, 3", f"{model.part.lattice[-1, -1, 0]}, 3, 3"]
    return "\n".join(equations), "\n".join(boundary)


def deck(model: Model, case: Case, approach: float, half_force: float, penalty: float = PENALTY) -> str:
    """Write the input deck: step 1 moves the jaw by a guess of the approach, step 2 replaces it by the force."""
    sets = node_sets(model, case)
    equations, boundary = _constraints(model, case, sets)
    lines = [_body("JAW", model.jaw, case.jaw), _body("PART", model.part, "steel")]
    for name, numbers in sets.items():
        if len(numbers):
            lines += [f"*NSET, NSET={name}", listing(numbers)]
    last_column = model.bands[-1][1]
    lines += [_surface("OUTSIDE", model.part.bricks[-1, : last_column + 1, :], 4)]
    layer = model.first_part_layer // 2
    pairs = []
    for number, (first, last) in enumerate(model.bands):
        lines += [_surface(f"BAND{number}", model.jaw.bricks[0, first:last, layer:], 6)]
        pairs += ["*CONTACT PAIR, INTERACTION=HARD, TYPE=SURFACE TO SURFACE", f"BAND{number}, OUTSIDE"]
    lines += [equations, "*SURFACE INTERACTION, NAME=HARD", "*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR"]
    lines += [f"{penalty:.6g}", *pairs]
    master = sets["BASE"][0]
    prints = ["*NODE PRINT, NSET=JAW_LINE", "U", "*NODE PRINT, NSET=PART_LINE", "U"]
    prints += ["*NODE PRINT, NSET=BORE_LINE", "U", "*NODE PRINT, NSET=BASE", "U"]
    prints += ["*CONTACT PRINT", "CDIS"]
    for number in range(BANDS):
        prints += [f"*CONTACT PRINT, SLAVE=BAND{number}, MASTER=OUTSIDE", "CF"]
    lines += ["*STEP, INC=100", "*CONTROLS, PARAMETERS=CONTACT", "0.2, 0.1, 100., 60."]
    lines += ["*STATIC, DIRECT", "1., 1.", "*BOUNDARY, OP=NEW", boundary]
    lines += [f"{master}, 1, 1, {-UNDERSHOT * approach:.10g}", *prints, "*END STEP"]
    lines += ["*STEP, INC=100", "*CONTROLS, PARAMETERS=CONTACT", "0.003, 0.1, 100., 60."]
    lines += ["*STATIC, DIRECT", "1., 1.", "*BOUNDARY, OP=NEW", boundary]
    lines += ["*CLOAD", f"{master}, 1, {-half_force:.10g}", *prints, "*END STEP"]
    return "\n".join(lines) + "\n"
