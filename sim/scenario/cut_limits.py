"""The least cut that is one, and what may be stated of the metal that is cut.

Below the least cut the edge only rubs and no chip forms, so that no force can be worked out.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

# Edges of indexable inserts are rounded by 10 to 80 um (hooguu.com, edge preparation), and no chip forms from what is
# thin beside that (Wojciechowski, Materials 15 (2022) 59, reviews how thin); finishing cuts are ten times as deep
# (common practice, no source). Kienzle's law was held to a maker's table from 0.1 mm on. What is thinner is a slip of
# the unit.
LEAST_DEPTH = 0.05  # mm
LEAST_FEED = 0.02  # mm/rev


def require_chip(feed: float, depth_of_cut: float) -> None:
    """Refuse a cut that is too thin to be one.

    Raises
    ------
    ValueError
        One clause with the field.
    """
    if depth_of_cut < LEAST_DEPTH:
        raise ValueError(
            f"depth_of_cut must be at least {LEAST_DEPTH:g} mm, below which an edge rubs and does not cut, found "
            f"{depth_of_cut:g} mm"
        )
    if feed < LEAST_FEED:
        raise ValueError(
            f"feed must be at least {LEAST_FEED:g} mm/rev, below which an edge rubs and does not cut, found "
            f"{feed:g} mm/rev"
        )


# The table's kc1.1 reach from 100 MPa (plastics) to 6110 MPa (hardened steel), their mc from 0.14 to 0.30; what lies
# beyond these is a slip of the unit.
LEAST_SPECIFIC_FORCE, MOST_SPECIFIC_FORCE = 50.0, 10_000.0  # MPa
ChipExponent = Annotated[float, Field(ge=0.0, le=0.6, allow_inf_nan=False, strict=True)]


def require_own_values(
    specific_force: float | None,
    chip_exponent: float | None,
    reference_rake: float | None,
    *,
    measured: bool,
) -> None:
    """Refuse one of Kienzle's two values (MPa, no unit) without the other, or beside `measured` forces.

    Raises
    ------
    ValueError
        One clause with the field.
    """
    if specific_force is None and chip_exponent is None:
        if reference_rake is not None:
            raise ValueError(
                "reference_rake must be left out without specific_force, whose rake it tells: the table's values "
                "have theirs"
            )
        return
    if specific_force is None or chip_exponent is None:
        missing, there = (
            ("specific_force", "chip_exponent")
            if specific_force is None
            else ("chip_exponent", "specific_force")
        )
        raise ValueError(
            f"{missing} must be stated beside {there}: one of Kienzle's two values tells no force"
        )
    if measured:
        raise ValueError(
            "specific_force must be left out beside forces, which are taken as they were measured, found "
            f"{specific_force:g} MPa"
        )
    if not LEAST_SPECIFIC_FORCE <= specific_force <= MOST_SPECIFIC_FORCE:
        raise ValueError(
            f"specific_force must lie between {LEAST_SPECIFIC_FORCE:g} MPa and {MOST_SPECIFIC_FORCE:g} MPa, found "
            f"{specific_force:g} MPa"
        )
