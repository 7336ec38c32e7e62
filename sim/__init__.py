"""Turn a scenario into an assessment of a turned part held in soft jaws.

>>> import sim
>>> scenario = sim.load("scenarios/cast_hub_by_program.toml")
>>> sim.assess(scenario).status
'pass'
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sim.assessment.stages import assess
    from sim.setup.loading import load

__all__ = ["assess", "load"]

# Imported when first asked for (PEP 562): a command, a completion or `import sim.base.units` waits for no solver.
_PLACES = {"assess": "sim.assessment.stages", "load": "sim.setup.loading"}


def __getattr__(name: str) -> object:
    if name not in _PLACES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(import_module(_PLACES[name]), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
