"""Solids read from answers on disk are those of the booleans, corner by corner."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from meshes import boolean, boring_ring, chuck_body, jaw_screw, master_jaw, t_nut
from sim.base.answers import answers_in
from sim.scenario import Scenario
from sim.setup import solids
from sim.setup.parts import Parts, build

NAMES = ("blank", "stock", "bored", "body", "master", "nut", "screw")
EARLIER = [{"travel": "3 mm", "pockets": [{"diameter": "100 mm", "depth": "44 mm"}]}]


def refused(*_: object) -> Any:
    raise AssertionError("cut again")


def same(one: Any, other: Any) -> bool:
    return bool(np.array_equal(one.vertices, other.vertices) and np.array_equal(one.faces, other.faces))


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        ("cast_hub_on_ring", {}),
        ("cast_hub_on_plug", {}),
        ("cast_hub_on_plug", {"soft_jaw.bored_before": EARLIER}),
        ("housing_gripped_inside", {}),
    ],
)
def test_what_was_cut_is_read(
    tmp_path: Path,
    varied: Callable[..., Scenario],
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    changes: dict[str, Any],
) -> None:
    scenario = varied(name, changes)
    want = build(scenario)
    with answers_in(tmp_path, name):
        build(scenario)
    monkeypatch.setattr(boolean, "_combined", refused)
    with answers_in(tmp_path, name):
        found = build(scenario)
    for solid in NAMES:
        assert same(getattr(found, solid), getattr(want, solid)), solid
        assert getattr(found, solid).is_watertight
    assert (found.stock is found.blank) is (want.stock is want.blank)


def test_another_boring_is_another_jaw(tmp_path: Path, varied: Callable[..., Scenario]) -> None:
    """An answer is named by all that decides it: travel, earlier borings and the pre-bore among it."""
    changes: list[dict[str, Any]] = [{}, {"boring.travel": "2.9 mm"}, {"soft_jaw.bored_before": EARLIER}]
    found: list[Parts] = []
    with answers_in(tmp_path, "file"):
        found = [build(varied("cast_hub_on_plug", change)) for change in changes]
    for change, one in zip(changes, found, strict=True):
        assert same(one.bored, build(varied("cast_hub_on_plug", change)).bored)
    assert len({float(one.bored.volume) for one in found}) == len(changes)


def test_each_part_is_that_of_its_module(varied: Callable[..., Scenario]) -> None:
    parts = build(varied("cast_hub_on_ring"))
    assert parts.ring is not None
    assert same(solids.made(parts.ring), boring_ring.mesh(parts.ring))
    assert same(parts.body, chuck_body.mesh(parts.sizes.body))
    assert same(parts.master, master_jaw.mesh(parts.sizes.master))
    assert same(parts.nut, t_nut.mesh(parts.sizes.nut))
    assert same(parts.screw, jaw_screw.mesh(parts.sizes.screw))
