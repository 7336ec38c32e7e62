"""`chuckscene job`: packed here, opened elsewhere, judged again; what differs is not opened."""

from __future__ import annotations

import json
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from sim.exports.handed import MANIFEST, HandedFile, digest, manifest
from sim.exports.zipped import zipped
from sim.views import review

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(command: Callable[[str], Run]) -> Run:
    return command("job")


@pytest.fixture
def job(
    run: Run, scenario_file: Callable[[str], Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Path:
    """Pack a setup by program from a folder that is gone afterwards; its review page is tested elsewhere."""
    monkeypatch.setattr(review, "page", lambda judged, _: f"<p>{judged.scenario.title}</p>")
    here = tmp_path / "here"
    shutil.copytree(scenario_file("cast_hub_by_program").parent / "programs", here / "programs")
    shutil.copy(scenario_file("cast_hub_by_program"), here)
    path = tmp_path / "job.zip"
    status, out, err = run(
        "pack", str(here / "cast_hub_by_program.toml"), "--out", str(path), "--quick", "--code-system", "ISO"
    )
    assert status == 0
    assert "programs/1-cast_hub_by_program.nc: boring.program states the shop's own program" in err
    assert str(tmp_path) not in err
    assert "Not released" in out
    shutil.rmtree(here)
    return path


def test_opens_elsewhere_with_the_same_figures(run: Run, job: Path, tmp_path: Path) -> None:
    place = tmp_path / "there"
    status, out, err = run("open", str(job), "--out", str(place))
    assert (status, err) == (0, "")
    assert "the same figures as were packed" in out
    digits = digest((place / MANIFEST).read_bytes())
    assert f"Job {digits[:4]} {digits[4:8]} {digits[8:12]}" in out
    stated = json.loads((place / MANIFEST).read_text(encoding="utf-8"))
    found = {path.relative_to(place).as_posix() for path in place.rglob("*") if path.is_file()}
    assert found == {MANIFEST, *(one["file"] for one in stated["files"])}
    assert {"sheet.pdf", "files/programs/cast_hub_jaws.nc", "review/1-cast_hub_by_program.html"} <= found
    status, out, err = run("open", str(job), "--out", str(place))
    assert (status, out) == (2, "")
    assert "is there already" in err
    status, _, _ = run("open", str(job), "--out", str(place), "--replace", "--unjudged")
    assert status == 0


def test_other_figures_are_not_opened(run: Run, job: Path, tmp_path: Path) -> None:
    """A manifest that was made anew over a scenario that was changed: its digests hold, the figures do not."""
    with zipfile.ZipFile(job) as archive:
        content = {name: archive.read(name) for name in archive.namelist()}
    stated = json.loads(content.pop(MANIFEST))
    name = stated["scenarios"][0]["file"]
    text = content[name].decode("utf-8")
    content[name] = text.replace('pressure = "', 'pressure = "1', 1).encode()
    assert content[name].decode("utf-8") != text
    files = [HandedFile(one, body, "a file") for one, body in content.items()]
    again = manifest("job", files, [], {"scenarios": stated["scenarios"]})
    job.write_bytes(zipped({MANIFEST: again, **content}))
    place = tmp_path / "there"
    status, out, err = run("open", str(job), "--out", str(place))
    assert (status, out) == (2, "")
    assert "is judged otherwise here" in err or "must" in err
    assert [path.name for path in tmp_path.iterdir()] == ["job.zip"]
    status, out, _ = run("open", str(job), "--out", str(place), "--unjudged")
    assert status == 0
    assert "Not judged again here" in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("pack", "a.toml", "--out", "job.tar"), "must end in .zip"),
        (("pack", "a.toml", "--out", "job.zip", "--replace"), "are for job open"),
        (("pack", "a.toml", "a.toml", "--out", "job.zip"), "found one named twice"),
        (("open", "a.zip", "b.zip", "--out", "there"), "takes one job, found 2 files"),
        (("open", "a.zip", "--out", "there", "--quick"), "are for job pack"),
        (("open", "a.zip", "--out", "there"), "a.zip: cannot be read"),
        (("send", "a.zip", "--out", "there"), "pack"),
    ],
)
def test_refuses(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert said in err
    assert list(tmp_path.iterdir()) == []
