"""Arrays kept in the user's cache folder under a key of the geometry they belong to and of the code that made them.

Nothing depends on it: a missing, damaged or unwritable folder only costs the time of computing anew. What other code
made (an older or a changed version of these modules, another version of the libraries under them) has another key, and
an entry that is not what was stored under its key is not used. This finds accidents, not malice: who may write in the
user's cache folder can also make the checksum.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import secrets
import zipfile
from collections.abc import Mapping
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import numpy as np
import scipy
import shapely

import sim.base.arrays
import sim.base.beside
import sim.base.floats
import sim.base.gripping
import sim.base.kept
import sim.base.threads
import sim.base.user_cache
from sim.base.arrays import Floats
from sim.base.beside import held_file, sweep
from sim.base.files import bytes_of
from sim.base.limits import KEPT
from sim.base.user_cache import contact_folder

_KEPT = 128  # files kept, those used last; a contact has one of its part and one of its jaw
_SUM = "sum"  # entry with the digest of the others


def default_cache() -> Path:
    """Folder of the cache where the system keeps such."""
    return contact_folder()


@cache
def maker() -> str:
    """Digest of what decides the arrays: the source of this package, and the libraries that it computes with.

    Where a source or a version cannot be found it is like no other, so that nothing kept before is used.
    """
    try:
        texts = [path.read_bytes() for path in sources()]
        # Asked of the installed package's description: to import scikit-fem takes a good part of a check.
        versions = (np.__version__, scipy.__version__, shapely.__version__, version("scikit-fem"))
    except (OSError, PackageNotFoundError):
        return secrets.token_hex()
    if not texts:
        return secrets.token_hex()
    digest = hashlib.sha256(repr(versions).encode())
    for text in texts:
        digest.update(f"source{len(text)}".encode())
        digest.update(text)
    return digest.hexdigest()


def sources() -> list[Path]:
    """Files whose code decides the arrays: every module of this package, and what it takes from `sim`."""
    own = sorted(Path(__file__).parent.glob("*.py"))
    base = (
        sim.base.arrays,
        sim.base.beside,
        sim.base.floats,
        sim.base.gripping,
        sim.base.kept,
        sim.base.threads,
        sim.base.user_cache,
    )
    return [*own, *(Path(str(module.__file__)) for module in base)]


def cache_key(*values: object) -> str:
    """Name for a set of numbers, texts, None, sequences and arrays, equal for equal bits and equal code only."""
    digest = hashlib.sha256(maker().encode())

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
    """Read arrays of the given shapes; None when they are not there just as they were stored under this key."""
    path = folder / f"{key}.npz"
    try:
        data = io.BytesIO(bytes_of(path, KEPT.most))
        _require_size(data)
        with np.load(data, allow_pickle=False) as archive:
            kept = {name: np.asarray(archive[name]) for name in (*shapes, _SUM)}
    except Exception:  # a damaged file may raise anything: it is as good as none
        return None
    written = kept.pop(_SUM)
    good = all(a.dtype == np.float64 and a.shape == shapes[name] for name, a in kept.items())
    if (
        not good
        or written.tobytes() != _digest(key, kept)
        or not all(np.isfinite(a).all() for a in kept.values())
    ):
        return None
    with contextlib.suppress(OSError):
        path.touch()  # what is used stays: a study of many shapes must not drive out the part on the machine
    return kept


def _require_size(data: io.BytesIO) -> None:
    """Refuse an archive that unpacks to more than is ever kept: a folder may come from another machine."""
    with zipfile.ZipFile(data) as archive:
        if sum(entry.file_size for entry in archive.infolist()) > KEPT.most:
            raise ValueError("unpacks to more than is kept")
    data.seek(0)


def _digest(key: str, arrays: Mapping[str, Floats]) -> bytes:
    digest = hashlib.blake2b(key.encode())
    for name in sorted(arrays):
        digest.update(f"{name}{arrays[name].shape}".encode())
        digest.update(np.ascontiguousarray(arrays[name], dtype=np.float64).tobytes())
    return digest.digest()


def store(folder: Path, key: str, arrays: Mapping[str, Floats]) -> None:
    """Write arrays so that a reader sees all of them or none; silently does nothing where it may not write."""
    entries = {name: np.asarray(a, dtype=np.float64) for name, a in arrays.items()}
    entries[_SUM] = np.frombuffer(_digest(key, entries), dtype=np.uint8)
    with contextlib.suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
        sweep(folder)
        place = folder / f"{key}.npz"
        with held_file(place) as part:
            with part.path.open("r+b") as file:
                np.savez(file, **entries)  # type: ignore[arg-type]
            part.replace(place)
        files = sorted(folder.glob("*.npz"), key=lambda path: path.stat().st_mtime, reverse=True)
        for old in files[_KEPT:]:
            old.unlink(missing_ok=True)


maker()  # asked while the code is loaded: a source that changes later is not that of this process
