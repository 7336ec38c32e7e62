"""How the contact model's figures settle as strips, bands, elements and harmonics get more.

    python tests/reference/convergence.py [PICTURE]

draws scenarios/pictures/convergence.png (a few minutes). The same studies on coarser numbers are tests
(test_contact_convergence.py). The full case is the plain one (plain_case): the hollow steel part in steel
jaws, radii alike.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from pathlib import Path

import accuracy
import closed_forms
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedFormatter, FixedLocator, FuncFormatter, NullLocator
from plain_case import PLACE_MM, STEEL, plain_setup

from sim.contact.face import FaceGrid, face_grid
from sim.contact.field import band_means
from sim.contact.harmonics import Harmonics, part_blocks, solved_orders
from sim.contact.jaw import jaw_compliance
from sim.contact.part import part_harmonics, part_section
from sim.contact.prepared import Prepared, assembled
from sim.contact.section import gripped_surface
from sim.contact.setup import ContactSetup
from sim.contact.shape import clamped_shape, lobe_amplitude
from sim.contact.solve import press

PICTURE = Path(__file__).parents[2] / "scenarios" / "pictures" / "convergence.png"
BANDS_OF_3_DEG, APPROACH, LOBE = "band means of 3 deg", "approach", "three-lobe of the bore"
Study = dict[str, list[float]]


def persson(counts: Sequence[int], degrees: float = 30.0) -> Study:
    """Relative errors against Persson's solution: pressure in the root mean square, in the middle, half-angle."""
    half, out = (
        math.radians(degrees),
        {"pressure, root mean square": [], "pressure in the middle": [], "half-angle": []},
    )
    for strips in counts:
        found = accuracy.conformal(degrees, strips)
        width = found.angles_rad[1] - found.angles_rad[0]
        expected = np.array([closed_forms.conformal_strip(a, width, half) for a in found.angles_rad])
        expected *= accuracy.PERSSON_LOAD / accuracy.RADIUS
        spread = np.mean((found.pressure_mpa - expected) ** 2) / np.mean(expected**2)
        for name, error in zip(
            out,
            (math.sqrt(spread), found.centre_mpa / expected.max() - 1.0, found.half_angle_rad / half - 1.0),
            strict=True,
        ):
            out[name].append(abs(error))
    return out


def part_response(setup: ContactSetup, grid: FaceGrid) -> Harmonics:
    """Harmonics of a setup's part."""
    grip = setup.grip
    surface = gripped_surface(setup.part, grip.part_radius_mm, grip.z_low_mm, grip.z_high_mm)
    return part_harmonics(part_section(setup.part, grid, surface), solved_orders(grid), PLACE_MM)


def figures(setup: ContactSetup, bodies: Prepared) -> dict[str, np.ndarray]:
    """Band means as shares of the mean pressure, approach and lobe in mm."""
    result = press(setup, None, bodies)
    means = band_means(result, math.radians(3.0), 30.0)[0, 0]
    lobe = lobe_amplitude(clamped_shape(result, bodies).moved_mm[0, 0], 3)
    return {
        BANDS_OF_3_DEG: means / means.mean(),
        APPROACH: np.array([result.approach_mm]),
        LOBE: np.array([lobe]),
    }


def against_finest(found: Sequence[dict[str, np.ndarray]]) -> Study:
    """Largest difference of each but the last from the last: bands by the mean pressure, the others relative."""
    finest = found[-1]
    return {
        name: [
            float(
                np.abs(one[name] - finest[name]).max() / (1.0 if name == BANDS_OF_3_DEG else finest[name][0])
            )
            for one in found[:-1]
        ]
        for name in finest
    }


def with_cells(cells: Sequence[tuple[int, int]]) -> Study:
    """Plain case for rising numbers of (strips, bands), the last one being the finest."""
    found = []
    for strips, bands in cells:
        setup = plain_setup(0.0, 40.0, STEEL, strips, bands)
        grid = face_grid(setup.grip, strips, bands, setup.evenness)
        response = part_response(setup, grid)
        jaw = jaw_compliance(setup.grip, grid, setup.jaw)
        bodies = assembled(grid, setup.guide, jaw, part_blocks(response, grid), response)
        found.append(figures(setup, bodies))
    return against_finest(found)


def with_jaw_elements(per_element: Sequence[int], strips: int, bands: int) -> Study:
    """Plain case for falling numbers of strips per element of the jaw; the rows of elements thin out alike."""
    setup = plain_setup(0.0, 40.0, STEEL, strips, bands)
    grid = face_grid(setup.grip, strips, bands, setup.evenness)
    response = part_response(setup, grid)
    blocks = part_blocks(response, grid)
    found = []
    for count in per_element:
        jaw = jaw_compliance(setup.grip, grid, setup.jaw, (count, 1), growth=1.5 ** min(1.0, count / 3.0))
        found.append(figures(setup, assembled(grid, setup.guide, jaw, blocks, response)))
    return against_finest(found)


