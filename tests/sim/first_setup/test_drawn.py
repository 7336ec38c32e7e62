"""What a file of the part tells a first setup, in words."""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf

from sim.first_setup.drawn import drawn
from sim.scenario.part_model import PartModel

QUARTER = math.tan(math.pi / 8.0)  # a bulge is the tangent of a quarter of the turn


def test_cylinders_and_arcs_of_a_drawing_are_told(tmp_path: Path) -> None:
    drawing = ezdxf.new()
    corners = [(0, 15, 0), (36, 15, 0), (36, 33, QUARTER), (24, 45, 0), (0, 45, 0)]
    drawing.modelspace().add_lwpolyline(corners, format="xyb", close=True)
    drawing.saveas(tmp_path / "cap.dxf")
    model = PartModel.model_validate({"file": "cap.dxf", "unit": "mm", "axis": "x", "chuck_end": "low"})
    assert drawn(model, tmp_path).words.endswith("cylinders: 90 mm from 0 to 24; arcs of 12 mm")
