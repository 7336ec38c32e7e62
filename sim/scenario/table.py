"""The base of every table of a scenario file: frozen, strict about keys, defaults read like the file's text."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr

from sim.base.limits import LETTERS


class Table(BaseModel):
    """A table of the scenario; unknown keys are errors, values never change after reading."""

    # Built when first read: a check needs neither search, study nor uncertainty, and builds what it nests only once.
    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        validate_default=True,
        str_strip_whitespace=True,
        defer_build=True,
        str_max_length=LETTERS.most,
    )


class FileTable(Table):
    """What a whole file of another kind than a scenario states; it knows its file."""

    _file: Path = PrivateAttr(default=Path())
    _tables: dict[str, Any] = PrivateAttr(default_factory=dict)

    @property
    def file(self) -> Path:
        """Where it was read from."""
        return self._file

    @property
    def tables(self) -> dict[str, Any]:
        """The file's own text, table by table."""
        return self._tables


Share = Annotated[float, Field(gt=0.0, le=1.0, allow_inf_nan=False, strict=True)]
Factor = Annotated[float, Field(gt=0.0, le=1e6, allow_inf_nan=False, strict=True)]
Coefficient = Annotated[float, Field(ge=0.0, le=1.5, allow_inf_nan=False, strict=True)]
Name = Annotated[str, Field(min_length=1, max_length=60)]
