"""Hostile files of a dial's readings: what could mean two things is refused, and every bad row is named."""

from __future__ import annotations

import contextlib
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.assessment.running import Springs
from sim.base.errors import ReadingsError
from sim.readings import Dialled, dial_fit
from sim.readings.dial_file import DialReadings, is_dial_file, read_dial
from sim.scenario import Running

HEADER = "mounting, clamping, pressure (bar), height (mm), TIR (um), high spot (deg)"
ROW = "1, 1, 20, 60, 12, 90"


def written(folder: Path, *lines: str) -> Path:
    path = folder / "dial.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def read(folder: Path, *lines: str) -> DialReadings:
    return read_dial(written(folder, *lines), 5.0)


def test_half_of_the_whole_movement_towards_the_high_spot(tmp_path: Path) -> None:
    one = read(tmp_path, HEADER, ROW)
    assert one.vector[0] == pytest.approx(0.006j)
    assert (one.mounting[0], one.clamping[0], one.pressure[0], one.height[0]) == (
        1,
        1,
        pytest.approx(2.0),
        60.0,
    )
    assert math.isnan(one.radius[0])
    half = read(tmp_path, HEADER.replace("TIR", "amplitude"), ROW)
    assert half.vector[0] == pytest.approx(0.012j)
    assert half.movement[0] == pytest.approx(0.024)


def test_an_inch_dial_is_read_in_its_unit(tmp_path: Path) -> None:
    """Half a thousandth of an inch is 12.7 um."""
    one = read(tmp_path, HEADER.replace("TIR (um)", "TIR (in)"), "1, 1, 20, 60, 0.0005, 0")
    assert one.movement[0] == pytest.approx(0.0127)


def test_on_a_face_it_is_a_tilt(tmp_path: Path) -> None:
    header = "mounting, clamping, pressure (bar), height (mm), radius (mm), TIR (um), high spot (deg)"
    both = read(tmp_path, header, "1, 1, 20, , 50, 10, 180", "1, 1, 20, 60, , 10, 180")
    assert both.on_face.tolist() == [True, False]
    assert both.vector[0] == pytest.approx(-1e-4)  # 10 um over 100 mm
    assert both.movement.tolist() == pytest.approx([0.01, 0.01])
    for cells in ("1, 1, 20, 60, 50, 10, 180", "1, 1, 20, , , 10, 180"):
        with pytest.raises(ReadingsError, match=r"allowed is one of height .* and radius"):
            read(tmp_path, header, cells)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("TIR (um)", "run-out (um)", r"whole movement of the dial \(TIR\) or half of it \(amplitude\)"),
        ("TIR (um)", "eccentricity (um)", r"must say which"),
        ("TIR (um)", "TIR", "unit of column TIR must be one of mm, cm, m, um, in"),
        ("TIR (um)", "TIR (thou)", "unit of column TIR must be one of"),
        ("TIR (um)", "TIR (bar)", "unit of column TIR must be one of"),
        ("TIR (um)", "TIR (um), amplitude (um)", "one of TIR .* and amplitude .* found both"),
        (", TIR (um)", "", "one of TIR .* and amplitude .* found neither"),
        ("high spot (deg)", "high spot", "unit of column high spot must be one of deg, rad"),
        (", high spot (deg)", "", "must name column high spot"),
        ("mounting, ", "", "must name column mounting"),
        ("clamping, ", "", "must name column clamping"),
        ("height (mm)", "height", "unit of column height"),
        ("mounting", "mounting (mm)", "is a count and has no unit"),
        ("clamping", "mounting", "name column mounting once"),
        ("pressure (bar)", "pressure", "unit of column pressure"),
    ],
)
def test_headers_that_do_not_say(tmp_path: Path, old: str, new: str, words: str) -> None:
    with pytest.raises(ReadingsError, match=words):
        read(tmp_path, HEADER.replace(old, new, 1), ROW)


