"""A pocket read between computed ones, beside the same pocket computed: over drags in depth, bore and jaw's end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from sim.base.arrays import Floats
from sim.contact import (
    ContactSetup,
    GripGeometry,
    GripLoad,
    Hole,
    JawBlock,
    TurnedPart,
    band_means,
    deepened,
    jaws_nearby,
    part_alone,
    prepare,
    press,
    previewed,
)

STEEL, ALUMINIUM = (210e3, 0.3), (70e3, 0.33)
Pocket = Callable[[float], ContactSetup]


def setup(
    *, depth: float = 22.0, bore: float = 50.02, back: float = 100.0, inner: float = 40.0
) -> ContactSetup:
    """Part of radius 50 mm, 30 mm high, on the floor of a pocket in a jaw 45 mm high; it grips 20 mm of it."""
    floor = 45.0 - depth
    outline = np.array(
        [(inner, floor), (50.0, floor), (50.0, floor + 20.0), (48.0, floor + 30.0), (inner, floor + 30.0)]
    )
    return ContactSetup(
        GripGeometry(bore, 50.0, 50.0, floor, floor + 20.0, edge_chamfer_mm=2.3),
        TurnedPart(outline, *STEEL),
        JawBlock(
            back,
            45.0,
            *ALUMINIUM,
            ledge_z_mm=floor,
            ledge_radius_mm=45.0,
            holes=(Hole(80.0, 18.0, 15.0, 45.0),),
        ),
        GripLoad(60e3, (2000.0, 500.0)),
        strips=24,
        bands=4,
        model="elastic",
    )


def deep(depth: float) -> ContactSetup:
    return setup(depth=depth)


def bored(bore: float) -> ContactSetup:
    return setup(bore=bore)


def long(back: float) -> ContactSetup:
    return setup(back=back)


def thin(bore: float) -> ContactSetup:
    """A screw's counterbore 4 mm behind the face: its edge goes through the elements that carry the pressure."""
    found = setup(bore=bore)
    return replace(found, jaw=replace(found.jaw, holes=(Hole(64.0, 20.0, 15.0, 45.0),)))


def solid(depth: float) -> ContactSetup:
    return setup(depth=depth, inner=0.0)


def off(pocket: Pocket, places: list[float], asked: list[float]) -> list[float]:
    """Largest difference of a band's mean pressure over the mean pressure, at each place asked for."""
    jaws = jaws_nearby([(place, pocket(place)) for place in places])
    before = pocket(places[len(places) // 2])
    known = prepare(before)
    found = []
    for place in asked:
        own = pocket(place)
        exact: Floats = band_means(press(own, None, prepare(own)))
        quick: Floats = band_means(press(own, None, previewed(own, place, jaws, before, known)))
        found.append(float(np.abs(quick - exact).max() / exact.mean()))
    return found


@pytest.mark.parametrize(
    ("pocket", "places", "asked"),
    [
        (deep, [21.5, 22.0, 22.5], [21.7, 22.3]),
        (solid, [21.5, 22.0, 22.5], [21.8]),
        (bored, [49.9, 50.0, 50.1], [49.95, 50.03]),
        (thin, [49.9, 50.0, 50.1], [49.95, 50.05]),
        (long, [99.0, 100.0, 101.0], [99.6]),
    ],
)
def test_pressures_of_a_preview_are_within_half_a_percent_of_the_mean(
    pocket: Pocket, places: list[float], asked: list[float]
) -> None:
    assert max(off(pocket, places, asked)) < 5e-3


def test_a_bore_is_read_between_two_jaws_as_if_it_were_computed() -> None:
    """Fit and springs are exact, and the jaw itself hardly changes with a tenth of a millimetre of bore."""
    assert max(off(bored, [50.0, 50.1], [50.04])) < 1e-4


def test_at_a_computed_pocket_it_is_that_pocket() -> None:
    """Bit for bit but for summing; the same part divided 1 mm higher up has other triangles: 0.1 % of the mean."""
    lower, same = off(deep, [21.5, 22.5], [21.5, 22.5])
    assert same == pytest.approx(0.0, abs=1e-9)
    assert lower < 2e-3


def longer(depth: float) -> ContactSetup:
    """A part 40 mm high that the wall grips up to 1 mm under the jaw's top, so that it grips more the deeper it is."""
    found, floor = setup(depth=depth), 45.0 - depth
    outline = np.array([(40.0, floor), (50.0, floor), (50.0, floor + 40.0), (40.0, floor + 40.0)])
    grip = replace(found.grip, z_low_mm=floor + 2.0, z_high_mm=44.0)
    return replace(found, grip=grip, part=TurnedPart(outline, *STEEL), strips=12, bands=3)


def test_a_deeper_pocket_that_grips_more_of_the_part_has_its_jaw_read_and_its_part_computed() -> None:
    jaws = jaws_nearby([(place, longer(place)) for place in (21.5, 22.0, 22.5)])
    own = longer(22.3)
    exact = band_means(press(own, None, prepare(own)))
    part = part_alone(own)
    quick = band_means(press(own, None, deepened(own, 22.3, jaws, part)))
    assert quick == pytest.approx(exact, abs=1e-4 * exact.mean())
    with pytest.raises(ValueError, match=r"place must lie between 21\.5 and 22\.5 mm"):
        deepened(longer(22.6), 22.6, jaws, part)
    other = replace(own, strips=16)
    with pytest.raises(ValueError, match="must have the same cells"):
        deepened(other, 22.3, jaws, part)


def test_nothing_is_foreseen_outside_of_what_is_computed() -> None:
    jaws = jaws_nearby([(place, deep(place)) for place in (21.5, 22.5)])
    known = prepare(deep(22.5))
    for place in (21.4, 22.6, float("nan")):
        with pytest.raises(ValueError, match=r"place must lie between 21\.5 and 22\.5 mm"):
            previewed(deep(22.0), place, jaws, deep(22.5), known)


def test_another_part_is_refused() -> None:
    jaws = jaws_nearby([(place, deep(place)) for place in (21.5, 22.5)])
    before = deep(22.0)
    known = prepare(before)
    grip = before.grip
    for other in (
        setup(inner=39.0),
        replace(before, part=replace(before.part, modulus_mpa=110e3)),
        replace(before, grip=replace(grip, z_high_mm=grip.z_high_mm - 1.0)),
        replace(before, strips=20),
    ):
        with pytest.raises(ValueError, match="part and gripped length must be those"):
            previewed(other, 22.0, jaws, before, known)
