"""Figures of plots and sections: one type scale, and as SVG for the page or PNG for a file."""

from __future__ import annotations

import hashlib
import io
import pickle
import re
import textwrap
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.colors import Colormap
from matplotlib.figure import Figure
from matplotlib.image import AxesImage
from matplotlib.text import Text
from matplotlib.transforms import IdentityTransform, TransformNode
from numpy.typing import NDArray

from sim.assessment.results import CAUTIONS
from sim.base.answers import in_pieces
from sim.base.digest import digest_of
from sim.base.printable import printable
from sim.views.colours import FAINT, INK, NEED, PAPER, PATH

GAP = 4.0  # pixels between pictures side by side
BODY = 10.0  # pt; one type scale: 10 for text and ticks, 12 for titles
TITLE = 12.0
POINTS = 72.0  # to an inch: what figures in SVG are laid out in
WHOLE, HALF = 10.5, 5.2  # in, widths of a figure across the page or half of it: text then comes out alike
_STYLE: dict[Any, Any] = {
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "hatch.linewidth": 0.4,  # pt
    "svg.fonttype": "none",  # text stays text: it can be found, read aloud and takes the page's font
}
_IN_PAGE = {
    INK: "var(--ink)",
    FAINT: "var(--faint)",
    PAPER: "var(--card)",
    PATH: "var(--path)",
    NEED: "var(--need)",
}
_FAMILY = re.compile(r"font(-family)?:([^;\"]*?)'DejaVu Sans'[^;\"]*")
_WIDEST = 90  # letters of a line
_POWER = re.compile(r"\$\\mathdefault\{(?:[-\u2212\d.^{} ]|\\times)*\}\$")  # a number at a logarithmic axis
_NUMBERED = re.compile(r' id="[A-Za-z0-9.]*_\d+"')


def fine_hatching() -> Any:
    """Return the place in which what is hatched is made: its lines are as wide there, or when drawn."""
    return matplotlib.rc_context({"hatch.linewidth": _STYLE["hatch.linewidth"]})


def new_figure(width: float, height: float) -> Figure:
    """Return an empty figure of a size in inches, laid out so that no text is cut off."""
    with matplotlib.rc_context(_STYLE):
        figure = Figure(figsize=(width, height), layout="constrained")
    figure.patch.set_alpha(0.0)
    return figure


def cautions_below(figure: Figure) -> None:
    """Write the cautions along the lower edge of a figure that stands alone."""
    letters = min(_WIDEST, round(14.5 * figure.get_figwidth()))  # longer lines would be broken once more
    words = textwrap.fill(" ".join(CAUTIONS), letters)
    figure.supxlabel(words, x=0.01, ha="left", fontsize=BODY - 2.5, color=INK, linespacing=1.4)


def plain_axes(figure: Figure, title: str = "", across: str = "", up: str = "") -> Axes:
    """Return the axes of a figure with one plot."""
    axes = figure.add_subplot()
    dress(axes, title, across, up)
    return axes


def dress(axes: Axes, title: str = "", across: str = "", up: str = "") -> None:
    """Give axes the common look: no frame above and right, ink, sizes."""
    axes.set_facecolor("none")
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["left", "bottom"]].set_color(FAINT)
    axes.tick_params(colors=INK, labelsize=BODY, color=FAINT)
    axes.set_xlabel(across, fontsize=BODY, color=INK)
    axes.set_ylabel(up, fontsize=BODY, color=INK)
    if title:
        axes.set_title(title, fontsize=TITLE, color=INK, loc="left", pad=10.0)


def named(words: str, width: int = 28, most: int = 2) -> str:
    """Return a name out of a file as a figure has room for it: lines of so many letters, no more lines than that.

    Parameters
    ----------
    words : str
    width, most : int
        Letters of a line, and lines; no unit.
    """
    lines = textwrap.wrap(printable(words), width, max_lines=most, placeholder=" ...") or [""]
    # A label that begins so would be left out of a legend.
    return "\n".join([f" {lines[0]}" if lines[0].startswith("_") else lines[0], *lines[1:]])


