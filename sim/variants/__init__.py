"""Many variants of one judged setup at once: the figures of `check` as arrays, without a new solid or path.

``variants(assessment)`` takes over what no variant changes (solids, masses, held zone, boring path, compliances of
part and jaws); ``judged(ready, {"operations.0.gripping.pressure": pressures, ...})`` gives figures, values, limits
and statuses of all verdicts for arrays of keys. The keys that may vary so are those of `sim.variants.keys`; any
other key changes geometry and needs an assessment of its own (one for each group of variants that share it).

Three kinds of verdict:

- computed: closed forms over arrays, equal to `check` to rounding (travel, grip, cutting forces, speed, seat, screws);
- from contact and linear programs: marking, roundness, stress, displacement, run-out, jaw taper, least grip of a jaw,
  holding factor and, through the grip that the cuts need, grip at rest and permissible speed. Without friction pressure
  over force is a function of (part minus bore) over force alone, and all forces of a holding factor scale together, so
  that solutions on a fixed grid of such ratios, kept as they are needed, serve all pressures and sizes. Values lie
  within `contact.TOLERANCE` of a solution of their own (the factor within `holding.TOLERANCE`); a status can differ
  from `check` only where the value is that near to its limit;
- carried over: what these keys cannot change (clearance along the path, pockets, walls). `Judged.carried` marks them.

A variant that `check` would refuse has no status but a reason (`Judged.refused`, `Judged.reasons`).

>>> import numpy as np, sim
>>> from sim.variants import judged, variants
>>> ready = variants(sim.assess(sim.load("scenarios/cast_hub_on_ring.toml")))
>>> found = judged(ready, {"operations.0.gripping.pressure": np.array([0.8, 1.5, 2.2])})
>>> [found.word(row) for row in range(3)]
['fail', 'fail', 'pass']
"""

from sim.variants.judge import judged
from sim.variants.keys import is_quick, quick_keys
from sim.variants.nodes import learn, needed, solve, unknown
from sim.variants.ready import Variants, variants
from sim.variants.result import FAIL, PASS, REFUSED, WARN, Judged

__all__ = [
    "FAIL",
    "PASS",
    "REFUSED",
    "WARN",
    "Judged",
    "Variants",
    "is_quick",
    "judged",
    "learn",
    "needed",
    "quick_keys",
    "solve",
    "unknown",
    "variants",
]
