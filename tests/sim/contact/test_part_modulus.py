"""A softer or stiffer part or jaw out of prepared bodies, against bodies prepared with that modulus."""

from __future__ import annotations

import numpy as np
import pytest

from sim.contact import (
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    TurnedPart,
    clamped_shape,
    jaw_opening,
    prepare,
    press,
)
from sim.contact.prepared import with_moduli

PLACES = np.array([[40.0, 25.0]])


def setup(modulus: float, model: str, jaw: float = 210e3) -> ContactSetup:
    return ContactSetup(
        GripGeometry(50.05, 50.0, 50.0, 10.0, 40.0),
        TurnedPart(np.array([(40.0, 10.0), (50.0, 10.0), (50.0, 40.0), (40.0, 40.0)]), modulus, 0.3),
        JawBlock(back_radius_mm=100.0, height_mm=40.0, modulus_mpa=jaw, poisson=0.3),
        GripLoad(closing_force_n=30e3),
        strips=12,
        bands=4,
        model=model,  # type: ignore[arg-type]
    )


@pytest.mark.parametrize("model", ["foundation", "elastic"])
@pytest.mark.parametrize("share", [0.6, 1.4])
def test_as_prepared_with_that_modulus(model: str, share: float) -> None:
    places = PLACES if model == "elastic" else None
    ready = with_moduli(prepare(setup(110e3, model), places), share, 1.0)
    other = setup(share * 110e3, model)
    anew = prepare(other, places)
    mine, theirs = press(other, prepared=ready), press(other, prepared=anew)
    assert mine.pressure_mpa == pytest.approx(theirs.pressure_mpa, rel=1e-6, abs=1e-6)
    assert mine.approach_mm == pytest.approx(theirs.approach_mm, rel=1e-8)
    if model == "elastic":
        assert clamped_shape(mine, ready).roundness_um == pytest.approx(
            clamped_shape(theirs, anew).roundness_um, rel=1e-6
        )


@pytest.mark.parametrize("model", ["foundation", "elastic"])
def test_as_prepared_with_both_moduli(model: str) -> None:
    places = PLACES if model == "elastic" else None
    ready = with_moduli(prepare(setup(110e3, model), places), 0.9, 1.15)
    other = setup(0.9 * 110e3, model, 1.15 * 210e3)
    anew = prepare(other, places)
    mine, theirs = press(other, prepared=ready), press(other, prepared=anew)
    assert mine.pressure_mpa == pytest.approx(theirs.pressure_mpa, rel=1e-6, abs=1e-6)
    assert jaw_opening(mine, ready).slope_rad == pytest.approx(jaw_opening(theirs, anew).slope_rad, rel=1e-6)


def test_a_share_of_nothing_is_refused() -> None:
    ready = prepare(setup(110e3, "foundation"))
    with pytest.raises(ValueError, match="part's share must be above 0"):
        with_moduli(ready, 0.0, 1.0)