class _AsItIs(AxesImage):
    """A picture that is not scaled where its axes have as many pixels as it has."""

    def make_image(self, renderer: Any, magnification: float = 1.0, unsampled: bool = False) -> Any:  # noqa: FBT001, FBT002
        """Return the pixels, where they begin from the left and from below, and how they are still to be moved."""
        box = self.axes.bbox
        shot: Any = self.get_array()
        edges = np.array([box.x0, box.y0, box.width, box.height])
        whole = np.abs(edges - np.rint(edges)).max() <= 1e-6 and shot.shape[1::-1] == tuple(
            np.rint(edges[2:])
        )
        if unsampled or magnification != 1.0 or not whole:
            return super().make_image(renderer, magnification, unsampled)
        high, wide = shot.shape[:2]
        covered = np.full((high, wide, 4), 255, dtype=np.uint8)
        covered[:, :, : shot.shape[2]] = shot
        return covered[::-1], round(box.x0), round(box.y0), IdentityTransform()


def put_picture(axes: Axes, shot: NDArray[np.uint8]) -> None:
    """Fill axes with a picture, (height, width, 3), or 4 where it says how much of a pixel is covered; no frame."""
    image = _AsItIs(axes, interpolation="nearest", origin="upper")
    image.set_data(shot)
    image.set_extent((-0.5, shot.shape[1] - 0.5, shot.shape[0] - 0.5, -0.5))
    image.set_clip_path(axes.patch)
    axes.add_image(image)
    axes.set_aspect("auto")
    axes.set_axis_off()
    axes.set_xlim(-0.5, shot.shape[1] - 0.5)
    axes.set_ylim(shot.shape[0] - 0.5, -0.5)


class _Content(pickle.Pickler):
    """Writes all that a figure holds, transforms without the numbers that they have in this process alone."""

    def reducer_override(self, one: Any) -> Any:
        if isinstance(one, Colormap):
            one(0.0)  # it makes its table when it is first asked
        if not isinstance(one, TransformNode):
            return NotImplemented
        reduced: Any = one.__reduce_ex__(pickle.HIGHEST_PROTOCOL)
        make, arguments, state = reduced[:3]
        return make, arguments, {**state, "_parents": list(state["_parents"].values())}


def content_of(figure: Figure) -> str | None:
    """Return a digest of all that a figure is drawn from, before it is drawn; None where it has none.

    Functions in it are named, not read: they must stand in modules. What the library's settings say counts, too.
    """
    if not in_pieces():
        return None
    file = io.BytesIO()
    try:
        _Content(file, pickle.HIGHEST_PROTOCOL).dump(figure)
    except (AttributeError, TypeError, pickle.PicklingError):
        return None
    return digest_of(hashlib.blake2b(file.getbuffer()).hexdigest(), repr(dict(matplotlib.rcParams)))


def _as_written(figure: Figure) -> None:
    """Let text be drawn as it stands: a '$' in a name is no formula (and half a formula would be an error)."""
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            axis.get_ticklabels(which="both")  # makes them, so that they are found below
    for text in figure.findobj(Text):
        words = text.get_text()
        if not _POWER.fullmatch(words):
            text.set_parse_math(False)
            text.set_text("\n".join(map(_within, printable(words, "\n").split("\n"))))


def _within(line: str) -> str:
    """Return a line, broken where names in it make it longer than a figure is wide: no room would be left to draw."""
    return (
        line
        if len(line) <= _WIDEST
        else "\n".join(textwrap.wrap(line, _WIDEST, max_lines=3, placeholder=" ..."))
    )


