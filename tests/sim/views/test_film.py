"""Films: what the frames show and say, and files that other programs read."""

from __future__ import annotations

import io
import itertools
import math
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageFont

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.state import at, on_path, states
from sim.base.errors import NotAvailableError, OutputError
from sim.views import film, film_file
from sim.views.actors import _taken
from sim.views.film import Film, Shooting

SMALL = Shooting(320, 5, 6.0)


@pytest.fixture(scope="module")
def short(assessment: Callable[[str], Assessment], rendering: None) -> Iterator[Any]:
    """Two short films of a setup with a program, with the words and arrows of each frame."""
    assert rendering is None
    patch = pytest.MonkeyPatch()
    told: list[tuple[Any, Any, list[str]]] = []
    frame = film._Stage.frame

    def heard(stage: Any, words: Any, arrows: Any = None) -> Any:
        told.append((words, arrows, [text for text, *_ in stage._lines(words)]))
        return frame(stage, words, arrows)

    patch.setattr(film._Stage, "frame", heard)
    ready = states(assessment("cast_hub_by_program"))
    made = {}
    for one in film.films(ready, SMALL):
        told.clear()
        made[one.name] = (list(one.frames), one.count, list(told))
    yield ready, made
    patch.undo()


def test_the_work_runs_from_loading_to_release(short: Any) -> None:
    ready, made = short
    assert list(made) == ["boring", "work-1", *(["work-2"] if len(ready.assessment.operations) > 1 else [])]
    frames, count, told = made["work-1"]
    assert len(frames) == count == len(told) == 30
    heads = [words.head for words, *_ in told]
    moments = [re.search(r": (.+?) ·", head)[1] for head in heads]  # type: ignore[index]
    assert list(dict.fromkeys(moments)) == ["load", "close", "grip", "spin up", "cut", "release"]
    assert "no grip" in heads[0]
    assert "no grip" in heads[-1]
    assert f"{at(ready, 0, travel=0.0).gap:.2f} mm to the part" in told[0][0].detail
    # Nothing turns while the jaws move.
    assert all("· 0 rev/min" in head for head in heads if "no grip" in head)


def test_grip_and_arrows_shrink_with_speed(short: Any) -> None:
    ready, made = short
    told = [one for one in made["work-1"][2] if ": spin up" in one[0].head]
    grips = [float(re.search(r"least grip of a jaw ([\d.]+) kN", words.head)[1]) for words, *_ in told]  # type: ignore[index]
    long = [np.linalg.norm(arrows[0][0] - arrows[0][1]) for _, arrows, _ in told]
    assert grips == sorted(grips, reverse=True)
    assert grips[0] > grips[-1]
    assert long[-1] / long[0] == pytest.approx(grips[-1] / grips[0], rel=0.02)
    speed = ready.assessment.operations[0].operation.gripping.speed_high
    assert grips[-1] == pytest.approx(at(ready, 0, speed=speed).grip.min() / 1000.0, abs=0.051)
    # Outside gripping presses inward: the head is nearer to the axis than the tail.
    tail, head, _ = told[0][1][1]
    assert np.hypot(*head[:2]) < np.hypot(*tail[:2])


def test_the_tool_runs_along_the_path_at_the_speeds_of_the_program(short: Any) -> None:
    ready, made = short
    told = [one for one in made["work-1"][2] if ": cut" in one[0].head]
    moves = [int(re.search(r"move (\d+) of", words.detail)[1]) for words, *_ in told]  # type: ignore[index]
    assert moves == sorted(moves)
    assert moves[-1] == len(ready.tracks["0"].moves)
    assert len(set(moves)) > 3
    speeds = ready.assessment.machining[0].grip.speed
    for move, (words, *_) in zip(moves, told, strict=True):
        assert f"{speeds[move - 1]:.0f} rev/min" in words.head
    middle = film.along_path(ready.tracks["0"], 0.5)
    found = on_path(ready, "0", middle)
    assert 0.0 < middle < ready.tracks["0"].length
    assert f"{found.distance:.1f} mm, {found.part}" in film._near(found)[0]


def test_a_part_around_jaws_is_opened_before_the_two_that_face_the_eye(
    assessment: Callable[[str], Assessment],
) -> None:
    """The ring around the faces of jaws 1 and 2 is taken off whole, that around jaw 3 is left."""
    found = assessment("housing_gripped_inside")
    taken = _taken(found, found.operations[0], 0.0)
    assert taken.is_convex
    radius, half = 95.0, math.asin(0.5 * found.scenario.soft_jaw.width / 90.0)

    def gone(turn: float) -> bool:
        place = np.array([radius * math.cos(turn), radius * math.sin(turn), 50.0])
        return bool((((place - taken.triangles_center) * taken.face_normals).sum(axis=1) < 0.0).all())

    for jaw, off in ((0, True), (1, True), (2, False)):
        for share in (-1.0, 0.0, 1.0):
            assert gone(2.0 * math.pi * jaw / 3.0 + share * half) == off


def test_a_film_spends_less_time_on_rapid_moves(short: Any) -> None:
    """Half the way of a feed takes as many frames as twice of `RAPID` halves of a rapid move of that length."""
    track = short[0].tracks["0"]
    ends, kinds = np.append(0.0, track.ends), [move.kind for move in track.moves]
    shares = np.linspace(0.0, 1.0, 20_001)
    gone = np.array([film.along_path(track, float(share)) for share in shares])
    assert np.all(np.diff(gone) >= 0.0)
    assert gone[-1] == pytest.approx(track.length)
    pace = {}
    for number, kind in enumerate(kinds):
        if ends[number + 1] - ends[number] > 20.0:
            inside = np.count_nonzero((gone > ends[number]) & (gone < ends[number + 1]))
            pace.setdefault("rapid" if kind == "rapid" else "feed", []).append(
                (ends[number + 1] - ends[number]) / inside
            )
    assert np.mean(pace["rapid"]) == pytest.approx(4.0 * np.mean(pace["feed"]), rel=0.03)


