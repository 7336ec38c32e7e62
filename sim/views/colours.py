"""One colour for each metal, the same in scenes, sections, plots and exported models; pressure and grip stand apart.

Metals are warm greys and browns, told apart by lightness; pressure runs from light blue to dark violet, evenly in
lightness, so that it stands apart from every metal for all eyes: by how much is computed in its test, with each kind of
cone missing, too. A jaw that grips is coloured by its grip against what the cuts need. State is told by symbol and word
first; its colour only repeats them.
"""

from __future__ import annotations

from sim.assessment.verdict import Status

Rgb = tuple[float, float, float]

STEEL, HARDENED, ALUMINIUM, CAST_IRON, FIXTURE = "#b4b3ae", "#777470", "#e4e3de", "#46443f", "#8a8f4e"
BODY_COLOURS: dict[str, str] = {
    "chuck body": "#8d8a85",
    "master jaw": HARDENED,
    "T-nut": HARDENED,
    "jaw screw": "#5a5753",
    "soft jaw": STEEL,
    "workpiece": "#e3bd7f",
    "boring ring": FIXTURE,
    "plug": FIXTURE,
    "outer ring": FIXTURE,
    "back stop": FIXTURE,
    "centre": HARDENED,
    "steady rest": FIXTURE,
    "boring bar": "#5a5753",
    "tool": "#5a5753",
    "insert": "#c9a227",
    "metal in metal": "#e0002f",
}
OVERLAP = BODY_COLOURS["metal in metal"]
OTHER_BODY = "#9c9a96"
METAL_COLOURS: dict[str, str] = {
    "hardened steel": HARDENED,
    "steel": STEEL,
    "aluminium": ALUMINIUM,
    "cast iron": CAST_IRON,
}
LIGHT = 3.5e-6  # kg/mm3: below it a metal is drawn as aluminium

ENOUGH, SCARCE, TOO_LITTLE = "#358a95", "#ffa000", "#c8102e"  # a jaw's grip against what the cuts need
AT_YIELD = "#ff8a00"  # the line in a pressed face along which the softer side yields

INK = "#22272d"  # text and outlines; the page replaces it by its own ink, dark or light
EDGE = "#30353a"  # edges of solids
FAINT = "#8b939b"  # helping lines
PAPER = "#fbfbf9"  # behind text that crosses lines
BACKDROP = "#f1f1ef"  # behind the solids
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


def metal_of(name: str, density: float) -> str:
    """Return which of the metals that are told apart a material is, by its name and density (kg/mm3)."""
    if density < LIGHT:
        return "aluminium"
    if "iron" in name:
        return "cast iron"
    return "hardened steel" if "hardened" in name else "steel"


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
