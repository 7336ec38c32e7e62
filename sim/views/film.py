"""Films of a setup: the jaws close on the part and the pressure builds up; the tool runs along its path.

Frames are drawn by one plotter whose bodies only move. GIF needs nothing more; MP4 needs imageio-ffmpeg (the extra
'video'), which brings its own encoder.
"""

from __future__ import annotations

import io
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from sim.assessment.results import CAUTIONS
from sim.assessment.state import BORING, States, at, on_path
from sim.base.beside import working_folder
from sim.base.errors import NotAvailableError
from sim.views.actors import Actors, colour, enter, place
from sim.views.camera import fitted
from sim.views.colours import BACKDROP, INK, NEED, PAPER, rgb
from sim.views.render import LIGHTS, Picture, require_rendering
from sim.views.scene import into_the_bore

Kind = Literal["gif", "mp4"]
SIZE = (960, 640)
RATE = 20  # frames a second
CLOSING, BUILDING, HELD = 30, 16, 8  # frames: jaws close, pressure builds up, the end is held
ALONG = 130  # frames of a cutting path
TOWARDS = (0.32, 0.68, 0.86)  # to the eye: chuck left, tailstock right
STRIP = 46  # pixels below the picture, for its words
_SANS = "DejaVuSans.ttf"


@dataclass(frozen=True, slots=True, eq=False)
class Film:
    """Frames of one size, and the name of the file."""

    name: str
    frames: tuple[Picture, ...]


def films(states: States) -> Iterator[Film]:
    """Yield the closing stroke of each operation, then the tool on each cutting path.

    Raises
    ------
    NotAvailableError
        If this computer cannot render.
    """
    require_rendering()
    for figures in states.assessment.operations:
        yield Film(f"closing-{figures.index + 1}", tuple(_closing(states, figures.index)))
    for stage in states.tracks:
        name = "cutting-boring" if stage == BORING else f"cutting-{int(stage) + 1}"
        yield Film(name, tuple(_cutting(states, stage)))


def encoded(film: Film, kind: Kind) -> bytes:
    """Return a film as GIF or MP4.

    Raises
    ------
    NotAvailableError
        If MP4 is wanted and its encoder is not installed.
    """
    return _gif(film.frames) if kind == "gif" else _mp4(film.frames)


def require_encoder(kind: Kind) -> None:
    """Refuse MP4 before any frame is drawn where its encoder is not installed.

    Raises
    ------
    NotAvailableError
        The message says what to install.
    """
    if kind == "mp4":
        _ffmpeg()


def _ffmpeg() -> Any:
    try:
        import imageio_ffmpeg
    except ImportError:
        raise NotAvailableError(
            "MP4 needs imageio-ffmpeg (in the folder of chuckscene: pip install '.[video]'); GIF needs nothing more"
        ) from None
    return imageio_ffmpeg


def _closing(states: States, operation: int) -> Iterator[Picture]:
    assessment = states.assessment
    stated = assessment.operations[operation].operation
    held = at(states, operation)
    scale = max(held.band_peak, 1e-9)
    plotter, actors = _stage(states, str(operation), glass=("workpiece",))
    try:
        for travel in np.linspace(0.0, held.touch_travel, CLOSING):
            state = at(states, operation, travel=float(travel))
            place(actors, state.jaw_travel)
            colour(actors, None, scale)
            words = f"jaw travel {state.jaw_travel:.2f} mm, {state.gap:.2f} mm to the part"
            yield _frame(plotter, f"{stated.name}: {words}")
        for share in np.linspace(1.0 / BUILDING, 1.0, BUILDING).tolist() + [1.0] * HELD:
            pressure = share * stated.gripping.pressure
            state = at(states, operation, pressure=pressure)
            place(actors, state.jaw_travel)
            colour(actors, state, scale)
            yield _frame(
                plotter,
                f"{stated.name}: {10.0 * pressure:.1f} bar, grip {state.total / 1000.0:.1f} kN in all, largest "
                f"pressure {state.band_peak:.0f} MPa (colours up to {scale:.0f} MPa)",
            )
    finally:
        plotter.close()


def _cutting(states: States, stage: str) -> Iterator[Picture]:
    assessment, track = states.assessment, states.tracks[stage]
    path = assessment.boring if stage == BORING else assessment.machining[int(stage)]
    travel = (
        assessment.scenario.boring.travel
        if stage == BORING
        else assessment.operations[int(stage)].grip_travel
    )
    plotter, actors = _stage(states, stage, glass=())
    try:
        colour(actors, None, 1.0)
        for position in np.linspace(0.0, track.length, ALONG):
            found = on_path(states, stage, float(position))
            run = 0 if path is None else path.run_of(found.move)
            place(actors, travel, tip=found.tip, run=run)
            near = (
                f"{found.part} touches {found.body}"
                if found.distance <= 0.0
                else f"{found.distance:.1f} mm, {found.part} to {found.body}"
            )
            words = f"move {found.move + 1} of {len(track.moves)}, {track.moves[found.move].kind}: {near}"
            yield _frame(plotter, words, alarm=found.distance <= 0.0)
    finally:
        plotter.close()


