"""Write results whole or not at all: beside the target first, then rename."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from sim.errors import OutputError


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that a reader never sees half of it.

    Raises
    ------
    OutputError
        If the folder cannot be made or written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.is_dir():
            raise OutputError(f"{path}: cannot be written, it is a directory")
        handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror})") from None
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(beside).chmod(0o644)
        Path(beside).replace(path)
    except OSError as error:
        Path(beside).unlink(missing_ok=True)
        raise OutputError(f"{path}: cannot be written ({error.strerror})") from None
