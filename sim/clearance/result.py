"""Results of a clearance check: touches told apart, figures for every move."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Literal

import numpy as np
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Flags, Floats

TouchKind = Literal[
    "rapid contact",  # any part of the tool meets anything in a rapid move
    "shank contact",  # seat or shank meets anything in a feed move
    "holder contact",  # holder meets anything in a feed move
    "insert contact",  # the insert meets what it must not cut in a feed move
    "gouge",  # the insert cuts below the wanted shape
    "depth of cut",  # the insert takes more than the limit
]
BodyKind = Literal["chuck", "jaw hardware", "fixture", "workpiece"]


@dataclass(frozen=True, slots=True)
class Body:
    """Something that turns and must not be touched.

    Attributes
    ----------
    name : str
    image : BaseGeometry
        In (rho, z), mm, from `sim.clearance.image`.
    kind : str
        'chuck', 'jaw hardware', 'fixture' or 'workpiece'.
    """

    name: str
    image: BaseGeometry
    kind: BodyKind


@dataclass(frozen=True, slots=True)
class Touch:
    """The first touch of its kind between a part of the tool and a body.

    Attributes
    ----------
    kind : str
        See `TouchKind`.
    move : int
        Number of the move in the path, from 0.
    block, line : int, optional
        Sequence number and source line of that move.
    part, body : str
        The two that meet.
    place : (rho, z)
        Where they first meet, mm.
    tool_at : (x, z)
        The programmed tip at that moment, mm.
    depth : float
        mm; how deep the overlap of this move reaches into the body (gouge: below the wanted surface; depth of
        cut: the depth taken).
    overlap : (float, float)
        Extent of the overlap of this move along rho and along z, mm.
    count : int
        Moves with a touch of this kind between the two.
    astray : bool
        It comes only if the control runs each axis of a rapid move at its own rate; `tool_at` then lies beside the
        line of the move.
    """

    kind: TouchKind
    move: int
    block: int | None
    line: int | None
    part: str
    body: str
    place: tuple[float, float]
    tool_at: tuple[float, float]
    depth: float
    overlap: tuple[float, float]
    count: int
    astray: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class ClearanceResult:
    """What a path does, move by move; n moves.

    Attributes
    ----------
    clearance : (n,) array
        mm; least distance of the tool to what it must not touch: of the shank to everything, of insert, seat
        and holder, which stand close to the cut, to everything but the stock. 0 where they touch, inf where
        nothing is there.
    part, body : (n,) tuple of str
        The two that are that near; empty where nothing is.
    approach : (n,) array
        mm; least distance of insert, seat and holder to the stock in a rapid move; inf in feed moves
        and beyond 10 mm.
    astray : (n,) array of bool
        The least distance of the move comes only if the control runs each axis at its own rate.
    removed : (n,) array
        Area (mm2) of the half-plane that each move removes.
    depth_of_cut : (n,) array
        mm; width of what a move removes, square to the move; slivers do not count, see `sim.clearance.depth`.
    touches : tuple of Touch
        In the order of the path, one for each kind and pair of bodies.
    stock_left, gouge, leftover : BaseGeometry
        What is left of the stock; what was cut of the wanted shape; what is left beyond it.
    gouge_depth, leftover_depth : float
        mm; how far they reach below and above the wanted surface.
    required : float
        Clearance required, mm.
    """

    clearance: Floats
    part: tuple[str, ...]
    body: tuple[str, ...]
    approach: Floats
    astray: Flags
    removed: Floats
    depth_of_cut: Floats
    touches: tuple[Touch, ...]
    stock_left: BaseGeometry
    gouge: BaseGeometry
    leftover: BaseGeometry
    gouge_depth: float
    leftover_depth: float
    required: float

    def __post_init__(self) -> None:
        for field in dataclasses.fields(self):
            value = getattr(self, field.name)
            if isinstance(value, np.ndarray):
                copy = value.copy()
                copy.setflags(write=False)
                object.__setattr__(self, field.name, copy)

    @property
    def least_clearance(self) -> float:
        """Least clearance over all moves, mm; inf without a move or a body."""
        return float(self.clearance.min(initial=np.inf))

    @property
    def least_move(self) -> int:
        """Number of the move with the least clearance; -1 without a move."""
        return int(self.clearance.argmin()) if len(self.clearance) else -1

    @property
    def first_touch(self) -> Touch | None:
        """The first touch along the path, if any."""
        return self.touches[0] if self.touches else None

    @property
    def passes(self) -> bool:
        """No touch of any kind, and the clearance required kept in every move."""
        return not self.touches and self.least_clearance >= self.required

    @property
    def gouge_area(self) -> float:
        """Area (mm2) of the wanted shape that was cut away."""
        return float(self.gouge.area)

    @property
    def leftover_area(self) -> float:
        """Area (mm2) left beyond the wanted shape."""
        return float(self.leftover.area)
