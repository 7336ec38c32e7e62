from __future__ import annotations

import math

import numpy as np
import pytest

from meshes.revolve import checked_outline, facet_factor, revolve, volume_by_pappus

RING = [(20.0, 0.0), (30.0, 0.0), (30.0, 15.0), (20.0, 15.0)]
FRUSTUM = [(0.0, 0.0), (30.0, 0.0), (20.0, 15.0), (0.0, 15.0)]
TWO_CONES = [(0.0, 0.0), (10.0, 5.0), (0.0, 20.0)]
CUP = [(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (15.0, 10.0), (15.0, 3.0), (0.0, 3.0)]

CLOSED_FORMS = [
    (RING, math.pi * (30.0**2 - 20.0**2) * 15.0),
    (FRUSTUM, math.pi * 15.0 / 3.0 * (30.0**2 + 30.0 * 20.0 + 20.0**2)),
    (TWO_CONES, math.pi * 10.0**2 * 20.0 / 3.0),
    (CUP, math.pi * (20.0**2 * 10.0 - 15.0**2 * 7.0)),
]


@pytest.mark.parametrize(("outline", "volume"), CLOSED_FORMS)
@pytest.mark.parametrize("sections", [8, 24, 256])
def test_volume_is_the_closed_form_at_any_number_of_sections(outline, volume, sections, assert_solid) -> None:
    assert_solid(revolve(outline, sections), volume, rel=1e-12)
    assert_solid(revolve(outline[::-1], sections), volume, rel=1e-12)
    assert volume_by_pappus(outline) == pytest.approx(volume, rel=1e-12)


@pytest.mark.parametrize(("outline", "volume"), CLOSED_FORMS)
@pytest.mark.parametrize("sector", [(-0.4, 0.4), (1.0, 4.5)])
def test_sector_has_its_share(outline, volume, sector, assert_solid) -> None:
    share = (sector[1] - sector[0]) / (2.0 * math.pi)
    assert_solid(revolve(outline, 64, sector), volume * share, rel=1e-12)


def test_facets_stay_as_near_the_circle_as_documented() -> None:
    step = 2.0 * math.pi / 1024
    outside = 60.0 * (facet_factor(step) - 1.0)
    inside = 60.0 * (1.0 - facet_factor(step) * math.cos(0.5 * step))
    assert outside * 1e3 == pytest.approx(0.19, abs=0.005)
    assert inside * 1e3 == pytest.approx(0.09, abs=0.005)


def test_outline_is_copied_and_not_changed() -> None:
    outline = np.array(RING)
    outline.setflags(write=False)
    revolve(outline)
    checked = checked_outline(outline)
    checked[:] = 0.0
    np.testing.assert_array_equal(outline, RING)


@pytest.mark.parametrize(
    ("outline", "word"),
    [
        ([(0, 0), (1, 0)], "three or more"),
        ([(-1, 0), (1, 0), (1, 1)], "r >= 0"),
        ([(0, 0), (1, 1), (1, 0), (0, 1)], "cross"),
        ([(0, 0), (1, 0), (2, 0)], "cross|no area"),
        ([(0, 0), (math.nan, 0), (1, 1)], "finite"),
        ([(0, 0, 0), (1, 0, 0), (1, 1, 0)], "three or more"),
    ],
)
def test_outlines_that_bound_no_solid(outline: list[tuple[float, ...]], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        revolve(outline)


def test_too_few_sections() -> None:
    with pytest.raises(ValueError, match="at least 8"):
        revolve(RING, 7)
