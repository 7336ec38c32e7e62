"""A first setup in the terminal: what was written, what stands against it, what to do next."""

from __future__ import annotations

from collections.abc import Iterator

from rich.padding import Padding
from rich.text import Text

from sim.assessment.verdict import Verdict
from sim.first_setup.settled import Settled
from sim.terminal.assessment import cautions, headline, not_asked, printed
from sim.terminal.figures import MARKS, STYLES


def show_first_setup(found: Settled, place: str) -> None:
    """Print where it lies, its head line, each verdict that does not pass with what to change, and what comes next."""
    assessment = found.assessment
    against = [v for v in assessment.verdicts if v.status != "pass"]
    taken = sum("# taken" in line for line in found.text.splitlines())
    printed(
        Text(f"{place} is written.", style="bold"),
        Text(headline(assessment)),
        *(line for verdict in against for line in _lines(verdict)),
        *not_asked(assessment.not_judged),
        Text(""),
        Text(
            f"Next: {taken} lines of it are marked 'taken': typical of the class and invented. Read them off your "
            f"chuck and blanks, put them right, then: chuckscene check {place}"
        ),
        *cautions(),
    )


def _lines(verdict: Verdict) -> Iterator[Text | Padding]:
    yield Text(f"{MARKS[verdict.status]}  {verdict.name}: {verdict.message}", style=STYLES[verdict.status])
    if verdict.advice:
        yield Padding(Text(verdict.advice), (0, 0, 0, 8))
