"""What each command prints for people, where 80 columns are all there is: nothing longer, no word cut off,
no line that ends in blanks.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from shutil import copy

import pytest

from sim import cli

COMMANDS = (
    "materials",
    "manual",
    "manual grip",
    "check FILE --quick --all",
    "check FILE --quick --basis",
    "check PROGRAM --quick --moves",
    "diff FILE OTHER --quick",
    "compare FILE OTHER --quick --out page.html",
    "shelf SHELF FILE --quick",
)
SETS = (
    "set_11.toml",
    "set_15.toml",
)  # what is longest: one that breaks into its screws, one with two pockets


@pytest.mark.parametrize("command", COMMANDS)
def test_no_line_is_longer(
    command: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path_factory: pytest.TempPathFactory,
    scenario_file: Callable[[str], object],
) -> None:
    names = {"FILE": "thin_ring_distorts", "OTHER": "cast_hub_on_plug", "PROGRAM": "cast_hub_by_program"}
    places = {word: str(scenario_file(name)) for word, name in names.items()}
    folder = tmp_path_factory.mktemp("eighty")
    places["SHELF"] = str(folder / "shelf")
    (folder / "shelf").mkdir()
    for name in SETS:
        copy(Path(places["FILE"]).parent / "shelf" / name, folder / "shelf")
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(folder)
    monkeypatch.setattr("sys.argv", ["chuckscene", *(places.get(word, word) for word in command.split())])
    with pytest.raises(SystemExit) as left:
        cli.main()
    assert int(left.value.code or 0) in {0, 1}
    said = capsys.readouterr().out
    lines = [line for line in said.splitlines() if not line.startswith("/")]  # a path is as long as it is
    assert len(lines) > 5
    assert max(map(len, lines)) <= 80, max(lines, key=len)
    assert "\u2026" not in said
    assert [line for line in lines if line != line.rstrip(" ")] == []  # a file or a mail would keep blanks
