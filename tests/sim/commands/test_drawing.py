"""`chuckscene drawing`: what is written, and what is refused in one sentence with nothing left behind."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest


@pytest.fixture
def run(command: Callable[[str], Callable[..., tuple[int, str, str]]]) -> Callable[..., tuple[int, str, str]]:
    return command("drawing")


@pytest.mark.parametrize(("kind", "begins"), [("svg", b"<svg"), ("pdf", b"%PDF"), ("dxf", b"  0\nSECTION")])
def test_writes_each_kind(
    run: Callable[..., tuple[int, str, str]],
    scenario_file: Callable[[str], Path],
    tmp_path: Path,
    kind: str,
    begins: bytes,
) -> None:
    to = tmp_path / f"sheet.{kind}"
    status, out, err = run(
        str(scenario_file("thin_ring_distorts")), "--of", "pocket", "--to", str(to), "--quick"
    )
    assert (status, err) == (1, "")  # its ring is squeezed: a drawing does not hide that
    assert str(to) in out
    assert "Not released" in out
    assert to.read_bytes().startswith(begins)
    assert [p.name for p in tmp_path.iterdir()] == [to.name]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--of", "pocket", "--to", "{}/a.png"), ".svg, .pdf or .dxf"),
        (
            ("--of", "assembly", "--to", "{}/a.svg", "--stage", "third side", "--quick"),
            "finish the bore, found",
        ),
        (("--of", "pocket", "--to", "{}/a.svg", "--stage", "boring"), "--stage is for --of assembly"),
        (("--of", "pocket", "--to", "{}/file/a.svg"), "cannot be written"),
        (("--of", "chuck", "--to", "{}/a.svg"), "assembly"),
        (("--of", "pocket", "--to", "{}/a.svg", "--units", "cm"), "inch"),
    ],
)
def test_refuses(
    run: Callable[..., tuple[int, str, str]],
    scenario_file: Callable[[str], Path],
    tmp_path: Path,
    options: tuple[str, ...],
    said: str,
) -> None:
    (tmp_path / "file").write_bytes(b"kept")
    filled = [option.format(tmp_path) for option in options]
    status, out, err = run(str(scenario_file("thin_ring_distorts")), *filled)
    assert status == 2
    assert out == ""
    assert said in err
    assert [p.name for p in tmp_path.iterdir()] == ["file"]
