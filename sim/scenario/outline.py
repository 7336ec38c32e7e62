"""The half section of a part as it is stated: corners, arcs between them, chamfers and roundings at them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal, Self

from pydantic import AfterValidator, Discriminator, Field, Tag, ValidationError, model_validator
from pydantic_core import InitErrorDetails, PydanticCustomError

from meshes import corners, sides
from meshes.sides import Side
from sim.base.limits import CORNERS
from sim.base.units import AnyLength, Depth, Length
from sim.scenario.table import Table

PLAIN, SHAPED = "plain corner", "shaped corner"  # which kind of item, as pydantic names it in a place
Pair = tuple[Depth, AnyLength]


class OutlineCorner(Table):
    """A corner with what shapes it: the arc that leads to it, or what breaks it."""

    at: Pair = Field(description="its place (r, z); of a broken corner where both its sides would meet")
    arc: Length | None = Field(
        None,
        description="radius of the arc on which the outline comes here from the corner before; of the two that this "
        "leaves it is the shorter one (see longer)",
    )
    curve: Literal["convex", "concave"] | None = Field(
        None,
        description="how the arc runs, stated with it: convex, the metal bulges out; concave, the arc hollows it",
    )
    longer: bool = Field(default=False, description="the arc is the longer one, more than half a circle")
    chamfer: Length | None = Field(
        None, description="leg of a chamfer, the same along both straight sides (at a right angle 45 deg)"
    )
    radius: Length | None = Field(None, description="radius of a rounding that touches both straight sides")

    @model_validator(mode="after")
    def _one(self) -> Self:
        stated = [key for key in ("arc", "chamfer", "radius") if getattr(self, key) is not None]
        if len(stated) > 1:
            raise ValueError(
                f"must state one of arc, chamfer and radius at most, found {' and '.join(stated)}"
            )
        if self.arc is not None and self.curve is None:
            raise ValueError(
                "curve is missing beside arc: 'convex' (the metal bulges out) or 'concave' (the arc hollows it)"
            )
        if self.arc is None and (self.curve is not None or self.longer):
            key = "longer" if self.curve is None else "curve"
            raise ValueError(f"{key} must stand beside arc, the radius of the arc, found it without")
        return self


class Outline(tuple[tuple[float, float], ...]):
    """Corners (r, z) in mm, arcs in chords, that knows what was stated and the sides that it stands for."""

    stated: tuple[Any, ...]
    sides: tuple[Side, ...]

    def __new__(cls, stated: tuple[Any, ...], made: tuple[Side, ...]) -> Self:
        """Take what was stated and the sides that follow from it."""
        found = super().__new__(cls, sides.chords(made))
        found.stated, found.sides = stated, made
        return found

    def __getnewargs__(self) -> tuple[Any, ...]:
        """Say what a copy is made of."""
        return self.stated, self.sides


def sides_of(outline: tuple[tuple[float, float], ...]) -> tuple[Side, ...]:
    """Return the sides of an outline: lines and arcs."""
    if isinstance(outline, Outline):
        return outline.sides
    return tuple(sides.Line(a, b) for a, b in zip(outline, (*outline[1:], *outline[:1]), strict=True))


def curved(outline: tuple[tuple[float, float], ...]) -> tuple[bool, ...]:
    """Return of each edge of an outline, from its first corner on, whether it stands for a piece of an arc."""
    return sides.curved(outline.sides) if isinstance(outline, Outline) else (False,) * len(outline)


def _kind(item: Any) -> str:
    return SHAPED if isinstance(item, dict | OutlineCorner) else PLAIN


def _made(stated: tuple[Any, ...]) -> tuple[tuple[float, float], ...]:
    """Return an outline of what was stated; of plain corners alone these."""
    if isinstance(stated, Outline) or not any(isinstance(one, OutlineCorner) for one in stated):
        return stated
    try:
        found = Outline(stated, corners.sides_of([_corner(one) for one in stated]))
    except corners.WrongCornersError as wrong:
        raise ValidationError.from_exception_data(
            "outline", [_mistake(*one, stated) for one in wrong.mistakes]
        ) from None
    if len(found) > CORNERS.most:
        raise ValueError(f"must come to at most {CORNERS.most} corners, arcs in chords, found {len(found)}")
    return found


def _mistake(k: int, key: str, words: str, stated: tuple[Any, ...]) -> InitErrorDetails:
    told = PydanticCustomError("value_error", "{error}", {"error": words})
    return InitErrorDetails(type=told, loc=(k, SHAPED, key), input=getattr(stated[k], key, None))


def _corner(stated: Any) -> corners.Corner:
    if not isinstance(stated, OutlineCorner):
        return corners.Corner(*stated)
    sizes = {key: getattr(stated, key) or 0.0 for key in ("arc", "chamfer", "radius")}
    return corners.Corner(*stated.at, convex=stated.curve != "concave", longer=stated.longer, **sizes)


if TYPE_CHECKING:
    PartCorners = tuple[tuple[float, float], ...]  # what comes of it
else:
    PartCorners = Annotated[
        tuple[
            Annotated[
                Annotated[Pair, Tag(PLAIN)] | Annotated[OutlineCorner, Tag(SHAPED)], Discriminator(_kind)
            ],
            ...,
        ],
        Field(min_length=3, max_length=CORNERS.most),
        AfterValidator(_made),
    ]
