"""The base of every table of a scenario file: frozen, strict about keys, defaults read like the file's text."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field


class Table(BaseModel):
    """A table of the scenario; unknown keys are errors, values never change after reading."""

    model_config = ConfigDict(frozen=True, extra="forbid", validate_default=True, str_strip_whitespace=True)


Share = Annotated[float, Field(gt=0.0, le=1.0, allow_inf_nan=False, strict=True)]
Factor = Annotated[float, Field(gt=0.0, le=1e6, allow_inf_nan=False, strict=True)]
Coefficient = Annotated[float, Field(ge=0.0, le=1.5, allow_inf_nan=False, strict=True)]
Name = Annotated[str, Field(min_length=1, max_length=60)]
