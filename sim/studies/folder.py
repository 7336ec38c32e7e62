"""The folder of a study: one file a finished block, and what it all belongs to. A file is there whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from sim.assessment.results import CAUTIONS
from sim.base.beside import sweep
from sim.base.errors import OutputError
from sim.base.files import file_content, file_text, write_whole
from sim.base.limits import BLOCK
from sim.base.limits import MANIFEST as MANIFEST_FILE
from sim.studies.plan import Block
from sim.studies.preparing import Prepared
from sim.studies.rows import SUMMARY
from sim.studies.sealed import PLACE, SEAL, broken
from sim.studies.summary import Summary, from_object

MANIFEST = "_study.json"  # readers of a folder of Parquet files pass over names that begin so
MOST_NAMED = 5  # files of a sentence


class StudyFolder:
    """Where the blocks of a study are kept; `doubted` says by file why a block that is there does not count.

    Raises
    ------
    OutputError
        If another study's blocks are there.
    """

    def __init__(self, path: Path, study: Prepared, blocks: list[Block]) -> None:
        self.path, self._study = path, study
        self.doubted: dict[str, str] = {}
        self._digits = max(5, len(str(len(blocks))))
        manifest = path / MANIFEST
        if manifest.is_file():
            if _stated(manifest).get("digest") != study.digest:
                raise OutputError(
                    f"{path}: holds blocks of another study, or study, scenario or version have changed since; take "
                    "another --out or remove the folder"
                )
        elif any(path.glob("part-*.parquet")):
            raise OutputError(f"{path}: holds Parquet files of something else; take another --out")
        sweep(path)  # of a process that was killed while it wrote
        if not manifest.is_file():
            about = {
                "digest": study.digest,
                "variants": study.count,
                "blocks": len(blocks),
                "scenarios": {case.name: case.design.count for case in study.cases},
                "cautions": list(CAUTIONS),
            }
            write_whole(manifest, (json.dumps(about, indent=2) + "\n").encode())

    def file(self, block: int) -> Path:
        """Return the file of a block."""
        return self.path / f"part-{block:0{self._digits}d}.parquet"

    def finished(self, block: Block) -> Summary | None:
        """Return the summary of a block that is finished and whole; None if it is to be done."""
        import pyarrow as pa
        import pyarrow.parquet as pq

        file = self.file(block.number)
        if not file.is_file():
            return None
        try:
            content = file_content(file, BLOCK)
            found = pq.read_metadata(pa.BufferReader(content))
        except (OSError, ValueError, pa.ArrowException):
            self.doubted[file.name] = "is damaged"
            return None
        told = found.metadata or {}
        why = broken(content, told.get(SEAL), told.get(PLACE), self._study.digest, block.number)
        if not why and found.num_rows != block.count:
            why = f"holds {found.num_rows} variants where {block.count} belong"
        if why:
            self.doubted[file.name] = why
            return None
        return from_object(json.loads(told[SUMMARY]))

    @property
    def doubts(self) -> str:
        """Return in one sentence which blocks are judged anew though they are there, and why; empty for none."""
        if not self.doubted:
            return ""
        shown = [f"{name} {why}" for name, why in list(self.doubted.items())[:MOST_NAMED]]
        more = len(self.doubted) - len(shown)
        return f"{self.path}: judged anew: {', '.join(shown)}" + (f" and {more} more" if more else "")

    def keep(self, block: int, content: bytes) -> None:
        """Write the file of a block."""
        write_whole(self.file(block), content)


def _stated(manifest: Path) -> dict[str, Any]:
    try:
        found = json.loads(file_text(manifest, MANIFEST_FILE))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}
