"""The seal of a block's file: a digest of all its bytes, of the study and of the place that it has there.

It finds accidents (a bad disk, a copy that broke off, files renamed or mixed), not malice: who may write in the folder
can also make a seal.
"""

from __future__ import annotations

import hashlib
import json
import re

SEAL = b"chuckscene.seal"  # key of the metadata; its value is the digest in hexadecimal digits
PLACE = b"chuckscene.block"  # key of the metadata: which block of which study it is
OPEN = b"seal-not-yet-made".ljust(64, b".")  # as long as a digest, which takes its place
_DIGEST = re.compile(rb"[0-9a-f]{64}")


def place(study: str, block: int) -> bytes:
    """Return what says which block of which study a file is."""
    return json.dumps({"study": study, "block": block}).encode()


def sealed(content: bytes, study: str, block: int) -> bytes:
    """Return a file's content with its seal in the place of `OPEN`.

    Raises
    ------
    ValueError
        If it has none, or several.
    """
    if content.count(OPEN) != 1:
        raise ValueError("a block must have one place for its seal")
    return content.replace(OPEN, _digest(content, study, block))


def broken(content: bytes, seal: bytes | None, stated: bytes | None, study: str, block: int) -> str:
    """Return why a file is not the block that it stands for, in words; empty if it is.

    Parameters
    ----------
    content : bytes
        Of the whole file.
    seal, stated : bytes or None
        What its metadata has under `SEAL` and `PLACE`.
    study, block :
        What it stands for.
    """
    if seal is None or stated is None:
        return "has no digest of its rows"
    if stated != place(study, block):
        return _elsewhere(stated, study)
    if not _DIGEST.fullmatch(seal) or content.count(seal) != 1:
        return "is damaged"
    return "" if _digest(content.replace(seal, OPEN), study, block) == seal else "is damaged"


def _elsewhere(stated: bytes, study: str) -> str:
    try:
        found = json.loads(stated)
        own, number = found["study"], int(found["block"])
    except (ValueError, TypeError, KeyError):
        return "is damaged"
    return f"holds block {number}" if own == study else "holds a block of another study"


def _digest(content: bytes, study: str, block: int) -> bytes:
    digest = hashlib.sha256(place(study, block))
    digest.update(content)
    return digest.hexdigest().encode()
