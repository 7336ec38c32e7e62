"""A digest names a value bit by bit: alike only for what is alike, and none for what it does not know."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

import numpy as np
import pytest
import shapely
import trimesh

from sim.assessment.results import Assessment
from sim.base.digest import digest_of
from sim.scenario import Scenario

APART: tuple[Any, ...] = (
    *(
        None,
        False,
        True,
        0,
        1,
        -1,
        0.0,
        -0.0,
        1.0,
        math.nextafter(1.0, 2.0),
        math.nan,
        math.inf,
        "",
        "1",
        "1.0",
    ),
    *(
        (),
        [],
        (1,),
        [1],
        ((1,), 2),
        (1, (2,)),
        ((1, 2),),
        ("a", "bc"),
        ("ab", "c"),
        {},
        {"a": 1},
        {"a": 2},
        {"b": 1},
    ),
    *(
        frozenset({1}),
        frozenset({2}),
        np.zeros(2),
        np.zeros(3),
        np.zeros((2, 1)),
        np.zeros(2, dtype=np.float32),
    ),
    *(np.array([0.0, 5e-324]), np.array([0.0, -0.0]), np.zeros(2, dtype=bool), np.ones((2, 3))),
    *(np.asfortranarray(np.ones((2, 3))), np.float64(1.0), np.int64(1)),
    *(shapely.box(0, 0, 1, 1), shapely.box(0, 0, 1, 2)),
    *(trimesh.creation.box((1, 1, 1)), trimesh.creation.box((1, 1, 2))),
)


def test_what_differs_has_another_digest() -> None:
    assert len({digest_of(value) for value in APART}) == len(APART)


def test_what_is_alike_has_the_same() -> None:
    assert digest_of((1.5, "a", np.arange(3.0))) == digest_of((1.5, "a", np.arange(3.0)))
    box = trimesh.creation.box((1, 2, 3))
    before = digest_of(box)
    assert box.volume  # what a mesh keeps of itself is no part of it
    assert digest_of(box) == before


@dataclass(frozen=True)
class Foreign:
    a: int = 1


@pytest.mark.parametrize("value", [object(), len, Foreign(), np.array([object()]), {1, 2}, b"a"])
def test_what_is_not_known_has_none(value: object) -> None:
    with pytest.raises(TypeError, match="no digest"):
        digest_of((1, [value]))


def test_every_part_of_a_judged_setup_counts(assessment: Callable[[str], Assessment]) -> None:
    """Whichever field of it is replaced by another value, the digest is another one."""
    judged = assessment("cast_hub_on_ring")
    whole = digest_of(judged)
    seen = {whole}
    tried = 0
    for first in fields(judged):
        inner = getattr(judged, first.name)
        inner_is_one = is_dataclass(inner) and not isinstance(inner, type)
        for second in fields(inner) if inner_is_one else ():
            if second.init and getattr(inner, second.name) is not None:
                # Past the constructors, which refuse what is impossible.
                changed = replace(judged)
                other = object.__new__(type(inner))
                for one in fields(inner):
                    object.__setattr__(other, one.name, getattr(inner, one.name))
                object.__setattr__(other, second.name, None)
                object.__setattr__(changed, first.name, other)
                seen.add(digest_of(changed))
                tried += 1
        changed = replace(judged)
        object.__setattr__(changed, first.name, None)
        seen.add(digest_of(changed))
        tried += 1
    assert len(seen) == tried + 1


def test_what_was_stated_and_what_was_left_out_differ(varied: Callable[..., Scenario]) -> None:
    """A page says which values nobody has stated."""
    setup = varied("cast_hub_on_ring")
    stated = setup.model_copy()
    left_out = next(iter(type(setup).model_fields.keys() - setup.model_fields_set))
    stated.__pydantic_fields_set__.add(left_out)
    assert digest_of(stated) != digest_of(setup)
