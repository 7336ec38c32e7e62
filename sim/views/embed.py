"""Pictures and plots as parts of an offline page."""

from __future__ import annotations

import base64
import io
import json
from dataclasses import dataclass

import numpy as np
from markupsafe import Markup, escape
from matplotlib.figure import Figure
from PIL import Image

from sim.views.figure import as_pixels, as_svg, content_of
from sim.views.kept_pieces import kept_piece
from sim.views.layer import Picture
from sim.views.readout import readout

WEBP_QUALITY = 84
_IMAGE = Markup('<img src="data:image/webp;base64,{}" width="{}" height="{}" alt="{}">')


@dataclass(frozen=True, slots=True)
class Embedded:
    """A picture or plot of a page: its mark-up, the line below it (also read aloud), what it answers to the pointer."""

    markup: Markup
    caption: str
    readout: str = ""


def embedded_picture(picture: Picture | Image.Image, caption: str) -> Embedded:
    """Return a rendered picture (height, width, 3) inside the page."""
    pixels = np.asarray(picture)
    height, width = pixels.shape[:2]
    data = kept_piece("picture of the page", pixels, make=lambda: _packed(pixels))
    return Embedded(_IMAGE.format(data, width, height, caption), caption)


def embedded_drawing(figure: Figure, dots_per_inch: float, caption: str) -> Embedded:
    """Return a figure that holds a picture as pixels inside the page."""

    def drawn() -> str:
        pixels = np.ascontiguousarray(as_pixels(figure, dots_per_inch))
        return json.dumps([_packed(pixels), pixels.shape[1], pixels.shape[0]])

    content = content_of(figure)
    data, width, height = json.loads(
        drawn() if content is None else kept_piece("drawing", content, dots_per_inch, make=drawn)
    )
    return Embedded(_IMAGE.format(data, width, height, caption), caption)


def _packed(pixels: Picture) -> str:
    file = io.BytesIO()
    Image.fromarray(pixels).save(file, format="WEBP", quality=WEBP_QUALITY, method=4)
    return base64.b64encode(file.getvalue()).decode("ascii")


def small_picture(image: Image.Image, words: str) -> Markup:
    """Return a picture of few pixels as it is, with the words that are read aloud for it."""
    file = io.BytesIO()
    image.save(file, format="PNG", optimize=True)
    data = base64.b64encode(file.getvalue()).decode("ascii")
    return Markup('<img src="data:image/png;base64,{}" width="{}" height="{}" alt="{}">').format(
        data, image.width, image.height, words
    )


def embedded_plot(figure: Figure, name: str, caption: str) -> Embedded:
    """Return a figure as SVG inside the page; `name` keeps its ids apart from other figures'."""

    def drawn() -> str:
        return json.dumps([as_svg(figure, name), readout(figure)])

    content = content_of(figure)
    svg, answer = json.loads(drawn() if content is None else kept_piece("plot", content, name, make=drawn))
    named = svg.replace('role="img"', f'role="img" aria-label="{escape(caption)}"', 1)
    return Embedded(Markup(named), caption, answer)  # noqa: S704  (made by matplotlib, text escaped)
