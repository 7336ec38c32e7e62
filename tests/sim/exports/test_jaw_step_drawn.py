"""Drawn jaws: what another program reads of a STEP file is closed and as large as the booleans of triangles."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes import soft_jaw
from meshes.pocket import Pocket, removed_inside, removed_outside
from meshes.soft_jaw import SoftJawBlank
from sim.base.arrays import Floats
from sim.base.errors import NotAvailableError
from sim.exports.jaw_faces import jaw_faces
from sim.exports.jaw_sheets import jaw_plan
from sim.exports.step_file import step


@st.composite
def blanks(draw: st.DrawFn) -> SoftJawBlank:
    length, width, height = (draw(st.integers(low, high)) for low, high in ((70, 140), (40, 90), (40, 90)))
    kind = draw(st.sampled_from(["block", "pointed", "sector"]))
    tip, angle = float(width), None
    if kind == "pointed":
        tip = draw(st.floats(0.3, 0.9)) * width
    if kind == "sector":
        tip, angle = 25.0, draw(st.floats(0.6, 2.0))
        width = soft_jaw.sector_width(float(length), tip, angle)
    screws = 0.5 * length, 0.8 * length
    return SoftJawBlank(float(length), float(width), float(height), tip, screws, 11.0, 18.0, 12.0, angle)


@st.composite
def turned(draw: st.DrawFn, blank: SoftJawBlank) -> tuple[float, Floats]:
    inner = draw(st.floats(20.0, 60.0))
    outside = draw(st.booleans())
    groove = draw(st.sampled_from([0.0, 0.6, 1.0]))
    pocket = Pocket(
        2.0 * (inner + draw(st.floats(3.0, 0.6 * blank.length))),
        draw(st.floats(8.0, 20.0)),
        3.0 * math.ceil(groove),
        groove,
        draw(st.sampled_from([0.0, 1.0])),
    )
    if outside:
        return inner, removed_outside((pocket,), blank.height)
    return inner, removed_inside((pocket,), blank.height, inner + blank.length + blank.width)


@given(data=st.data())
@settings(max_examples=8)
def test_drawn_jaws_against_booleans(read_step: Callable[..., Any], data: st.DataObject) -> None:
    blank = data.draw(blanks())
    cuts = [data.draw(turned(blank)) for _ in range(data.draw(st.integers(1, 2)))]
    booleans = soft_jaw.mesh(blank)
    for inner, outline in cuts:
        booleans = soft_jaw.bored(booleans, outline, inner, 256)  # true in volume, however coarse
    try:
        plan = jaw_plan(blank, tuple(cuts))
        faces = jaw_faces(plan)
    except NotAvailableError:
        return  # a sentence; what it stands for has tests of its own
    found = read_step(step(faces, plan.cells, "jaw", date(2026, 1, 2)), fine=0.03)
    assert found.mesh.is_watertight
    assert found.mesh.volume == pytest.approx(booleans.volume, rel=4e-4)
