from __future__ import annotations

import itertools
import typing

import numpy as np
import pytest
from matplotlib import colormaps

from sim.setup.pose import Kind
from sim.views.colours import (
    BODY_COLOURS,
    INK,
    NEED,
    PAPER,
    PRESSURE_MAP,
    body_colour,
    contrast,
    luminance,
    rgb,
)


def test_every_kind_of_body_has_a_colour() -> None:
    assert set(typing.get_args(Kind)) <= set(BODY_COLOURS)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("T-nuts", "T-nut"),
        ("jaw screw 2", "jaw screw"),
        ("soft jaws", "soft jaw"),
        ("master jaws", "master jaw"),
        ("chuck", "chuck body"),
        ("boring ring", "boring ring"),
        ("outer ring", "outer ring"),
    ],
)
def test_names_of_bodies_find_their_kind(name: str, kind: str) -> None:
    assert body_colour(name) == BODY_COLOURS[kind]


def test_pressure_map_grows_in_luminance() -> None:
    """The order of pressures must survive a black-and-white print (cividis; Nunez et al., PLoS ONE 13, 2018)."""
    shades = [luminance(tuple(c[:3])) for c in colormaps[PRESSURE_MAP](np.linspace(0.0, 1.0, 256))]
    assert all(b > a for a, b in itertools.pairwise(shades))


def test_luminance_and_contrast_by_wcag() -> None:
    """WCAG 2.2: black on white 21 to 1; #767676 on white is the usual example of just 4.54 to 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)
    assert luminance(rgb("#808080")) == pytest.approx(0.2159, abs=5e-5)


@pytest.mark.parametrize("colour", [INK, NEED])
def test_text_and_limits_reach_level_aa_on_paper(colour: str) -> None:
    """WCAG 2.2, 1.4.3: 4.5 to 1."""
    assert contrast(colour, PAPER) >= 4.5


def test_solids_are_neutral_metals() -> None:
    """Saturation of solids stays below that of any signal colour: state is not told by a body's colour."""
    for name, colour in BODY_COLOURS.items():
        if name != "insert":
            assert max(rgb(colour)) - min(rgb(colour)) < 0.2
