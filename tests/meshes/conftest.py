from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import trimesh

from meshes.soft_jaw import SoftJawBlank


@pytest.fixture(scope="session")
def assert_solid() -> Callable[..., None]:
    """Watertight, wound outward, and its volume within 0.1 % of the closed form (far within, in fact)."""

    def check(solid: trimesh.Trimesh, volume: float, rel: float = 1e-3) -> None:
        assert solid.is_watertight
        assert solid.is_winding_consistent
        assert np.isfinite(solid.vertices).all()
        assert solid.volume == pytest.approx(volume, rel=rel)

    return check


@pytest.fixture
def blank() -> SoftJawBlank:
    """An invented jaw with a flat inner end, screws well outside the bore."""
    return SoftJawBlank(
        length=110.0,
        width=50.0,
        height=50.0,
        tip_width=50.0,
        screws=(60.0, 90.0),
        hole_diameter=13.0,
        counterbore_diameter=20.0,
        counterbore_depth=30.0,
    )
