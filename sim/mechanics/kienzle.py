"""The force of a cut by Kienzle: what is cut, its chip, the corrections for rake, wear, speed and room for chips.

Lengths in mm, forces in N, stresses in MPa, angles in rad, cutting speed in m/min.
F_c = b h^(1 - mc) kc1.1 K with h = f sin kappa and b = a_p / sin kappa (O. Kienzle, 1952; textbook form of Dietrich
and Tschaetsch, Praxis der Zerspantechnik). The corrections for rake, wear and chip compression are that textbook's, as
an open program after it quotes them (with kc1.1 and mc of S235; another has those of C45).

Feed, depth of cut, speed, wear and the material's values may be floats or arrays of one shape; angles are floats.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal, overload

import numpy as np

from sim.base.arrays import Floats
from sim.base.floats import Number, choose, larger, power
from sim.base.tables import Kienzle, Material, kienzle, material

Kind = Literal["turning", "facing", "boring", "drilling", "tapping", "grooving", "parting", "threading"]
REFERENCE_RAKE = math.radians(
    6.0
)  # of the textbook's steel values; catalogue values for 0 deg then err upward
DEFAULT_SPEED = 180.0  # m/min, of a cut that states no speed (carbide, common practice, no source)
# The correction by cutting speed of carbide, (factor, exponent) below and from the reference speed on, m/min: from
# memory; within 9 % of a table book's steps for drilling (scribd 127821968: 1.3 at 10 to 30 m/min, 1.1 at 31 to 80)
# and up to 400 m/min within 10 % of the 1.0 that one of the textbook's programs takes for carbide. Below the least
# speed, where built-up edges rule, its value there.
REFERENCE_SPEED, LEAST_SPEED = 100.0, 20.0
_SLOW, _FAST = (2.023, 0.153), (1.380, 0.07)
# Of drilling 1.2 (a table book, scribd 127821968: Kienzle's values come from turning), of boring the same. Of grooving
# and parting 1.3 (the textbook, from memory), of threads, whose chips have as little room, the same.
CHIP_COMPRESSION = {
    "turning": 1.0,
    "facing": 1.0,
    "boring": 1.2,
    "drilling": 1.2,
    "tapping": 1.3,
    "grooving": 1.3,
    "parting": 1.3,
    "threading": 1.3,
}
# Handbook values of kc1.1 hold at a rake of 6 deg for steel, 2 deg for cast iron, 0 deg for the rest.
_LAST_STEEL, _LAST_IRON = 14, 20  # last VDI 3323 groups of steel and of cast iron


@dataclass(frozen=True, slots=True)
class CutMetal:
    """What is cut: Kienzle's values of its group in two printings, and the rake (rad) at which they hold."""

    kienzle: Kienzle
    rake: float


def cut_metal(metal: Material | str, rake: float = 0.0) -> CutMetal:
    """Return what cutting a material takes, or one of the table by its name; UnknownNameError otherwise.

    `rake` (rad) is that of the cut: values of one's own that state none count as found at it.
    """
    own = None if isinstance(metal, str) else metal.cutting
    if own is None:
        return group_metal(metal)
    return own_metal(own.kc11, own.mc, rake if own.rake is None else own.rake)


def group_metal(metal: Material | str) -> CutMetal:
    """Return what cutting takes by the group of a material, whatever the material states of its own."""
    row = kienzle((material(metal) if isinstance(metal, str) else metal).kienzle)
    number = int(row.group)
    return CutMetal(row, math.radians(6.0 if number <= _LAST_STEEL else 2.0 if number <= _LAST_IRON else 0.0))


def own_metal(specific_force: float, chip_exponent: float, rake: float) -> CutMetal:
    """Return what cutting takes by a shop's own kc1.1 (MPa) and mc, found at a rake (rad)."""
    values = specific_force, chip_exponent
    return CutMetal(Kienzle("own", "as stated", *values, *values, "the scenario"), rake)


def chip_section(
    feed: Number, depth_of_cut: Number | float, approach_angle: float
) -> tuple[Number, Number | float]:
    """Return chip thickness h = f sin kappa and width b = a_p / sin kappa, mm.

    Raises
    ------
    ValueError
        If feed or depth is not greater than 0 mm, or the approach angle not between 0 and 180 deg.
    """
    if not (np.all(feed > 0.0) and np.all(depth_of_cut > 0.0)):
        raise ValueError(
            "feed and depth of cut must be greater than 0 mm, "
            f"found {np.min(feed):g} mm and {np.min(depth_of_cut):g} mm"
        )
    if not 0.0 < approach_angle < math.pi:
        raise ValueError(
            f"approach angle must lie between 0 and 180 deg, found {math.degrees(approach_angle):g} deg"
        )
    sine = math.sin(approach_angle)
    return feed * sine, depth_of_cut / sine


def specific_force(chip_thickness: Number, kc11: Number, mc: Number) -> Number:
    """Return kc = kc1.1 h^-mc, MPa."""
    return kc11 * power(chip_thickness, -mc)


def rake_factor(rake: float, reference: float = REFERENCE_RAKE) -> float:
    """Return K_gamma = 1 - (gamma - gamma_0) / 100 deg: 1 % per degree of rake.

    gamma_0 is 6 deg for steel, 2 deg for cast iron, 0 deg for aluminium.
    """
    return 1.0 - math.degrees(rake - reference) / 100.0


def speed_factor(cutting_speed: Number) -> Number:
    """Return K_v for carbide at a cutting speed in m/min; 1 at 100 m/min.

    2.023 / v^0.153 below 100 m/min, 1.380 / v^0.07 above. Below 20 m/min, where
    built-up edges rule, the value at 20 m/min.
    """
    slow = _SLOW[0] / power(larger(cutting_speed, LEAST_SPEED), _SLOW[1])
    fast = _FAST[0] / power(larger(cutting_speed, REFERENCE_SPEED), _FAST[1])
    return choose(cutting_speed < REFERENCE_SPEED, slow, fast)


@overload
def correction(
    rake: float = ...,
    wear: float = ...,
    cutting_speed: float = ...,
    kind: Kind = ...,
    reference_rake: float = ...,
) -> float: ...


@overload
def correction(
    rake: float, wear: Floats, cutting_speed: Floats, kind: Kind = ..., reference_rake: float = ...
) -> Floats: ...


def correction(
    rake: float = REFERENCE_RAKE,
    wear: Any = 1.3,
    cutting_speed: Any = REFERENCE_SPEED,
    kind: Kind = "turning",
    reference_rake: float = REFERENCE_RAKE,
) -> Any:
    """Return K = K_gamma K_wear K_v K_st, the product of the corrections.

    `wear` is 1 for a sharp edge and 1.3 to 1.5 for a worn one; K_st, chip compression, 1 for outside turning
    and facing, 1.2 for boring and drilling, 1.3 for grooving, parting, tapping and threading.
    """
    return rake_factor(rake, reference_rake) * wear * speed_factor(cutting_speed) * CHIP_COMPRESSION[kind]


def cutting_force(
    feed: Number,
    depth_of_cut: Number | float,
    approach_angle: float,
    kc11: Number,
    mc: Number,
    factor: Number | float = 1.0,
) -> Number:
    """Return the cutting force F_c (N) by Kienzle, times the correction `factor`."""
    h, b = chip_section(feed, depth_of_cut, approach_angle)
    return b * h * specific_force(h, kc11, mc) * factor
