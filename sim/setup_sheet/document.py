"""The setup sheet of a job as pages: every set-up begins on a page of its own, all in the order of the work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sim.assessment.results import CAUTIONS, Assessment
from sim.base.errors import ScenarioError
from sim.drawing.asked import Asked
from sim.drawing.digest import scenario_digest
from sim.drawing.frame import LARGE, OTHER, SMALL
from sim.drawing.letters import LEADING, shown, wrapped
from sim.drawing.pens import FRAME, THIN
from sim.drawing.primitives import Item, Line, Sheet, View, Words
from sim.setup_sheet.blocks import Block, columns, section_blocks, told_blocks, under_each_other
from sim.setup_sheet.boring import Program, boring
from sim.setup_sheet.closing import closing
from sim.setup_sheet.codes import code_blocks
from sim.setup_sheet.entries import Section
from sim.setup_sheet.form import Form, form_of
from sim.setup_sheet.gauge import Gauge
from sim.setup_sheet.gripping import gripping
from sim.setup_sheet.mounting import jaws, machine
from sim.setup_sheet.readings_table import blank_rows, readings_block
from sim.setup_sheet.standing import standing


@dataclass(frozen=True, slots=True)
class Handed:
    """What goes onto a set-up's pages besides the figures.

    Attributes
    ----------
    codes : tuple of str
        Texts of the codes that hold its scenario.
    apart : tuple of str
        Files that they do not hold.
    gauge : Gauge or None
        With which the grip is measured; None for one at the grip's own height.
    program : Program or None
        That bores the jaws, where one goes along.
    """

    codes: tuple[str, ...] = ()
    apart: tuple[str, ...] = ()
    gauge: Gauge | None = None
    program: Program | None = None


def sections(assessment: Assessment, form: Form, handed: Handed) -> tuple[Section, ...]:
    """Return the steps of a set-up's work in their order."""
    return (
        machine(assessment, form),
        jaws(assessment, form),
        boring(assessment, form, handed.program),
        *(gripping(assessment, index, form, handed.gauge) for index in range(len(assessment.operations))),
        closing(
            form,
            fixture=assessment.scenario.boring.fixture.kind != "none",
            several=len(assessment.operations) > 1,
        ),
    )


def pages(
    assessments: Sequence[Assessment], asked: Asked, handed: Sequence[Handed] | None = None
) -> tuple[Sheet, ...]:
    """Return the pages of all set-ups of a job.

    Parameters
    ----------
    assessments : sequence of Assessment
    asked : Asked
    handed : sequence of Handed, optional
        One for each of them.

    Raises
    ------
    ScenarioError
        If a row is higher than a page.
    """
    given = handed or [Handed()] * len(assessments)
    found = [
        (one, page) for one, more in zip(assessments, given, strict=True) for page in _pages(one, asked, more)
    ]
    return tuple(
        _page(assessment, asked, blocks, (number, len(found)))
        for number, (assessment, blocks) in enumerate(found, start=1)
    )


def _pages(assessment: Assessment, asked: Asked, handed: Handed) -> list[list[Block]]:
    blocks = [block for told in standing(assessment, form_of(asked)) for block in told_blocks(told, asked)]
    steps = sections(assessment, form_of(asked), handed)
    room = _top(assessment, asked) - _bottom(asked)
    groups = _groups(blocks)
    for number, section in enumerate(steps, start=1):
        step = section_blocks(number, section, assessment, asked)
        whole = section.together and sum(block.height for block in step) <= room
        groups += [step] if whole else _groups(step)
    groups.append(_readings(assessment, len(steps) + 1, asked, handed))
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
    _add_codes(found, code_blocks(handed.codes, handed.apart, asked), room)
    return found


def _add_codes(pages: list[list[Block]], codes: list[Block], room: float) -> None:
    """Put codes onto the last page that has room for all of them, or behind it: they are no step of the work."""
    high = sum(block.height for block in codes)
    free = [page for page in pages if sum(block.height for block in page) + high <= room]
    if free:
        free[-1].extend(codes)
    if free or not codes:
        return
    pages.append([])
    for block in codes:
        if sum(one.height for one in pages[-1]) + block.height > room:
            pages.append([])
        pages[-1].append(block)


def _readings(assessment: Assessment, number: int, asked: Asked, handed: Handed) -> list[Block]:
    """Return the blank table of readings under its heading."""
    form = form_of(asked)
    title = Section(form.say("Readings of the grip gauge, in the columns of chuckscene fit"), ())
    rows = blank_rows(assessment, handed.gauge)
    return [*section_blocks(number, title, assessment, asked), readings_block(rows, asked)]


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


def _foot(form: Form) -> str:
    return " ".join(form.say(caution) for caution in CAUTIONS)


def _foot_lines(asked: Asked) -> tuple[str, ...]:
    at = columns(asked)
    return wrapped(_foot(form_of(asked)), SMALL, at.right - at.left)


def _bottom(asked: Asked) -> float:
    """Return where the rows of a page end."""
    return OTHER + len(_foot_lines(asked)) * LEADING * SMALL + 8.0


def _page(assessment: Assessment, asked: Asked, blocks: Sequence[Block], place: tuple[int, int]) -> Sheet:
    width, height = asked.size
    form = form_of(asked)
    at, top, bottom = columns(asked), _top(assessment, asked), _bottom(asked)
    number = form.say("setup sheet, page {page} of {pages}", page=place[0], pages=place[1])
    head = (
        number,
        form.say("scenario {digest}", digest=scenario_digest(assessment.scenario)),
        form.say("revision ______  date __________"),
    )
    items: list[Item] = [
        *under_each_other(at.left, height - OTHER, _title_lines(assessment, asked), LARGE),
        *(
            Words((at.right, height - OTHER - (1.0 + 2.2 * row) * SMALL), words, SMALL, "right")
            for row, words in enumerate(head)
        ),
        Line((at.left, top + 1.5), (at.right, top + 1.5), FRAME),
    ]
    y = top
    for block in blocks:
        items += block.draw(y)
        y -= block.height
    items.append(Line((at.left, bottom - 1.5), (at.right, bottom - 1.5), THIN))
    items += under_each_other(at.left, bottom - 3.0, _foot_lines(asked), SMALL)
    standing = form.say("NOT RELEASED. {standing}", standing=_standing_words(assessment, form))
    items.append(Words((at.left, OTHER - 2.0), standing, SMALL))
    name = shown(f"{assessment.scenario.title}: {number}")
    return Sheet(name, width, height, View((0.0, 0.0), 1.0), asked.units, tuple(items), _foot(form))


def _standing_words(assessment: Assessment, form: Form) -> str:
    failing = sum(v.status == "fail" for v in assessment.verdicts)
    if failing:
        phrase = (
            "DO NOT USE: {count} verdict fails, see this set-up's first page."
            if failing == 1
            else "DO NOT USE: {count} verdicts fail, see this set-up's first page."
        )
        return form.say(phrase, count=failing)
    return form.say("No verdict fails.") if assessment.status == "warn" else form.say("All verdicts pass.")
