"""Sets on the shelf: what is least by hand is found, what cannot be is said."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from rich.console import Console

from sim.base.errors import ScenarioError
from sim.commands.layouts import _with_jaws
from sim.contact import ContactNotConverged
from sim.layouts import shelf
from sim.layouts.shelf import ShelvedSet, bored_to, fit_set, fit_shelf, with_set
from sim.scenario import JawSet, Scenario, read_jaw_set, read_shelf
from sim.terminal.layouts import shelf_table

SHELF = "scenarios/shelf"
PLUG = "cast_hub_on_plug"
Make = Callable[..., JawSet]


@pytest.fixture
def made(tmp_path: Path, root: Path) -> Make:
    """A set like set 4 of the shelf, bored to other pockets."""

    def make(name: str, diameter: str, depth: str = "18 mm", **texts: str) -> JawSet:
        text = (root / SHELF / "set_04.toml").read_text(encoding="utf-8")
        for old, new in {"set 4": name, "106 mm": diameter, "18 mm": depth, **texts}.items():
            assert old in text
            text = text.replace(old, new)
        path = tmp_path / f"{name}.toml"
        path.write_text(text, encoding="utf-8")
        return read_jaw_set(path)

    return make


@pytest.fixture(scope="module")
def fits(root: Path, varied: Callable[..., Scenario]) -> dict[str, ShelvedSet]:
    found = fit_shelf(varied(PLUG), read_shelf(root / SHELF), "foundation")
    # Those that fit stand first, least metal first.
    assert [f.fits for f in found] == sorted((f.fits for f in found), reverse=True)
    metal = [f.metal for f in found if f.fits]
    assert metal == sorted(metal)
    return {f.jaw_set.name: f for f in found}


def test_the_shelf_of_the_scenarios(fits: dict[str, ShelvedSet]) -> None:
    """Smaller bores can be bored again; the wide, deep one and the one of the same size but shallower cannot."""
    assert {name for name, f in fits.items() if f.fits} == {"set 4", "set 15"}
    assert all(f.fresh == 1.0 for f in fits.values() if f.fits)
    assert "wall to the counterbore" in fits["set 7"].reason  # its face is fresh only a serration further in
    assert fits["set 7"].serration_index == -1
    assert fits["set 11"].fresh < 1.0
    assert "jaw seat" in fits["set 21"].reason


def test_each_set_is_what_check_says_of_it(
    fits: dict[str, ShelvedSet], varied: Callable[..., Scenario]
) -> None:
    """The set's jaws in the scenario, at the serration that is named: a taken one fails nothing, others say why."""
    for fit in fits.values():
        assert fit.serration_index is not None
        assert fit.check is not None
        placed = with_set(varied(PLUG), fit.jaw_set, fit.serration_index)
        found = shelf.assess(placed, contact_model="foundation")
        assert fit.check.status == found.status
        assert fit.check.confirmed == fit.fits == (not fit.reason)
        assert [(v.name, v.value) for v in fit.check.verdicts] == [(v.name, v.value) for v in found.verdicts]
    console = Console(width=300, color_system=None)
    with console.capture() as capture:
        console.print(shelf_table(tuple(fits.values()), "hub"))
    text = capture.get()
    assert text.count("do not take: ") == sum(not f.fits for f in fits.values())
    words = {"pass": "check passes what was asked, nearest to its limit", "warn": "check warns"}
    assert {words[f.check.verdicts[0].status] for f in fits.values() if f.fits and f.check is not None} <= {
        said for said in words.values() if said in text
    }


