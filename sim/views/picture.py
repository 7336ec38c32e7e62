"""Pictures and models of a setup as files."""

from __future__ import annotations

import io
import re
from pathlib import Path

from PIL import Image

from sim.assessment import Assessment, PathFigures
from sim.files import write_whole
from sim.views import Progress, silent
from sim.views.export import assembly_solids, glb, jaw_stl
from sim.views.figure import as_png
from sim.views.moment import moment_picture, moment_section
from sim.views.path_plot import clearance_by_distance
from sim.views.render import Picture, require_rendering
from sim.views.scene import assembly_picture, boring_picture, pressure_picture
from sim.views.section import section_figure
from sim.views.shape import over_turn, roundness_polar

PRESSURE_DOTS = 140.0  # per inch: one pixel of the picture for one rendered
PLOT_DOTS = 220.0  # per inch, of plots half a page wide


def write_pictures(assessment: Assessment, folder: Path, progress: Progress = silent) -> tuple[Path, ...]:
    """Write PNGs of assembly, boring, paths, contact pressure and section, the assembly as GLB, the jaw as STL.

    Returns
    -------
    tuple of Path
        What was written, in that order.

    Raises
    ------
    NotAvailableError
        If this computer cannot render; nothing is written then.
    OutputError
        If the folder cannot be written to.
    """
    require_rendering()
    written = []
    progress("jaws as they are bored")
    written.append(write_whole(folder / "boring.png", png(boring_picture(assessment))))
    progress("section through the spindle axis")
    written.append(write_whole(folder / "section.png", as_png(section_figure(assessment))))
    for number, (stage, path) in enumerate(assessment.paths):
        if path.file or path.clearance.touches:
            progress(f"tool on its path, {stage}")
            written += _path_pictures(
                assessment, path, folder, file_name(stage, number - 1) if number else stage
            )
    for index, figures in enumerate(assessment.operations):
        name = file_name(figures.operation.name, index)
        progress(f"assembly, {figures.operation.name}")
        written.append(write_whole(folder / f"assembly-{name}.png", png(assembly_picture(assessment, index))))
        written.append(write_whole(folder / f"assembly-{name}.glb", glb(assembly_solids(assessment, index))))
        progress(f"contact pressure, {figures.operation.name}")
        figure = pressure_picture(assessment, index)
        written.append(write_whole(folder / f"pressure-{name}.png", as_png(figure, PRESSURE_DOTS)))
        for kind, plot in (
            ("roundness", roundness_polar(figures)),
            ("turn", over_turn(figures, assessment.scenario.limits.holding_factor)),
        ):
            if plot is not None:
                written.append(write_whole(folder / f"{kind}-{name}.png", as_png(plot, PLOT_DOTS)))
    progress("bored jaw")
    written.append(write_whole(folder / "soft-jaw-bored.stl", jaw_stl(assessment.parts)))
    return tuple(written)


def _path_pictures(assessment: Assessment, path: PathFigures, folder: Path, name: str) -> list[Path]:
    """Write clearance along the path, and the moment that matters in section and in 3D."""
    found = []
    plot = clearance_by_distance(path, assessment.scenario.limits.holding_factor)
    if plot is not None:
        found.append(write_whole(folder / f"clearance-{name}.png", as_png(plot)))
    section, picture = moment_section(path), moment_picture(assessment, path)
    if section is not None and picture is not None:
        found.append(write_whole(folder / f"moment-section-{name}.png", as_png(section)))
        found.append(write_whole(folder / f"moment-{name}.png", png(picture)))
    return found


def png(picture: Picture) -> bytes:
    """Return a picture as PNG."""
    file = io.BytesIO()
    Image.fromarray(picture).save(file, format="PNG", compress_level=6)
    return file.getvalue()


def file_name(name: str, index: int) -> str:
    """Return an operation's number and name as a part of a file's name: '1-first-side'."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")
    return f"{index + 1}-{plain}" if plain else str(index + 1)
