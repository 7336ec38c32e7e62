"""Files of every other kind, cut about: readings, studies, searches, shelves, part models, and what a cache keeps."""

from __future__ import annotations

import atexit
import io
import itertools
import json
import math
import random
import shutil
import tempfile
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import trimesh
from drawn_scenarios import FOLDER
from trials import FindingError, Kind, one_sentence

from sim.base import answers
from sim.base.errors import ChuckSceneError
from sim.contact.cache import store, stored
from sim.part_files.part import MOST_CORNERS, PartShape, Reading, part_of
from sim.readings.csv_file import read_readings
from sim.readings.dial_file import read_dial
from sim.scenario.jaw_set import read_jaw_set
from sim.scenario.search import read_search
from sim.scenario.study import read_study

PRESSURE = 3.0  # MPa, the most that the chuck of the readings may get
_BITS = ("", " ", "\t", "0", "-", ".", ",", ";", "e9", "nan", "inf", "1e400", '"', "'", "[", "]", "{", "}", "=", "#",
         "é", "\x00", "\x1b[31m", "\u202e", "\r", "\n", "mm", "rpm", "bar", "true", "[[vary]]", "a" * 300)  # fmt: skip


@cache
def _place() -> Path:
    """Return a folder that goes with the process, for the file that is tried."""
    folder = tempfile.mkdtemp(prefix="chuckscene-fuzz-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return Path(folder)


def cut_about(draw: random.Random, text: str) -> str:
    """Return a text with one to three places changed: characters, numbers, cells or whole lines."""
    for _ in range(draw.choice((1, 1, 2, 3))):
        lines = text.split("\n")
        at = draw.randrange(len(lines))
        how = draw.randrange(7)
        place = draw.randint(0, len(lines[at]))
        if how == 0:
            lines[at] = lines[at][:place] + draw.choice(_BITS) + lines[at][place:]
        elif how == 1:
            lines[at] = lines[at][:place] + lines[at][place + draw.randint(1, 5) :]
        elif how == 2:
            del lines[at]
        elif how == 3:
            lines[at:at] = [draw.choice(lines)] * draw.choice((1, 1, 2, 300))
        elif how == 4:
            lines[at] = lines[at][:place]
        elif how == 5:
            other = draw.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
        else:
            cells = lines[at].split(draw.choice((",", "=", " ")))
            cells[draw.randrange(len(cells))] = draw.choice((*_BITS, "1e9", "-5", "12.5", '"3 mm"', "[1, 2]"))
            lines[at] = draw.choice((",", "=", " ")).join(cells)
        text = "\n".join(lines)
    return text


def _finite(value: Any, shown: str) -> None:
    """Hold that no number of what was read is none."""
    if isinstance(value, float) and math.isnan(value):
        raise FindingError("read a number that is none", shown)
    if isinstance(value, np.ndarray) and not np.isfinite(value.astype(float)).all():
        raise FindingError("read a number that is none", shown)
    if isinstance(value, tuple | list):
        for one in value:
            _finite(one, shown)


def _of_texts(name: str, end: str, texts: Callable[[], tuple[str, ...]], read: Callable[[Path], Any]) -> Kind:
    """Return what tries texts of one kind of file."""
    known = cache(texts)

    def tried(draw: random.Random) -> str:
        text = cut_about(draw, draw.choice(known()))
        file = _place() / f"drawn{end}"
        data = text.encode(draw.choice(("utf-8",) * 6 + ("utf-8-sig", "utf-16", "latin-1")), "replace")
        file.write_bytes(data)
        try:
            found = read(file)
        except ChuckSceneError as error:
            one_sentence(str(error), text)
            if not str(error).startswith(str(file)):
                raise FindingError(f"does not name the file: {error}", text) from error
            return "refused"
        for value in vars(found).values() if hasattr(found, "__dict__") else ():
            _finite(value, text)
        return "read"

    return Kind(name, tried, frozenset({"read", "refused"}))


def _shipped(*names: str) -> Callable[[], tuple[str, ...]]:
    def texts() -> tuple[str, ...]:
        found = [path for name in names for path in sorted(FOLDER.glob(name))]
        return tuple(path.read_text(encoding="utf-8").replace('"../', f'"{FOLDER}/') for path in found)

    return texts


READINGS = _of_texts(
    "readings", ".csv", _shipped("readings/cast_hub_gauge.csv"), lambda file: read_readings(file, PRESSURE)
)
DIAL = _of_texts(
    "dial", ".csv", _shipped("readings/cast_hub_dial.csv"), lambda file: read_dial(file, PRESSURE)
)
STUDY = _of_texts("study", ".toml", _shipped("studies/*.toml"), read_study)
SEARCH = _of_texts("search", ".toml", _shipped("search/*.toml"), read_search)
SHELF = _of_texts("shelf", ".toml", _shipped("shelf/*.toml"), read_jaw_set)


@cache
def models() -> tuple[tuple[str, bytes, Reading], ...]:
    """Files of one stepped disc, each with the kind it is of and how it is to be read."""
    outline = [(20.0, 0.0), (59.0, 0.0), (59.0, 26.0), (40.0, 26.0), (40.0, 58.0), (20.0, 58.0), (20.0, 0.0)]
    solid = trimesh.creation.revolve(np.array(outline), sections=24)
    made = Reading("low", "mm", tolerance=2.0)
    kinds = ("stl", "obj", "glb")
    found = [(kind, _bytes(solid.export(file_type=kind)), made) for kind in kinds]
    found.append(("stl", _bytes(solid.export(file_type="stl_ascii")), made))
    found.append(("3mf", _three_mf(solid), Reading("low", tolerance=2.0)))
    found.append(("dxf", _dxf(outline), Reading("low", "mm", "y")))
    return tuple(found)


def _bytes(data: Any) -> bytes:
    return data if isinstance(data, bytes) else str(data).encode()


def _three_mf(solid: trimesh.Trimesh) -> bytes:
    corners = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in solid.vertices)
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in solid.faces)
    text = (
        '<?xml version="1.0"?><model unit="millimeter" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/'
        f'2015/02"><resources><object id="1" type="model"><mesh><vertices>{corners}</vertices><triangles>{faces}'
        '</triangles></mesh></object></resources><build><item objectid="1"/></build></model>'
    )
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_STORED) as archive:  # so that what is changed is read
        archive.writestr("3D/3dmodel.model", text)
    return made.getvalue()


