"""Amounts of a program's cycles that the control keeps among its own parameters."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sim.base.units import Depth, Length, default
from sim.scenario.table import Table

Leads = Annotated[float, Field(ge=0.0, le=9.9, allow_inf_nan=False, strict=True)]


class CycleAmounts(Table):
    """What the control's parameters say of cycles, where the program does not; defaults: common practice, no source."""

    roughing_retract: Depth | None = Field(
        None,
        description="how far roughing cycles (G71, G72) retract in both axes behind each pass, where the program gives "
        "no R; not stated: 0.5 mm (common practice), and the output says so",
    )
    thread_pull_out: Leads = Field(
        0.0,
        description="how far before its end a thread is left at 45 deg, in leads, no unit; 0 judges it as cut in full "
        "to the end",
    )
    thread_least_pass: Depth = default("0.05 mm", "by which each pass of a thread cycle goes deeper at least")
    thread_finish_allowance: Depth = default("0 mm", "left by a thread cycle for its finishing pass")
    peck_back_off: Length = default(
        "0.5 mm",
        "by which a tool backs off after a peck, and short of which a drill stops on its way back in",
    )
    peck_return: Literal["out", "back off"] = Field(
        "out",
        description="after a peck a drill goes back out to where it began to feed, or backs off by peck_back_off",
    )
    drill_plane: Literal["absolute", "from the start"] | None = Field(
        None,
        description="what R of a drilling or tapping cycle is: a coordinate, or the way from where the tool stands; "
        "must be stated if the program has such an R",
    )
