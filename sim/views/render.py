"""Off-screen rendering of solids by VTK: one call per picture, the driver tried before the first.

Pictures that belong together are drawn in one window, for which the driver makes its programs once.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from typing import Any

import numpy as np

from sim.base.answers import in_pieces
from sim.base.arrays import Flags, Floats
from sim.base.errors import NotAvailableError
from sim.views.camera import Camera
from sim.views.driver import problem_of_driver
from sim.views.kept_pieces import kept_piece
from sim.views.layer import Layer, Picture

SUPERSAMPLING = 1.5  # pixels drawn for each pixel kept, along each side
# VTK's window of this thread, once a picture has been drawn in it; None where each picture has a window of its own.
_WINDOW: ContextVar[list[Any] | None] = ContextVar("window", default=None)


def require_rendering() -> None:
    """Make sure that pictures can be rendered.

    Raises
    ------
    NotAvailableError
        If they cannot; the message says what to install.
    """
    problem = _trial()
    if problem:
        raise NotAvailableError(
            f"pictures cannot be rendered off-screen ({problem}); on Debian install libegl1, libgl1-mesa-dri "
            "and libx11-6"
        )


def refused() -> bool:
    """Tell whether a picture has been asked for that could not be rendered."""
    return bool(_trial.cache_info().currsize and _trial())


@cache
def _trial() -> str:
    """Return what went wrong where the driver was tried, empty if nothing did."""
    return problem_of_driver()


@contextmanager
def one_window() -> Iterator[None]:
    """Let the pictures drawn between have one window: they come out as in windows of their own, but sooner."""
    if _WINDOW.get() is not None:
        yield
        return
    opened: list[Any] = []
    token = _WINDOW.set(opened)
    try:
        yield
    finally:
        _WINDOW.reset(token)
        for window in opened:
            window.Finalize()


@contextmanager
def _window() -> Iterator[Any]:
    from sim.views.off_screen import new_window

    opened = _WINDOW.get()
    if opened is None:
        window = new_window()
        try:
            yield window
        finally:
            window.Finalize()
        return
    if not opened:
        opened.append(new_window())
    yield opened[0]


def render(
    layers: Sequence[Layer],
    camera: Camera,
    size: tuple[int, int],
    *,
    transparent: bool = False,
) -> Picture:
    """Draw layers as seen by a camera.

    Parameters
    ----------
    layers : sequence of Layer
    camera : Camera
    size : (width, height)
        Pixels.
    transparent : bool
        Leave the ground out: the fourth channel then says how much of a pixel is covered.

    Returns
    -------
    (height, width, 3) array of uint8, (height, width, 4) if transparent

    Raises
    ------
    NotAvailableError
        If this computer cannot render.
    """
    asked = (tuple(layers), camera, size, transparent)
    if not in_pieces():
        return _rendered(*asked)
    drawn: list[Picture] = []

    def made() -> str:
        drawn.append(_rendered(*asked))
        return _as_text(drawn[0])

    text = kept_piece("picture", *asked, make=made)
    return drawn[0] if drawn else _of_text(text)


def _rendered(
    layers: Sequence[Layer],
    camera: Camera,
    size: tuple[int, int],
    transparent: bool,  # noqa: FBT001
) -> Picture:
    require_rendering()
    from PIL import Image

    from sim.views.off_screen import depth_of, pixels_of

    drawn = (round(size[0] * SUPERSAMPLING), round(size[1] * SUPERSAMPLING))
    with _window() as window:
        shot = pixels_of(window, layers, camera, drawn)
        if transparent:
            return _cut_out(shot, np.isfinite(depth_of(window, layers, camera, drawn)), size)
    image = Image.fromarray(shot)
    return np.asarray(image.resize(size, Image.Resampling.LANCZOS), dtype=np.uint8)


def _as_text(picture: Picture) -> str:
    from PIL import Image

    file = io.BytesIO()
    Image.fromarray(picture).save(file, format="PNG", compress_level=1)
    return base64.b64encode(file.getvalue()).decode("ascii")


def _of_text(text: str) -> Picture:
    from PIL import Image

    return np.array(Image.open(io.BytesIO(base64.b64decode(text))), dtype=np.uint8)


def depth(layers: Sequence[Layer], camera: Camera, size: tuple[int, int]) -> Floats:
    """Return how far what is seen lies from the eye along the line of sight, (height, width), mm; inf for nothing.

    Raises
    ------
    NotAvailableError
        If this computer cannot render.
    """
    require_rendering()
    return _depth(layers, camera, size)


def _depth(layers: Sequence[Layer], camera: Camera, size: tuple[int, int]) -> Floats:
    from sim.views.off_screen import depth_of

    with _window() as window:
        return depth_of(window, layers, camera, size)


def _cut_out(shot: Picture, covered: Flags, size: tuple[int, int]) -> Picture:
    """Return a picture with a channel of coverage, colours of partly covered pixels from their covered part alone."""
    from PIL import Image

    alpha = np.where(covered, 255, 0).astype(np.uint8)
    image = Image.fromarray(np.dstack([np.where(covered[..., None], shot, 0).astype(np.uint8), alpha]))
    # 'a' in lower case: colours weighted by coverage, so that nothing of the ground gets into the rim.
    small = image.convert("RGBa").resize(size, Image.Resampling.BOX).convert("RGBA")
    return np.asarray(small, dtype=np.uint8)
