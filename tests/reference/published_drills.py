"""Torque and thrust of twist drills beside published ones.

1. A cutting-tool maker's public technical reference (maker not named), twist drills: M = K D^2 (0.630 + 16.84 f) / 100
   in N m, T = 570 K D f^0.85 in N, diameter D and feed f in mm, with K for metals by strength and hardness.
2. Machinery's Handbook, 31st ed., p. 1152 and 1153: M = 0.000025 K_d F_f F_M A W, whose feed factor F_f alone follows
   from the feed (the factor of the work material was not at hand).

Neither shares anything with Kienzle's law but the shape of a drill.
"""

from __future__ import annotations

from sim.mechanics.drilling import drill_forces
from sim.mechanics.kienzle import group_metal

# K of the maker's table, and what ours are of its figures at the least and at the most: the larger of two printings is
# taken, so that harder steel and grey iron come out high. The maker's low carbon steel of 550 MPa and 160 HB is harder
# than a soft one; sharp drills, the usual wear of 1.3 comes on top.
MAKERS = {
    "steel, soft": (2.22, 0.8, 1.0),
    "steel C45": (2.22, 1.0, 1.12),
    "steel 42CrMo4, quenched and tempered": (2.41, 1.3, 1.6),  # chromium molybdenum steel, 940 MPa, 269 HB
    "cast iron GJL-250": (1.39, 1.3, 1.6),  # cast iron, 280 MPa, 198 HB
}


def published(constant: float, diameter: float, feed: float) -> tuple[float, float]:
    """Return the maker's torque (N m) and thrust (N) for a metal's K."""
    torque = constant * diameter**2 * (0.630 + 16.84 * feed) / 100.0
    return torque, 570.0 * constant * diameter * feed**0.85


def sharp(name: str, diameter: float, feed: float) -> tuple[float, float]:
    """Return torque (N m) and thrust (N) of a sharp drill at 80 m/min."""
    metal = group_metal(name)
    found = drill_forces(
        metal, 80.0, feed=feed, rake_angle=metal.rake, wear_factor=1.0, diameter=diameter, height=0.0,
        feed_towards="chuck",
    )  # fmt: skip
    return 0.5 * diameter * found.tangential / 1000.0, found.feed
