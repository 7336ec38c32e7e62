"""Readings of a grip gauge or a dial: read them, find the chuck that explains them, say what they contradict.

`read_readings` reads a CSV file, `gauged` sets it beside the scenario's chuck, `fitted` finds efficiency, friction in
the guideway and the share of the centrifugal force lost, each with its 95 % bounds, `findings` says in sentences what
does not agree with the chuck's data, `stiffness` turns a gauge's stiffness into the chuck's, and `written` gives the
tables that a scenario can include. `read_dial`, `dialled`, `dial_fit`, `dial_findings` and `dial_written` do the same
with readings of a dial indicator on a part in the jaws: what keeps it from running true.
"""

from sim.readings.csv_file import BadRow, Readings, read_readings
from sim.readings.dial_file import DialReadings, is_dial_file, read_dial
from sim.readings.dial_findings import dial_findings
from sim.readings.dial_fit import DialFit, dial_fit
from sim.readings.dial_written import dial_written
from sim.readings.dialled import Dialled, dialled
from sim.readings.findings import Finding, bounds, findings, stiffness
from sim.readings.fit import CONFIDENCE, LEAST_SPAN, Estimate, Fitted, fitted
from sim.readings.gauged import Gauged, gauged
from sim.readings.written import written

__all__ = [
    "CONFIDENCE",
    "LEAST_SPAN",
    "BadRow",
    "DialFit",
    "DialReadings",
    "Dialled",
    "Estimate",
    "Finding",
    "Fitted",
    "Gauged",
    "Readings",
    "bounds",
    "dial_findings",
    "dial_fit",
    "dial_written",
    "dialled",
    "findings",
    "fitted",
    "gauged",
    "is_dial_file",
    "read_dial",
    "read_readings",
    "stiffness",
    "written",
]