def test_a_place_without_a_balance_is_not_taken(
    varied: Callable[..., Scenario], made: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Columns find the first place good, finite elements no balance there: not taken, and the shelf goes on."""
    one = made("106 mm", "106 mm")
    free = fit_set(varied(PLUG), one, "foundation")
    assert free.fits
    as_it_is = shelf.assess

    def strict(scenario: Scenario, contact_model: Any = "elastic") -> Any:
        if contact_model == "elastic" and scenario.soft_jaw.serration_index == free.serration_index:
            raise ContactNotConverged("no balance")
        return as_it_is(scenario, contact_model="foundation")

    monkeypatch.setattr(shelf, "assess", strict)
    found = fit_set(varied(PLUG), one, "elastic")
    assert not (found.fits and found.serration_index == free.serration_index)
    assert found.fits != bool(found.reason)


def test_a_wider_old_bore_leaves_less_to_turn(varied: Callable[..., Scenario], made: Make) -> None:
    """Concentric bores of one depth at one place: the ring that is left to turn is the thinner one's."""
    narrow, wide = (fit_set(varied(PLUG), made(d, d), "foundation") for d in ("100 mm", "112 mm"))
    assert narrow.fits
    assert wide.fits
    assert wide.metal < narrow.metal
    assert wide.assessment is not None
    solids = wide.assessment.parts
    assert wide.metal == pytest.approx(1e-3 * (solids.blank.volume - solids.bored.volume))


def test_no_place_takes_less(varied: Callable[..., Scenario], made: Make) -> None:
    """Try the neighbours of the place that was found: each fails, or turns more away."""
    from sim.assessment.stages import assess
    from sim.layouts.layout import metal_removed
    from sim.setup.loading import refuse_impossible

    one = made("110 mm", "110 mm")
    found = fit_set(varied(PLUG), one, "foundation")
    assert found.serration_index is not None
    for index in range(found.serration_index - 2, found.serration_index + 4):
        moved = with_set(varied(PLUG), one, index)
        try:
            refuse_impossible(moved)
        except ScenarioError:
            continue
        judged = assess(moved, contact_model="foundation")
        assert judged.status == "fail" or metal_removed(judged) >= found.metal - 1e-9


def test_a_set_whose_seat_for_the_plug_is_bored_away_is_not_taken(
    varied: Callable[..., Scenario], made: Make
) -> None:
    """100 mm wide and 44 mm deep: a plug of 92 mm at z = 10 to 22 mm has nothing around it.

    Three serrations inward there would be metal again, but no wall to the counterbores.
    """
    found = fit_set(varied(PLUG), made("hollow", "100 mm", "44 mm"), "foundation")
    assert not found.fits
    assert "too little metal is left to press the plug" in found.reason or "counterbore" in found.reason
    assert fit_set(varied(PLUG), made("sound", "100 mm", "18 mm"), "foundation").fits


def test_a_set_with_a_thin_floor_is_not_taken(varied: Callable[..., Scenario], made: Make) -> None:
    """46.5 mm deep before leave 3.5 mm over the serrations, wherever the jaws stand; bored to 84.4 mm, they did."""
    found = fit_set(varied(PLUG), made("thin", "84.4 mm", "46.5 mm"), "foundation")
    assert not found.fits
    assert "floor under the pocket" in found.reason


def test_other_serrations_do_not_fit(varied: Callable[..., Scenario], made: Make) -> None:
    one = made("coarse", "106 mm", **{'note = "': 'serration_pitch = "3 mm"\nnote = "'})
    found = fit_set(varied(PLUG), one)
    assert not found.fits
    assert found.serration_index is None
    assert found.reason == "its serrations of 3 mm do not fit the chuck's, 1.5 mm"


def test_jaws_too_small_have_no_place(varied: Callable[..., Scenario], made: Make) -> None:
    """45 mm of length with its screws near the ends: nothing of it reaches the part."""
    short = made(
        "short",
        "106 mm",
        **{
            'length = "81 mm"': 'length = "45 mm"',
            '"32 mm", "57 mm"': '"14 mm", "39 mm"',
            '"45 mm"\n\n': '"25 mm"\n\n',
        },
    )
    found = fit_set(varied(PLUG, {"pockets.0.diameter": "118 mm"}), short, "foundation")
    assert not found.fits
    assert found.reason


def test_history_in_words(root: Path) -> None:
    sets = {one.name: one for one in read_shelf(root / SHELF)}
    assert bored_to(sets["set 15"]) == "112 x 10 mm, 98 x 24 mm at serration 0"
    assert bored_to(sets["set 11"]) == "132 x 26 mm at serration 2"
    fresh = sets["set 4"].soft_jaw.model_copy(update={"bored_before": ()})
    assert bored_to(sets["set 4"].model_copy(update={"soft_jaw": fresh})) == "not bored yet"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (("106 mm", "106"), "soft_jaw.bored_before[0].pockets[0].diameter"),
        (("name = ", "colour = 1\nname = "), "colour is not a key of a jaw set"),
        (('serration_index = 0', "serration_index = 99"), "bored_before[0].serration_index"),
        (('name = "set 4"', 'name = ""'), "name"),
    ],
)  # fmt: skip
def test_a_wrong_file_is_named(root: Path, tmp_path: Path, change: tuple[str, str], says: str) -> None:
    text = (root / SHELF / "set_04.toml").read_text(encoding="utf-8")
    assert change[0] in text
    path = tmp_path / "wrong.toml"
    path.write_text(text.replace(*change, 1), encoding="utf-8")
    with pytest.raises(ScenarioError) as found:
        read_shelf(tmp_path)
    assert str(found.value).startswith(str(path))
    assert says in str(found.value)


def test_a_shelf_is_a_folder_of_sets_with_different_names(root: Path, tmp_path: Path) -> None:
    for path, says in (
        (tmp_path, "must hold 1 to"),
        (tmp_path / "none", "found nothing"),
        (root / SHELF / "set_04.toml", "found a file"),
    ):
        with pytest.raises(ScenarioError, match=says):
            read_shelf(path)
    for name in ("a.toml", "b.toml"):
        (tmp_path / name).write_bytes((root / SHELF / "set_04.toml").read_bytes())
    with pytest.raises(ScenarioError, match="name must be used once"):
        read_shelf(tmp_path)
    (tmp_path / "b.toml").write_text("", encoding="utf-8")
    with pytest.raises(ScenarioError, match="must hold a jaw set, found an empty file"):
        read_shelf(tmp_path)


def test_a_set_saved_with_a_mark_of_its_encoding_is_written_too(
    root: Path, made: Make, tmp_path: Path
) -> None:
    """As some editors begin a file; it was read once without the mark and once with it."""
    path = made("set 9", "104 mm").file
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    found: Any = SimpleNamespace(jaw_set=read_jaw_set(path), serration_index=2)
    text = _with_jaws(root / "scenarios" / f"{PLUG}.toml", found, tmp_path)
    assert tomllib.loads(text)["soft_jaw"]["bored_before"]
    assert tomllib.loads(text)["soft_jaw"]["serration_index"] == 2
