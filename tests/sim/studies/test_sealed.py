"""A block counts when it is the very file that was written for its place in its study: any other is judged anew."""

from __future__ import annotations

import hashlib
import io
import random
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest

from sim.base.errors import NotAvailableError
from sim.base.limits import BLOCK
from sim.studies.folder import StudyFolder
from sim.studies.judging import Finished, judge_block
from sim.studies.plan import Block, Case, blocks
from sim.studies.preparing import Prepared
from sim.studies.sealed import OPEN, PLACE, SEAL, sealed
from sim.studies.versions import SOURCE, difference, require_alike, versions
from sim.studies.workers import Cluster, _kept

ONE = '"12 bar", "20 bar", "40 bar"'
INVERTED = 60  # bytes, each by itself


class Kept:
    """A study of several blocks that are all finished."""

    def __init__(self, study: Prepared, path: Path) -> None:
        self.study, self.path, self.cut = study, path, blocks(study.cases)
        folder = self.again()
        for block in self.cut:
            assert folder.finished(block) is None
            found = judge_block(study.cases[0], block, {})
            assert isinstance(found, Finished)
            folder.keep(block.number, found.content)
        assert folder.doubts == ""
        assert len(self.cut) >= 2

    def again(self) -> StudyFolder:
        """The folder as a second run finds it."""
        return StudyFolder(self.path, self.study, self.cut)

    def left(self) -> tuple[list[int], str]:
        """Return which blocks a second run judges, and what it says of them."""
        folder = self.again()
        return [one.number for one in self.cut if folder.finished(one) is None], folder.doubts


@pytest.fixture
def kept(ready: Callable[[str], Prepared], small: str, tmp_path: Path) -> Kept:
    text = small.replace(ONE, '"20 bar"').replace("samples = 8", "samples = 32")
    return Kept(ready(text), tmp_path / "out")


def test_inverted_bytes_are_found_wherever_they_stand(kept: Kept) -> None:
    """Also in the metadata and in the digest itself; each of them was accepted when only the footer was read."""
    assert kept.left() == ([], "")
    file = kept.again().file(1)
    whole = file.read_bytes()
    draw = random.Random(7)  # noqa: S311  (places of bytes)
    for place in (4, len(whole) - 9, len(whole) - 5, *draw.sample(range(len(whole)), INVERTED)):
        spoilt = bytearray(whole)
        spoilt[place] ^= 0xFF
        file.write_bytes(spoilt)
        left, doubts = kept.left()
        assert left == [1], place
        assert file.name in doubts
    file.write_bytes(whole)
    assert kept.left() == ([], "")


def test_swapped_blocks_are_found(kept: Kept) -> None:
    one, two = (kept.again().file(number) for number in (0, 1))
    first, second = one.read_bytes(), two.read_bytes()
    one.write_bytes(second)
    two.write_bytes(first)
    left, doubts = kept.left()
    assert left == [0, 1]
    assert f"{one.name} holds block 1" in doubts
    assert f"{two.name} holds block 0" in doubts
    assert "\n" not in doubts


def test_a_block_of_another_study_is_found(
    kept: Kept, ready: Callable[[str], Prepared], small: str, tmp_path: Path
) -> None:
    """Of the same block of a study of which a seed is another: rows and columns are as many."""
    text = small.replace(ONE, '"20 bar"').replace("samples = 8", "samples = 32")
    other = Kept(ready(text.replace("seed = 5", "seed = 9")), tmp_path / "other")
    kept.again().keep(0, other.again().file(0).read_bytes())
    left, doubts = kept.left()
    assert left == [0]
    assert "holds a block of another study" in doubts


def test_a_block_without_a_digest_is_judged_anew(kept: Kept) -> None:
    """As versions before wrote them, and as another program that reads and writes Parquet leaves them."""
    file = kept.again().file(1)
    found = pq.read_table(file)
    more = {k: v for k, v in found.schema.metadata.items() if k not in (SEAL, PLACE)}
    out = io.BytesIO()
    pq.write_table(found.replace_schema_metadata(more), out)
    file.write_bytes(out.getvalue())
    assert kept.left()[0] == [1]
    assert "has no digest of its rows" in kept.left()[1]


def test_rows_that_were_changed_under_the_old_seal_are_found(kept: Kept) -> None:
    """Every row, value and summary is under the digest: a table written anew with the old metadata is not it."""
    file = kept.again().file(1)
    found = pq.read_table(file)
    out = io.BytesIO()
    pq.write_table(found.set_column(0, "variant", found["variant"].take([0] * len(found))), out)
    file.write_bytes(out.getvalue())
    assert kept.left()[0] == [1]


def test_the_digest_is_that_of_the_file(kept: Kept) -> None:
    """By hand: SHA-256 over the words of its place and the file, 64 known bytes in the seal's place."""
    content = kept.again().file(1).read_bytes()
    told = pq.read_metadata(kept.again().file(1)).metadata
    seal = told[SEAL]
    at = content.index(seal)
    opened = content[:at] + OPEN + content[at + 64 :]
    place = f'{{"study": "{kept.study.digest}", "block": 1}}'.encode()
    assert hashlib.sha256(place + opened).hexdigest().encode() == seal


