"""What hands do on the live page: come nearer, look from a side, drag a section, measure, point, keep and save."""

from __future__ import annotations

import csv
import io
import itertools
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from sim.scenario import read

NAME = "cast_hub_on_ring"
LOOKS = pytest.mark.parametrize("drawn", [True], ids=["drawn"])


@pytest.fixture
def drawn() -> bool:
    """Words and figures are looked at, and what the scripts draw over the picture: not the picture."""
    return False


@pytest.fixture
def live(serve: Callable[..., Any], judge_copy: Callable[..., Any]) -> Any:
    """Judged with columns for the contact: what hands do hangs on no model."""
    return serve(NAME, lambda file: judge_copy(file, "foundation"))


@pytest.fixture
def tab(live: Any, new_tab: Callable[..., Any]) -> Any:
    return new_tab(live.address, viewport={"width": 1280, "height": 800})


def _box(tab: Any) -> Any:
    return tab.page.locator("[data-part=view]").bounding_box()


def _operation(tab: Any) -> None:
    """Show the first operation from the tailstock, whole."""
    tab.page.evaluate("chuckscene.setStage(Object.values(chuckscene.stages())[1])")
    tab.page.evaluate("chuckscene.cut({ plane: '' }); chuckscene.fitView('tailstock')")
    tab.settle()


def test_the_wheel_comes_nearer_to_what_it_is_on(tab: Any) -> None:
    _operation(tab)
    before, box = tab.state["view"], _box(tab)
    left, top = round(box["x"] + box["width"] * 0.75), round(box["y"] + box["height"] * 0.3)
    x, y = left - box["x"], top - box["y"]
    tab.page.mouse.move(left, top)
    tab.page.mouse.wheel(0, -200)
    tab.until(f"chuckscene.state.view.distance < {0.95 * before['distance']}")
    after = tab.state["view"]
    # From the tailstock x is up and y runs to the left; what is under the pointer stays where it is.
    tall = 2.0 * math.tan(0.5 * before["angle"])
    across, up = (x - box["width"] / 2) / box["height"], (box["height"] / 2 - y) / box["height"]

    def under(view: Any) -> tuple[float, float]:
        reach = tall * view["distance"]
        return view["focus"][0] + up * reach, view["focus"][1] - across * reach

    assert under(after) == pytest.approx(under(before), abs=0.01)


def test_a_side_of_the_block_looks_from_there(tab: Any) -> None:
    _operation(tab)
    tab.page.evaluate("chuckscene.fitView('three-quarter')")
    tab.settle()
    sides = tab.page.locator(".cube g")
    tab.until("document.querySelectorAll('.cube g').length === 3")  # the turn takes some frames
    sides.filter(has_text="jaw 1").click(force=True)
    tab.settle()
    assert tab.state["view"]["pitch"] == pytest.approx(0.5 * math.pi, abs=2e-3)
    assert tab.page.locator(".cube g").all_text_contents() == ["jaw 1"]


def test_a_section_begins_where_jaws_hold_the_part_and_is_dragged(tab: Any) -> None:
    _operation(tab)
    tab.page.evaluate("chuckscene.fitView('side')")
    tab.settle()
    tab.page.locator("[data-part=section]").select_option("across")
    tab.settle()
    low, high = tab.page.evaluate("chuckscene.stage().held_mm")
    at = tab.state["section"]["at"]
    assert at == pytest.approx(0.5 * (low + high))
    grip = tab.page.locator(".sectiongrip").bounding_box()
    x, y = grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2
    tab.page.mouse.move(x, y)
    tab.page.mouse.down()
    tab.page.mouse.move(x + 40, y, steps=4)
    tab.page.mouse.up()
    tab.settle()
    gone = abs(tab.state["section"]["at"] - at)
    # The grip hangs over the axis, where a pixel is 2 tan(angle / 2) distance / height.
    view = tab.state["view"]
    pixel = 2.0 * math.tan(0.5 * view["angle"]) * view["distance"] / _box(tab)["height"]
    assert gone == pytest.approx(40.0 * pixel, rel=0.1)
    assert tab.page.locator(".sectiongrip").bounding_box()["x"] != grip["x"]


