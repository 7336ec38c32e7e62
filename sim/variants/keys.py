"""Which keys of a scenario may vary without a new solid, path or compliance, and the values of a batch of variants."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.assessment.results import Assessment
from sim.base.arrays import Floats
from sim.scenario import Scenario

_CHUCK = ("guideway_friction", "efficiency", "marked_speed", "moment_limit", "pressure_limit")
_MACHINE = ("swing_diameter", "speed_limit", "pressure_limit", "lowest_pressure")
_SCREWS = ("torque", "thread_friction", "head_friction")
_LIMITS = (
    "stroke_reserve",
    "loading_clearance",
    "holding_factor",
    "grip_factor",
    "ring_pressure",
    "ring_speed",
    "jaw_taper",
    "boring_load_share",
)
_GRIPPING = ("pressure", "speed_low", "speed_high", "friction", "grip_loss_share")
_WORKPIECE = ("gripped_diameter_low", "gripped_diameter_high", "out_of_round")
_CUT = ("feed", "depth_of_cut", "speed", "cutting_speed", "wear_factor")

# No keys of a scenario, but of a batch: shares by which what the setup gives or needs may differ from the figures.
GRIP_SHARE = "chuck.grip_share"  # of the grip at rest, everywhere
PULL_SHARE = "chuck.pull_share"  # of drawbar pull that arrives, before the jaw's own friction
MODULUS_SHARE = "modulus_share"  # operations.N. of the part's Young's modulus
JAW_MODULUS_SHARE = "soft_jaw.modulus_share"  # of the jaws' Young's modulus
FORCE_SHARE = "force_share"  # operations.N. of the cutting forces


def quick_keys(assessment: Assessment) -> tuple[str, ...]:
    """Return the keys of a judged setup that `judged` takes, as dotted paths with list items by number from 0.

    Physical values are in the inside unit of their kind (mm, N, MPa, rev/min, N mm, mm/rev; cutting speed m/min).
    Left out are keys that the scenario has no use for (a limit that is not judged), and what changes a program's path
    or the stock along it. Where a pocket has a tolerance there are none.
    """
    if assessment.at_limits:  # each variant is judged at the limits of its pockets, too: as a whole
        return ()
    scenario = assessment.scenario
    chuck = [name for name in _CHUCK if name != "efficiency" or scenario.chuck.piston_area is not None]
    chuck += [
        k for k in ("piston_area", "largest_pull", "largest_grip") if getattr(scenario.chuck, k) is not None
    ]
    keys = [f"chuck.{name}" for name in chuck]
    programmed = [m is not None for m in assessment.machining]
    by_program = scenario.boring.program is not None or any(programmed)
    keys += [f"machine.{name}" for name in _MACHINE if name != "speed_limit" or not by_program]
    if scenario.machine.spindle_power:
        keys += ["machine.drive_efficiency"]
    keys += ["boring.pressure", *([] if scenario.boring.program is not None else ["boring.speed"])]
    keys += [f"soft_jaw.screws.{name}" for name in _SCREWS]
    keys += [f"limits.{name}" for name in _LIMITS]
    for n, machining in enumerate(assessment.machining):
        assumed = machining is not None and any(
            way.grip.assumed_speed is not None for way in machining.readings
        )
        keys += [
            f"operations.{n}.gripping.{name}" for name in _GRIPPING if name != "speed_high" or not assumed
        ]
        keys += [f"operations.{n}.{name}_limit" for name in ("roundness", "runout", "squareness")]
        if machining is not None:
            continue
        keys += [f"operations.{n}.workpiece.{name}" for name in _WORKPIECE]
        keys += [
            f"operations.{n}.cuts.{k}.{name}"
            for k, cut in enumerate(scenario.operations[n].cuts)
            for name in _CUT
            if cut.forces is None
            and not (cut.rotating_tool and name == "speed")
            and not (
                cut.end_diameter is not None and name == "depth_of_cut"
            )  # its blade's usual feed with it
        ]
    return tuple(keys)


def is_quick(assessment: Assessment, key: str) -> bool:
    """Tell whether `judged` takes a key of this setup."""
    return key in quick_keys(assessment)


def _batch_keys(scenario: Scenario) -> tuple[str, ...]:
    shares = [
        f"operations.{n}.{s}" for n in range(len(scenario.operations)) for s in (MODULUS_SHARE, FORCE_SHARE)
    ]
    return (GRIP_SHARE, PULL_SHARE, JAW_MODULUS_SHARE, *shares)


def stated(scenario: Scenario, key: str) -> Any:
    """Return what a scenario states for a dotted key, defaults included.

    Raises
    ------
    KeyError
        If there is no such key.
    """
    place: Any = scenario
    for step in key.split("."):
        try:
            place = place[int(step)] if step.isdigit() else getattr(place, step)
        except (AttributeError, IndexError, TypeError):
            raise KeyError(key) from None
    return place


class Values:
    """The values of a batch: what varies as arrays, all else as the scenario states it."""

    def __init__(self, assessment: Assessment, varied: Mapping[str, ArrayLike]) -> None:
        known = {*quick_keys(assessment), *_batch_keys(assessment.scenario)}
        self._assessment, self._scenario = assessment, assessment.scenario
        self._varied: dict[str, Floats] = {}
        sizes = set()
        for key, given in varied.items():
            if key not in known:
                raise KeyError(f"'{key}' cannot vary within one judged setup")
            values = np.asarray(given, dtype=np.float64)
            if values.ndim != 1:
                raise ValueError(f"'{key}' must be one-dimensional, not of shape {values.shape}")
            if not np.isfinite(values).all():
                raise ValueError(f"'{key}' must be finite")
            self._varied[key] = values
            sizes.add(values.size)
        if len(sizes) > 1:
            raise ValueError(f"all keys must have as many values, not {sorted(sizes)}")
        self.count = sizes.pop() if sizes else 1

    def only(self, rows: NDArray[np.intp]) -> Values:
        """Return the values of some rows."""
        chosen = Values(self._assessment, {key: values[rows] for key, values in self._varied.items()})
        chosen.count = len(rows)
        return chosen

    def __contains__(self, key: str) -> bool:
        """Tell whether a key varies in this batch."""
        return key in self._varied

    def __call__(self, key: str) -> Floats:
        """Return the values of a key, (n,); shares are 1 where they do not vary."""
        if key in self._varied:
            return self._varied[key]
        value = (
            1.0
            if key.endswith("_share") and key in _batch_keys(self._scenario)
            else stated(self._scenario, key)
        )
        return np.full(self.count, float(value))

    def states(self, key: str) -> bool:
        """Tell whether a key has a value at all, by the batch or by the scenario."""
        return key in self._varied or stated(self._scenario, key) is not None