def test_every_frame_says_the_state_and_the_cautions(short: Any) -> None:
    ready, made = short
    for frames, _, told in made.values():
        for *_, lines in told:
            text = " ".join(lines)
            assert film.state_line(ready.assessment) in text
            assert all(caution in text for caution in CAUTIONS)
        assert len({frame.shape for frame in frames}) == 1


def test_words_that_do_not_fit_go_on_in_the_next_line() -> None:
    font: ImageFont.FreeTypeFont = film._font(12)
    lines = film.wrapped(" ".join(CAUTIONS), font, 200.0, 40)
    assert " ".join(lines) == " ".join(CAUTIONS)
    assert max(font.getlength(line) for line in lines) <= 200.0
    assert film.wrapped("one two three four", font, 30.0, 2)[-1].endswith("…")


def test_frames_move(short: Any) -> None:
    for frames, *_ in short[1].values():
        steps = [np.abs(a.astype(int) - b.astype(int))[:200].max() for a, b in itertools.pairwise(frames)]
        assert np.count_nonzero(np.array(steps) > 20) > 0.5 * len(steps)


def test_a_part_that_is_not_held_is_told_in_every_frame(
    assessment: Callable[[str], Assessment], rendering: None
) -> None:
    assert rendering is None
    ready = states(assessment("cast_hub_by_program"))
    stage = film._Stage(ready, "0", SMALL)
    try:
        state = at(ready, 0, speed=9000.0)
        assert state.contact is None
        shot = film.shots(30, state.touch_travel, program=True)[15]
        words = stage._words(ready, 0, shot, state, film.Words("", "", alarm=False))
        assert words.alarm
        assert "not held" in words.head
        assert stage._arrows(state) == []
    finally:
        stage.plotter.close()


def _film(short: Any, name: str) -> Film:
    frames = short[1][name][0]
    return Film(name, len(frames), iter(frames))


def test_gif_webp_and_numbered_pictures_are_read_back(short: Any, tmp_path: Path) -> None:
    said: list[str] = []
    written = film_file.write_film(_film(short, "work-1"), ("gif", "webp", "png"), tmp_path, 5, said.append)
    assert [one.name for one in written] == ["work-1.gif", "work-1.webp", "work-1"]
    frames = short[1]["work-1"][0]
    for file, off in ((written[0], 7.0), (written[1], 4.0)):
        with Image.open(io.BytesIO(file.read_bytes())) as image:
            assert 15 <= image.n_frames <= 30  # type: ignore[attr-defined]  # equal frames become one
            assert image.info["loop"] == 0
            first = np.asarray(image.convert("RGB")).astype(int)
        assert np.abs(first - frames[0].astype(int)).mean() < off
    pictures = sorted(written[2].iterdir())
    assert [one.name for one in pictures][:2] == ["0001.png", "0002.png"]
    assert len(pictures) == 30
    with Image.open(pictures[20]) as image:
        assert np.array_equal(np.asarray(image.convert("RGB")), frames[20])
    assert "film work-1: frame 30 of 30" in said


def test_a_folder_of_an_earlier_film_is_not_mixed_with_a_new_one(short: Any, tmp_path: Path) -> None:
    (tmp_path / "work-1").mkdir()
    (tmp_path / "work-1" / "0001.png").write_bytes(b"mine")
    with pytest.raises(OutputError, match="is there already"):
        film_file.write_film(_film(short, "work-1"), ("png",), tmp_path, 5)
    assert (tmp_path / "work-1" / "0001.png").read_bytes() == b"mine"
    assert [one.name for one in tmp_path.iterdir()] == ["work-1"]


def test_a_film_that_is_stopped_leaves_nothing(short: Any, tmp_path: Path) -> None:
    frames = short[1]["work-1"][0]

    def stopped() -> Iterator[Any]:
        yield frames[0]
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        film_file.write_film(Film("work-1", 30, stopped()), ("gif", "webp"), tmp_path, 5)
    assert list(tmp_path.iterdir()) == []


def test_mp4_is_read_back(short: Any, tmp_path: Path) -> None:
    ffmpeg = pytest.importorskip("imageio_ffmpeg", reason="the extra 'video' is not installed")
    (path,) = film_file.write_film(_film(short, "boring"), ("mp4",), tmp_path, 5)
    found = subprocess.run(  # noqa: S603
        [ffmpeg.get_ffmpeg_exe(), "-v", "error", "-i", str(path), "-f", "rawvideo", "-pix_fmt", "rgb24", "-"],
        capture_output=True,
        check=True,
    )
    own = short[1]["boring"][0]
    frames = np.frombuffer(found.stdout, np.uint8).reshape(-1, *own[0].shape)
    assert len(frames) == len(own)
    assert np.abs(frames[3].astype(int) - own[3].astype(int)).mean() < 6.0


def test_mp4_without_its_encoder_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "imageio_ffmpeg", None)
    with pytest.raises(
        NotAvailableError, match=r"MP4 needs imageio-ffmpeg \(in .*: pip install '\.\[video\]'\)"
    ):
        film_file.require_encoder("mp4")
    film_file.require_encoder("gif")