def test_the_pointer_reads_body_diameter_and_pressure(tab: Any) -> None:
    tab.page.evaluate("chuckscene.setStage(Object.values(chuckscene.stages())[1])")
    tab.page.evaluate("chuckscene.cut({ plane: '' }); chuckscene.probe.hide('workpiece')")
    tab.page.evaluate("chuckscene.change('travel_mm', chuckscene.stage().ranges.travel_mm[1])")
    tab.settle(fully=True)
    tab.page.evaluate("chuckscene.fitView('three-quarter')")
    tab.settle(fully=True)
    box, said = _box(tab), []
    for jaw in range(3):
        place = tab.page.evaluate(f"chuckscene.probe.facePoint({jaw}, 0.5, 0.5)")
        if not place["seen"]:
            continue
        tab.page.mouse.move(box["x"] + place["x"], box["y"] + place["y"])
        tab.page.wait_for_timeout(400)
        said.append(tab.words(".pointed"))
    bands = np.array(tab.page.evaluate("chuckscene.probe.bandMeans()"))
    of_faces = [one for one in said if "pressure" in one]
    assert of_faces, said
    assert "soft jaw" in of_faces[0]
    told = float(of_faces[0].split("pressure ")[1].split()[0])
    assert bands.min() - 0.5 <= told <= bands.max() + 0.5
    figures = tab.state["figures"]["bands"]
    middle = bands.reshape(3, figures["rows"], figures["columns"])[:, :, figures["columns"] // 2]
    assert np.abs(middle - told).min() <= 1.0


def test_the_pointer_on_a_thin_ring_reads_what_presses_behind_it(
    serve: Callable[..., Any], new_tab: Callable[..., Any]
) -> None:
    """Against the bands of the page's own figures, by their places: jaw 1 stands at angle 0."""
    tab = new_tab(serve("thin_ring_distorts").address, viewport={"width": 1280, "height": 800})
    box = _box(tab)

    def said(place: Any) -> str:
        tab.page.mouse.move(box["x"] + place["x"], box["y"] + place["y"])
        tab.page.wait_for_timeout(400)
        return tab.words(".pointed")

    middle = {"x": 0.5 * box["width"], "y": 0.5 * box["height"]}
    tab.page.evaluate("chuckscene.enlarge(0, false); chuckscene.fitView('three-quarter')")
    tab.settle()
    places = tab.page.evaluate(
        """() => {
          const found = [], [low, high] = chuckscene.stage().held_mm;
          const { clientWidth: wide, clientHeight: high_ } = document.querySelector('canvas');
          for (let x = 0; x < wide; x += 8) for (let y = 60; y < high_; y += 4) {
            const one = chuckscene.pick(x, y), [px, py, pz] = one ? one.place : [0, 0, 0];
            if (one && one.item.body.kind === 'workpiece' && pz > low && pz < high)
              found.push({
                x, y, z: pz, r: Math.hypot(px, py), turn: Math.atan2(py, px), share: (pz - low) / (high - low),
              });
          }
          return found;
        }"""
    )
    inside = [one for one in places if one["r"] < 55.0]
    assert len(inside) > 10, "the bore is not seen where the jaws hold"
    bands, words = tab.state["figures"]["bands"], []
    means = np.array(tab.page.evaluate("chuckscene.probe.bandMeans()")).reshape(3, bands["rows"], -1)
    for one in inside[:: max(1, len(inside) // 12)]:
        words.append(said(one))
        assert "Ø 108.00 mm" in words[-1], words[-1]
        assert f"z {one['z']:.2f} mm" in words[-1]
        jaw = round(one["turn"] / (2.0 * math.pi / 3.0)) % 3
        if "pressure" in words[-1] or "no contact" in words[-1]:
            assert f"jaw {jaw + 1}" in words[-1]
        if "pressure" in words[-1]:
            told = float(words[-1].split("pressure ")[1].split()[0])
            rows = means[jaw, max(0, int(one["share"] * bands["rows"]) - 1) :][:3]
            assert np.abs(rows - told).min() < 0.51, words[-1]  # whole MPa are told
    assert any("pressure" in one for one in words), words
    tab.page.evaluate("chuckscene.change('travel_mm', 1.0)")
    tab.settle()
    gap = f"gap {tab.state['figures']['gap_mm']:.2f} mm to the jaws"
    assert gap in said(inside[len(inside) // 2])
    tab.page.evaluate("chuckscene.change('travel_mm', 3.02); chuckscene.enlarge(7, false)")
    tab.page.evaluate("chuckscene.fitView('tailstock')")
    tab.settle()
    assert "pressure" not in said(middle)  # of a shape that is drawn larger nothing is read


def test_a_section_looked_at_straight_is_dragged_down_to_come_nearer(tab: Any) -> None:
    _operation(tab)
    for view, plane, nearer in (
        ("tailstock", "across", 1.0),
        ("side", "along", 1.0),
        ("headstock", "across", -1.0),
    ):
        tab.page.evaluate(f"chuckscene.fitView('{view}')")
        tab.page.locator("[data-part=section]").select_option(plane)
        tab.settle()
        grip = tab.page.locator(".sectiongrip").bounding_box()
        x, y = grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2
        at, look = tab.state["section"]["at"], tab.state["view"]
        tab.page.mouse.move(x, y)
        tab.page.mouse.down()
        tab.page.mouse.move(x, y + 12, steps=3)
        tab.page.mouse.up()
        tab.settle()
        pixel = 2.0 * math.tan(0.5 * look["angle"]) * look["distance"] / _box(tab)["height"]
        assert tab.state["section"]["at"] - at == pytest.approx(nearer * 12.0 * pixel, rel=2e-3), view
        assert tab.state["view"] == look


def test_the_pointer_reads_the_gap_of_an_open_jaw(tab: Any, scenario_file: Callable[[str], Path]) -> None:
    """From the diameters alone: half of what the place on jaw 1 is farther across than a part of middle size."""
    work = read(scenario_file(NAME)).operations[0].workpiece
    _operation(tab)
    tab.page.evaluate("chuckscene.moment(0)")
    tab.page.locator("[data-part=section]").select_option("across")
    tab.settle(fully=True)
    box, view = _box(tab), tab.state["view"]
    pixel = 2.0 * math.tan(0.5 * view["angle"]) * view["distance"] / box["height"]
    middle = box["y"] + 0.5 * box["height"] + view["focus"][0] / pixel  # of the spindle; x is up
    radius = 0.25 * (work.gripped_diameter_low + work.gripped_diameter_high)
    across = box["x"] + 0.5 * box["width"] + view["focus"][1] / pixel
    said = ""
    for step in range(16):
        tab.page.mouse.move(across, middle - (radius + 0.5 * step) / pixel)
        tab.page.wait_for_timeout(200)
        said = tab.words(".pointed")
        if "gap" in said and "soft jaw" in said:
            break
    assert "soft jaw, jaw 1" in said, said
    diameter, gap = (float(said.split(word)[1].split()[0]) for word in ("Ø ", "gap "))
    assert gap == pytest.approx(0.5 * diameter - radius, abs=0.011)
    assert gap >= tab.state["figures"]["gap_mm"] - 0.01


def test_a_finger_up_the_picture_scrolls_the_page_and_one_across_turns(
    live: Any, new_tab: Callable[..., Any]
) -> None:
    tab = new_tab(live.address, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    tab.settle()
    fingers = tab.page.context.new_cdp_session(tab.page)
    before = tab.state["view"]

    def swipe(right: float, up: float) -> float:
        """Return how far the page lies scrolled after a finger went over the picture, in pixels."""
        box = _box(tab)
        x, y = box["x"] + 0.5 * box["width"], box["y"] + 0.6 * box["height"]
        for step in range(9):
            kind = "touchMove" if step else "touchStart"
            place = {"x": x + right * step / 8.0, "y": y - up * step / 8.0}
            fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [place]})
            tab.page.wait_for_timeout(30)
        fingers.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        tab.page.wait_for_timeout(300)
        tab.settle()
        return float(tab.page.evaluate("document.scrollingElement.scrollTop"))

    assert swipe(0.0, 160.0) > 100.0
    assert [tab.state["view"][name] for name in ("yaw", "pitch")] == pytest.approx(
        [before["yaw"], before["pitch"]]
    )
    tab.page.evaluate("document.scrollingElement.scrollTop = 0")
    assert swipe(120.0, 20.0) == 0.0
    turned = tab.state["view"]
    assert turned["yaw"] != pytest.approx(before["yaw"], abs=0.1)
    assert turned["pitch"] != pytest.approx(before["pitch"], abs=1e-3)  # once it turns, it turns every way


def test_a_finger_that_rests_reads_and_one_that_moves_turns(live: Any, new_tab: Callable[..., Any]) -> None:
    tab = new_tab(live.address, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    box = _box(tab)
    x, y = box["x"] + 0.36 * box["width"], box["y"] + 0.68 * box["height"]  # on the chuck
    fingers = tab.page.context.new_cdp_session(tab.page)

    def touch(kind: str, *places: tuple[float, float]) -> None:
        points = [{"x": left, "y": top, "id": k} for k, (left, top) in enumerate(places)]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    before = tab.state["view"]
    touch("touchStart", (x, y))
    tab.until("document.querySelector('.pointed').textContent.includes('Ø')")
    touch("touchEnd")
    assert tab.state["view"] == before
    assert "Ø" in tab.words(".pointed")  # to be read when the finger is gone
    touch("touchStart", (x, y))
    assert tab.words(".pointed") == ""
    touch("touchMove", (x + 60.0, y))
    touch("touchEnd")
    tab.settle()
    assert tab.state["view"]["yaw"] != before["yaw"]
    touch("touchStart", (x - 20.0, y), (x + 20.0, y))
    touch("touchMove", (x - 40.0, y), (x + 40.0, y))
    touch("touchEnd")
    tab.settle()
    # Fingers twice as far apart: half as far away.
    assert tab.state["view"]["distance"] == pytest.approx(0.5 * before["distance"], rel=0.02)


# What the sliders, lists and ticks of the page hold, the bodies' among them, and what is said of it.
HELD = """() => [
  ...[...document.querySelectorAll('#app input, #app select')].map((one) =>
    [one.id || one.name || one.dataset.part, ['checkbox', 'radio'].includes(one.type) ? one.checked : one.value]),
  document.querySelector('[data-part=changed]').textContent, document.querySelector('[data-part=judged]').textContent,
  document.querySelector('[data-part=state]').textContent,
]"""


def _same_again(tab: Any, new_tab: Callable[..., Any]) -> str:
    """Open the page's address anew and hold everything to what it was, to the last digit; return the address."""
    tab.settle(fully=True)
    tab.page.wait_for_timeout(500)  # the address follows 0.4 s after
    address = str(tab.page.evaluate("location.href"))
    again = new_tab(address, plain=False, viewport={"width": 1280, "height": 800})
    again.settle(fully=True)
    assert again.said == []
    here, there = tab.state, again.state
    for name in ("stage", "values", "section", "view", "apart", "shape", "held"):
        assert there[name] == here[name], name
    assert again.page.evaluate(HELD) == tab.page.evaluate(HELD)
    return address


def test_an_address_keeps_the_state(tab: Any, new_tab: Callable[..., Any]) -> None:
    _operation(tab)
    tab.page.evaluate(
        "chuckscene.change('speed_rpm', 2000 / 3); chuckscene.cut({ plane: 'across', at: 37 / 3 })"
    )
    tab.page.evaluate(
        "chuckscene.change('spindle_angle_rad', 1 / 3); chuckscene.probe.look('workpiece', 'glass')"
    )
    tab.page.locator("[data-choice=light] label", has_text="dark").click()
    address = _same_again(tab, new_tab)
    assert "#plain&" in address
    # What is judged there is asked anew: no verdict of the stated speed passes for this one.
    assert "667" in tab.words("[data-part=judged]")


def test_an_address_of_a_page_that_turned_to_a_verdict(
    serve: Callable[..., Any], new_tab: Callable[..., Any]
) -> None:
    """It opens at the size and the speed at which the ring's roundness was judged: nothing is changed by that."""
    tab = new_tab(serve("thin_ring_distorts").address, viewport={"width": 1280, "height": 800})
    stated = tab.page.evaluate("chuckscene.stage().values")
    assert tab.state["values"]["speed_rpm"] != stated["speed_rpm"]
    assert tab.state["shape"]["by"] > 0
    assert "seen" in _same_again(tab, new_tab)
    assert tab.words("[data-part=changed]") == "as stated"
    # And back at what is stated, which the page does not open with.
    for name in ("travel_mm", "speed_rpm", "gripped_diameter_mm"):
        tab.page.evaluate(f"chuckscene.change('{name}', chuckscene.stage().values.{name})")
    tab.page.evaluate("chuckscene.enlarge(0, false)")
    assert "rpm" not in _same_again(tab, new_tab)
    # Into the bore, from so near that the jaws spread over more than a right angle: they are whole.
    tab.open_all()
    tab.page.locator("[data-part=verdicts] button", has_text="friction of the part in the jaws").first.click()
    tab.settle()
    assert tab.state["section"]["plane"] == "part"
    assert tab.state["view"]["angle"] > 0.5 * math.pi
    at_edges = """() => {
      const { clientWidth: wide, clientHeight: high } = document.querySelector('canvas'), found = [];
      for (let x = 2; x < wide; x += 5) for (const y of [1, high - 2]) {
        const one = chuckscene.pick(x, y);
        if (one) found.push(one.item.body.kind);
      }
      return found;
    }"""
    assert "soft jaw" not in tab.page.evaluate(at_edges)
    _same_again(tab, new_tab)


def test_a_broken_address_shows_the_setup_as_stated(live: Any, new_tab: Callable[..., Any]) -> None:
    address = f"{live.address}#plain&stage=nowhere&first+side:speed_rpm=1e9&eye=1+2&section=inside+3&apart=-4"
    tab = new_tab(address, plain=False)
    assert tab.said == []
    assert tab.state["values"]["speed_rpm"] <= 1e4
    assert tab.state["apart"] == 0


@LOOKS
def test_keys_are_told_and_the_picture_is_saved(tab: Any, tmp_path: Path) -> None:
    _operation(tab)
    tab.page.keyboard.press("?")
    assert tab.page.locator("dialog.keys").is_visible()
    assert "measure" in tab.words("dialog.keys")
    tab.page.keyboard.press("Escape")
    assert not tab.page.locator("dialog.keys").is_visible()
    with tab.page.expect_download() as got:
        tab.page.locator(".tools summary", has_text="picture").click()
        tab.page.get_by_role("button", name="save the picture").click()
    file = tmp_path / got.value.suggested_filename
    got.value.save_as(file)
    assert file.suffix == ".png"
    box = _box(tab)
    with Image.open(file) as image:
        seen = np.asarray(image.convert("RGB")).astype(int)
    assert seen.shape[1] == round(box["width"])
    assert seen.shape[0] > box["height"]  # and below it what it shows
    shown = tab.pixels()
    height, width = shown.shape[:2]
    middle = np.s_[height // 3 : height // 2, width // 3 : width // 2]
    assert np.median(np.abs(seen[middle] - shown[middle])) < 6.0  # cards with words lie over some of it
    assert np.ptp(shown[middle]) > 60.0
    foot = seen[height:]
    assert np.ptp(foot.mean(axis=2)) > 100.0  # words on it


def test_measures_are_diameters_and_depths(tab: Any, scenario_file: Callable[[str], Path]) -> None:
    """Two places on the chuck's body, which is round to the last digit though it is drawn with facets."""
    radius = 0.5 * read(scenario_file(NAME)).chuck.body_diameter
    _operation(tab)
    tab.page.evaluate("chuckscene.probe.hide('soft jaws'); chuckscene.fitView('side')")
    tab.settle()
    box = _box(tab)
    tab.page.get_by_role("button", name="measure").click()
    middle = box["x"] + 0.5 * (box["width"] - 180.0)  # of what the bar of pressures leaves
    for share in (-0.07, 0.0):
        tab.page.mouse.click(middle + share * box["width"], box["y"] + 0.5 * box["height"])
        tab.page.wait_for_timeout(600)  # no double click
    tab.settle()
    words = tab.words("[data-part=measures] li")
    view = tab.state["view"]
    pixel = 2.0 * math.tan(0.5 * view["angle"]) * (view["distance"] - radius) / box["height"]
    diameter = 2.0 * radius
    assert f"Ø {diameter:.3f} to Ø {diameter:.3f}: in radius 0.000" in words
    depth = abs(float(words.split("depth ")[1].split(";")[0].replace("−", "-")))
    assert depth == pytest.approx(0.07 * box["width"] * pixel, rel=0.1)


# The rows but for what the state on the sliders has now beside the worst case.
JUDGED = """() => {
  const rows = document.querySelector("[data-part=verdicts]").cloneNode(true);
  rows.querySelectorAll(".now, .worst").forEach((one) => one.remove());
  return rows.textContent;
}"""


def test_moments_show_and_judge_nothing_else(tab: Any) -> None:
    """The verdicts stay those of the file; what the scene shows says so beside them."""
    _operation(tab)
    judged = tab.page.evaluate(JUDGED)
    assert "holding factor" in judged
    rows = {}
    for name in ("load", "close", "grip", "spin up", "release"):
        tab.page.locator(".moments button", has_text=name).click()
        tab.settle()
        rows[name] = tab.state["figures"]
        assert tab.state["held"] == {"figures": "current", "verdicts": "current"}
        assert tab.words("[data-part=changed]") == "as stated"
        assert tab.page.evaluate(JUDGED) == judged
    assert [rows[name]["gripped"] for name in rows] == [False, False, True, True, False]
    assert rows["close"]["gap_mm"] < rows["load"]["gap_mm"]
    assert rows["grip"]["total_N"] == pytest.approx(rows["grip"]["rest_total_N"], rel=1e-6)
    assert rows["spin up"]["total_N"] < rows["grip"]["total_N"]  # gripped outside, jaws pull away
    assert tab.page.locator(".moments [aria-pressed=true]").inner_text() == "release"
    tab.page.evaluate("chuckscene.change('travel_mm', 1.0)")
    assert tab.page.locator(".moments [aria-pressed=true]").count() == 0


def test_a_plot_is_handed_out_as_a_table(
    written_review: Callable[[str], Path], new_tab: Callable[..., Any], tmp_path: Path
) -> None:
    tab = new_tab(written_review(NAME).as_uri(), plain=False)
    figure = tab.page.locator("figure[data-readout]").first
    for name, ending in (("CSV", "csv"), ("SVG", "svg"), ("PNG", "png")):
        with tab.page.expect_download() as got:
            figure.locator(".saving button", has_text=name).dispatch_event("click")
        file = tmp_path / got.value.suggested_filename
        got.value.save_as(file)
        assert file.suffix == f".{ending}"
        if ending == "csv":
            rows = list(csv.DictReader(io.StringIO(file.read_text(encoding="utf-8"))))
            axes = tab.page.evaluate(
                "JSON.parse(document.querySelector('figure[data-readout]').dataset.readout)"
            )
            curve = axes[0]["series"][0]
            mine = [
                row
                for row in rows
                if row["curve"] == curve["name"] and row["plot"] == axes[0].get("title", "")
            ]
            assert [float(row["x"]) for row in mine] == pytest.approx(curve["xs"])
        elif ending == "png":
            with Image.open(file) as image:
                assert np.ptp(np.asarray(image.convert("L"))) > 150
        else:
            assert "<svg" in file.read_text(encoding="utf-8")


@LOOKS
@pytest.mark.parametrize(("width", "height"), [(390, 844), (820, 1180)])
def test_a_narrow_picture_keeps_its_shaft_free(
    serve: Callable[..., Any], new_tab: Callable[..., Any], width: int, height: int, tmp_path: Path
) -> None:
    """The bar of pressures lies below the part, its figures apart; saved, its colours run the same way."""
    tab = new_tab(serve("shaft_on_a_centre").address, viewport={"width": width, "height": height})
    box, card = _box(tab), tab.page.locator("[data-part=scale]").bounding_box()
    hidden = """([left, top, right, bottom]) => {
      for (let x = left; x < right; x += 6) for (let y = top; y < bottom; y += 6) {
        const found = chuckscene.pick(x, y);
        if (found && found.item.body.kind === 'workpiece') return [x, y];
      }
      return null;
    }"""
    left, top = card["x"] - box["x"], card["y"] - box["y"]
    assert tab.page.evaluate(hidden, [left, top, left + card["width"], top + card["height"]]) is None
    ticks = [one.bounding_box() for one in tab.page.locator("[data-part=scale] .tick").all()]
    assert all(a["x"] + a["width"] + 4.0 < b["x"] for a, b in itertools.pairwise(ticks))
    with tab.page.expect_download() as got:
        tab.page.evaluate(
            "[...document.querySelectorAll('button')].find((b) => b.textContent === 'save the picture').click()"
        )
    got.value.save_as(tmp_path / "saved.png")
    bar = tab.page.locator(".scalebar i").bounding_box()
    with Image.open(tmp_path / "saved.png") as image:
        seen = np.asarray(image.convert("L")).astype(int)
    row = seen[round(bar["y"] - box["y"] + 0.5 * bar["height"])]
    shades = row[round(bar["x"] - box["x"]) + 3 : round(bar["x"] - box["x"] + bar["width"]) - 3]
    assert np.all(np.diff(shades) <= 2)
    assert shades[0] - shades[-1] > 100  # from light, no pressure, to dark
