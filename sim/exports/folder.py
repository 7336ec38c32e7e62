"""A folder of files, written whole or not at all: beside the place first, then renamed."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator, Mapping
from pathlib import Path

from sim.base.beside import held_folder, set_aside, sweep
from sim.base.errors import OutputError
from sim.base.files import regular_bytes, require_place
from sim.base.limits import FOLDER
from sim.exports.handed import MANIFEST, digest, stated_files

LARGEST = FOLDER.most


def require_free(path: Path, kind: str, *, replace: bool) -> None:
    """Refuse a place where a folder stands already, unless it may be replaced and holds nothing but files of ours.

    Parameters
    ----------
    path : Path
    kind : str
        As its manifest must state it, 'export' or 'job'.
    replace : bool

    Raises
    ------
    OutputError
        One sentence.
    """
    if path.is_symlink():
        raise OutputError(f"{path}: cannot be written, it is a link")
    require_place(path.absolute().parent, folder=True)
    if not path.exists():
        return
    if not path.is_dir():
        raise OutputError(f"{path}: cannot be written, it is a file")
    if not replace:
        raise OutputError(
            f"{path}: is there already; take another --out, or --replace it if chuckscene wrote it"
        )
    _require_ours(path, kind)


def _require_ours(path: Path, kind: str) -> None:
    try:
        stated = stated_files(regular_bytes(path / MANIFEST, LARGEST), kind)
    except (OSError, ValueError):
        raise OutputError(
            f"{path}: is not replaced, no {MANIFEST} of a chuckscene {kind} is in it; take another --out"
        ) from None
    for folder, folders, names in os.walk(path):
        for name in (*names, *(one for one in folders if Path(folder, one).is_symlink())):
            file = Path(folder, name)
            known = file.relative_to(path).as_posix()
            if known == MANIFEST:
                continue
            if known not in stated:
                raise OutputError(
                    f"{path}: is not replaced, {known} in it is no file of the {kind}; move it away first"
                )
            if _digest(file) != stated[known][1]:
                raise OutputError(
                    f"{path}: is not replaced, {known} in it has been changed since it was written; move it away first"
                )


def _digest(file: Path) -> str:
    try:
        return "" if file.is_symlink() else digest(regular_bytes(file, LARGEST))
    except (OSError, ValueError):
        return ""


@contextlib.contextmanager
def beside(path: Path) -> Iterator[Path]:
    """Make an empty folder beside a place, hidden; it is taken away unless it has been settled in the end.

    Raises
    ------
    OutputError
        If none can be made.
    """
    place = path.absolute()
    with contextlib.ExitStack() as at_end:
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            sweep(place.parent)
            held = at_end.enter_context(held_folder(place))
        except OSError as error:
            raise OutputError(f"{path}: cannot be written ({error.strerror or error})") from None
        yield held.path


def fill(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files by their names into a folder.

    Raises
    ------
    OSError
    """
    umask = os.umask(0)
    os.umask(umask)
    for name, content in files.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content)
    folder.chmod(0o777 & ~umask)


def settle(folder: Path, path: Path, kind: str, *, replace: bool) -> None:
    """Put a folder from beside it into its place; one that stands there is taken away only when that is done.

    Raises
    ------
    OutputError
        If the place is no longer free, as `require_free` says it.
    OSError
        If it cannot be renamed; what stood there stays.
    """
    require_free(path, kind, replace=replace)  # once more: work takes a while
    with set_aside(path.absolute()) if path.exists() else contextlib.nullcontext():
        folder.rename(path)


def write_folder(path: Path, files: Mapping[str, bytes], kind: str, *, replace: bool) -> None:
    """Write files as a folder that is there whole or not at all.

    Raises
    ------
    OutputError
        If it cannot be written, or the place is not free; nothing is left of it then, and what stood there stays.
    """
    with beside(path) as folder:
        try:
            fill(folder, files)
            settle(folder, path, kind, replace=replace)
        except OSError as error:
            raise OutputError(f"{path}: cannot be written ({error.strerror or error})") from None
