"""How part and jaws move under the grip, as the page reads it: places in mm, movements in steps of so many mm."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.assessment.deformed import Deformed
from sim.views.packing import base64_of

_MOST = 32767  # steps to either side


def as_object(shape: Deformed) -> dict[str, Any]:
    """Return places and movements in base64 (float32; int16 times 'step_mm'), the ring last, jaws as numbers."""
    step = max(float(np.abs(shape.moved_mm).max()), 1e-9) / _MOST
    return {
        "places_mm": base64_of(np.vstack([shape.places_mm, shape.ring_mm]).astype("<f4")),
        "held": [bool(one) for one in (*shape.held, False)],
        "angles": int(shape.angles_rad.size),
        "step_mm": step,
        "moved": base64_of(np.rint(shape.moved_mm / step).astype("<i2")),
        "shift_mm": shape.shift_mm.tolist(),
        "tilt_rad": shape.tilt_rad.tolist(),
        "roundness_um": shape.roundness_um,
        "largest_um": 1e3 * shape.largest_mm,
        "jaws": [
            {
                "master_mm": one.master_mm,
                "master_slope": one.master_slope,
                "pivot_mm": one.pivot_mm,
                "face_mm": one.face_mm,
                "face_slope": one.face_slope,
                "middle_mm": one.middle_mm,
            }
            for one in shape.jaws
        ],
    }
