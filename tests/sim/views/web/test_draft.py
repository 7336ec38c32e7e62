"""What is typed into forms, without a browser: judged as the file would be, saved over nothing that was not seen."""

from __future__ import annotations

import json
import os
import re
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.results import Assessment
from sim.base.errors import ScenarioError
from sim.scenario.drafted import drafted
from sim.views.web import live
from sim.views.web.draft import Draft, OvertakenError
from sim.views.web.faults import faults
from sim.views.web.live import Shown, Watched

NAME = "thin_ring_distorts"
HIGH = ["operations", 0, "workpiece", "gripped_diameter_high"]


class Judge:
    """Stands for the judging: keeps the texts that it was given in the file's place."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        self.meanwhile: Callable[[], None] = lambda: None

    def __call__(self, file: Path) -> Assessment:
        given = drafted(file)
        text = file.read_text(encoding="utf-8") if given is None else given.decode("utf-8")
        self.texts.append(text)
        self.meanwhile()
        if found := faults(file):
            raise ScenarioError(found[0].words)
        made: Any = text
        return made  # type: ignore[no-any-return]


@pytest.fixture
def judge(monkeypatch: pytest.MonkeyPatch) -> Judge:
    nothing: Any = None
    monkeypatch.setattr(live, "_shown", lambda text, version: Shown(version, nothing, text.encode(), b"", ""))
    return Judge()


@pytest.fixture
def file(copied: Callable[[str], Path]) -> Path:
    return copied(NAME)


@pytest.fixture
def watched(file: Path, judge: Judge) -> Watched:
    return Watched(file, judge)


@pytest.fixture
def draft(watched: Watched) -> Draft:
    return Draft(watched)


def asked(state: dict[str, Any], *edits: Any, **more: Any) -> dict[str, Any]:
    """A question on a state, with (place, typed) for each field that is set."""
    changes = [{"what": "set", "place": place, "value": value} for place, value in edits]
    return {"base": state["base"], "revision": state["revision"], "edits": changes, **more}


def title(state: dict[str, Any], words: str) -> dict[str, Any]:
    return asked(state, (["title"], words))


def test_what_is_typed_is_judged_and_not_written(
    draft: Draft, watched: Watched, judge: Judge, file: Path
) -> None:
    before = file.read_bytes()
    state = draft.edit(title(draft.state(), "typed"))
    assert state["unsaved"]
    assert not state["faults"]
    assert watched.look()
    assert 'title = "typed"' in judge.texts[-1]
    assert watched.shown.revision == state["judged_as"] == state["revision"]
    assert watched.shown.version == 2
    assert file.read_bytes() == before
    assert not watched.look()  # judged once


def test_undone_it_is_the_files_again(draft: Draft, watched: Watched, judge: Judge) -> None:
    state = draft.edit(title(draft.state(), "typed"))
    watched.look()
    state = draft.edit(asked(state))
    assert (state["unsaved"], state["judged_as"]) == (False, 0)
    assert watched.look()
    assert judge.texts[-1] == judge.texts[0]
    assert watched.shown.revision == 0


def test_a_mistake_is_told_at_its_field_and_the_last_good_scene_stays(draft: Draft, watched: Watched) -> None:
    state = draft.edit(asked(draft.state(), (HIGH, "90"), (["boring", "travel"], "3,2 mm")))
    told = {fault["field"]: fault["words"] for fault in state["faults"]}
    assert set(told) == {"operations[0].workpiece.gripped_diameter_high", "boring.travel"}
    assert "found '90'" in told["operations[0].workpiece.gripped_diameter_high"]
    assert state["values"]["boring"]["travel"] == "3,2 mm"  # what does not fit is kept as it was typed
    watched.look()
    assert watched.shown.mistake
    assert (watched.shown.version, watched.shown.revision) == (1, state["revision"])


def test_a_mistake_between_two_fields_stands_at_the_one_that_it_names(draft: Draft) -> None:
    state = draft.edit(asked(draft.state(), (HIGH, "1 mm")))
    assert [fault["place"] for fault in state["faults"]] == [
        ["operations", 0, "workpiece", "gripped_diameter_low"]
    ]


def test_what_cannot_be_built_stands_at_its_field(draft: Draft) -> None:
    state = draft.edit(asked(draft.state(), (["boring", "pressure"], "900 bar")))
    assert [fault["place"] for fault in state["faults"]] == [["boring", "pressure"]]


def test_mistakes_are_those_of_check(file: Path, scenario_file: Callable[[str], Path]) -> None:
    """All that the check of the file tells at once, sentence by sentence."""
    from sim.scenario import read

    text = scenario_file(NAME).read_text(encoding="utf-8")
    text = re.sub(r'(travel|speed_high) = "[^"]*"', r'\1 = "much"', text).replace(
        "[boring]", '[boring]\ncolor = "red"'
    )
    file.write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        read(file)
    said = f"{caught.value}\n{caught.value.offered}"
    found = faults(file)
    assert len(found) >= 3
    for one in found:
        assert one.field in said
        assert one.words in said


def test_saving_keeps_comments_and_is_not_judged_again(
    draft: Draft, watched: Watched, judge: Judge, file: Path
) -> None:
    commented = "# of my own\n" + file.read_text(encoding="utf-8")
    file.write_text(commented, encoding="utf-8")
    watched.look()
    state = draft.edit(title(draft.state(), "typed"))
    watched.look()
    judged = len(judge.texts)
    saved = draft.save(asked(state))
    assert file.read_text(encoding="utf-8") == re.sub(r'title = ".*"', 'title = "typed"', commented, count=1)
    assert (saved["unsaved"], saved["judged_as"], saved["saved"]) == (False, 0, 1)
    assert not watched.look()
    assert len(judge.texts) == judged
    assert (watched.shown.revision, watched.shown.version) == (0, 3)


def test_what_was_saved_can_be_undone_to_the_text_before(draft: Draft, file: Path) -> None:
    before = file.read_text(encoding="utf-8")
    state = draft.save(asked(draft.edit(title(draft.state(), "typed"))))
    kept = file.read_text(encoding="utf-8")
    state = draft.edit(asked(state))  # as undoing sends it: one change fewer
    assert (state["unsaved"], state["edits"]) == (True, [])
    assert file.read_text(encoding="utf-8") == kept  # nothing is written before it is saved
    draft.save(asked(state))
    assert file.read_text(encoding="utf-8") == before
    state = draft.edit(title(draft.state(), "typed"))
    draft.save(asked(state))
    assert file.read_text(encoding="utf-8") == kept


def test_what_was_saved_is_not_put_onto_a_file_twice(draft: Draft, file: Path) -> None:
    """A pocket was added and saved; what is typed after that goes onto a file changed outside, the pocket does not."""
    state = draft.state()
    count = len(state["values"]["pockets"])
    added = {
        "what": "add",
        "place": ["pockets", count],
        "value": {"name": "more", "diameter": "90 mm", "depth": "9 mm"},
    }
    first = {**asked(state), "edits": [added]}
    state = draft.save(asked(draft.edit(first)))
    more = {"what": "set", "place": ["title"], "value": "typed"}
    state = draft.edit({**asked(state), "edits": [added, more]})
    file.write_text(file.read_text(encoding="utf-8") + "# by somebody else\n", encoding="utf-8")
    state = draft.onto_file(asked(draft.state()))
    assert len(state["values"]["pockets"]) == count + 1
    assert (state["values"]["title"], len(state["edits"]), state["saved"]) == ("typed", 1, 0)


def test_an_undone_save_is_not_put_onto_a_file_changed_outside(draft: Draft, file: Path) -> None:
    state = draft.save(asked(draft.edit(title(draft.state(), "typed"))))
    state = draft.edit(asked(state))
    file.write_text(file.read_text(encoding="utf-8") + "# by somebody else\n", encoding="utf-8")
    with pytest.raises(ScenarioError, match="has been undone"):
        draft.onto_file(asked(state))
    assert not draft.onto_file(asked(state, drop=True))["unsaved"]


def test_saved_while_it_is_judged_the_file_is_judged(
    draft: Draft, watched: Watched, judge: Judge, file: Path
) -> None:
    """What is shown when the typed text has been judged must not be taken for the file's by its number."""
    state = draft.edit(title(draft.state(), "typed"))
    judge.meanwhile = lambda: draft.save(asked(state)) and None
    watched.look()
    judge.meanwhile = lambda: None
    assert watched.look()
    assert watched.shown.revision == 0
    assert 'title = "typed"' in file.read_text(encoding="utf-8")
    assert judge.texts[-1] == file.read_text(encoding="utf-8")


