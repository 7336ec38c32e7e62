"""How many inside units one of each unit is, to the last bit as pint's full registry gives it.

Written down, so that nothing but the tests needs pint: `tests/sim/base/test_units.py` holds every number to it, and
`tests/reference/test_unit_conversion.py` to the legal definitions. Kinds and units are those of `sim.base.units.KINDS`.
"""

from __future__ import annotations

FACTORS: dict[str, dict[str, float]] = {
    "length": {"mm": 1.0, "cm": 10.0, "m": 1000.0, "um": 0.001, "in": 25.4},
    "feed": {"mm/rev": 1.0, "in/rev": 25.4, "mm": 1.0, "in": 25.4},
    "angle": {"deg": 0.017453292519943295, "rad": 1.0},
    "pressure": {
        "bar": 0.09999999999999999,
        "MPa": 1.0,
        "kPa": 0.001,
        "Pa": 1e-06,
        "N/mm2": 1.0,
        "psi": 0.0068947572931683625,
    },
    "stress": {"MPa": 1.0, "GPa": 1000.0, "N/mm2": 1.0, "ksi": 6.894757293168363},
    "force": {"N": 1.0, "kN": 1000.0, "lbf": 4.4482216152605005},
    "torque": {
        "N*mm": 1.0,
        "N*m": 1000.0,
        "Nm": 1000.0,
        "kN*m": 1000000.0,
        "lbf*ft": 1355.8179483314007,
        "lbf*in": 112.9848290276167,
    },
    "power": {"W": 1.0, "kW": 1000.0},
    "speed": {"rpm": 1.0, "rev/min": 1.0, "1/min": 1.0, "rad/s": 9.549296585513721},
    "cutting speed": {"m/min": 1.0, "ft/min": 0.30479999999999996},
    "area": {"mm2": 1.0, "cm2": 100.0, "in2": 645.16},
    "mass": {"kg": 1.0, "g": 0.001, "lb": 0.4535923700000001},
    "density": {"kg/mm3": 1.0, "kg/m3": 1e-09, "g/cm3": 1e-06, "kg/dm3": 1e-06},
    "stiffness": {"N/mm": 1.0, "kN/mm": 1000.0, "N/um": 1000.0, "lbf/in": 0.17512683524647643},
    "tilt stiffness": {"N*mm/rad": 1.0, "N*m/rad": 1000.0, "kN*m/rad": 1000000.0},
}
