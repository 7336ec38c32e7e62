"""Films of a setup: the jaws while they are bored, and the work of each operation from loading to release.

Frames are drawn by one plotter whose bodies only move. What a frame shows stands under it in words, with the state of
the setup and the cautions.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.said import said
from sim.assessment.state import BORING, GripState, States, at, on_path
from sim.base.arrays import Floats
from sim.clearance.standing import Standing, Track
from sim.views.actors import Actors, colour, enter, light, place
from sim.views.camera import Camera, fitted, projected
from sim.views.colours import BACKDROP, INK, NEED, PAPER, STATUS_SYMBOL, rgb
from sim.views.layer import Picture
from sim.views.moments import Shot, shots
from sim.views.render import require_rendering
from sim.views.scene import into_the_bore

SHAPE = 2.0 / 3.0  # height of the picture over its width
TOWARDS = (0.32, 0.68, 0.86)  # to the eye: chuck left, tailstock right
LONGEST = 0.36  # of the chuck's radius: the arrow of the grip at rest
RAPID = 4.0  # times as fast as a feed, as a film runs along a path
_FONT = {"": "DejaVuSans.ttf", "bold": "DejaVuSans-Bold.ttf"}


@dataclass(frozen=True, slots=True)
class Shooting:
    """How films are made.

    Attributes
    ----------
    width : int
        Pixels.
    rate : int
        Frames a second.
    seconds : float
        Length of the work of one operation, s; the boring takes half of it.
    """

    width: int = 960
    rate: int = 15
    seconds: float = 14.0

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the picture above the words, even numbers of pixels."""
        return self.width - self.width % 2, 2 * round(0.5 * SHAPE * self.width)

    @property
    def frames(self) -> int:
        """Frames of the work of one operation."""
        return max(12, round(self.rate * self.seconds))


@dataclass(frozen=True, slots=True, eq=False)
class Film:
    """Frames of one size, as they are drawn, how many there are, and the name of the file."""

    name: str
    count: int
    frames: Iterator[Picture]


@dataclass(frozen=True, slots=True)
class Words:
    """What stands under a frame: what is shown, its figures, and whether that is a warning."""

    head: str
    detail: str
    alarm: bool = False