def test_a_file_changed_outside_is_not_written_over(draft: Draft, file: Path) -> None:
    state = draft.edit(title(draft.state(), "typed"))
    other = file.read_text(encoding="utf-8") + "# by somebody else\n"
    file.write_text(other, encoding="utf-8")
    with pytest.raises(OvertakenError, match="changed by somebody else"):
        draft.save(asked(state))
    assert file.read_text(encoding="utf-8") == other
    state = draft.state()
    assert state["outside"]
    assert state["values"]["title"] == "typed"
    state = draft.onto_file(asked(state))
    assert not state["outside"]
    draft.save(asked(state))
    text = file.read_text(encoding="utf-8")
    assert 'title = "typed"' in text
    assert text.endswith("# by somebody else\n")


def test_changes_may_be_forgotten_for_the_file_as_it_is_now(draft: Draft, file: Path) -> None:
    state = draft.edit(title(draft.state(), "typed"))
    file.write_text(
        file.read_text(encoding="utf-8").replace('title = "', 'title = "Other: '), encoding="utf-8"
    )
    state = draft.onto_file(asked(state, drop=True))
    assert state["values"]["title"].startswith("Other: ")
    assert not state["unsaved"]


def test_a_file_that_is_gone_is_not_made_anew(draft: Draft, file: Path) -> None:
    state = draft.edit(title(draft.state(), "typed"))
    file.unlink()
    with pytest.raises(OvertakenError):
        draft.save(asked(state))
    assert not file.exists()