def test_the_command_says_what_it_judges_anew(
    kept: Kept, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from sim.commands.studies import _run

    nothing: Any = None
    handed: list[int] = []

    def run(cases: tuple[Case, ...], left: list[Block], *_: object) -> Iterator[Finished]:
        for block in left:
            handed.append(block.number)
            found = judge_block(cases[0], block, {})
            assert isinstance(found, Finished)
            yield found

    monkeypatch.setattr("sim.studies.preparing.prepared", lambda *_: kept.study)
    monkeypatch.setattr("sim.studies.running.run", run)
    file = kept.again().file(1)
    whole = file.read_bytes()
    file.write_bytes(whole[:1000] + b"x" + whole[1001:])
    found, _ = _run(nothing, kept.study.cases, kept.path, nothing, quiet=True)
    err = capsys.readouterr().err
    assert handed == [1]
    assert err == f"{kept.path}: judged anew: {file.name} is damaged\n"
    assert found.count == kept.study.count
    assert file.read_bytes() == whole  # the same rows, to the bit


def test_many_doubts_are_one_sentence(kept: Kept) -> None:
    folder = kept.again()
    for number in range(9):
        folder.doubted[f"part-{number:05d}.parquet"] = "is damaged"
    assert folder.doubts.count("is damaged") == 5
    assert folder.doubts.endswith("and 4 more")


def test_a_seal_has_one_place() -> None:
    for content in (b"PAR1", OPEN + OPEN):
        with pytest.raises(ValueError, match="one place"):
            sealed(content, "study", 0)


def test_a_block_larger_than_read_is_judged_anew(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sim.studies.folder.BLOCK", replace(BLOCK, most=100))
    assert kept.left()[0] == [one.number for one in kept.cut]


def test_versions_name_what_judges() -> None:
    import platform

    import numpy as np
    import scipy

    found = versions()
    assert (found["numpy"], found["scipy"]) == (np.__version__, scipy.__version__)
    assert found["python"] == platform.python_version()
    assert set(found) == {"chuckscene", SOURCE, "numpy", "scipy", "python"}
    assert difference(found, dict(found)) == ""


@pytest.mark.parametrize("name", ["chuckscene", SOURCE, "numpy", "scipy", "python"])
def test_a_worker_of_other_versions_does_no_task(name: str) -> None:
    """One that came after all were asked; also one that does not tell of it."""
    done: list[int] = []
    for other in ({**versions(), name: "0.0"}, {**versions(), "more": "1"}):
        with pytest.raises(NotAvailableError, match="must have the same") as raised:
            _kept(other, done.append, 1)
        assert "\n" not in str(raised.value)
    with pytest.raises(NotAvailableError, match=name):
        require_alike({**versions(), name: "0.0"}, "a worker")
    assert not done
    _kept(versions(), done.append, 1)
    assert done == [1]


class _Client:
    """Stands for a client of a cluster whose workers answer so when they are asked for their versions."""

    answers: dict[str, object] | Exception

    def __init__(self, *_: object, **__: object) -> None:
        self.handed: list[object] = []

    def nthreads(self) -> dict[str, int]:
        return {"tcp://127.0.0.1:1": 1}

    def run(self, function: Callable[[], object], *, on_error: str) -> dict[str, object]:
        assert (function, on_error) == (versions, "return")
        if isinstance(self.answers, Exception):
            raise self.answers
        return self.answers

    def get_executor(self, **_: object) -> object:
        assert self.answers == {"tcp://127.0.0.1:1": versions()}, "handed out"
        return None

    def close(self) -> None:
        """Nothing to close."""


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ({"tcp://127.0.0.1:1": versions(), "tcp://127.0.0.1:2": {**versions(), "numpy": "1.0"}}, "1:2 has numpy 1.0"),
        ({"tcp://127.0.0.1:1": {}}, "has chuckscene none"),
        ({"tcp://127.0.0.1:1": ModuleNotFoundError("no")}, "cannot say its versions"),
        (AttributeError("no such function"), "cannot say its versions"),
    ],
)  # fmt: skip
def test_a_cluster_is_asked_before_anything_is_handed_out(
    monkeypatch: pytest.MonkeyPatch, answers: dict[str, object] | Exception, says: str
) -> None:
    monkeypatch.setattr("distributed.Client", _Client)
    monkeypatch.setattr(_Client, "answers", answers, raising=False)
    with pytest.raises(NotAvailableError, match=says) as raised:
        Cluster("tcp://127.0.0.1:8786")
    assert "\n" not in str(raised.value)
    monkeypatch.setattr(_Client, "answers", {"tcp://127.0.0.1:1": versions()})
    Cluster("tcp://127.0.0.1:8786")
