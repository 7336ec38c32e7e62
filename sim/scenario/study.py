"""A study file: scenarios and the quantities that vary in them, as lists, ranges or distributions."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from sim.base.errors import ScenarioError
from sim.base.limits import STUDIED, VALUES, VARIANTS, VARIED
from sim.scenario.table import FileTable, Table
from sim.scenario.toml_file import read_as

A_STUDY = "a study (see `chuckscene schema --study`)"
MOST_VARIANTS = VARIANTS.most
Value = str | int | float
A_VALUE = "as the scenario's file would state it, with its unit"


class Uniform(Table):
    """Every value between two ends is as likely."""

    kind: Literal["uniform"]
    low: Value = Field(description=A_VALUE)
    high: Value = Field(description=A_VALUE)


class Normal(Table):
    """A normal distribution, cut off where stated."""

    kind: Literal["normal"]
    mean: Value = Field(description=A_VALUE)
    deviation: Value = Field(description="standard deviation, in the same kind of unit")
    low: Value | None = Field(None, description="no value below")
    high: Value | None = Field(None, description="no value above")


class Triangular(Table):
    """A triangle: least, most likely and largest value."""

    kind: Literal["triangular"]
    low: Value = Field(description=A_VALUE)
    mode: Value = Field(description="most likely value")
    high: Value = Field(description=A_VALUE)


Distribution = Annotated[Uniform | Normal | Triangular, Field(discriminator="kind")]


class Varied(Table):
    """One quantity that varies: by a list, by a range with a step, or by a distribution."""

    key: str = Field(
        min_length=1,
        description="dotted path in the scenario, list items by number from 0, as in pockets.0.depth",
    )
    values: tuple[Any, ...] = Field((), max_length=VALUES.most, description="list of values")
    low: Value | None = Field(None, description="first value of a range")
    high: Value | None = Field(None, description="last value of a range")
    step: Value | None = Field(None, description="between the values of a range")
    distribution: Distribution | None = Field(None, description="to be sampled; needs `samples`")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        ends = (self.low, self.high, self.step)
        ways = [bool(self.values), any(v is not None for v in ends), self.distribution is not None]
        if sum(ways) != 1 or (ways[1] and None in ends):
            raise ValueError("must have one of: values; low, high and step; distribution")
        return self


class Study(FileTable):
    """Grids and samples of variants over one or many scenarios."""

    scenarios: tuple[str, ...] = Field(
        min_length=1,
        max_length=STUDIED.most,
        description="files or patterns such as *.toml, from this file's folder",
    )
    contact: Literal["elastic", "quick"] = Field(
        "elastic", description="finite elements, or elastic columns (as --quick of check)"
    )
    samples: int | None = Field(
        None, ge=1, le=MOST_VARIANTS, strict=True, description="drawn of the distributions at each grid point"
    )
    block: int = Field(
        4096, ge=16, le=100_000, strict=True, description="variants of a file; what a break costs at most"
    )
    seed: int = Field(
        0, ge=0, lt=2**31, strict=True, description="of the scrambling of the samples' Sobol sequence"
    )
    vary: tuple[Varied, ...] = Field(
        min_length=1,
        max_length=VARIED.most,
        description="the last list or range varies fastest, samples within it",
    )

    @model_validator(mode="after")
    def _whole(self) -> Self:
        keys = [v.key for v in self.vary]
        if len(set(keys)) != len(keys):
            raise ValueError(f"vary must name each key once, found {', '.join(keys)}")
        sampled = [v.key for v in self.vary if v.distribution is not None]
        if sampled and self.samples is None:
            raise ValueError(f"samples must be stated for the distribution of {sampled[0]}, found none")
        if not sampled and self.samples is not None:
            raise ValueError(f"samples must be left out without a distribution, found {self.samples}")
        return self

    def scenario_files(self) -> tuple[Path, ...]:
        """Return the scenarios' files, each once, in the order of the patterns and of their names.

        Raises
        ------
        ScenarioError
            If a pattern matches no file.
        """
        found: dict[Path, None] = {}
        for pattern in self.scenarios:
            folder, rest = self.file.parent, pattern
            if Path(pattern).is_absolute():
                folder, rest = Path("/"), str(Path(pattern).relative_to("/"))
            while rest.startswith("../"):
                folder, rest = folder / "..", rest[3:]
            try:
                matched = sorted(path for path in folder.glob(rest) if path.is_file())
            except (OSError, ValueError, NotImplementedError) as error:
                raise ScenarioError(
                    f"{self.file}: scenarios must be names or patterns of files, found '{pattern}' ({error})"
                ) from None
            if not matched:
                raise ScenarioError(
                    f"{self.file}: scenarios must name scenario files, found none for '{pattern}' from "
                    f"{self.file.parent}"
                )
            found.update(dict.fromkeys(matched))
        return tuple(found)


def read_study(path: Path) -> Study:
    """Read and check a study file.

    Raises
    ------
    ScenarioError
        One sentence: which field of which file is wrong, what was found, what is allowed.
    """
    return read_as(Study, path, A_STUDY)
