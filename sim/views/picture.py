"""Pictures and models of a setup as files."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass, field
from pathlib import Path

from matplotlib.figure import Figure
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from sim.assessment.figures.path import PathFigures
from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.state import states
from sim.base.files import write_whole
from sim.base.share import Tell
from sim.views import silent
from sim.views.export import assembly_solids, glb, jaw_stl
from sim.views.figure import as_png, as_svg_file
from sim.views.film import Shooting, films
from sim.views.film_file import Kind, require_encoder, write_film
from sim.views.layer import Picture, Staged
from sim.views.line_art import as_svg as line_art
from sim.views.moment import moment_scene, moment_section
from sim.views.path_plot import clearance_by_distance
from sim.views.pockets import pocket_figure, window
from sim.views.render import depth, render, require_rendering
from sim.views.scene import SIZE, assembly_scene, boring_scene, pressure_picture
from sim.views.section import section_figure
from sim.views.shape import over_turn, roundness_polar
from sim.views.shape_picture import shape_picture
from sim.views.staging import staged

PRESSURE_DOTS = 140.0  # per inch: one pixel of the picture for one rendered
PLOT_DOTS = 220.0  # per inch, of plots half a page wide


@dataclass(frozen=True, slots=True)
class Wanted:
    """How pictures are written.

    Attributes
    ----------
    width : int
        Of a rendered picture, pixels.
    svg : bool
        As SVG too: visible edges and all words stay sharp at any size.
    transparent : bool
        Without the ground behind the solids.
    films : tuple of {'gif', 'webp', 'mp4', 'png'}
        Films of the boring and of the work of each operation, in these formats.
    shooting : Shooting
        How films are made.
    """

    width: int = SIZE[0]
    svg: bool = False
    transparent: bool = False
    films: tuple[Kind, ...] = ()
    shooting: Shooting = field(default_factory=Shooting)

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of a rendered picture, pixels."""
        return self.width, round(self.width * SIZE[1] / SIZE[0])


def write_pictures(
    assessment: Assessment, folder: Path, progress: Tell = silent, wanted: Wanted | None = None
) -> tuple[Path, ...]:
    """Write pictures of assembly, boring, paths, contact pressure, section and named views; models; films if wanted.

    Returns
    -------
    tuple of Path
        What was written, in that order.

    Raises
    ------
    NotAvailableError
        If this computer cannot render, or MP4 is wanted without its encoder; nothing is written then.
    OutputError
        If the folder cannot be written to.
    """
    how = wanted or Wanted()
    require_rendering()
    for kind in how.films:
        require_encoder(kind)
    written: list[Path] = []
    progress("jaws as they are bored")
    written += _scene(
        folder / "boring", boring_scene(assessment, how.size), how, "The jaws as they are bored"
    )
    progress("section through the spindle axis")
    written += _plot(folder / "section", section_figure(assessment), how)
    for number, (stage, path) in enumerate(assessment.paths):
        if path.file or path.clearance.touches:
            progress(f"tool on its path, {stage}")
            name = file_name(stage, number - 1) if number else stage
            written += _path_pictures(assessment, path, folder, name, how)
    ready = states(assessment)
    for index, figures in enumerate(assessment.operations):
        name = file_name(figures.operation.name, index)
        progress(f"assembly, {figures.operation.name}")
        scene = assembly_scene(assessment, index, how.size)
        written += _scene(folder / f"assembly-{name}", scene, how, f"Gripped, {figures.operation.name}")
        written.append(write_whole(folder / f"assembly-{name}.glb", glb(assembly_solids(assessment, index))))
        progress(f"contact pressure, {figures.operation.name}")
        pressure = pressure_picture(assessment, index, how.size, transparent=how.transparent)
        written += _plot(folder / f"pressure-{name}", pressure, how, PRESSURE_DOTS)
        for kind_, plot in (
            ("pocket", pocket_figure(assessment, index, window((assessment,)))),
            ("roundness", roundness_polar(figures)),
            ("shape", shape_picture(ready, index)),
            ("turn", over_turn(figures, assessment.scenario.limits.holding_factor)),
        ):
            if plot is not None:
                written += _plot(folder / f"{kind_}-{name}", plot, how, PLOT_DOTS)
    for number, view in enumerate(assessment.scenario.views):
        progress(f"view {view.name}")
        name = file_name(view.name, number)
        written += _scene(folder / f"view-{name}", staged(assessment, view, how.size), how, view.name)
    progress("bored jaw")
    written.append(write_whole(folder / "soft-jaw-bored.stl", jaw_stl(assessment.parts)))
    if how.films:
        for film in films(ready, how.shooting):
            written += write_film(film, how.films, folder, how.shooting.rate, progress)
    return tuple(written)


def _scene(place: Path, scene: Staged, how: Wanted, title: str) -> list[Path]:
    """Render a scene and write it as PNG, and as SVG if wanted."""
    picture = render(scene.layers, scene.camera, how.size, transparent=how.transparent)
    written = [write_whole(place.with_suffix(".png"), png(picture, title))]
    if how.svg:
        solid = [layer for layer in scene.layers if layer.opacity >= 1.0]
        away = depth(solid, scene.camera, how.size)
        text = line_art(picture, away, scene.layers, scene.camera, title)
        written.append(write_whole(place.with_suffix(".svg"), text.encode("utf-8")))
    return written


def _plot(place: Path, figure: Figure, how: Wanted, dots: float = 160.0) -> list[Path]:
    """Write a figure as PNG, and as SVG if wanted."""
    written = [write_whole(place.with_suffix(".png"), as_png(figure, dots, transparent=how.transparent))]
    if how.svg:
        written.append(write_whole(place.with_suffix(".svg"), as_svg_file(figure).encode("utf-8")))
    return written


def _path_pictures(
    assessment: Assessment, path: PathFigures, folder: Path, name: str, how: Wanted
) -> list[Path]:
    """Write clearance along the path, and the moment that matters in section and in 3D."""
    found = []
    plot = clearance_by_distance(path, assessment.scenario.limits.holding_factor)
    if plot is not None:
        found += _plot(folder / f"clearance-{name}", plot, how)
    section, scene = moment_section(path), moment_scene(assessment, path, how.size)
    if section is not None and scene is not None:
        found += _plot(folder / f"moment-section-{name}", section, how)
        found += _scene(folder / f"moment-{name}", scene, how, f"The tool on its path, {name}")
    return found


def png(picture: Picture, title: str = "") -> bytes:
    """Return a picture as PNG that carries its title and the cautions as text (PNG, tEXt chunks)."""
    words = PngInfo()
    words.add_itxt("Title", title)
    words.add_itxt("Description", " ".join(CAUTIONS))
    file = io.BytesIO()
    Image.fromarray(picture).save(file, format="PNG", compress_level=6, pnginfo=words)
    return file.getvalue()


def file_name(name: str, index: int) -> str:
    """Return an operation's number and name as a part of a file's name: '1-first-side'."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")
    return f"{index + 1}-{plain}" if plain else str(index + 1)
