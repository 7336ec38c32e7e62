"""Run by itself, as a file: STEP in, GLB out, by cascadio. What it meets there, a crash too, ends it alone."""

from __future__ import annotations

import pathlib
import sys

import cascadio


def main(came: str, made: str, sag: str, turn: str) -> None:
    """Write the triangles of a STEP file; chords leave it by `sag` (mm), neighbouring normals by `turn` (rad)."""
    found = cascadio.load(
        pathlib.Path(came).read_bytes(), tol_linear=float(sag), tol_angular=float(turn), use_parallel=False
    )
    pathlib.Path(made).write_bytes(found)


if __name__ == "__main__":
    main(*sys.argv[1:])
