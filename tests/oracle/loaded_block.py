"""A short block clamped at its base and pressed on the upper part of one side: deck and result.

Block x 0..50, y 0..50, z 0..40 mm (the half y 0..25 is meshed, y = 0 being the plane of symmetry), steel, z = 0
clamped, 10 MPa on x = 0 for z 10..40.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from gripped_sector import YOUNG_POISSON, element_lines, listing
from hexahedral_mesh import Block, Floats, doubled, extruded, graded, structured_block

LENGTH, HALF_WIDTH, HEIGHT, PATCH_BOTTOM, PATCH_MIDDLE = 50.0, 25.0, 40.0, 10.0, 25.0
PRESSURE = 10.0
BLOCK_LEVELS = (1, 2, 3)


def block_mesh(level: int) -> tuple[Block, int]:
    """Return the mesh and the lattice index of the plane z = 10."""
    x = doubled(graded(0.0, LENGTH, 5 * level, 1.5))
    y = doubled(graded(HALF_WIDTH, 0.0, 4 * level, 1.2)[::-1])
    below = graded(0.0, PATCH_BOTTOM, 2 * level, 1.3)
    above = np.linspace(PATCH_BOTTOM, HEIGHT, 6 * level + 1)
    z = doubled(np.concatenate([below, above[1:]]))
    plan = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1)
    return structured_block(extruded(plan, z)), 4 * level


def block_deck(level: int) -> str:
    """Write the input deck."""
    block, bottom = block_mesh(level)
    young, poisson = YOUNG_POISSON["steel"]
    lines = ["*NODE, NSET=ALL"]
    lines += [f"{n + 1}, {x:.12g}, {y:.12g}, {z:.12g}" for n, (x, y, z) in enumerate(block.nodes)]
    lines += ["*ELEMENT, TYPE=C3D20, ELSET=BLOCK", element_lines(block.brick_numbers, block.brick_nodes)]
    for name, numbers in (
        ("BASE", block.plane(2, 0)),
        ("MIDDLE", block.plane(1, 0)),
        ("FACE", block.plane(0, 0)),
    ):
        lines += [f"*NSET, NSET={name}", listing(numbers)]
    lines += ["*MATERIAL, NAME=STEEL", "*ELASTIC", f"{young}, {poisson}"]
    lines += ["*SOLID SECTION, ELSET=BLOCK, MATERIAL=STEEL", "*BOUNDARY", "BASE, 1, 3", "MIDDLE, 2, 2"]
    lines += ["*STEP", "*STATIC", "*DLOAD"]
    lines += [f"{element}, P6, {PRESSURE}" for element in block.bricks[0, :, bottom // 2 :].ravel()]
    return "\n".join([*lines, "*NODE PRINT, NSET=FACE", "U", "*END STEP"]) + "\n"


def _face_mean(field: Floats, y: Floats, z: Floats) -> float:
    """Return the mean of an 8-node quadratic field over its faces: corners weigh -1/12, side middles 1/3."""
    total = 0.0
    for j in range(0, len(y) - 2, 2):
        for k in range(0, len(z) - 2, 2):
            patch = field[j : j + 3, k : k + 3]
            corners = patch[::2, ::2].sum()
            middles = patch[1, 0] + patch[1, 2] + patch[0, 1] + patch[2, 1]
            total += (middles / 3.0 - corners / 12.0) * (y[j + 2] - y[j]) * (z[k + 2] - z[k])
    return float(total / ((y[-1] - y[0]) * (z[-1] - z[0])))


def block_outcome(path: Path, level: int) -> tuple[float, float]:
    """Return the mean normal displacement of the pressed patch and that of its centre, inward positive, mm."""
    block, bottom = block_mesh(level)
    table = {}
    for line in path.read_text().splitlines():
        words = line.split()
        if len(words) == 4 and words[0].isdigit():
            table[int(words[0])] = float(words[1])
    patch = block.lattice[0, :, bottom:]
    field = np.array([[table.get(int(number), 0.0) for number in row] for row in patch])
    y = block.coordinates(block.lattice[0, ::2, bottom])[:, 1]
    z = block.coordinates(block.lattice[0, 0, bottom::2])[:, 2]
    centre = field[0, int(np.argmin(np.abs(doubled(z) - PATCH_MIDDLE)))]
    return _face_mean(field, doubled(y), doubled(z)), float(centre)
