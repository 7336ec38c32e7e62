"""Pictures and plots as parts of an offline page."""

from __future__ import annotations

import base64
import io
from dataclasses import dataclass

from markupsafe import Markup, escape
from matplotlib.figure import Figure
from PIL import Image

from sim.views.figure import as_svg
from sim.views.readout import readout
from sim.views.render import Picture

WEBP_QUALITY = 84


@dataclass(frozen=True, slots=True)
class Embedded:
    """A picture or plot of a page: its mark-up, the line below it (also read aloud), what it answers to the pointer."""

    markup: Markup
    caption: str
    readout: str = ""


def embedded_picture(picture: Picture | Image.Image, caption: str) -> Embedded:
    """Return a rendered picture (height, width, 3) inside the page."""
    image = picture if isinstance(picture, Image.Image) else Image.fromarray(picture)
    file = io.BytesIO()
    image.save(file, format="WEBP", quality=WEBP_QUALITY, method=4)
    data = base64.b64encode(file.getvalue()).decode("ascii")
    markup = Markup('<img src="data:image/webp;base64,{}" width="{}" height="{}" alt="{}">')
    return Embedded(markup.format(data, image.width, image.height, caption), caption)


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
    named = as_svg(figure, name).replace('role="img"', f'role="img" aria-label="{escape(caption)}"', 1)
    markup = Markup(named)  # noqa: S704  (made by matplotlib, text escaped)
    return Embedded(markup, caption, readout(figure))
