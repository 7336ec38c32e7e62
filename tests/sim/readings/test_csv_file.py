"""Readings out of a file: every slip is one sentence that names row and column."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.base.errors import ReadingsError
from sim.readings import Readings, read_readings
from sim.readings.csv_file import example

HEADER = example() + "\n"
LIMIT = 3.0  # MPa


def read(tmp_path: Path, text: str) -> Readings:
    file = tmp_path / "gauge.csv"
    file.write_text(text, encoding="utf-8")
    return read_readings(file, LIMIT)


def test_units_of_the_header_are_taken(tmp_path: Path) -> None:
    found = read(
        tmp_path, "height (in); force per jaw (lbf); pressure (MPa); speed (rad/s)\n2; 1000; 2.5; 100\n\n"
    )
    assert found.height[0] == pytest.approx(50.8)
    assert found.force[0] == pytest.approx(4448.2216152605)
    assert found.pressure[0] == pytest.approx(2.5)
    assert found.speed[0] == pytest.approx(954.9297, rel=1e-6)
    assert found.line.tolist() == [2]


@pytest.mark.parametrize(
    "header",
    [
        "pressure_bar,speed_rpm,height_mm,force_per_jaw_kN",
        "Pressure [bar],Speed [rev/min],Height [mm],Force per jaw [kN]",
        "pressure bar\tspeed 1/min\theight ( mm )\tforce  per  jaw (kN)",
    ],
)
def test_headers_that_say_the_same(tmp_path: Path, header: str) -> None:
    between = "\t" if "\t" in header else ","
    found = read(tmp_path, f"{header}\n{between.join(['20', '600', '40', '8'])}\n")
    row = [found.pressure[0], found.speed[0], found.height[0], found.force[0]]
    assert row == pytest.approx([2.0, 600.0, 40.0, 8000.0])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "must start with a header such as"),
        (HEADER, "must hold readings below its header"),
        ("pressure (bar), speed (rpm), height (mm)\n1,2,3\n", "must name column force per jaw"),
        ("pressure, speed (rpm), height (mm), force per jaw (kN)\n1,2,3,4\n", "unit of column pressure"),
        (
            "pressure (atm), speed (rpm), height (mm), force per jaw (kN)\n1,2,3,4\n",
            "must be one of bar, MPa",
        ),
        (
            "pressure (bar), druck (bar), speed (rpm), height (mm), force per jaw (kN)\n1,1,2,3,4\n",
            "found 'druck (bar)'",
        ),
        (
            "pressure (bar), pressure (bar), speed (rpm), height (mm), force per jaw (kN)\n1,1,2,3,4\n",
            "found it twice",
        ),
        ("pressure, speed_rpm, height_mm, force_kN\n1,2,3,4\n", "unit of column pressure"),
        ("pressure (bar), speedy (rpm), height_mm, force_kN\n1,2,3,4\n", "found 'speedy (rpm)'"),
        (HEADER + "20, 0, 40\n", "line 2, all columns: found '3 values', allowed is 4 values"),
        (HEADER + "20, 0, 40, 12;7\n", "line 2, force per jaw (kN): found '12;7'"),
        (HEADER + "20, 0, 40, nan\n", "line 2, force per jaw (kN): found 'nan'"),
        (HEADER + "20, 0, 40, 1_000\n", "found '1_000', allowed is one number"),
        (HEADER + "20, 0, 40, 0\n", "found '0', allowed is more than 0"),
        (HEADER + "20, -5, 40, 8\n", "line 2, speed (rpm): found '-5', allowed is 0 or more"),
        (HEADER + "31, 0, 40, 8\n", "line 2, pressure (bar): found '31', allowed is at most 30"),
        (HEADER + "20, 0, 40, x\n\n, 0, 40, 8\n", "(and 1 more, line 4)"),
    ],
)
def test_a_slip_is_one_sentence(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(ReadingsError) as caught:
        read(tmp_path, text)
    message = str(caught.value)
    assert words in message
    assert "\n" not in message
    assert "gauge.csv" in message


def test_a_decimal_comma_is_not_guessed(tmp_path: Path) -> None:
    with pytest.raises(ReadingsError, match=r"line 2, force per jaw \(kN\): found '12,7'"):
        read(tmp_path, HEADER.replace(",", ";") + "20; 0; 40; 12,7\n")


def test_bad_rows_are_named_by_file_and_line_and_the_others_used(tmp_path: Path) -> None:
    text = HEADER + "20, 0, 40, 8\n20, 0, 40, eight\n\n20, 0, 60, 7\n31, 0, 60, 7\n"
    found = read(tmp_path, text)
    assert found.line.tolist() == [2, 5]
    assert [b.line for b in found.bad] == [3, 6]
    assert str(found.bad[0]).startswith(
        f"{tmp_path / 'gauge.csv'}: line 3, force per jaw (kN): found 'eight'"
    )


@pytest.mark.parametrize("content", [b"\xff\xfe\x00\x01", b'pressure (bar), "speed\n'])
def test_what_is_no_text_is_refused(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "gauge.csv"
    file.write_bytes(content)
    with pytest.raises(ReadingsError, match=r"gauge\.csv"):
        read_readings(file, LIMIT)


def test_no_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    for path in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(ReadingsError, match=str(path)):
            read_readings(path, LIMIT)


@given(st.text(max_size=80))
def test_no_row_ends_in_a_traceback(tmp_path_factory: pytest.TempPathFactory, row: str) -> None:
    file = tmp_path_factory.mktemp("csv") / "gauge.csv"
    file.write_bytes((HEADER + row).encode("utf-8", "surrogatepass"))
    with contextlib.suppress(ReadingsError):
        assert read_readings(file, LIMIT).count >= 1


def test_a_device_or_a_pipe_is_no_file_of_readings(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.csv"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/zero")):
        with pytest.raises(ReadingsError, match="a device or a pipe, not a file"):
            read_readings(path, LIMIT)


def test_a_column_may_say_how_the_pressure_was_reached(tmp_path: Path) -> None:
    text = (
        HEADER.replace("\n", ", direction\n")
        + "20,0,55,8, rising\n20,0,55,9,Falling\n20,0,55,9,down\n20,0,55,9,\n"
    )
    found = read(tmp_path, text)
    assert found.falls is not None
    assert found.falls.tolist() == [False, True]
    assert [str(b).partition(": ")[2] for b in found.bad] == [
        f"line {line}, direction: found '{text}', allowed is rising or falling, as the pressure was reached"
        for line, text in ((4, "down"), (5, ""))
    ]
    assert read(tmp_path, HEADER + "20,0,55,8\n").falls is None
    with pytest.raises(ReadingsError, match="name column direction once"):
        read(tmp_path, HEADER.replace("\n", ", direction, direction\n") + "20,0,55,8,rising,rising\n")
