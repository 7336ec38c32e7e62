"""A first scenario as text: short, in the order of the job, each line marked as told, by the plate, or taken."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping

from sim.base import tables
from sim.base.errors import ScenarioError
from sim.base.pairings import following
from sim.first_setup.classes import class_tables, class_text, from_plate, stated_tables
from sim.first_setup.known import Known
from sim.first_setup.proposal import PlugBelow, Proposal, RingOnPins, outline, proposed

TYPICAL = "taken: typical of the class"
PLATE = "by the chuck's plate"
TOLD = "as told"
_LINE = re.compile(r"(\w+) = (.+)")
COLUMN = 44  # where the remarks begin


def pairing_of(material: str, jaw: str, surface: str) -> str:
    """Return the friction pairing of a part's and a jaw's material; smooth jaws, since they are bored.

    Raises
    ------
    ScenarioError
        If the table has none.
    """
    try:
        return following(tables.material(material), tables.material(jaw), surface).name
    except ScenarioError:
        raise ScenarioError(
            f"no friction is known for {material} in jaws of {jaw}, {surface}; write the scenario by hand with a "
            "measured operations.gripping.friction"
        ) from None


def _line(key: str, value: str, why: str) -> str:
    written = f"{key} = {value}"
    return f"{written.ljust(COLUMN - 1)} # {why}" if why else written


def _text(value: float, unit: str) -> str:
    return f'"{value:.6g} {unit}"'


def _chuck_lines(known: Known, proposal: Proposal) -> Iterator[str]:
    """Yield the tables of machine, chuck and jaws, what the plate says in the place of what is typical."""
    plate = from_plate(known.plate)
    table = ""
    for line in class_text(known.size_class).splitlines():
        if line.startswith("["):
            table = line.strip("[]")
            if table == "boring.fixture":
                return
            yield line
            continue
        match = _LINE.fullmatch(line)
        if match is None:
            if not line.startswith("#"):
                yield line
            continue
        key, value = match.groups()
        if table == "chuck" and key in plate:
            yield _line(key, f'"{plate[key]}"', PLATE)
        elif key == "bored_before":
            yield _line(
                "serration_index",
                str(proposal.serrations),
                "proposed: outward from there, both counted alike",
            )
            if proposal.tip_width is not None:
                yield _line(
                    "tip_width", _text(proposal.tip_width, "mm"), "proposed: else the jaws would meet"
                )
            yield _line(key, value, "taken: new blanks")
        else:
            yield _line(key, value, TYPICAL)


def _boring_lines(fixture: Mapping[str, str], proposal: Proposal, bar: float) -> Iterator[str]:
    yield "[[pockets]]"
    yield _line("diameter", _text(proposal.diameter, "mm"), "proposed: the part's largest size")
    yield _line("depth", _text(proposal.depth, "mm"), "as much of the part as the jaws may cover")
    yield ""
    yield "[boring]"
    yield _line("travel", _text(proposal.travel, "mm"), "proposed: the middle of the stroke")
    yield _line("pressure", _text(bar, "bar"), "proposed: farthest from every limit")
    yield _line("speed", '"400 rpm"', "taken")
    yield ""
    yield from _fixture_lines(fixture, proposal.fixture)
    yield ""
    yield "[boring.tool]                               # taken: measure yours"
    yield _line("insert", f'"{proposal.insert}"', "")
    yield _line("bar_diameter", _text(proposal.bar_diameter, "mm"), "")
    yield _line("reach", _text(proposal.reach, "mm"), "")
    yield _line("functional_offset", _text(proposal.functional_offset, "mm"), "tip off the bar's axis")
    yield ""


def _fixture_lines(fixture: Mapping[str, str], taken: RingOnPins | PlugBelow) -> Iterator[str]:
    if isinstance(taken, PlugBelow):
        yield "[boring.fixture]                            # taken: a plug; its seat is bored first, on a ring"
        yield _line("kind", '"plug"', "")
        yield _line("diameter", _text(taken.diameter, "mm"), "proposed: of plug and seat")
        yield _line("thickness", _text(taken.thickness, "mm"), "taken")
        yield _line("height", _text(taken.height, "mm"), "proposed: just below the pocket's floor")
        return
    yield "[boring.fixture]                            # taken: a ring, its pins in the screws' counterbores"
    yield _line("kind", '"ring"', "")
    yield _line("outer_diameter", _text(taken.outer, "mm"), "proposed")
    yield _line("inner_diameter", _text(taken.inner, "mm"), "proposed: the bar passes through it")
    yield _line("thickness", f'"{fixture["thickness"]}"', TYPICAL)
    yield _line("pin_diameter", f'"{fixture["pin_diameter"]}"', TYPICAL)
    yield _line("screw", str(taken.screw), "proposed: 0 is the innermost screw of a jaw")


def _part_lines(known: Known, proposal: Proposal, bar: float, jaw: str) -> Iterator[str]:
    part, cut = known.part, known.cut
    yield "[[operations]]"
    yield _line("name", '"first setup"', "")
    if part.surface == "raw":
        yield _line("marking_allowed", "true", "taken: raw stock may be marked")
        yield _line(
            "runout_limit",
            _text(max(1.0, part.high - part.low), "mm"),
            "taken: nothing has to run true to a raw surface",
        )
    yield ""
    yield "[operations.workpiece]"
    yield _line("material", f'"{part.material}"', TOLD)
    if part.drawn is not None:
        yield _line("model", part.drawn.text(), TOLD)
    else:
        yield "outline = [                                 # radius, height on the back face; corner broken by 0.5 mm"
        yield "  " + " ".join(f'["{r:.6g} mm", "{z:.6g} mm"],' for r, z in outline(known, proposal.depth))
        yield "]"
    yield _line("gripped_diameter_low", _text(part.low, "mm"), TOLD)
    yield _line("gripped_diameter_high", _text(part.high, "mm"), TOLD)
    yield _line("gripped_surface", f'"{part.surface}"', TOLD)
    if part.surface == "raw":
        yield _line(
            "out_of_round",
            _text(0.5 * (part.high - part.low), "mm"),
            "taken: half of what its sizes differ by",
        )
    yield ""
    yield "[operations.gripping]"
    yield _line("pressure", _text(bar, "bar"), "proposed: farthest from every limit")
    yield _line("speed_high", _text(speed_of(known), "rpm"), "of the cut; a higher one must be stated")
    yield _line(
        "pairing", f'"{pairing_of(part.material, jaw, part.surface)}"', "of these materials and this surface"
    )
    yield ""
    yield "[[operations.cuts]]"
    yield _line("name", f'"{cut.kind}"', "")
    yield _line("kind", f'"{cut.kind}"', TOLD)
    yield _line("diameter", _text(cut.diameter, "mm"), TOLD)
    yield _line("height", _text(part.length, "mm"), "taken: at the far end, where it tips the part most")
    if cut.kind == "facing":
        yield _line("feed_towards", '"axis"', "taken")
    yield _line("depth_of_cut", _text(cut.depth, "mm"), TOLD)
    yield _line("feed", _text(cut.feed, "mm/rev"), TOLD)
    yield _line("cutting_speed", _text(cut.cutting_speed, "m/min"), TOLD)
    if cut.kind != "drilling":
        yield _line("nose_radius", '"0.8 mm"', "taken")


def speed_of(known: Known) -> float:
    """Return the spindle speed of the cut, rev/min, in whole tens; at most what chuck and machine bear."""
    wanted = 1000.0 * known.cut.cutting_speed / (math.pi * known.cut.diameter)
    return 10.0 * math.ceil(wanted / 10.0 - 1e-9)


def not_read_off(known: Known) -> tuple[str, ...]:
    """Return the tables and fields whose values are typical of the class, as the field `typical` names them."""
    plate = from_plate(known.plate)
    chuck = class_tables(known.size_class)["chuck"]
    fields = (
        tuple(f"chuck.{key}" for key in chuck if key not in plate and key != "name") if plate else ("chuck",)
    )
    return ("machine", *fields, "master_jaw", "soft_jaw", "boring.fixture", "boring.tool")


def scenario_text(known: Known, *, gripping: float, boring: float) -> str:
    """Return a whole scenario.

    Parameters
    ----------
    known : Known
    gripping, boring : float
        Actuating pressures, bar.

    Raises
    ------
    ScenarioError
        If a chuck of this class with its usual blanks cannot take the part.
    """
    content = stated_tables(known.size_class, known.plate)
    proposal = proposed(known, content)
    lines = [
        f"# A first setup on a chuck of the {known.size_class} mm class. What is marked 'taken' is typical, invented:",
        "# read it off your chuck and blanks and put it right, then ask again with chuckscene check. Not a release.",
        "",
        f'title = "Part of {known.part.high:g} mm on a {known.size_class} mm chuck, first setup"',
        "",
        "typical = [                                 # take out what you have read off and put right",
        *(f'  "{name}",' for name in not_read_off(known)),
        "]",
        "",
        *_chuck_lines(known, proposal),
        *_boring_lines(content["boring"]["fixture"], proposal, boring),
        *_part_lines(known, proposal, gripping, content["soft_jaw"]["material"]),
    ]
    return "\n".join(lines) + "\n"
