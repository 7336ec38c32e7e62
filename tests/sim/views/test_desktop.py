"""The window of its own, as far as it goes without a screen: sliders, stages, figures in its corner."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.assessment.state import BORING, at, on_path, states
from sim.base.errors import NotAvailableError
from sim.views import desktop
from sim.views.desktop import DesktopWindow


@pytest.fixture(scope="module")
def window(assessment: Callable[[str], Assessment], rendering: None) -> Any:
    assert rendering is None
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(desktop, "SIZE", tuple(side // 3 for side in desktop.SIZE))  # each slider draws it anew
        made = DesktopWindow(states(assessment("cast_hub_ring_blocks")), off_screen=True)
    made.plotter.show(auto_close=False, interactive=False)
    yield made
    made.plotter.close()


def _sliders(window: DesktopWindow) -> list[Any]:
    found: list[Any] = getattr(window.plotter, "widgets", window.plotter).slider_widgets
    return found


def test_sliders_of_an_operation(window: DesktopWindow) -> None:
    window.choose("0")
    assert len(_sliders(window)) == 4
    window.set("travel", 1.0)
    assert window.state is not None
    assert window.state.gap == pytest.approx(at(window.ready, 0, travel=1.0).gap)
    assert any(f"open, {window.state.gap:.2f} mm" in line for line in window.words())
    opened = np.asarray(window.plotter.screenshot(return_img=True)).astype(int)
    window.set("travel", 6.0)
    window.set("pressure", 15.0)
    window.set("speed", 500.0)
    expected = at(window.ready, 0, pressure=1.5, speed=500.0)
    assert any(f"grip {expected.total / 1000.0:.1f} kN in all" in line for line in window.words())
    closed = np.asarray(window.plotter.screenshot(return_img=True)).astype(int)
    assert (np.abs(closed - opened).max(axis=2) > 12).mean() > 0.004


def test_the_tool_on_its_path(window: DesktopWindow) -> None:
    window.choose(BORING)
    assert len(_sliders(window)) == 2
    position = 0.6 * window.ready.tracks[BORING].length
    window.set("position", position)
    found = on_path(window.ready, BORING, position)
    assert any(found.body in line for line in window.words())


def test_the_worst_verdicts_come_first_and_cautions_stand(window: DesktopWindow) -> None:
    worst = window.ready.assessment.verdicts[0]
    lines = window.words()
    first = next(line for line in lines if line.startswith(("fail", "warn", "pass")))
    assert first.startswith(f"{worst.status}: {worst.name}")
    assert "cautions" in window.plotter.actors


def test_verdicts_beside_a_moved_slider_are_said_to_be_those_of_the_file(window: DesktopWindow) -> None:
    window.choose("0")
    assert not any("NOT judged" in line for line in window.words())
    stated = window.values["speed"]
    window.set("speed", 0.5 * stated)
    lines = window.words()
    assert any("the sliders' state is NOT judged" in line for line in lines)
    assert not any(line.startswith(("fail", "warn", "pass")) for line in lines)
    assert any(line.startswith("as stated: ") for line in lines)
    window.set("speed", stated)
    assert not any("NOT judged" in line for line in window.words())


def test_without_a_screen_it_is_one_sentence(
    assessment: Callable[[str], Assessment], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desktop.sys, "platform", "linux")
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    with pytest.raises(NotAvailableError, match="a window needs a screen"):
        desktop.show(assessment("cast_hub_ring_blocks"))
