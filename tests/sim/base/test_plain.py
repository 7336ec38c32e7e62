"""Values as plain text and back: every bit, kind, shape, order and class kept, and nothing else read."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as st_numpy

from meshes.workpiece import Workpiece
from sim.base.plain import text_of, value_of
from sim.contact.face import GripGeometry, face_grid
from sim.contact.setup import GripLoad

NUMBERS = st.none() | st.booleans() | st.integers() | st.floats() | st.text()


def same(one: Any, other: Any) -> bool:
    """Told apart by nothing: kinds, bits of floats, items."""
    if type(one) is not type(other):
        return False
    if isinstance(one, float):
        return one.hex() == other.hex() or (math.isnan(one) and math.isnan(other))
    if isinstance(one, tuple | list):
        return len(one) == len(other) and all(map(same, one, other))
    return bool(one == other)


@given(st.recursive(NUMBERS, lambda inner: st.lists(inner) | st.lists(inner).map(tuple), max_leaves=20))
def test_numbers_texts_and_sequences_come_back(value: Any) -> None:
    assert same(value_of(text_of(value)), value)


@given(
    st_numpy.arrays(st.sampled_from(["f8", "i8", "b1", "f4"]), st_numpy.array_shapes(min_dims=0, max_dims=3))
)
def test_arrays_come_back_to_the_bit(array: np.ndarray) -> None:
    found = value_of(text_of(array))
    assert (found.dtype, found.shape, found.tobytes()) == (array.dtype, array.shape, array.tobytes())
    assert not found.flags.writeable


def test_the_order_of_an_array_comes_back() -> None:
    """Sums run along it, so it decides how they are rounded."""
    rows = np.arange(6.0).reshape(2, 3)
    assert value_of(text_of(np.asfortranarray(rows))).flags.f_contiguous
    assert text_of(np.asfortranarray(rows)) != text_of(rows)
    with pytest.raises(TypeError, match="gaps"):
        text_of(np.arange(12.0).reshape(3, 4)[:, ::2])


def test_a_number_of_an_array_stays_one() -> None:
    found = value_of(text_of(np.float64(0.1)))
    assert type(found) is np.float64
    assert found == 0.1


@pytest.mark.parametrize(
    "shape",
    [
        shapely.Polygon([(0.1, 0.2), (1 / 3, 0), (1, 1)], [[(0.3, 0.2), (0.35, 0.2), (0.35, 0.3)]]),
        shapely.MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(2, 2, 3, 3)]),
        shapely.Polygon(),
        shapely.GeometryCollection(),
        shapely.LineString([(0, -0.0), (1, 1)]),
    ],
)
def test_shapes_come_back_corner_by_corner(shape: shapely.Geometry) -> None:
    found = value_of(text_of(shape))
    assert found.geom_type == shape.geom_type
    assert shapely.to_wkb(found) == shapely.to_wkb(shape)


def test_dataclasses_come_back_with_what_they_derive() -> None:
    grid = face_grid(GripGeometry(20.0, 20.0, 20.0, 0.0, 10.0, edge_chamfer_mm=0.5), 8, 2)
    found = value_of(text_of(grid))
    assert type(found) is type(grid)
    assert np.array_equal(found.areas_mm2, grid.areas_mm2)
    assert text_of(found) == text_of(grid)


def test_classes_of_equal_fields_are_told_apart() -> None:
    assert text_of((1.0,)) != text_of([1.0])
    assert text_of(1.0) != text_of(1) != text_of(True)
    assert text_of(GripLoad(1.0)) != text_of(GripLoad(math.nextafter(1.0, 2.0)))


def test_what_is_not_known_is_refused() -> None:
    for value in (object(), {"a": 1}, {1}, np.array([object()]), (lambda: None), b"a", GripLoad):
        with pytest.raises(TypeError):
            text_of((1, value))


@pytest.mark.parametrize("module", ["os", "subprocess", "pathlib", "sim.base.answers", "meshes.workpiece"])
def test_no_text_makes_anything_but_own_dataclasses(module: str) -> None:
    __import__(module)
    names = {"os": "system", "subprocess": "Popen", "pathlib": "Path", "sim.base.answers": "maker"}
    name = names.get(module, "mesh")
    with pytest.raises((TypeError, KeyError)):
        value_of(json.dumps(["frozen", module, name, {"args": "true"}]))


def test_a_class_checks_what_is_read() -> None:
    good = text_of(Workpiece(((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))))
    assert type(value_of(good)) is Workpiece
    with pytest.raises(ValueError, match="closing_force_n"):
        value_of(text_of(GripLoad(1.0)).replace('"closing_force_n":1.0', '"closing_force_n":-1.0'))