def with_harmonics(highest: Sequence[int], strips: int, bands: int) -> Study:
    """Plain case for rising numbers of harmonics summed, the last one being all that the strips tell from zero."""
    setup = plain_setup(0.0, 40.0, STEEL, strips, bands)
    grid = face_grid(setup.grip, strips, bands, setup.evenness)
    response = part_response(setup, grid)
    jaw = jaw_compliance(setup.grip, grid, setup.jaw)
    found = [
        figures(setup, assembled(grid, setup.guide, jaw, part_blocks(response, grid, last), response))
        for last in (*highest, None)
    ]
    return against_finest(found)


STRIPS_PERSSON = (10, 20, 40, 80, 160)
CELLS = ((12, 6), (16, 6), (24, 6), (32, 6), (48, 6), (72, 6), (108, 6))
BANDS = (2, 3, 4, 6, 8, 10, 20)
PER_ELEMENT = (8, 4, 3, 2, 1)
HARMONICS = (12, 24, 48, 96, 192, 384, 768)
WORDS = """Full case: hollow steel part, 100 mm outside,
80 mm bore, in steel jaws 50 mm wide,
radii alike, 20 kN a jaw.

Errors against the finest of each study:
band means in per cent of the mean pressure
(largest of 18 bands), the others in per cent
of themselves."""
_LINES = (  # colours that differ in lightness too, each with its marker and dashes
    {"color": "#440154", "marker": "o", "ls": "-"},
    {"color": "#21918c", "marker": "s", "ls": "--"},
    {"color": "#b5a400", "marker": "^", "ls": "-."},
)


def _panel(axes: Axes, across: Sequence[int], study: Study, title: str, below: str) -> None:
    """Draw one study: errors in per cent over what was refined."""
    for look, (name, errors) in zip(_LINES, study.items(), strict=True):
        axes.loglog(across, 100.0 * np.array(errors), ms=6, lw=1.8, label=name, **look)
    axes.set_title(title, fontsize=13)
    axes.set_xlabel(below, fontsize=12)
    axes.set_ylabel("error, %", fontsize=12)
    axes.xaxis.set_major_locator(FixedLocator(list(across)))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.xaxis.set_major_formatter(FixedFormatter([str(value) for value in across]))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    axes.tick_params(labelsize=11)
    axes.grid(color="0.88", lw=0.8)


def draw(path: Path) -> None:
    """Run the studies and draw them."""
    figure = Figure(figsize=(14.0, 8.6), layout="constrained")
    rooms = figure.subplots(2, 3)
    exact = rooms[0, 0]
    _panel(
        exact, STRIPS_PERSSON, persson(STRIPS_PERSSON), "cylinder in a hole, against Persson",
        "strips over a face of ±37.5°, contact ±30°",
    )  # fmt: skip
    ends = np.array([STRIPS_PERSSON[0], STRIPS_PERSSON[-1]], dtype=float)
    exact.plot(ends, 60.0 / ends, color="0.45", ls=":", lw=1.4, label="first order")
    exact.set_ylim(2e-4, 10.0)
    exact.legend(fontsize=11, frameon=False, loc="lower left")
    _panel(
        rooms[0, 1], [strips for strips, _ in CELLS[:-1]], with_cells(CELLS),
        f"full case, strips (finest {CELLS[-1][0]})", "strips over a face of ±27° (default 48)",
    )  # fmt: skip
    _panel(
        rooms[0, 2], HARMONICS, with_harmonics(HARMONICS, 48, 6), "full case, harmonics (finest: all)",
        "highest harmonic summed (default: all)",
    )  # fmt: skip
    _panel(
        rooms[1, 0], BANDS[:-1], with_cells([(36, bands) for bands in BANDS]),
        f"full case, bands (finest {BANDS[-1]})", "bands over 30 mm (default 6)",
    )  # fmt: skip
    _panel(
        rooms[1, 1], [48 // count for count in PER_ELEMENT[:-1]], with_jaw_elements(PER_ELEMENT, 48, 4),
        "full case, elements of the jaw (finest 48)", "elements over a face of ±27° (default 24)",
    )  # fmt: skip
    rooms[1, 2].axis("off")
    handles, names = rooms[1, 1].get_legend_handles_labels()
    rooms[1, 2].legend(handles, names, fontsize=12, frameon=False, loc="upper left", title="full case")
    rooms[1, 2].text(0.03, 0.6, WORDS, fontsize=12, va="top", linespacing=1.4)
    figure.savefig(path, dpi=100, metadata={"Software": None})


if __name__ == "__main__":
    draw(Path(sys.argv[1]) if len(sys.argv) > 1 else PICTURE)
