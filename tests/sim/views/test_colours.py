from __future__ import annotations

import itertools
import typing

import numpy as np
import pytest
from colour_difference import SEEN, ciede2000, hexadecimal, lab, least

from sim.setup.pose import Kind
from sim.views.colours import (
    ALUMINIUM,
    AT_YIELD,
    BODY_COLOURS,
    CAST_IRON,
    ENOUGH,
    FIXTURE,
    HARDENED,
    INK,
    METAL_COLOURS,
    NEED,
    OTHER_BODY,
    OVERLAP,
    PAPER,
    SCARCE,
    STEEL,
    TOO_LITTLE,
    body_colour,
    contrast,
    luminance,
    metal_of,
    rgb,
)
from sim.views.pressure_scale import colours

MATERIALS = (STEEL, HARDENED, ALUMINIUM, CAST_IRON, FIXTURE)
METALS = sorted({*BODY_COLOURS.values(), *METAL_COLOURS.values(), OTHER_BODY})
PRESSURES = [hexadecimal(one) for one in colours()]
# Sharma, Wu and Dalal (2005), table 1, in part: CIELAB of both and their difference, to four decimals, as
# the authors' file of test data has them (public copies of it agree).
SHARMA = [
    ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
    ((50.0, 3.1571, -77.2803), (50.0, 0.0, -82.7485), 2.8615),
    ((50.0, -1.3802, -84.2814), (50.0, 0.0, -82.7485), 1.0),
    ((50.0, 0.0, 0.0), (50.0, -1.0, 2.0), 2.3669),
    ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0009), 7.1792),
    ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0011), 7.2195),
    ((50.0, -0.001, 2.49), (50.0, 0.0009, -2.49), 4.8045),
    ((50.0, -0.001, 2.49), (50.0, 0.0011, -2.49), 4.7461),
    ((50.0, 2.5, 0.0), (50.0, 0.0, -2.5), 4.3065),
    ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
    ((50.0, 2.5, 0.0), (61.0, -5.0, 29.0), 22.8977),
    ((50.0, 2.5, 0.0), (56.0, -27.0, -3.0), 31.9030),
    ((50.0, 2.5, 0.0), (58.0, 24.0, 15.0), 19.4535),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.2630),
    ((61.2901, 3.7196, -5.3901), (61.4292, 2.2480, -4.9620), 1.8731),
    ((35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645),
    ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
    ((36.4612, 47.8580, 18.3852), (36.2715, 50.5065, 21.2231), 1.4146),
    ((90.8027, -2.0831, 1.4410), (91.1528, -1.6435, 0.0447), 1.4441),
    ((6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
]


@pytest.mark.parametrize(("one", "other", "difference"), SHARMA)
def test_the_measure_gives_the_published_differences(
    one: typing.Any, other: typing.Any, difference: float
) -> None:
    assert ciede2000(one, other) == pytest.approx(difference, abs=5e-5)
    assert ciede2000(other, one) == pytest.approx(difference, abs=5e-5)


def test_greys_stay_greys_for_all_eyes() -> None:
    for seen in SEEN:
        assert lab("#808080", seen) == pytest.approx(lab("#808080"), abs=0.05)


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


@pytest.mark.parametrize(
    ("name", "density", "metal"),
    [
        ("steel C45", 7.85e-6, "steel"),
        ("aluminium 6082-T6", 2.7e-6, "aluminium"),
        ("cast iron GJL-250", 7.2e-6, "cast iron"),
        ("hardened steel, 58 HRC", 7.85e-6, "hardened steel"),
    ],
)
def test_a_material_is_one_of_the_metals_that_are_told_apart(name: str, density: float, metal: str) -> None:
    assert metal_of(name, density) == metal


# Least differences as they are computed, a little less: what would bring colours nearer to each other fails here. For
# scale: 2 is seen side by side, 10 at a glance (common practice, no source).
@pytest.mark.parametrize(
    ("seen", "metals", "materials"),
    [
        ("all cones", 22.0, 11.5),
        ("protanopia", 20.5, 11.5),
        ("deuteranopia", 22.0, 11.5),
        ("tritanopia", 15.0, 9.0),
    ],
)
def test_pressures_stand_apart_from_metals_and_metals_from_each_other(
    seen: str, metals: float, materials: float
) -> None:
    assert least(PRESSURES, METALS, seen)[0] >= metals
    between = [ciede2000(lab(a, seen), lab(b, seen)) for a, b in itertools.combinations(MATERIALS, 2)]
    assert min(between) >= materials
    assert least([BODY_COLOURS["workpiece"]], MATERIALS, seen)[0] >= 11.5


@pytest.mark.parametrize(
    ("seen", "apart"),
    [("all cones", 42.0), ("protanopia", 31.0), ("deuteranopia", 26.0), ("tritanopia", 24.0)],
)
def test_grips_stand_apart_from_each_other_and_lines_from_the_pressures(seen: str, apart: float) -> None:
    grips = (ENOUGH, SCARCE, TOO_LITTLE)
    assert min(ciede2000(lab(a, seen), lab(b, seen)) for a, b in itertools.combinations(grips, 2)) >= apart
    assert least([AT_YIELD, OVERLAP], PRESSURES, seen)[0] >= 40.0
    jaws = [METAL_COLOURS[name] for name in ("steel", "aluminium", "cast iron")]
    # A jaw without a colour of its grip is not taken for one that has it.
    assert least(grips, jaws, seen)[0] >= 11.0


def test_pressures_darken_evenly() -> None:
    """Their order survives a black-and-white print, and equal steps look equal (CIELAB lightness)."""
    light = np.array([lab(one)[0] for one in PRESSURES])
    steps = -np.diff(light)
    assert (steps > -0.25).all()  # a colour of eight bits rounds
    blocks = np.diff(-light[::51])
    assert blocks.min() > 0.75 * blocks.max()


def test_luminance_and_contrast_by_wcag() -> None:
    """WCAG 2.2: black on white 21 to 1; #767676 on white is the usual example of just 4.54 to 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)
    assert luminance(rgb("#808080")) == pytest.approx(0.2159, abs=5e-5)


@pytest.mark.parametrize("colour", [INK, NEED])
def test_text_and_limits_reach_level_aa_on_paper(colour: str) -> None:
    """WCAG 2.2, 1.4.3: 4.5 to 1."""
    assert contrast(colour, PAPER) >= 4.5
