"""Types of arrays, for signatures: what they hold; shape and unit stand in the docstring."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Ints = NDArray[np.int64]
Geometries = NDArray[np.object_]  # of shapely
