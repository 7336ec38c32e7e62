"""Films: what the frames show and say, and files that other programs read."""

from __future__ import annotations

import io
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from sim.assessment.results import Assessment
from sim.assessment.state import at, on_path, states
from sim.base.errors import NotAvailableError
from sim.views import film


@pytest.fixture(scope="module")
def short(assessment: Callable[[str], Assessment], rendering: None) -> Iterator[Any]:
    assert rendering is None
    patch = pytest.MonkeyPatch()
    patch.setattr(film, "SIZE", (320, 240))
    patch.setattr(film, "CLOSING", 4)
    patch.setattr(film, "BUILDING", 3)
    patch.setattr(film, "HELD", 1)
    patch.setattr(film, "ALONG", 6)
    said: list[str] = []
    frame = film._frame

    def heard(plotter: Any, words: str, *, alarm: bool = False) -> Any:
        said.append(words)
        return frame(plotter, words, alarm=alarm)

    patch.setattr(film, "_frame", heard)
    ready = states(assessment("cast_hub_on_plug"))
    made = {f.name: f for f in film.films(ready)}
    yield ready, made, said
    patch.undo()


def test_closing_and_cutting_say_the_figures_of_the_states(short: Any) -> None:
    ready, made, said = short
    assert list(made) == ["closing-1", "cutting-boring"]
    assert [len(f.frames) for f in made.values()] == [8, 6]
    opened = at(ready, 0, travel=0.0)
    assert f"{opened.gap:.2f} mm to the part" in said[0]
    assert f"grip {at(ready, 0).total / 1000.0:.1f} kN in all" in said[7]
    middle = on_path(ready, "boring", 0.4 * ready.tracks["boring"].length)
    assert f"{middle.distance:.1f} mm, {middle.part} to {middle.body}" in said[10]


def test_frames_move(short: Any) -> None:
    _, made, _ = short
    for one in made.values():
        shapes = {frame.shape for frame in one.frames}
        assert shapes == {(240 + film.STRIP, 320, 3)}
        steps = [
            np.abs(a.astype(int) - b.astype(int))[:240].max()
            for a, b in zip(one.frames, one.frames[1:], strict=False)
        ]
        assert min(steps[:3]) > 20


def test_gif_is_read_back_frame_by_frame(short: Any) -> None:
    _, made, _ = short
    with Image.open(io.BytesIO(film.encoded(made["closing-1"], "gif"))) as image:
        assert image.n_frames >= 6  # equal frames at the end become one
        assert image.info["loop"] == 0
        first = np.asarray(image.convert("RGB")).astype(int)
    assert np.abs(first - made["closing-1"].frames[0].astype(int)).mean() < 6.0


def test_mp4_is_read_back(short: Any, tmp_path: Path) -> None:
    ffmpeg = pytest.importorskip("imageio_ffmpeg", reason="the extra 'video' is not installed")
    _, made, _ = short
    path = tmp_path / "film.mp4"
    path.write_bytes(film.encoded(made["cutting-boring"], "mp4"))
    found = subprocess.run(  # noqa: S603
        [ffmpeg.get_ffmpeg_exe(), "-v", "error", "-i", str(path), "-f", "rawvideo", "-pix_fmt", "rgb24", "-"],
        capture_output=True,
        check=True,
    )
    frames = np.frombuffer(found.stdout, np.uint8).reshape(-1, 240 + film.STRIP, 320, 3)
    assert len(frames) == 6
    assert np.abs(frames[3].astype(int) - made["cutting-boring"].frames[3].astype(int)).mean() < 6.0


def test_mp4_without_its_encoder_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "imageio_ffmpeg", None)
    with pytest.raises(
        NotAvailableError, match=r"MP4 needs imageio-ffmpeg \(in .*: pip install '\.\[video\]'\)"
    ):
        film.require_encoder("mp4")
    film.require_encoder("gif")
