"""One sentence that refuses a field of the scenario."""

from __future__ import annotations

from sim.base.errors import ScenarioError


def refuse(field: str, rule: str) -> None:
    """Raise a `ScenarioError`: the field, and the rule that it breaks with what was found."""
    raise ScenarioError(f"{field} {rule}")