def films(states: States, how: Shooting | None = None) -> Iterator[Film]:
    """Yield the tool that bores the jaws, then the work of each operation.

    Raises
    ------
    NotAvailableError
        If this computer cannot render.
    """
    require_rendering()
    how = how or Shooting()
    if BORING in states.tracks:
        count = max(6, how.frames // 2)
        yield Film("boring", count, _boring(states, count, how))
    for figures in states.assessment.operations:
        yield Film(f"work-{figures.index + 1}", how.frames, _work(states, figures.index, how))


def _boring(states: States, count: int, how: Shooting) -> Iterator[Picture]:
    assessment, track = states.assessment, states.tracks[BORING]
    boring = assessment.scenario.boring
    stage = _Stage(states, BORING, how)
    head = f"boring of the jaws · {10.0 * boring.pressure:.1f} bar · {boring.speed:.0f} rev/min"
    try:
        colour(stage.actors, None, 1.0)
        for share in np.linspace(0.0, 1.0, count):
            found = on_path(states, BORING, along_path(track, float(share)))
            place(stage.actors, boring.travel, tip=found.tip, run=assessment.boring.run_of(found.move))
            near, touches = _near(found)
            words = f"move {found.move + 1} of {len(track.moves)}, {track.moves[found.move].kind}: {near}"
            yield stage.frame(Words(head, words, touches))
    finally:
        stage.plotter.close()


def _work(states: States, index: int, how: Shooting) -> Iterator[Picture]:
    stage = _Stage(states, str(index), how)
    machining = states.assessment.machining[index]
    program = str(index) in states.tracks
    try:
        for one in shots(
            how.frames, at(states, index).touch_travel, program=program and machining is not None
        ):
            yield stage.shot(states, index, one, machining)
    finally:
        stage.plotter.close()


def along_path(track: Track, share: float) -> float:
    """Return how far along a path (mm) a film is at a share of its time, 0 to 1: rapid moves run faster."""
    ends = np.asarray(track.ends, dtype=np.float64)
    lengths = np.diff(ends, prepend=0.0)
    spent = np.cumsum(
        [
            long / (RAPID if move.kind == "rapid" else 1.0)
            for long, move in zip(lengths, track.moves, strict=True)
        ]
    )
    return float(np.interp(share * spent[-1], np.append(0.0, spent), np.append(0.0, ends)))


def _near(found: Standing) -> tuple[str, bool]:
    """Say what the tool is nearest to, and whether it touches it."""
    if found.distance <= 0.0:
        return f"{found.part} touches {found.body}", True
    return f"{found.distance:.1f} mm, {found.part} to {found.body}", False


class _Stage:
    """A plotter with light, camera and the bodies of a stage, and the words under its pictures."""

    def __init__(self, states: States, stage: str, how: Shooting) -> None:
        import pyvista

        self.assessment, self.size = states.assessment, how.size
        self.plotter = pyvista.Plotter(off_screen=True, window_size=self.size, lighting="none")
        self.plotter.set_background(BACKDROP)
        light(self.plotter)
        self.plotter.enable_anti_aliasing("msaa")
        self.actors = enter(self.plotter, self.assessment, stage)
        place(self.actors, 0.0)
        self.reach, self.outer = _chuck(self.actors)
        self.axial = stage != BORING and self.assessment.parts.direction == "outside"
        room = 0.0 if stage == BORING else self.outer + LONGEST * self.reach
        self.beside = _around(self.actors, max(self.reach, room), self.size)
        self.look(self.beside)
        self.scale = 1e-9
        self.top = 1.0
        if stage != BORING:
            highest = at(states, int(stage))
            self.scale, self.top = max(highest.band_peak, 1e-9), max(highest.total / 3.0, 1e-9)

    def look(self, camera: Camera) -> None:
        """Look from a camera."""
        self.camera = camera
        self.plotter.camera_position = [camera.eye, camera.focus, camera.up]
        self.plotter.camera.view_angle = camera.angle
        self.plotter.camera.clipping_range = (10.0, 6000.0)

    def shot(self, states: States, index: int, one: Shot, machining: MachiningFigures | None) -> Picture:
        """Draw a moment of an operation."""
        grip = states.assessment.operations[index].operation.gripping
        track = states.tracks.get(str(index))
        found, speed, detail, alarm, tip, run = None, one.speed * grip.speed_high, "", False, (0.0, 0.0), None
        if one.cutting and track is not None and machining is not None:
            found = on_path(states, str(index), along_path(track, one.along))
            tip, run = found.tip, machining.run_of(found.move)
            if machining.grip is not None:
                speed = float(machining.grip.speed[found.move])
            near, alarm = _near(found)
            detail = f"move {found.move + 1} of {len(track.moves)}, {track.moves[found.move].kind}: {near}"
        side = states.assessment.operations[index].clamping.side if one.cutting and found is None else 0.0
        turn = 2.0 * math.pi * one.along if side > 0.0 else 0.0
        pressure = max(one.pressure, 0.05) * grip.pressure
        state = at(
            states,
            index,
            travel=one.travel,
            pressure=pressure,
            speed=speed,
            side_force=side,
            spindle_angle=turn,
        )
        place(self.actors, state.jaw_travel, spindle_angle=turn, tip=tip, run=run, opened=found is None)
        gripping = one.travel is None
        colour(self.actors, state if gripping and state.contact is not None else None, self.scale)
        self.look_for(index, cutting=found is not None)
        arrows = self._arrows(state) if gripping else []
        words = self._words(states, index, one, state, Words("", detail, alarm))
        return self.frame(words, arrows)

    def look_for(self, index: int, *, cutting: bool) -> None:
        """Look along the spindle at the gripped faces, or at the tool from beside."""
        if self.axial and not cutting:
            near = into_the_bore(self.assessment.operations[index], self.assessment.parts)
            distance = near.eye[2] - self.assessment.parts.scenario.soft_jaw.height
            shown = self.outer + (LONGEST + 0.12) * self.reach  # arrows and their words included
            self.look(replace(near, angle=2.0 * math.degrees(math.atan2(shown, distance))))
        else:
            self.look(self.beside)

    def _words(self, states: States, index: int, one: Shot, state: GripState, near: Words) -> Words:
        name = states.assessment.operations[index].operation.name
        pressure = "no pressure" if one.travel is not None else f"{10.0 * state.pressure:.1f} bar"
        head = f"{name}: {one.moment} · {pressure} · {state.speed if one.travel is None else 0.0:.0f} rev/min"
        if one.travel is not None:
            gap = "touching" if state.gripped else f"{state.gap:.2f} mm to the part"
            return Words(f"{head} · no grip", f"jaw travel {state.jaw_travel:.2f} mm, {gap}")
        if state.contact is None:
            return Words(f"{head} · not held", "the jaws do not hold the part at this speed", alarm=True)
        head = f"{head} · least grip of a jaw {state.grip.min() / 1000.0:.1f} kN"
        if near.detail:
            return Words(head, near.detail, near.alarm)
        if state.side_force > 0.0:
            return Words(
                head,
                f"side force of the worst cut {state.side_force / 1000.0:.1f} kN over one turn, slowed down",
            )
        peak = f"largest pressure {state.band_peak:.0f} MPa (the darker the more, up to {self.scale:.0f} MPa)"
        return Words(head, f"grip {state.total / 1000.0:.1f} kN in all, {peak}")

    def _arrows(self, state: GripState) -> list[tuple[Floats, Floats, str]]:
        """Tail, head and words of an arrow a jaw, as long as its grip is high."""
        inside = self.assessment.parts.direction == "inside"
        zone = self.assessment.operations[state.operation].zone
        found = []
        for jaw, grip in enumerate(state.grip):
            if not grip > 0.0:
                continue
            turn = 2.0 * math.pi * jaw / 3.0 + state.spindle_angle
            along = np.array([math.cos(turn), math.sin(turn), 0.0])
            near = (self.outer + self.actors.slide * state.jaw_travel) * along + [0.0, 0.0, zone.middle]
            if self.axial:  # seen along the spindle, where a jaw would hide an arrow behind it
                near = near * [1.0, 1.0, 0.0] + [0.0, 0.0, self.assessment.parts.scenario.soft_jaw.height]
            far = near + max(0.06, LONGEST * min(1.2, float(grip) / self.top)) * self.reach * along
            tail, head = (near, far) if inside else (far, near)
            found.append((tail, head, f"{grip / 1000.0:.1f} kN"))
        return found

    def frame(self, words: Words, arrows: list[tuple[Floats, Floats, str]] | None = None) -> Picture:
        """Draw a frame: picture and arrows, and below it what it shows, the state of the setup and the cautions."""
        self.plotter.render()
        shot = Image.fromarray(np.asarray(self.plotter.screenshot(return_img=True))[:, :, :3])
        for tail, head, text in arrows or []:
            _arrow(shot, projected(self.camera, np.stack([tail, head]), self.size), text)
        lines = self._lines(words)
        tall = 10 + sum(round(1.45 * size) for _, size, _, _ in lines)
        tall += (self.size[1] + tall) % 2
        whole = Image.new(
            "RGB", (self.size[0], self.size[1] + tall), tuple(round(255 * c) for c in rgb(PAPER))
        )
        whole.paste(shot, (0, 0))
        pen, top = ImageDraw.Draw(whole), self.size[1] + 5
        for text, size, ink, weight in lines:
            pen.text((12, top), text, fill=ink, font=_font(size, weight))
            top += round(1.45 * size)
        return np.asarray(whole, dtype=np.uint8)

    def _lines(self, words: Words) -> list[tuple[str, int, str, str]]:
        """Words, pixels, ink and weight of the lines under a picture; the same number of lines in every frame."""
        wide = self.size[0] - 24
        large, small = max(11, self.size[0] // 56), max(9, self.size[0] // 74)
        ink = NEED if words.alarm else INK
        head = [(text, large, ink, "bold") for text in wrapped(words.head, _font(large, "bold"), wide, 2)]
        sign = "✕ " if words.alarm else ""
        detail = [(text, large, ink, "") for text in wrapped(f"{sign}{words.detail}", _font(large), wide, 2)]
        bad = self.assessment.status == "fail"
        status = state_line(self.assessment)
        state = [
            (text, small, NEED if bad else INK, "bold")
            for text in wrapped(status, _font(small, "bold"), wide, 2)
        ]
        cautions = [(text, small, INK, "") for text in wrapped(" ".join(CAUTIONS), _font(small), wide, 9)]
        blank = [("", large, INK, "")] * (4 - len(head) - len(detail)) if wide < 640 else []
        return [*head, *detail, *blank, *state, *cautions]


def wrapped(text: str, font: Any, wide: float, most: int) -> list[str]:
    """Return a text in lines of so many pixels, at most `most` of them: what does not fit ends with a sign for it."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if not lines[-1] or font.getlength(longer) <= wide:
            lines[-1] = longer
        else:
            lines.append(word)
    kept = lines[:most]
    if len(lines) > most:
        kept[-1] = f"{kept[-1]} …"
    return kept


def _chuck(actors: Actors) -> tuple[float, float]:
    """Return the chuck's radius and how far out a soft jaw reaches at travel 0, mm."""
    body = next(own[0].bounds for one, own in actors.bodies if one.kind == "chuck body")
    jaw = next(own[0].bounds for one, own in actors.bodies if one.kind == "soft jaw" and one.jaw == 0)
    return float(body[3]), float(jaw[1])


def _around(actors: Actors, reach: float, size: tuple[int, int]) -> Camera:
    """From beside, chuck left and tailstock right, all that is no tool in the picture."""
    bounds = np.array([own[0].bounds for body, own in actors.bodies if body.run is None])
    low, high = bounds[:, 0::2].min(axis=0), bounds[:, 1::2].max(axis=0)
    low[:2], high[:2] = np.minimum(low[:2], -reach), np.maximum(high[:2], reach)
    corners = np.array(
        [[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
    )
    return fitted(corners, TOWARDS, (1.0, 0.0, 0.0), size, 0.98)


_FINER = 3  # pixels drawn for one kept along each side of an arrow's lines


def _arrow(shot: Image.Image, ends: Floats, text: str) -> None:
    """Draw an arrow with a light rim, its words beyond the end that lies farther out."""
    tail, tip = ends
    long = float(np.hypot(*(tip - tail)))
    if not long > 1.0:
        return
    wide = max(4.0, shot.width / 160.0)
    along, head = (tip - tail) / long, min(3.2 * wide, 0.8 * long)
    across, neck = np.array([-along[1], along[0]]), tip - head * along
    outline = [
        tail + 0.5 * wide * across, neck + 0.5 * wide * across, neck + 1.5 * wide * across, tip,
        neck - 1.5 * wide * across, neck - 0.5 * wide * across, tail - 0.5 * wide * across,
    ]  # fmt: skip
    layer = Image.new("RGBA", (_FINER * shot.width, _FINER * shot.height), (0, 0, 0, 0))
    pen = ImageDraw.Draw(layer)
    points = [tuple(_FINER * p) for p in outline]
    pen.polygon(points, fill=INK)
    pen.line([*points, points[0]], fill=PAPER, width=_FINER)
    layer = layer.resize(shot.size, Image.Resampling.BOX)
    shot.paste(layer, (0, 0), layer)
    font = _font(max(11, shot.width // 56), "bold")
    box = ImageDraw.Draw(shot)
    half = 0.5 * font.getlength(text)
    middle = 0.5 * np.array(shot.size)
    end, way = (tip, along) if np.hypot(*(tip - middle)) > np.hypot(*(tail - middle)) else (tail, -along)
    left, top = end + way * (4.0 + min((half + 6.0) / max(abs(way[0]), 1e-9), 12.0 / max(abs(way[1]), 1e-9)))
    x = min(max(float(left), half + 8.0), shot.width - half - 8.0)
    y = min(max(float(top), 14.0), shot.height - 14.0)
    box.rounded_rectangle((x - half - 6, y - 12, x + half + 6, y + 12), 4, fill=PAPER)
    box.text((x, y), text, fill=INK, font=font, anchor="mm")


def _font(size: int, weight: str = "") -> Any:
    """Return the sans-serif type that matplotlib brings along: the same on every computer."""
    from matplotlib import get_data_path

    return ImageFont.truetype(str(Path(get_data_path()) / "fonts" / "ttf" / _FONT[weight]), size)


def state_line(assessment: Assessment) -> str:
    """Return the words of a setup's state, as they stand under every frame."""
    return f"{STATUS_SYMBOL[assessment.status]} {said(assessment)}"
