"""One colour for each kind of body, the same in scenes, sections, plots and exported models.

Solids are neutral metals told apart by lightness and a trace of warmth; pressure is shown by cividis, which is
perceptually uniform and keeps its order for colour-blind readers. State is told by symbol and word first; its
colour only repeats them.
"""

from __future__ import annotations

from sim.assessment.verdict import Status

Rgb = tuple[float, float, float]

BODY_COLOURS: dict[str, str] = {
    "chuck body": "#80878e",
    "master jaw": "#666d75",
    "T-nut": "#4e545b",
    "jaw screw": "#3d4248",
    "soft jaw": "#cfd3d6",
    "workpiece": "#cdc0aa",
    "boring ring": "#9aabb6",
    "plug": "#a5b3a2",
    "outer ring": "#9aabb6",
    "back stop": "#a99a8d",
    "centre": "#8f959b",
    "steady rest": "#9aa1a7",
    "boring bar": "#5b6f7d",
    "tool": "#5b6f7d",
    "insert": "#b59b62",
}
OTHER_BODY = "#9c9c9c"
PRESSURE_MAP = "cividis"

INK = "#22272d"  # text and outlines; the page replaces it by its own ink, dark or light
EDGE = "#30353a"  # edges of solids
FAINT = "#8b939b"  # helping lines
PAPER = "#fbfbf9"  # behind text that crosses lines
BACKDROP = "#eef0f1"  # behind the solids
PATH = "#2f5d7c"  # cutting path and curves
NEED = "#9a4a1c"  # what is asked for: limits and required values

STATUS_SYMBOL: dict[Status, str] = {"pass": "✓", "warn": "!", "fail": "✕"}
STATUS_WORD: dict[Status, str] = {"pass": "passes", "warn": "warns", "fail": "fails"}


def body_colour(name: str) -> str:
    """Return the colour of a body by its kind or a name that holds it, as in 'T-nuts' or 'soft jaw 2'."""
    found = [kind for kind in BODY_COLOURS if kind in name]
    if found:
        return BODY_COLOURS[max(found, key=len)]
    if "chuck" in name:
        return BODY_COLOURS["chuck body"]
    if "ring" in name:
        return BODY_COLOURS["boring ring"]
    return BODY_COLOURS["jaw screw"] if "screw" in name else OTHER_BODY


def rgb(colour: str) -> Rgb:
    """Return red, green and blue, 0 to 1, of '#rrggbb'."""
    red, green, blue = (int(colour[k : k + 2], 16) / 255.0 for k in (1, 3, 5))
    return red, green, blue


def luminance(colour: Rgb) -> float:
    """Return the relative luminance of an sRGB colour, 0 to 1 (WCAG 2.2, relative luminance)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two '#rrggbb' colours, 1 to 21 (WCAG 2.2, contrast ratio)."""
    low, high = sorted((luminance(rgb(one)), luminance(rgb(other))))
    return (high + 0.05) / (low + 0.05)
