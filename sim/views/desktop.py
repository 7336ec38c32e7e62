"""A window of its own with the same sliders as the page, for those who have a screen: pyvista's.

Number keys choose the stage. Figures stand in the upper left corner, verdicts and cautions below them.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.state import BORING, GripState, States, at, on_path, states
from sim.base.errors import NotAvailableError
from sim.views.actors import Actors, colour, enter, leave, light, place
from sim.views.camera import fitted
from sim.views.colours import BACKDROP, INK
from sim.views.pressure_scale import linear_map, rounded_up
from sim.views.web.stages import highest_pressure
from sim.views.wording import measures

SIZE = (1280, 800)
SHOWN_VERDICTS = 7
TOWARDS = (0.37, 0.70, 0.60)  # chuck left, tailstock right
_LETTERS = 11
_CARRYING = {"middle": "middles carry", "edges": "edges carry", "full": "middles and edges carry"}


def show(assessment: Assessment) -> None:
    """Open the window and stay until it is closed.

    Raises
    ------
    NotAvailableError
        If there is no screen.
    """
    if sys.platform.startswith("linux") and not (
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    ):
        raise NotAvailableError(
            "a window needs a screen; without one use `chuckscene open` or `chuckscene review`"
        )
    window = DesktopWindow(states(assessment))
    window.plotter.show()


@dataclass
class DesktopWindow:
    """The window and its state; a plotter is a thing that changes, so this is one of the few objects that do.

    Attributes
    ----------
    ready : States
    off_screen : bool
        Draw without a window, as tests do.
    values : dict
        Of the sliders: travel (mm), pressure (bar), speed (rev/min), angle (deg), position (mm along the path).
    """

    ready: States
    off_screen: bool = False
    stage: str = "0"
    values: dict[str, float] = field(default_factory=dict)
    plotter: Any = None
    actors: Actors | None = None
    state: GripState | None = None

    def __post_init__(self) -> None:
        import pyvista

        self.plotter = pyvista.Plotter(
            off_screen=self.off_screen,
            window_size=SIZE,
            lighting="none",
            title=self.ready.assessment.scenario.title,
        )
        self.plotter.set_background(BACKDROP)
        light(self.plotter)
        if not self.off_screen:
            self.plotter.enable_anti_aliasing("msaa")
            for number, key in enumerate(self.stages):
                self.plotter.add_key_event(str(number + 1), lambda key=key: self.choose(key))
        self.choose("0")

    @property
    def stages(self) -> tuple[str, ...]:
        """Keys of the stages in their order: operations, then boring."""
        return (*(str(f.index) for f in self.ready.assessment.operations), BORING)

    def choose(self, stage: str) -> None:
        """Show another stage, its sliders at the scenario's own values."""
        assessment = self.ready.assessment
        if self.actors is not None:
            leave(self.plotter, self.actors)
        self.stage = stage
        self.actors = enter(self.plotter, assessment, stage)
        self.values = self._first()
        self._sliders()
        self._bar()
        self.show()
        self._camera()
        self.plotter.render()  # from where it is looked at now

    def set(self, name: str, value: float) -> None:
        """Move a slider."""
        self.values[name] = float(value)
        self.show()

    def show(self) -> None:
        """Draw the state that the sliders say."""
        assert self.actors is not None  # noqa: S101  (set before any slider exists)
        angle = np.radians(self.values.get("angle", 0.0))
        if self.stage == BORING:
            self._show_boring(float(angle))
        else:
            self._show_grip(float(angle))
        self._write("words", self.words(), "upper_left", _LETTERS)
        self._write("cautions", CAUTIONS, "lower_left", _LETTERS - 1)
        self.plotter.render()

    def _write(self, name: str, lines: Sequence[str], corner: str, letters: int) -> None:
        text = "\n".join(lines)
        self.plotter.add_text(text, position=corner, font_size=letters, color=INK, name=name, render=False)

    def words(self) -> list[str]:
        """Return what stands in the corner: figures of the state, then the worst verdicts."""
        assessment = self.ready.assessment
        lines = [
            f"{n + 1}: {self._name(key)}" + (" (shown)" if key == self.stage else "")
            for n, key in enumerate(self.stages)
        ]
        lines += ["", *self._figures(), "", *self._heading()]
        moved = "as stated: " if self._moved() else ""
        lines += [
            f"{moved}{v.status}: {v.name} ({v.stage}), {measures(v.value, v.limit, v.unit)[0]}"
            for v in assessment.verdicts[:SHOWN_VERDICTS]
        ]
        rest = len(assessment.verdicts) - SHOWN_VERDICTS
        return [*lines, f"and {rest} more (chuckscene check)"] if rest > 0 else lines

    def _moved(self) -> bool:
        """Whether pressure or speed are others than the verdicts were judged at."""
        return any(abs(self.values[name] - value) > 1e-6 * value for name, value in self._stated().items())

    def _heading(self) -> list[str]:
        """Return of what the verdicts are: of the file as it was read, never of the sliders."""
        stated = "verdicts of the file as it was read when this window opened"
        return [f"{stated}; the sliders' state is NOT judged"] if self._moved() else [stated]

    def _stated(self) -> dict[str, float]:
        """Return pressure (bar) and highest speed (rev/min) of the stage as the scenario states them."""
        if self.stage == BORING:
            return {}
        gripping = self.ready.assessment.operations[int(self.stage)].operation.gripping
        return {"pressure": 10.0 * gripping.pressure, "speed": gripping.speed_high}

    def _figures(self) -> list[str]:
        if self.stage == BORING:
            if BORING not in self.ready.tracks:
                return ["the jaws need no boring"]
            found = on_path(self.ready, BORING, self.values["position"])
            near = (
                f"{found.distance:.2f} mm, {found.part} to {found.body}" if found.distance > 0.0 else "touch"
            )
            if found.distance <= 0.0:
                near = f"{found.part} touches {found.body}"
            return [f"move {found.move + 1} of {len(self.ready.tracks[BORING].moves)}", near]
        state = self.state
        if state is None or not state.gripped:
            return [f"open, {state.gap if state else 0.0:.2f} mm to the part"]
        if state.contact is None:
            return ["not held: no grip is left"]
        grips = ", ".join(f"{g / 1000.0:.1f}" for g in state.grip)
        return [
            f"grip {state.total / 1000.0:.1f} kN in all ({grips} kN)",
            f"at rest {state.figures.rest_total / 1000.0:.1f} kN",
            f"largest pressure {state.band_peak:.0f} MPa, {_CARRYING[state.contact.pattern]}",
        ]

    def _show_grip(self, angle: float) -> None:
        assert self.actors is not None  # noqa: S101
        self.state = at(
            self.ready,
            int(self.stage),
            travel=self.values["travel"],
            pressure=0.1 * self.values["pressure"],
            speed=self.values["speed"],
        )
        place(self.actors, self.state.jaw_travel, angle, opened=True)
        colour(self.actors, self.state if self.state.gripped else None, self._scale())

    def _show_boring(self, angle: float) -> None:
        assert self.actors is not None  # noqa: S101
        travel = self.ready.assessment.scenario.boring.travel
        if BORING not in self.ready.tracks:
            place(self.actors, travel, angle)
            return
        found = on_path(self.ready, BORING, self.values["position"])
        run = self.ready.assessment.boring.run_of(found.move)
        place(self.actors, travel, angle, found.tip, run)

    def _first(self) -> dict[str, float]:
        if self.stage == BORING:
            return {"angle": 0.0, "position": 0.0}
        held = at(self.ready, int(self.stage))
        return {"travel": held.touch_travel, **self._stated(), "angle": 0.0}

    def _ranges(self) -> dict[str, tuple[str, float, float]]:
        """Return title, least and greatest value of each slider of the stage."""
        assessment = self.ready.assessment
        scenario = assessment.scenario
        ranges = {"angle": ("spindle angle, deg", 0.0, 360.0)}
        if self.stage == BORING:
            if BORING in self.ready.tracks:
                ranges["position"] = ("cutting path, mm", 0.0, self.ready.tracks[BORING].length)
            return ranges
        top = max(scenario.chuck.marked_speed, self.values["speed"])
        return {
            "travel": ("jaw travel, mm", 0.0, scenario.chuck.stroke),
            "pressure": ("pressure, bar", 10.0 * min(scenario.machine.lowest_pressure, 0.1 * self.values["pressure"]),
                         10.0 * highest_pressure(assessment)),
            "speed": ("spindle speed, rev/min", 0.0, top),
            **ranges,
        }  # fmt: skip

    def _sliders(self) -> None:
        self.plotter.clear_slider_widgets()
        for row, (name, (title, low, high)) in enumerate(self._ranges().items()):
            y = 0.93 - 0.115 * row
            self.plotter.add_slider_widget(
                lambda value, name=name: self.set(name, value), (low, high), value=self.values[name], title=title,
                pointa=(0.74, y), pointb=(0.98, y), color=INK, style="modern", title_height=0.018,
                slider_width=0.015, tube_width=0.004, fmt="%.2f",
            )  # fmt: skip

    def _bar(self) -> None:
        """Show the labelled bar of pressures; boring has none."""
        if "contact pressure, MPa" in self.plotter.scalar_bars:
            self.plotter.remove_scalar_bar("contact pressure, MPa")
        if self.stage == BORING:
            return
        import pyvista

        table = pyvista.LookupTable(linear_map(), scalar_range=(0.0, self._scale()))
        bar = self.plotter.add_scalar_bar(
            "contact pressure, MPa", mapper=_mapper(table), vertical=True, position_x=0.86, position_y=0.06,
            height=0.38, width=0.05, color=INK, label_font_size=14, title_font_size=14, fmt="%.0f",
        )  # fmt: skip
        bar.SetVerticalTitleSeparation(14)  # pixels, so that the uppermost figure keeps off the title

    def _scale(self) -> float:
        top = at(self.ready, int(self.stage), pressure=highest_pressure(self.ready.assessment), speed=0.0)
        return rounded_up(max(top.band_peak, 1e-3))

    def _camera(self) -> None:
        assert self.actors is not None  # noqa: S101
        bounds = np.array([own[0].bounds for body, own in self.actors.bodies if body.run is None])
        low, high = bounds[:, 0::2].min(axis=0), bounds[:, 1::2].max(axis=0)
        corners = np.array(
            [[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
        )
        camera = fitted(corners, TOWARDS, (1.0, 0.0, 0.0), SIZE, 0.8)
        self.plotter.camera_position = [camera.eye, camera.focus, camera.up]
        self.plotter.camera.view_angle = camera.angle
        self.plotter.reset_camera_clipping_range()

    def _name(self, stage: str) -> str:
        return (
            "boring of the jaws"
            if stage == BORING
            else self.ready.assessment.operations[int(stage)].operation.name
        )


def _mapper(table: Any) -> Any:
    import pyvista

    mapper = pyvista.DataSetMapper()
    mapper.lookup_table = table
    return mapper
