"""Files of films: GIF and WebP need nothing more, MP4 imageio-ffmpeg (the extra 'video'), PNG is a folder of pictures.

Frames lie as pictures in a folder that is needed meanwhile, so that a film of any length takes the memory of a few.
"""

from __future__ import annotations

import io
import subprocess
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Literal

import numpy as np
from PIL import Image

from sim.base.beside import working_folder
from sim.base.errors import NotAvailableError
from sim.base.files import write_whole
from sim.base.share import Tell
from sim.exports.folder import require_free, write_folder
from sim.views import silent
from sim.views.film import Film

Kind = Literal["gif", "webp", "mp4", "png"]
QUALITY = 82  # of a WebP, 0 to 100
GIF_COLOURS = 192


def require_encoder(kind: Kind) -> None:
    """Refuse MP4 before any frame is drawn where its encoder is not installed.

    Raises
    ------
    NotAvailableError
        The message says what to install.
    """
    if kind == "mp4":
        _ffmpeg()


def write_film(
    film: Film, kinds: Sequence[Kind], folder: Path, rate: int, progress: Tell = silent
) -> list[Path]:
    """Draw a film once and write it in every wanted format; whole or not at all.

    Parameters
    ----------
    film : Film
    kinds : sequence of {'gif', 'webp', 'mp4', 'png'}
    folder : Path
    rate : int
        Frames a second.
    progress : callable
        Told what is drawn.

    Raises
    ------
    OutputError
        If a file cannot be written, or a folder of numbered pictures is there already.
    """
    if "png" in kinds:
        require_free(folder / film.name, "film", replace=False)
    written: list[Path] = []
    with working_folder() as beside:
        frames: list[Path] = []
        for number, frame in enumerate(film.frames, start=1):
            progress(f"film {film.name}: frame {number} of {film.count}")
            frames.append(beside / f"{number:04d}.png")
            Image.fromarray(frame).save(frames[-1], compress_level=1)
        for kind in kinds:
            progress(f"film {film.name}: {kind} file")
            if kind == "png":
                write_folder(
                    folder / film.name, {one.name: one.read_bytes() for one in frames}, "film", replace=False
                )
                written.append(folder / film.name)
            else:
                written.append(write_whole(folder / f"{film.name}.{kind}", encoded(frames, kind, rate)))
    return written


def encoded(frames: Sequence[Path], kind: Kind, rate: int) -> bytes:
    """Return pictures of one size as GIF, WebP or MP4.

    Raises
    ------
    NotAvailableError
        If MP4 is wanted and its encoder is not installed.
    """
    if kind == "mp4":
        return _mp4(frames, rate)
    return _gif(frames, rate) if kind == "gif" else _webp(frames, rate)


def _pictures(frames: Sequence[Path]) -> Iterator[Image.Image]:
    for path in frames:
        with Image.open(path) as image:
            yield image.convert("RGB")


def _gif(frames: Sequence[Path], rate: int) -> bytes:
    """Encode with one palette for all frames, so that colours do not flicker; GIF counts in hundredths of a second."""
    first, middle, last = _pictures([frames[0], frames[len(frames) // 2], frames[-1]])
    sample = Image.new("RGB", (first.width, 3 * first.height))
    for row, image in enumerate((first, middle, last)):
        sample.paste(image, (0, row * image.height))
    palette = sample.quantize(GIF_COLOURS)
    shown = (one.quantize(palette=palette, dither=Image.Dither.NONE) for one in _pictures(frames))
    file = io.BytesIO()
    next(shown).save(
        file,
        format="GIF",
        save_all=True,
        append_images=shown,
        duration=10 * round(100 / rate),
        loop=0,
        optimize=True,
    )
    return file.getvalue()


def _webp(frames: Sequence[Path], rate: int) -> bytes:
    shown = _pictures(frames)
    file = io.BytesIO()
    next(shown).save(
        file, format="WEBP", save_all=True, append_images=shown, duration=round(1000 / rate), loop=0,
        quality=QUALITY, method=2,
    )  # fmt: skip
    return file.getvalue()


def _ffmpeg() -> Any:
    try:
        import imageio_ffmpeg
    except ImportError:
        raise NotAvailableError(
            "MP4 needs imageio-ffmpeg (in the folder of chuckscene: pip install '.[video]'); GIF, WebP and PNG need "
            "nothing more"
        ) from None
    return imageio_ffmpeg


def _mp4(frames: Sequence[Path], rate: int) -> bytes:
    """Encode as H.264, which every player takes; sides are even numbers of pixels already."""
    with working_folder() as folder:
        path = folder / "film.mp4"
        height, width = np.asarray(next(_pictures(frames[:1]))).shape[:2]
        given = ["-f", "rawvideo", "-pix_fmt", "rgb24", "-s", f"{width}x{height}", "-r", str(rate), "-i", "-"]
        made = ["-an", "-c:v", "libx264", "-pix_fmt", "yuv420p", "-crf", "20", "-movflags", "+faststart"]
        raw = b"".join(np.asarray(one).tobytes() for one in _pictures(frames))
        done = subprocess.run(  # noqa: S603  (the encoder that the package brings, our own arguments)
            [_ffmpeg().get_ffmpeg_exe(), "-v", "error", *given, *made, str(path)],
            input=raw,
            capture_output=True,
            check=False,
        )
        if done.returncode != 0:
            reason = done.stderr.decode(errors="replace").strip().splitlines()[-1:]
            raise NotAvailableError(f"MP4 cannot be encoded ({' '.join(reason) or 'no reason given'})")
        return path.read_bytes()
