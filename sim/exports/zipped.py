"""Zip archives whose bytes hang on what is in them alone."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping

_NO_DAY = (1980, 1, 1, 0, 0, 0)  # the first that a zip can hold


def zipped(files: Mapping[str, bytes]) -> bytes:
    """Return files by their names within as one zip, in their order; no time of day is in it."""
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name, content in files.items():
            entry = zipfile.ZipInfo(name, _NO_DAY)
            entry.compress_type, entry.create_system, entry.external_attr = (
                zipfile.ZIP_DEFLATED,
                3,
                0o100644 << 16,
            )
            archive.writestr(entry, content)
    return whole.getvalue()
