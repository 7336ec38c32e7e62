"""What is shown of an assessment: pictures, sections, plots, models and the review page.

The views read `sim.assessment.results.Assessment` and compute nothing of their own. pyvista and matplotlib are slow to
import: `check` must not import this package.
"""

from __future__ import annotations


def silent(what: str) -> None:
    """Report nothing."""
