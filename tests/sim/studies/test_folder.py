"""What is kept: finished blocks only, whole, and of one study."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from sim.base.beside import MARK
from sim.base.errors import OutputError
from sim.studies.folder import StudyFolder
from sim.studies.judging import Finished, judge_block
from sim.studies.plan import blocks
from sim.studies.preparing import Prepared
from sim.studies.summary import from_object, together

ONE = '"12 bar", "20 bar", "40 bar"'


def test_a_damaged_block_is_done_again(ready: Callable[[str], Prepared], small: str, tmp_path: Path) -> None:
    study = ready(small.replace(ONE, '"20 bar"').replace("samples = 8", "samples = 4"))
    cut = blocks(study.cases)
    folder = StudyFolder(tmp_path / "out", study, cut)
    found = judge_block(study.cases[0], cut[0], {})
    assert isinstance(found, Finished)
    assert folder.finished(cut[0]) is None
    folder.keep(0, found.content)
    again = StudyFolder(tmp_path / "out", study, cut)
    assert again.finished(cut[0]) == found.summary
    assert from_object(found.summary.as_object()) == found.summary
    folder.file(0).write_bytes(found.content[:-100])
    assert again.finished(cut[0]) is None


def test_what_a_killed_process_was_writing_is_cleared(
    ready: Callable[[str], Prepared], small: str, tmp_path: Path
) -> None:
    study = ready(small)
    (tmp_path / "out").mkdir()
    half = tmp_path / "out" / f".part-00000.parquet.0123abcd{MARK}"
    half.write_bytes(b"PAR1")
    StudyFolder(tmp_path / "out", study, blocks(study.cases))
    assert not half.exists()


@pytest.mark.parametrize(
    ("before", "after"), [("seed = 5", "seed = 6"), ("12 bar", "13 bar"), ("block = 16", "block = 32")]
)
def test_another_study_does_not_go_on_there(
    ready: Callable[[str], Prepared], small: str, tmp_path: Path, before: str, after: str
) -> None:
    study = ready(small)
    StudyFolder(tmp_path / "out", study, blocks(study.cases))
    StudyFolder(tmp_path / "out", ready("# a remark\n" + small), blocks(study.cases))
    other = ready(small.replace(before, after))
    with pytest.raises(OutputError, match="holds blocks of another study") as raised:
        StudyFolder(tmp_path / "out", other, blocks(other.cases))
    assert "\n" not in str(raised.value)


def test_a_changed_scenario_does_not_go_on(
    ready: Callable[[str], Prepared], small: str, tmp_path: Path, root: Path
) -> None:
    scenario = tmp_path / "hub.toml"
    text = (root / "scenarios" / "cast_hub_on_ring.toml").read_text(encoding="utf-8")
    scenario.write_text(text, encoding="utf-8")
    mine = small.replace(str(root / "scenarios" / "cast_hub_on_ring.toml"), "hub.toml")
    study = ready(mine)
    StudyFolder(tmp_path / "out", study, blocks(study.cases))
    scenario.write_text(text.replace('stroke = "6 mm"', 'stroke = "6.1 mm"'), encoding="utf-8")
    other = ready(mine)
    with pytest.raises(OutputError, match="scenario or version have changed"):
        StudyFolder(tmp_path / "out", other, blocks(other.cases))


def test_foreign_files_are_left_alone(ready: Callable[[str], Prepared], small: str, tmp_path: Path) -> None:
    study = ready(small)
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "part-0.parquet").write_bytes(b"")
    with pytest.raises(OutputError, match="of something else"):
        StudyFolder(tmp_path / "out", study, blocks(study.cases))


def test_summaries_add_up(ready: Callable[[str], Prepared], small: str) -> None:
    """Sums of the blocks are what the rows say."""
    study = ready(small.replace(ONE, '"18 bar"'))
    found = []
    for block in blocks(study.cases):
        one = judge_block(study.cases[0], block, {})
        assert isinstance(one, Finished)
        found.append(one.summary)
    total = together(found)
    assert total.count == study.count == sum(one.count for one in found)
    assert total.fitting == total.statuses.get("pass", 0) + total.statuses.get("warn", 0) > 0
    margins = [b.margin for b in total.best]
    assert margins == sorted(margins, reverse=True)
    assert max(b.margin for one in found for b in one.best) == margins[0]