def _dxf(outline: list[tuple[float, float]]) -> bytes:
    head = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
    lines = "".join(
        f"0\nLINE\n8\n0\n10\n{a[0]}\n20\n{a[1]}\n11\n{b[0]}\n21\n{b[1]}\n"
        for a, b in itertools.pairwise(outline)
    )
    return f"{head}{lines}0\nENDSEC\n0\nEOF\n".encode()


def _changed(draw: random.Random, data: bytes) -> bytes:
    """Return bytes with some changed, left out, doubled, or the end cut off."""
    found = bytearray(data)
    for _ in range(draw.choice((0, 1, 1, 2, 4))):
        at = draw.randrange(max(len(found), 1))
        how = draw.randrange(5) if found else 1
        if how == 0:
            found[at] ^= 1 << draw.randrange(8)
        elif how == 1:
            found[at : at + draw.randint(1, 8)] = draw.randbytes(draw.randint(0, 8))
        elif how == 2:
            found[at:at] = found[at : at + draw.randint(1, 60)]
        elif how == 3:
            del found[at : at + draw.randint(1, 60)]
        else:
            del found[max(1, at) :]
    return bytes(found)


def _model(draw: random.Random) -> str:
    kind, data, reading = draw.choice(models())
    changed = _changed(draw, data) if kind not in ("obj", "dxf") or draw.random() < 0.3 else _text(draw, data)
    shown = f"{kind}: {changed[:3000].hex()}"
    try:
        found = part_of(changed, kind, reading)
    except (ChuckSceneError, ValueError) as error:  # a ValueError becomes the clause behind the file's name
        if isinstance(error, UnicodeError):
            raise FindingError(f"a mistake of its own: {error!r}", shown) from error
        one_sentence(str(error), shown)
        return "refused"
    _hold(found, shown)
    return "read"


def _text(draw: random.Random, data: bytes) -> bytes:
    return cut_about(draw, data.decode("latin-1")).encode("latin-1", "replace")


def _hold(found: PartShape, shown: str) -> None:
    corners = np.array(found.outline)
    whole = corners.ndim == 2 and 3 <= len(corners) <= MOST_CORNERS and np.isfinite(corners).all()
    if not whole or corners[:, 0].min() < 0.0 or not math.isfinite(found.deviation):
        raise FindingError(f"an outline that bounds no part: {corners[:9].tolist()}", shown)


MODELS = Kind("models", _model, frozenset({"read", "refused"}))

_KEPT = {"a": np.linspace(0.0, 1.0, 60).reshape(6, 10), "b": np.arange(5.0)}
_SHAPES = {name: array.shape for name, array in _KEPT.items()}
_ANSWERS = {f"{n:064x}": json.dumps([n, "text", 0.1 * n]) for n in range(12)}


def _cache(draw: random.Random) -> str:
    """Damage what the cache keeps: it is given back just as it was kept, or not at all."""
    folder = _place() / "kept"
    if draw.random() < 0.5:
        store(folder, "key", _KEPT)
        file = folder / "key.npz"
        file.write_bytes(_changed(draw, file.read_bytes()))
        found = stored(folder, "key", _SHAPES)
        if found is not None and not all(np.array_equal(found[name], _KEPT[name]) for name in _KEPT):
            raise FindingError("another array than was kept")
        return "as good as none" if found is None else "as it was kept"
    file = folder / "x.answers"
    answers._write(file, _ANSWERS)
    file.write_bytes(_changed(draw, file.read_bytes()))
    read = answers._read(file)
    if read not in ({}, _ANSWERS):
        raise FindingError("another answer than was kept")
    return "as it was kept" if read else "as good as none"


CACHE = Kind("cache", _cache, frozenset({"as it was kept", "as good as none"}))