@contextmanager
def _any_letters() -> Iterator[None]:
    """Draw a box for a letter that the font has not, without a word about it."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        yield


def _written(figure: Figure, salt: str) -> str:
    """Return the figure as SVG, its ids told apart by a salt."""
    _as_written(figure)
    FigureCanvasSVG(figure)
    file = io.StringIO()
    nothing: dict[str, Any] = dict.fromkeys(("Date", "Creator", "Format", "Type"))
    style = {**_STYLE, "svg.hashsalt": salt}
    with matplotlib.rc_context(style), _any_letters(), _laid_out(figure, POINTS):
        figure.savefig(file, format="svg", metadata=nothing)
    return file.getvalue()


@contextmanager
def _laid_out(figure: Figure, dots_per_inch: float) -> Iterator[None]:
    """Lay a figure out, once: asked to save, the library would draw everything for the layout's sake alone."""
    layout, dots = figure.get_layout_engine(), figure.get_dpi()
    try:
        if layout is not None:
            figure.set_dpi(dots_per_inch)
            layout.execute(figure)
            figure.set_layout_engine(None)  # with "none" the library would draw it all the same
        yield
    finally:
        figure.set_layout_engine(layout)
        figure.set_dpi(dots)


def as_svg(figure: Figure, name: str) -> str:
    """Return the figure as an SVG element for the page; `name` keeps its ids apart from other figures'.

    Ink, helping lines and paper become the page's own colours, so that the figure follows light and dark.
    """
    text = _written(figure, name)
    text = text[text.index("<svg") :]
    text = re.sub(r"<metadata>.*?</metadata>", "", text, flags=re.DOTALL)
    text = _NUMBERED.sub("", text)
    text = _FAMILY.sub(lambda match: f"font{match[1] or ''}:{match[2]}var(--sans)", text)
    for colour, variable in _IN_PAGE.items():
        text = text.replace(colour, variable)
    width, height = figure.get_size_inches() * 72.0
    head = f'<svg role="img" viewBox="0 0 {width:g} {height:g}" xmlns="http://www.w3.org/2000/svg"'
    return re.sub(r"^<svg[^>]*", head + ' xmlns:xlink="http://www.w3.org/1999/xlink"', text, count=1)


def as_svg_file(figure: Figure) -> str:
    """Return the figure as SVG for a file of its own: plain colours, text as text."""
    return _written(figure, "figure")


def as_png(figure: Figure, dots_per_inch: float = 160.0, *, transparent: bool = False) -> bytes:
    """Return the figure as PNG, on white paper unless it has a ground of its own or `transparent` is wanted."""
    FigureCanvasAgg(figure)
    _as_written(figure)
    if transparent:
        file = io.BytesIO()
        with matplotlib.rc_context(_STYLE), _any_letters(), _laid_out(figure, dots_per_inch):
            figure.savefig(file, format="png", dpi=dots_per_inch, transparent=True)
        return file.getvalue()
    file = io.BytesIO()
    _on_ground(figure, file, "png", dots_per_inch)
    return file.getvalue()


def as_pixels(figure: Figure, dots_per_inch: float) -> NDArray[np.uint8]:
    """Return the figure as `as_png` shows it, (height, width, 3), without packing and unpacking it."""
    FigureCanvasAgg(figure)
    _as_written(figure)
    file = io.BytesIO()
    _on_ground(figure, file, "rgba", dots_per_inch)
    wide, high = (int(inches * dots_per_inch) for inches in figure.get_size_inches())
    return np.frombuffer(file.getbuffer(), dtype=np.uint8).reshape(high, wide, 4)[:, :, :3]


def _on_ground(figure: Figure, file: io.BytesIO, form: str, dots_per_inch: float) -> None:
    ground = (1.0, 1.0, 1.0, 1.0) if figure.patch.get_alpha() == 0.0 else figure.get_facecolor()
    alpha = figure.patch.get_alpha()
    figure.patch.set_alpha(1.0)
    try:
        with matplotlib.rc_context(_STYLE), _any_letters(), _laid_out(figure, dots_per_inch):
            figure.savefig(file, format=form, dpi=dots_per_inch, facecolor=ground)
    finally:
        figure.patch.set_alpha(alpha)


def in_diameters(axes: Axes) -> None:
    """Let the marks of a half section's radius say diameters, as a turner reads them."""
    axes.yaxis.set_major_formatter(_diameter)


def _diameter(radius: float, _: float) -> str:
    return f"{2.0 * radius:g}"
