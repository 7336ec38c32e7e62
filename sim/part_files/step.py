"""Triangles out of a STEP file (ISO 10303-21), by cascadio in a process of its own that may fail by itself."""

from __future__ import annotations

import importlib.util
import io
import subprocess
import sys
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import numpy as np
import trimesh

from sim.base.arrays import Floats, Ints
from sim.base.beside import working_folder
from sim.base.errors import NotAvailableError

SAG = 0.005  # mm by which chords of the triangles may leave a surface
TURN = 0.1  # rad between neighbouring normals of triangles
LONGEST = 120.0  # s
_CHILD = Path(__file__).with_name("step_child.py")


def step_reader() -> str:
    """Return the version of what reads STEP files; '' where it is not installed."""
    try:
        return version("cascadio")
    except PackageNotFoundError:
        return ""


def step_triangles(data: bytes) -> tuple[Floats, Ints]:
    """Return corners (n, 3) in mm and triangles (m, 3); the file says its unit itself.

    Raises
    ------
    ValueError
        What is wrong, as a clause behind the file's name.
    NotAvailableError
        If cascadio is not installed.
    """
    if not data.lstrip().startswith(b"ISO-10303-21"):
        raise ValueError("must be a STEP file (its first word ISO-10303-21), found none")
    if importlib.util.find_spec("cascadio") is None:
        raise NotAvailableError(
            "needs cascadio, which reads STEP files and is not installed: pip install 'chuckscene[step]', or export "
            "the part as 3MF or STL"
        )
    with working_folder() as folder:
        came, made = Path(folder, "part.step"), Path(folder, "part.glb")
        came.write_bytes(data)
        try:
            subprocess.run(  # noqa: S603  this Python, on files of our own
                [sys.executable, "-P", str(_CHILD), str(came), str(made), str(SAG), str(TURN)],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                timeout=LONGEST,
                check=False,
            )
        except subprocess.TimeoutExpired:
            raise ValueError(f"must be read within {LONGEST:g} s, found that it takes longer") from None
        found = made.read_bytes() if made.is_file() else b""
    return _of_glb(found)


def _of_glb(data: bytes) -> tuple[Floats, Ints]:
    try:
        found = trimesh.load(io.BytesIO(data), file_type="glb", force="mesh", process=False) if data else None
    except Exception:  # a file without a solid comes as a scene that no reader takes
        found = None
    if not isinstance(found, trimesh.Trimesh) or len(found.faces) == 0:
        raise ValueError(
            "must hold one solid (a B-rep as AP203, AP214 or AP242), found none that can be read"
        )
    return 1000.0 * np.asarray(found.vertices, dtype=np.float64), np.asarray(found.faces, dtype=np.int64)
