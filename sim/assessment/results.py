"""A judged setup: what the views read and never recompute, and the cautions that go with it."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module

from sim.assessment.figures.boring import BoringFigures
from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.figures.path import PathFigures
from sim.assessment.verdict import ORDER, NotJudged, Status, Verdict
from sim.scenario import Scenario
from sim.setup.parts import Parts


@dataclass(frozen=True, slots=True, eq=False)
class Assessment:
    """A judged setup; verdicts worst first, `machining` one for each operation (None without a program).

    `not_judged` is what was not asked, what matters first; `at_limits` the setup judged with its pockets at the limits
    of their tolerances.
    """

    scenario: Scenario
    parts: Parts
    boring: BoringFigures
    operations: tuple[OperationFigures, ...]
    machining: tuple[MachiningFigures | None, ...]
    verdicts: tuple[Verdict, ...]
    not_judged: tuple[NotJudged, ...]
    at_limits: tuple[Assessment, ...] = ()

    @property
    def paths(self) -> tuple[tuple[str, PathFigures], ...]:
        """Every cutting path with its stage: boring, then the operations that have a program."""
        found: list[tuple[str, PathFigures]] = [("boring", self.boring)]
        found += [
            (figures.operation.name, path)
            for figures, path in zip(self.operations, self.machining, strict=True)
            if path is not None
        ]
        return tuple(found)

    @property
    def status(self) -> Status:
        """Worst status of all verdicts; at best a warning where something that matters was not asked."""
        worst = min((v.status for v in self.verdicts), key=ORDER.index, default=ORDER[-1])
        return "warn" if worst == "pass" and self.unasked else worst

    def _repr_html_(self) -> str:
        """Return the page of the setup in a frame, which a notebook shows."""
        # By its name: what is judged knows nothing of what shows it until a notebook asks.
        return str(import_module("sim.views.notebook").frame(self))

    @property
    def unasked(self) -> tuple[NotJudged, ...]:
        """What was not asked and matters."""
        return tuple(one for one in self.not_judged if one.matters)


CAUTIONS = (
    "A chuck can throw a part: keep the guard closed and stand out of its plane.",
    "All figures are an engineering estimate, not a release.",
    "The limits of the chuck, of the jaws and of the machine and the local safety rules stand above them.",
    "Measure the grip with a gauge before running at speed.",
    "A competent person releases the setup.",
)
# The same, one for one, where there is room for some words only and the whole is a touch away.
SHORT_CAUTIONS = (
    "A part can fly: guard closed.",
    "An estimate, no release.",
    "Limits of chuck, jaws and machine first.",
    "Gauge the grip.",
    "A competent person releases.",
)
