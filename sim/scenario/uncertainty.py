"""The table of a scenario that says how far its figures may differ from what is stated: one distribution for each."""

from __future__ import annotations

from typing import Annotated, Any, Generic, Literal, Self, TypeVar

from pydantic import Field, model_validator

from sim.base.units import Depth, Length, Pressure, PressureFromZero, Stress, StressFromZero
from sim.scenario.table import Name, Table

T = TypeVar("T")  # a value
W = TypeVar("W")  # a width: a standard deviation

Plain = Annotated[float, Field(ge=0.0, le=10.0, allow_inf_nan=False, strict=True)]
Relative = Annotated[float, Field(gt=-0.5, lt=0.5, allow_inf_nan=False, strict=True)]
Ratio = Annotated[float, Field(ge=1.0, le=10.0, allow_inf_nan=False, strict=True)]
_NAMES = {
    Length: "length",
    Depth: "length from 0",
    Pressure: "pressure",
    PressureFromZero: "pressure from 0",
    Stress: "stress",
    StressFromZero: "stress from 0",
    Plain: "number",
    Relative: "relative error",
}


class _Spread(Table):
    basis: str = Field(
        "", max_length=200, description="where these figures come from; shown with the results"
    )

    @classmethod
    def model_parametrized_name(cls, params: tuple[type[Any], ...]) -> str:  # type: ignore[override]
        """Name the kinds of quantities in the JSON schema."""
        return f"{cls.__name__} {_NAMES.get(params[0], 'value')}"


class Normal(_Spread, Generic[T, W]):
    """Normal distribution, cut at four standard deviations."""

    kind: Literal["normal"] = Field(description="normal, cut at 4 standard deviations")
    mean: T | None = Field(None, description="default: as stated in the scenario")
    standard_deviation: W = Field(description="0 for no spread")


class Uniform(_Spread, Generic[T]):
    """All values between two ends alike."""

    kind: Literal["uniform"] = Field(description="all values from low to high alike")
    low: T = Field(description="least value")
    high: T = Field(description="largest value")

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if self.low > self.high:  # type: ignore[operator]
            raise ValueError("low must be at most high")
        return self


class Triangular(_Spread, Generic[T]):
    """Most likely at one value, never beyond two ends."""

    kind: Literal["triangular"] = Field(description="most likely at mode, never below low or above high")
    low: T = Field(description="least value")
    mode: T | None = Field(None, description="default: as stated in the scenario")
    high: T = Field(description="largest value")

    @model_validator(mode="after")
    def _rises(self) -> Self:
        mode = self.low if self.mode is None else self.mode
        if not self.low <= mode <= self.high:  # type: ignore[operator]
            raise ValueError("low, mode and high must rise")
        return self


class Lognormal(_Spread, Generic[T]):
    """Logarithm normally distributed, cut at four standard deviations: never 0, further up than down."""

    kind: Literal["lognormal"] = Field(description="logarithm normal, cut at 4 standard deviations")
    median: T | None = Field(None, description="default: as stated in the scenario")
    factor: Ratio = Field(description="median times this is one standard deviation up; 1 for no spread")


LengthSpread = Annotated[
    Normal[Length, Depth] | Uniform[Length] | Triangular[Length] | Lognormal[Length],
    Field(discriminator="kind"),
]
DepthSpread = Annotated[
    Normal[Depth, Depth] | Uniform[Depth] | Triangular[Depth] | Lognormal[Length],
    Field(discriminator="kind"),
]
PressureSpread = Annotated[
    Normal[Pressure, PressureFromZero] | Uniform[Pressure] | Triangular[Pressure] | Lognormal[Pressure],
    Field(discriminator="kind"),
]
StressSpread = Annotated[
    Normal[Stress, StressFromZero] | Uniform[Stress] | Triangular[Stress] | Lognormal[Stress],
    Field(discriminator="kind"),
]
NumberSpread = Annotated[
    Normal[Plain, Plain] | Uniform[Plain] | Triangular[Plain] | Lognormal[Plain], Field(discriminator="kind")
]
RelativeSpread = Annotated[
    Normal[Relative, Plain] | Uniform[Relative] | Triangular[Relative], Field(discriminator="kind")
]
Spread = (
    Normal[float, float] | Uniform[float] | Triangular[float] | Lognormal[float]
)  # any of the above, as the analysis reads them


class OperationUncertainty(Table):
    """Spreads of one operation's figures; what is left out has none."""

    name: Name = Field(description="name of the operation")
    pressure: PressureSpread | None = Field(None, description="actuating pressure while cutting")
    friction: NumberSpread | None = Field(None, description="friction of the part in the jaws")
    diameter: LengthSpread | None = Field(
        None, description="gripped diameter of one part, in place of the tolerance"
    )
    out_of_round: DepthSpread | None = Field(
        None, description="peak-to-peak deviation of the gripped diameter from round, in radius"
    )
    part_modulus: StressSpread | None = Field(None, description="Young's modulus of the part")
    cutting_force: NumberSpread | None = Field(None, description="share of the cutting forces as computed")


class Uncertainty(Table):
    """How far figures of the setup may differ from what is stated; what is left out has no spread."""

    guideway_friction: NumberSpread | None = Field(
        None, description="friction of wedge and guideway: the state of the grease"
    )
    grip_gauge: RelativeSpread | None = Field(
        None,
        description="relative error of the gauge on which the grip rests: reading over true grip, less 1",
    )
    jaw_modulus: StressSpread | None = Field(None, description="Young's modulus of the soft jaws")
    operations: tuple[OperationUncertainty, ...] = Field(
        (), max_length=4, description="spreads of the operations' own figures"
    )
