"""Grip gauge readings: read them, find the chuck that explains them best, say what they contradict.

`read_readings` reads a CSV file, `gauged` sets it beside the scenario's chuck, `fitted` finds efficiency, friction in
the guideway and the share of the centrifugal force lost, each with its 95 % bounds, `findings` says in sentences what
does not agree with the chuck's data, `stiffness` turns a gauge's stiffness into the chuck's, and `written` gives the
tables that a scenario can include.
"""

from sim.readings.csv_file import BadRow, Readings, read_readings
from sim.readings.findings import Finding, bounds, findings, stiffness
from sim.readings.fit import CONFIDENCE, LEAST_SPAN, Estimate, Fitted, fitted
from sim.readings.gauged import Gauged, gauged
from sim.readings.written import written

__all__ = [
    "CONFIDENCE",
    "LEAST_SPAN",
    "BadRow",
    "Estimate",
    "Finding",
    "Fitted",
    "Gauged",
    "Readings",
    "bounds",
    "findings",
    "fitted",
    "gauged",
    "read_readings",
    "stiffness",
    "written",
]
