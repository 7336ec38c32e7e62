"""Turn a scenario into an assessment of a turned part held in soft jaws.

>>> import sim
>>> scenario = sim.load("scenarios/cast_hub_on_ring.toml")
>>> sim.assess(scenario).status
'pass'
"""

from sim.assess import assess
from sim.loading import load

__all__ = ["assess", "load"]
