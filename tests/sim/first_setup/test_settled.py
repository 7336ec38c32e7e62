"""Pressures of a first setup: each window is asked at the other's pressure, and again only where that has moved."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from sim.base import units
from sim.first_setup import settled
from sim.first_setup.known import HeaviestCut, Known, Part, Plate

PART = Part(117.0, 118.0, 60.0, "cast iron GJL-250", "raw", gripped=30.0, beyond=80.0, bore=40.0)
KNOWN = Known(254, Plate(), PART, HeaviestCut("turning", 80.0, 2.0, 0.3, 110.0))
Best = Callable[[float], float]


def bar(text: str) -> float:
    return round(10.0 * units.read(text, "pressure"), 9)


@pytest.fixture
def found(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Callable[[Best, Best], tuple[Any, list[str]]]:
    """Settle with windows whose best pressure (bar) is a function of the other pressure (bar); tell what was asked."""

    def settle(of_ring: Best, of_grip: Best) -> tuple[Any, list[str]]:
        asked: list[str] = []

        def judged(text: str, *_: object, **__: object) -> tuple[float, float]:
            stated = tomllib.loads(text)
            return bar(stated["operations"][0]["gripping"]["pressure"]), bar(stated["boring"]["pressure"])

        def at(name: str, best: float) -> Any:
            asked.append(f"{name} {best:g}")
            return SimpleNamespace(recommended=SimpleNamespace(pressure=0.1 * best))

        monkeypatch.setattr(settled, "_judged", judged)
        monkeypatch.setattr(settled, "boring_window", lambda pair: at("ring", of_ring(pair[0])))
        monkeypatch.setattr(settled, "window", lambda pair, *_: at("grip", of_grip(pair[1])))
        stated = tomllib.loads(settled.proposed_text(KNOWN, tmp_path))
        pair = bar(stated["operations"][0]["gripping"]["pressure"]), bar(stated["boring"]["pressure"])
        return pytest.approx(pair), asked

    return settle


def test_where_neither_counts_in_the_other_each_window_is_made_for_what_stands(found: Any) -> None:
    assert found(lambda _: 6.0, lambda _: 18.0) == ((18.0, 6.0), ["ring 6", "grip 18", "ring 6"])


def test_the_ring_is_asked_at_the_grip_found_and_the_grip_at_the_ring_found(found: Any) -> None:
    """By hand: gripping 20 + ring, ring a quarter of gripping up to 6: 26 and 6, whatever both began with."""
    pair, asked = found(lambda grip: min(6.0, grip / 4.0), lambda ring: 20.0 + ring)
    assert pair == (26.0, 6.0)
    assert asked[-2:] == ["grip 26", "ring 6"]


def test_a_ring_that_moves_asks_for_the_grip_again(found: Any) -> None:
    """By hand: the ring bears 5 bar under 20 bar of gripping and 7 above, gripping is 4 times the ring's pressure."""
    pair, asked = found(lambda grip: 5.0 if grip < 25.0 and grip != 20.0 else 7.0, lambda ring: 4.0 * ring)
    assert pair == (28.0, 7.0)
    assert [one.split()[0] for one in asked] == ["ring", "grip", "ring", "grip", "ring"]
