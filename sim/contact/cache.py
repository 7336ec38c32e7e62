"""Arrays kept in the user's cache folder under a key of the geometry they belong to.

Nothing depends on it: a missing, damaged or unwritable folder only costs the time of computing anew.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
import zipfile
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from sim.contact.face import Floats

VERSION = 4  # change when the meaning of a stored array changes
_KEPT = 64  # files kept, newest first


def default_cache() -> Path:
    """Folder of the cache after the XDG base directory specification: $XDG_CACHE_HOME or ~/.cache."""
    given = os.environ.get("XDG_CACHE_HOME", "")
    root = Path(given) if Path(given).is_absolute() else Path.home() / ".cache"
    return root / "chuckscene" / "contact"


def cache_key(*values: object) -> str:
    """Name for a set of numbers, texts, None, sequences and arrays, equal for equal bits only."""
    digest = hashlib.sha256(str(VERSION).encode())

    def add(value: object) -> None:
        if isinstance(value, np.ndarray):
            digest.update(f"array{value.shape}".encode())
            digest.update(np.ascontiguousarray(value, dtype=np.float64).tobytes())
        elif isinstance(value, tuple | list):
            digest.update(f"({len(value)}".encode())
            for item in value:
                add(item)
        elif isinstance(value, float):
            digest.update(f"float{float(value).hex()}".encode())
        elif value is None or isinstance(value, bool | int | str):
            digest.update(f"{type(value).__name__}{value};".encode())
        else:
            raise TypeError(f"a cache key is made of numbers, texts and arrays, not {type(value).__name__}")

    for value in values:
        add(value)
    return digest.hexdigest()


def stored(folder: Path, key: str, shapes: Mapping[str, tuple[int, ...]]) -> dict[str, Floats] | None:
    """Read arrays of the given shapes; None when they are not there in good order."""
    try:
        path = folder / f"{key}.npz"
        with path.open("rb") as file, np.load(file, allow_pickle=False) as archive:
            arrays = {name: np.asarray(archive[name], dtype=np.float64) for name in shapes}
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None
    good = all(
        arrays[name].shape == shape and np.all(np.isfinite(arrays[name])) for name, shape in shapes.items()
    )
    return arrays if good else None


def store(folder: Path, key: str, arrays: Mapping[str, Floats]) -> None:
    """Write arrays so that a reader sees all of them or none; silently does nothing where it may not write."""
    with contextlib.suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(suffix=".part", dir=folder)
        part = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                np.savez(file, **arrays)  # type: ignore[arg-type]
            part.replace(folder / f"{key}.npz")
        finally:
            part.unlink(missing_ok=True)
        files = sorted(folder.glob("*.npz"), key=lambda path: path.stat().st_mtime, reverse=True)
        for old in files[_KEPT:]:
            old.unlink(missing_ok=True)
