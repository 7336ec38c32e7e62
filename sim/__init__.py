"""Turn a scenario into an assessment of a turned part held in soft jaws.

>>> import sim
>>> scenario = sim.load("scenarios/cast_hub_by_program.toml")
>>> sim.assess(scenario).status
'pass'
"""

import os

# The matrices of one setup are small: BLAS threads only wait for each other, and a check takes up to twice as long.
# Only a default, and only before numpy is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from sim.assessment.stages import assess
from sim.setup.loading import load

__all__ = ["assess", "load"]
