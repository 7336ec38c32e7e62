"""A setup's revision: told wherever its title is, moving no verdict, and of the digest where it is stated."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from sim.assessment.results import Assessment
from sim.base.errors import ScenarioError
from sim.drawing.asked import Asked
from sim.drawing.digest import scenario_digest
from sim.drawing.pocket_drawing import pocket_sheet
from sim.drawing.primitives import Sheet, Words, flat
from sim.report.assessment import as_object
from sim.scenario import Scenario
from sim.setup_sheet import document
from sim.setup_sheet.document import pages
from sim.terminal.summary import summary

NAME = "cast_hub_on_ring"


@pytest.fixture
def revised(
    varied: Callable[..., Scenario], quickly_judged: Callable[[str], Assessment]
) -> Callable[[str], Assessment]:
    """Return the hub as judged, with a revision stated: nothing that is computed asks for it."""
    return lambda revision: replace(
        quickly_judged(NAME), scenario=varied(NAME, {"revision": revision}) if revision else varied(NAME)
    )


def told(sheet: Sheet) -> list[str]:
    return [item.words for item in flat(list(sheet.items)) if isinstance(item, Words)]


def test_every_page_and_drawing_names_it(
    revised: Callable[[str], Assessment], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(document, "drawing_blocks", lambda *_: [])
    for language, word in (("en", "revision"), ("de", "Stand")):
        for revision in ("C", "2026-11 / b"):
            for page in pages([revised(revision)], Asked(language=language)):
                assert any(line.startswith(f"{word} {revision}  ") for line in told(page))
        # Where there is none it is written by hand.
        for page in pages([revised("")], Asked(language=language)):
            assert any(line.startswith(f"{word} ______") for line in told(page))
    assert any("rev. C" in line for line in told(pocket_sheet(revised("C"), Asked())))
    assert not any("rev." in line for line in told(pocket_sheet(revised(""), Asked())))


def test_report_and_terminal_tell_it(revised: Callable[[str], Assessment]) -> None:
    assert as_object(revised("C"))["revision"] == "C"
    assert as_object(revised(""))["revision"] == ""
    first = str(next(iter(summary(revised("C"), "fine"))))
    assert first == f"{revised('').scenario.title}, revision C"


def test_a_digest_from_before_stays_and_another_revision_is_another(varied: Callable[..., Scenario]) -> None:
    none, empty = varied(NAME), varied(NAME, {"revision": ""})
    c, d = (varied(NAME, {"revision": one}) for one in "CD")
    assert scenario_digest(none) == scenario_digest(empty)
    assert len({scenario_digest(one) for one in (none, c, d)}) == 3


@pytest.mark.parametrize("wrong", ["x" * 25, 3, ["C"]])
def test_a_revision_is_a_short_text(varied: Callable[..., Scenario], wrong: Any) -> None:
    with pytest.raises(ScenarioError, match="revision"):
        varied(NAME, {"revision": wrong})
