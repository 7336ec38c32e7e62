"""A job as one file: a zip whose manifest names every file in it with its digest, read without trust."""

from __future__ import annotations

import io
import json
import stat
import unicodedata
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sim.base.errors import ScenarioError
from sim.base.files import file_content
from sim.base.limits import JOB, JOB_FILES
from sim.exports.handed import MANIFEST, digest, stated_files
from sim.exports.job_files import FILES, LARGEST_FILE

LARGEST_JOB = JOB.most
MOST_FILES = JOB_FILES.most
LONGEST = 180  # characters of a name
_WINDOWS = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}


@dataclass(frozen=True, slots=True)
class JobScenario:
    """A scenario of a job: its file and that of its figures, and whether these are of `--quick`."""

    file: str
    figures: str
    quick: bool


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """What a job holds: its files by their names, its scenarios, the version that packed it, the manifest's digest."""

    files: Mapping[str, bytes]
    scenarios: tuple[JobScenario, ...]
    version: str
    digest: str


def read_job(path: Path) -> Job:
    """Read a job and hold it to its manifest; nothing is written.

    Raises
    ------
    ScenarioError
        One sentence: what is wrong with it.
    """
    try:
        content = file_content(path, JOB)
    except ValueError as error:
        raise ScenarioError(f"{path}: {error}") from None
    try:
        return job_of(content)
    except ValueError as error:
        raise ScenarioError(f"{path}: is not opened, {error}") from None


def job_of(content: bytes) -> Job:
    """Return the job that a zip holds.

    Raises
    ------
    ValueError
        A clause: what is wrong with it.
    """
    files = _unpacked(content)
    if MANIFEST not in files:
        raise ValueError(f"it has no {MANIFEST}")
    text = files[MANIFEST]
    stated = stated_files(text, "job")
    for name in files:
        if name not in stated and name != MANIFEST:
            raise ValueError(f"it holds {name}, which its manifest does not name")
    for name, (size, wanted) in stated.items():
        if name not in files:
            raise ValueError(f"it lacks {name}, which its manifest names")
        if len(files[name]) != size or digest(files[name]) != wanted:
            raise ValueError(
                f"{name} in it is not what was packed: its SHA-256 differs from that of the manifest"
            )
    return Job(files, _scenarios(text, files), str(json.loads(text).get("version", "")), digest(text))


def _scenarios(text: bytes, files: Mapping[str, bytes]) -> tuple[JobScenario, ...]:
    found = json.loads(text).get("scenarios")
    if not isinstance(found, list) or not found:
        raise ValueError("its manifest names no scenario")
    scenarios = []
    for one in found:
        if not isinstance(one, dict) or one.get("file") not in files or one.get("figures") not in files:
            raise ValueError("its manifest names a scenario or figures that are not in it")
        if not str(one["file"]).startswith(f"{FILES}/"):
            raise ValueError(f"its manifest names a scenario outside of {FILES}, {one['file']}")
        scenarios.append(JobScenario(one["file"], one["figures"], one.get("quick") is True))
    return tuple(scenarios)


def _unpacked(content: bytes) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    left = LARGEST_JOB
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            entries = archive.infolist()
            if len(entries) > MOST_FILES:
                raise ValueError(f"it holds {len(entries)} files, more than {MOST_FILES}")
            known: set[str] = set()
            for entry in entries:
                require_name(entry.filename, known)
                _require_plain(entry)
                most = min(left, LARGEST_FILE)
                if entry.file_size > most:
                    raise ValueError(f"{entry.filename} in it unpacks to more than {most} bytes")
                with archive.open(entry) as file:  # not by the size that the zip states alone
                    files[entry.filename] = file.read(most + 1)
                left -= len(files[entry.filename])
                if left < 0 or len(files[entry.filename]) > most:
                    raise ValueError(f"it unpacks to more than {LARGEST_JOB} bytes")
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError) as error:
        raise ValueError(f"it is no whole zip file ({error})") from None
    return files


def require_name(name: str, known: set[str]) -> None:
    """Refuse a name that would leave the folder, or be another one or none on some machine; add it to those known.

    Raises
    ------
    ValueError
        A clause.
    """
    steps = name.split("/")
    if any(step in ("", ".", "..") for step in steps) or "\\" in name or ":" in name:
        raise ValueError(f"it holds the path {name!r}, which leaves the folder or is none")
    if len(name) > LONGEST or not name.isprintable():
        raise ValueError(
            f"it holds a name of over {LONGEST} characters or with some that are not printed, {name!r}"
        )
    for step in steps:
        if step.endswith((".", " ")) or step.split(".")[0].casefold() in _WINDOWS:
            raise ValueError(f"it holds {name!r}, which is no name of a file on some machines")
    same = unicodedata.normalize("NFC", name).casefold()
    if same in known:
        raise ValueError(f"it holds {name!r} twice, or twice but for its letters' case")
    known.add(same)


def _require_plain(entry: zipfile.ZipInfo) -> None:
    kind = stat.S_IFMT(entry.external_attr >> 16)
    if kind not in (0, stat.S_IFREG):
        raise ValueError(f"{entry.filename} in it is a link or a device, not a file")
    if entry.flag_bits & 0x1:
        raise ValueError(f"{entry.filename} in it is encrypted")
    if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise ValueError(f"{entry.filename} in it is packed in a way that is not read")


def told_apart(packed: Any, here: Any, at: str = "") -> list[str]:
    """Return the places in two reports of `check --json` in which a figure or a status differs.

    Numbers within 1e-5 of each other are one: solvers end so near on another machine. Sentences are not compared.
    """
    if isinstance(packed, dict) and isinstance(here, dict):
        found = [f"{at}.{key}" for key in packed.keys() ^ here.keys()]
        for key in packed.keys() & here.keys():
            found += told_apart(packed[key], here[key], f"{at}.{key}".lstrip("."))
        return sorted(found)
    if isinstance(packed, list) and isinstance(here, list):
        if len(packed) != len(here):
            return [at]
        return [
            one
            for n, pair in enumerate(zip(packed, here, strict=True))
            for one in told_apart(*pair, f"{at}[{n}]")
        ]
    if isinstance(packed, str) and isinstance(here, str):
        judged = at.rpartition(".")[2] in ("status", "key", "stage", "operation", "pattern")
        return [at] if judged and packed != here else []
    if _is_number(packed) and _is_number(here):
        return [] if abs(packed - here) <= 1e-5 * max(abs(packed), abs(here)) + 1e-9 else [at]
    return [] if packed == here else [at]


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
