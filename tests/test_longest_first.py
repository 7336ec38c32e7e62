"""The order in which workers get the files of tests."""

from __future__ import annotations

from pathlib import Path

from longest_first import LONGEST, longest_first

HERE = Path(__file__).parent


def test_what_is_listed_is_there() -> None:
    assert [name for name in LONGEST if not (HERE / name).is_file()] == []


def test_long_files_come_first_then_those_of_many_tests() -> None:
    """Each file's tests keep their order, and none is lost."""
    files = {name: HERE / name for name in (LONGEST[0], LONGEST[3], "few.py", "many.py")}
    found = [("few.py", 1), ("many.py", 1), ("many.py", 2), (LONGEST[3], 1), (LONGEST[0], 1), (LONGEST[0], 2)]
    assert longest_first(found, lambda item: files[item[0]], HERE) == [
        *found[4:],
        found[3],
        *found[1:3],
        found[0],
    ]
