"""Files that are handed on together, and the manifest that says what each is."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from sim.assessment.results import CAUTIONS
from sim.base.printable import json_printable

MANIFEST = "manifest.json"
NOT_RELEASED = "Not released: a competent person does that, part and machine in sight."


@dataclass(frozen=True, slots=True, eq=False)
class HandedFile:
    """One file.

    Attributes
    ----------
    name : str
        Within the folder, folders in it by '/'.
    content : bytes
    what : str
        What it is, a clause.
    unit : str
        Of its lengths, or where its units stand; '' for what has none.
    """

    name: str
    content: bytes
    what: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A file that could not be made, and why, a sentence."""

    name: str
    why: str


def program_version() -> str:
    """Return the version of this program, 'unknown' where it is not installed."""
    try:
        return version("chuckscene")
    except PackageNotFoundError:
        return "unknown"


def manifest(
    kind: str, files: Sequence[HandedFile], left_out: Sequence[LeftOut], about: Mapping[str, Any]
) -> bytes:
    """Return the manifest of files, JSON.

    Parameters
    ----------
    kind : str
        'export' or 'job'.
    files, left_out : sequence
    about : mapping
        What else it says, plain values.
    """
    found = {
        "made_by": "chuckscene",
        "kind": kind,
        "version": program_version(),
        **about,
        "files": [
            {
                "file": one.name,
                "size_bytes": len(one.content),
                "sha256": digest(one.content),
                "what": one.what,
                "unit": one.unit,
            }
            for one in files
        ],
        "left_out": [{"file": one.name, "why": one.why} for one in left_out],
        "cautions": [NOT_RELEASED, *CAUTIONS],
    }
    return (json_printable(json.dumps(found, indent=2, ensure_ascii=False)) + "\n").encode()


def digest(content: bytes) -> str:
    """Return the SHA-256 of a file in hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()


def stated_files(text: bytes, kind: str) -> dict[str, tuple[int, str]]:
    """Return size and SHA-256 of each file that a manifest of ours names.

    Raises
    ------
    ValueError
        If it is none of this kind.
    """
    try:
        found = json.loads(text)
        if found["made_by"] != "chuckscene" or found["kind"] != kind:
            raise ValueError(f"no manifest of a chuckscene {kind}")
        stated = {str(one["file"]): (int(one["size_bytes"]), str(one["sha256"])) for one in found["files"]}
    except (KeyError, TypeError, RecursionError, UnicodeDecodeError, ValueError):
        raise ValueError(f"no manifest of a chuckscene {kind}") from None
    if len(stated) != len(found["files"]):
        raise ValueError(f"no manifest of a chuckscene {kind}: it names a file twice")
    return stated
