"""What judges a block: this package with its source, the libraries whose figures count, and Python.

All processes of a study must be alike: two versions may differ in a verdict, and a block does not say who judged it.
"""

from __future__ import annotations

import hashlib
import platform
from collections.abc import Mapping
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import numpy as np
import scipy

from sim.base.errors import NotAvailableError

SOURCE = "source of chuckscene"
Versions = dict[str, str]


@cache
def versions() -> Versions:
    """Return the versions of this process, by name."""
    return {
        "chuckscene": _package(),
        SOURCE: _source(),
        "numpy": np.__version__,
        "scipy": scipy.__version__,
        "python": platform.python_version(),
    }


def difference(own: Mapping[str, str], other: Mapping[str, str]) -> str:
    """Return in words how versions differ from one's own; empty where they do not."""
    return ", ".join(
        f"{name} {other.get(name, 'none')} (here {value})"
        for name, value in own.items()
        if other.get(name) != value
    )


def require_alike(expected: Mapping[str, str], who: str) -> None:
    """Hold that this process is as the one that started the study.

    Raises
    ------
    NotAvailableError
        If it differs, in one sentence.
    """
    if found := difference(expected, versions()):
        raise NotAvailableError(unlike(who, found))


def unlike(who: str, found: str) -> str:
    """Return the sentence on a process that differs."""
    return f"{who} has {found}: all processes of a study must have the same, install the same versions there"


def _package() -> str:
    try:
        return version("chuckscene")
    except PackageNotFoundError:
        return "unknown"


def _source() -> str:
    """Return the beginning of a digest of this package's own files: a folder may change and keep its version."""
    root = Path(__file__).parents[2]
    digest = hashlib.sha256()
    found = (path for own in ("sim", "meshes") for path in (root / own).rglob("*"))
    for path in sorted(one for one in found if one.suffix in (".py", ".toml", ".json", ".csv")):
        content = path.read_bytes()
        digest.update(f"{path.relative_to(root).as_posix()} {len(content)}\n".encode())
        digest.update(content)
    return digest.hexdigest()[:12]