def _stage(states: States, stage: str, glass: tuple[str, ...]) -> tuple[Any, Actors]:
    """Set up a plotter with light, camera and the bodies of a stage."""
    import pyvista

    plotter = pyvista.Plotter(off_screen=True, window_size=SIZE, lighting="none")
    plotter.set_background(BACKDROP)
    for spot, strength in LIGHTS:
        plotter.add_light(pyvista.Light(position=spot, light_type="camera light", intensity=strength))
    plotter.enable_anti_aliasing("msaa")
    actors = enter(plotter, states.assessment, stage, glass)
    place(actors, 0.0)
    bounds = np.array([actor.bounds for body, own in actors.bodies if body.run is None for actor in own[:1]])
    low, high = bounds[:, 0::2].min(axis=0), bounds[:, 1::2].max(axis=0)
    corners = np.array(
        [[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
    )
    camera = fitted(corners, TOWARDS, (1.0, 0.0, 0.0), SIZE, 0.98)
    if stage != BORING and states.assessment.parts.direction == "outside" and glass:
        # All three gripped faces are seen from the axis before the jaws.
        camera = into_the_bore(states.assessment.operations[int(stage)], states.assessment.parts)
    plotter.camera_position = [camera.eye, camera.focus, camera.up]
    plotter.camera.view_angle = camera.angle
    plotter.camera.clipping_range = (10.0, 6000.0)
    return plotter, actors


def _frame(plotter: Any, words: str, *, alarm: bool = False) -> Picture:
    """Draw a frame, its words and a caution below it."""
    plotter.render()
    shot = Image.fromarray(np.asarray(plotter.screenshot(return_img=True))[:, :, :3])
    whole = Image.new("RGB", (SIZE[0], SIZE[1] + STRIP), tuple(round(255 * c) for c in rgb(PAPER)))
    whole.paste(shot, (0, 0))
    pen = ImageDraw.Draw(whole)
    pen.text((12, SIZE[1] + 4), ("✕ " if alarm else "") + words, fill=NEED if alarm else INK, font=_font(17))
    pen.text((12, SIZE[1] + 27), f"{CAUTIONS[1]} {CAUTIONS[0]}", fill=INK, font=_font(13))
    return np.asarray(whole, dtype=np.uint8)


def _font(size: int) -> Any:
    """Return the sans-serif type that matplotlib brings along: the same on every computer."""
    from matplotlib import get_data_path

    return ImageFont.truetype(str(Path(get_data_path()) / "fonts" / "ttf" / _SANS), size)


def _gif(frames: tuple[Picture, ...]) -> bytes:
    """Encode with one palette for all frames, so that colours do not flicker."""
    thinned = frames[::2] if len(frames) > 80 else frames
    images = [Image.fromarray(frame) for frame in thinned]
    sample = Image.new("RGB", (images[0].width, 3 * images[0].height))
    for row, image in enumerate((images[0], images[len(images) // 2], images[-1])):
        sample.paste(image, (0, row * images[0].height))
    palette = sample.quantize(192)
    shown = [image.quantize(palette=palette, dither=Image.Dither.NONE) for image in images]
    file = io.BytesIO()
    step = 1000 * len(frames) // (RATE * len(thinned))
    shown[0].save(
        file, format="GIF", save_all=True, append_images=shown[1:], duration=step, loop=0, optimize=True
    )
    return file.getvalue()


def _mp4(frames: tuple[Picture, ...]) -> bytes:
    """Encode as H.264 with even sides, which every player takes."""
    height, width = (side - side % 2 for side in frames[0].shape[:2])
    raw = b"".join(np.ascontiguousarray(frame[:height, :width]).tobytes() for frame in frames)
    with working_folder() as folder:
        path = folder / "film.mp4"
        given = ["-f", "rawvideo", "-pix_fmt", "rgb24", "-s", f"{width}x{height}", "-r", str(RATE), "-i", "-"]
        made = ["-an", "-c:v", "libx264", "-pix_fmt", "yuv420p", "-crf", "20", "-movflags", "+faststart"]
        done = subprocess.run(  # noqa: S603  (the encoder that the package brings, our own arguments)
            [_ffmpeg().get_ffmpeg_exe(), "-v", "error", *given, *made, str(path)],
            input=raw,
            capture_output=True,
            check=False,
        )
        if done.returncode != 0:
            reason = done.stderr.decode(errors="replace").strip().splitlines()[-1:]
            raise NotAvailableError(f"MP4 cannot be encoded ({' '.join(reason) or 'no reason given'})")
        return path.read_bytes()
