"""The setup sheet of a job as pages: every set-up begins on a page of its own, all in the order of the work."""

from __future__ import annotations

from collections.abc import Sequence

from sim.assessment.results import CAUTIONS, Assessment
from sim.base.errors import ScenarioError
from sim.drawing.asked import Asked
from sim.drawing.digest import scenario_digest
from sim.drawing.frame import LARGE, OTHER, SMALL
from sim.drawing.letters import LEADING, shown, wrapped
from sim.drawing.pens import FRAME, THIN
from sim.drawing.primitives import Item, Line, Sheet, View, Words
from sim.setup_sheet.blocks import Block, columns, section_blocks, told_blocks, under_each_other
from sim.setup_sheet.boring import boring
from sim.setup_sheet.closing import closing
from sim.setup_sheet.entries import Section
from sim.setup_sheet.gripping import gripping
from sim.setup_sheet.mounting import jaws, machine
from sim.setup_sheet.standing import standing

FOOT = " ".join(CAUTIONS)


def sections(assessment: Assessment, asked: Asked) -> tuple[Section, ...]:
    """Return the steps of a set-up's work in their order."""
    return (
        machine(assessment, asked.units),
        jaws(assessment, asked.units),
        boring(assessment, asked.units),
        *(gripping(assessment, index, asked.units) for index in range(len(assessment.operations))),
        closing(
            fixture=assessment.scenario.boring.fixture.kind != "none", several=len(assessment.operations) > 1
        ),
    )


def pages(assessments: Sequence[Assessment], asked: Asked) -> tuple[Sheet, ...]:
    """Return the pages of all set-ups of a job.

    Raises
    ------
    ScenarioError
        If a row is higher than a page.
    """
    found = [(one, page) for one in assessments for page in _pages(one, asked)]
    return tuple(
        _page(assessment, asked, blocks, f"page {number} of {len(found)}")
        for number, (assessment, blocks) in enumerate(found, start=1)
    )


def _pages(assessment: Assessment, asked: Asked) -> list[list[Block]]:
    blocks = [block for told in standing(assessment) for block in told_blocks(told, asked)]
    steps = sections(assessment, asked)
    room = _top(assessment, asked) - _bottom(asked)
    groups = _groups(blocks)
    for number, section in enumerate(steps, start=1):
        step = section_blocks(number, section, assessment, asked)
        whole = section.together and sum(block.height for block in step) <= room
        groups += [step] if whole else _groups(step)
    found: list[list[Block]] = [[]]
    left = room
    for group in groups:
        high = sum(block.height for block in group)
        if high > room:
            raise ScenarioError(
                f"no setup sheet is made: a row is {high:.0f} mm high, the page has {room:.0f} mm"
            )
        if high > left:
            found.append([])
            left = room
        found[-1] += group
        left -= high
    return found


def _groups(blocks: Sequence[Block]) -> list[list[Block]]:
    """Return blocks that stay together: a heading with what follows it."""
    found: list[list[Block]] = []
    open_group = False
    for block in blocks:
        if open_group:
            found[-1].append(block)
        else:
            found.append([block])
        open_group = block.with_next
    return found


def _title_lines(assessment: Assessment, asked: Asked) -> tuple[str, ...]:
    at = columns(asked)
    return wrapped(shown(assessment.scenario.title), LARGE, at.right - at.left - 52.0)


def _top(assessment: Assessment, asked: Asked) -> float:
    """Return where the rows of a page begin."""
    return asked.size[1] - OTHER - max(2, len(_title_lines(assessment, asked))) * LEADING * LARGE - 4.0


def _foot_lines(asked: Asked) -> tuple[str, ...]:
    at = columns(asked)
    return wrapped(FOOT, SMALL, at.right - at.left)


def _bottom(asked: Asked) -> float:
    """Return where the rows of a page end."""
    return OTHER + len(_foot_lines(asked)) * LEADING * SMALL + 8.0


def _page(assessment: Assessment, asked: Asked, blocks: Sequence[Block], number: str) -> Sheet:
    width, height = asked.size
    at, top, bottom = columns(asked), _top(assessment, asked), _bottom(asked)
    title, digest = _title_lines(assessment, asked), "scenario " + scenario_digest(assessment.scenario)
    items: list[Item] = [
        *under_each_other(at.left, height - OTHER, title, LARGE),
        Words((at.right, height - OTHER - SMALL), "setup sheet, " + number, SMALL, "right"),
        Words(
            (at.right, height - OTHER - 3.2 * SMALL),
            digest,
            SMALL,
            "right",
        ),
        Words((at.right, height - OTHER - 5.4 * SMALL), "revision ______  date __________", SMALL, "right"),
        Line((at.left, top + 1.5), (at.right, top + 1.5), FRAME),
    ]
    y = top
    for block in blocks:
        items += block.draw(y)
        y -= block.height
    items.append(Line((at.left, bottom - 1.5), (at.right, bottom - 1.5), THIN))
    items += under_each_other(at.left, bottom - 3.0, _foot_lines(asked), SMALL)
    items.append(Words((at.left, OTHER - 2.0), f"NOT RELEASED. {_standing_words(assessment)}", SMALL))
    name = shown(f"{assessment.scenario.title}: setup sheet, {number}")
    return Sheet(name, width, height, View((0.0, 0.0), 1.0), asked.units, tuple(items), FOOT)


def _standing_words(assessment: Assessment) -> str:
    failing = sum(v.status == "fail" for v in assessment.verdicts)
    if failing:
        told = "verdict fails" if failing == 1 else "verdicts fail"
        return f"DO NOT USE: {failing} {told}, see this set-up's first page."
    return "No verdict fails." if assessment.status == "warn" else "All verdicts pass."