def test_two_tabs_do_not_overwrite_each_other(draft: Draft) -> None:
    first = draft.state()
    draft.edit(title(first, "one"))
    with pytest.raises(OvertakenError, match="another tab"):
        draft.edit(title(first, "other"))
    with pytest.raises(OvertakenError, match="another tab"):
        draft.save(asked(first))
    assert draft.state()["values"]["title"] == "one"


def test_without_changes_the_form_follows_the_file(draft: Draft, file: Path) -> None:
    first = draft.state()
    file.write_text(
        file.read_text(encoding="utf-8").replace('title = "', 'title = "Other: '), encoding="utf-8"
    )
    second = draft.state()
    assert second["values"]["title"].startswith("Other: ")
    assert not second["outside"]
    with pytest.raises(OvertakenError):
        draft.edit(title(first, "typed on what was before"))


def test_a_change_that_has_no_place_is_refused_and_the_others_stay(draft: Draft) -> None:
    state = draft.edit(title(draft.state(), "typed"))
    wrong = asked(state, (["title"], "typed"), (["pockets", 9, "depth"], "1 mm"))
    with pytest.raises(ScenarioError, match=r"pockets\[9\].depth"):
        draft.edit(wrong)
    assert draft.state()["values"]["title"] == "typed"
    assert draft.state()["revision"] == state["revision"]


def test_a_link_stays_one(tmp_path: Path, file: Path, judge: Judge) -> None:
    link = tmp_path / "link.toml"
    link.symlink_to(file)
    draft = Draft(Watched(link, judge))
    draft.save(asked(draft.edit(title(draft.state(), "typed"))))
    assert link.is_symlink()
    assert 'title = "typed"' in file.read_text(encoding="utf-8")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="this user may write everywhere")
def test_a_folder_that_may_not_be_written_is_one_sentence(draft: Draft, file: Path) -> None:
    from sim.base.errors import OutputError

    state = draft.edit(title(draft.state(), "typed"))
    file.parent.chmod(0o500)
    try:
        with pytest.raises(OutputError):
            draft.save(asked(state))
    finally:
        file.parent.chmod(0o700)
    assert draft.state()["unsaved"]


def test_what_an_included_file_states_is_told_beside_it(draft: Draft, file: Path) -> None:
    file.with_name("fit.toml").write_text("[chuck]\nefficiency = 0.7\n", encoding="utf-8")
    state = draft.edit(asked(draft.state(), (["include"], ["fit.toml"])))
    assert "efficiency" not in state["values"]["chuck"]
    assert state["full"]["chuck"]["efficiency"] == 0.7
    json.dumps(state, allow_nan=False)


def test_what_is_typed_wakes_whoever_looks(draft: Draft, watched: Watched) -> None:
    stop = threading.Event()
    thread = threading.Thread(target=watched.watch, args=(stop,), daemon=True)
    thread.start()
    state = draft.edit(title(draft.state(), "typed"))
    seen = 0
    while watched.shown.revision != state["revision"] or watched.shown.judging:
        seen = watched.wait(seen, 5.0)
    stop.set()
    thread.join(5.0)
    assert watched.shown.version == 2