def test_a_dial_stands_on_the_part(tmp_path: Path) -> None:
    """Ten times the height would make a lean a tenth of what it is: a smaller bound from a slip of the pen."""
    faced = HEADER.replace("height (mm)", "height (mm), radius (mm)")
    rows = (
        "1, 1, 20, 90, , 12, 90",
        "1, 1, 20, 900, , 12, 90",
        "1, 1, 20, , 45, 12, 90",
        "1, 1, 20, , 450, 12, 90",
    )
    found = read_dial(written(tmp_path, faced, *rows), 5.0, 127.0, 59.0)
    assert found.count == 2
    assert [str(one).split(": ", 1)[1] for one in found.bad] == [
        "line 3, height (mm): found '900', allowed is 0 to 127 mm, where the part of the first operation ends",
        "line 5, radius (mm): found '450', allowed is 1 to 59 mm, where the part of the first operation ends",
    ]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("1, 1, 20, 60, 12", "all columns: found '5 values'"),
        ("1.5, 1, 20, 60, 12, 90", "mounting: found '1.5', allowed is a whole number from 1 to 9999"),
        ("0, 1, 20, 60, 12, 90", "mounting: found '0'"),
        ("1, x, 20, 60, 12, 90", "clamping: found 'x'"),
        ("1e300, 1, 20, 60, 12, 90", "a whole number from 1 to 9999"),
        ("1, 1, 20, 60000, 12, 90", "0 to 10000 mm"),
        ("1, 1, 0, 60, 12, 90", "more than 0"),
        ("1, 1, 60, 60, 12, 90", "at most 5 MPa, the pressure limit"),
        ("1, 1, 20, 60, -12, 90", "0 or more"),
        ("1, 1, 20, 60, 12 um, 90", "one number with a decimal point"),
        ("1, 1, 20, 60, nan, 90", "one number"),
        ("1, 1, 20, 60, 2001, 90", "at most 2 mm .*unit of the header"),
        ("1, 1, 20, 60, 12, 400", "at most one turn"),
        ("1, 1, 20, 60, 12,", "high spot.*an angle from jaw 1 on"),
        ("1, 1, 20, , 12, 90", "found 'neither'"),
    ],
)
def test_rows_that_are_no_readings(tmp_path: Path, row: str, words: str) -> None:
    found = read(tmp_path, HEADER, ROW, row)
    assert found.count == 1
    (bad,) = found.bad
    assert bad.line == 3
    with pytest.raises(ReadingsError, match=words):
        read(tmp_path, HEADER, row)


def test_no_movement_has_no_high_spot(tmp_path: Path) -> None:
    assert read(tmp_path, HEADER, "1, 1, 20, 60, 0,").vector[0] == 0.0


def test_pressures_rise_within_a_clamping(tmp_path: Path) -> None:
    """What friction keeps while the pressure falls is no clamping of a part; a new clamping may begin lower."""
    rows = ("1, 1, 10, 60, 12, 90", "1, 1, 20, 60, 12, 90", "1, 1, 10, 60, 14, 90", "1, 2, 10, 60, 12, 90")
    found = read(tmp_path, HEADER, *rows)
    assert found.line.tolist() == [2, 3, 5]
    assert "a pressure that rises within one clamping" in str(found.bad[0])


def test_speeds_are_those_of_a_hand(tmp_path: Path) -> None:
    header = HEADER.replace("height", "speed (rpm), height")
    assert read(tmp_path, header, "1, 1, 20, 10, 60, 12, 90").count == 1
    with pytest.raises(
        ReadingsError, match="at most 60 rev/min: a dial is read while the spindle is turned by hand"
    ):
        read(tmp_path, header, "1, 1, 20, 900, 60, 12, 90")


def test_a_file_of_a_dial_is_told_by_its_header(tmp_path: Path) -> None:
    assert is_dial_file(written(tmp_path, HEADER))
    assert is_dial_file(written(tmp_path, HEADER.replace("TIR (um)", "run-out (um)")))
    assert not is_dial_file(written(tmp_path, "pressure (bar), speed (rpm), height (mm), force per jaw (kN)"))


def test_an_empty_file(tmp_path: Path) -> None:
    with pytest.raises(ReadingsError, match="must hold readings below its header"):
        read(tmp_path, HEADER)
    with pytest.raises(ReadingsError, match="must start with a header such as 'mounting"):
        read(tmp_path, "")


@given(st.text(max_size=80))
def test_no_row_ends_in_a_traceback(tmp_path_factory: pytest.TempPathFactory, row: str) -> None:
    file = tmp_path_factory.mktemp("csv") / "dial.csv"
    file.write_bytes((HEADER + "\n" + row).encode("utf-8", "surrogatepass"))
    with contextlib.suppress(ReadingsError):
        assert read_dial(file, 5.0).count >= 1


CELL = st.sampled_from(["1", "2", "0", "", "-1", "1e300", "1e-300", "60", "12", "90", "0.5", "x", "20"])


@given(st.lists(st.tuples(*[CELL] * 7), min_size=1, max_size=12))
def test_no_cells_end_in_a_traceback(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[str, ...]]
) -> None:
    """Whatever is read as readings is finite and can be fitted, or is said to be too few."""
    header = HEADER.replace("TIR", "radius (mm), TIR")
    file = tmp_path_factory.mktemp("csv") / "dial.csv"
    file.write_text("\n".join([header, *(",".join(row) for row in rows)]), encoding="utf-8")
    with contextlib.suppress(ReadingsError):
        found = read_dial(file, 5.0)
        assert np.isfinite(found.vector).all()
        assert all(e.high >= e.value >= 0.0 for e in dial_fit(_beside(found)).fields.values())


def _beside(readings: DialReadings) -> Dialled:
    return Dialled(
        readings=readings,
        force=1e4 * readings.pressure,
        rho=0.7,
        springs=Springs(4e5, 6e9, 50.0, 60.0, 45.0),
        running=Running(),
        runout_limit=0.05,
        squareness_limit=0.05,
        face=100.0,
        step=1e-3,
    )
