"""The setup sheet of a job as pages: every set-up begins on a page of its own, all in the order of the work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial

from sim.assessment.results import CAUTIONS, Assessment
from sim.base.errors import ScenarioError
from sim.drawing.asked import Asked
from sim.drawing.digest import scenario_digest
from sim.drawing.letters import shown
from sim.drawing.pens import FRAME, THIN
from sim.drawing.primitives import Item, Line, Sheet, View
from sim.setup_sheet.appendix import appendix
from sim.setup_sheet.blocks import Block, Columns, columns, narrower, section_blocks, told_blocks
from sim.setup_sheet.boring import SheetProgram, boring
from sim.setup_sheet.closing import closing
from sim.setup_sheet.codes import SIDE, SIDES, code_column
from sim.setup_sheet.drawn import drawing_blocks
from sim.setup_sheet.entries import Section
from sim.setup_sheet.form import Form, form_of
from sim.setup_sheet.gauge import Gauge
from sim.setup_sheet.gripping import gripping
from sim.setup_sheet.mounting import jaws, machine
from sim.setup_sheet.readings_table import blank_rows, readings_block
from sim.setup_sheet.runs import (
    SMALLEST,
    Row,
    broken,
    drawn_rows,
    lettered,
    pitch,
    rows_high,
    rows_of,
    strong,
    under_each_other,
)
from sim.setup_sheet.standing import standing

MARGIN = 8.0  # above and below what stands on a page, mm
MOST_PAGES = 2  # of a set-up, where it is not more than any paper has room for
NAME = 3.0  # height of the title's capitals, mm
HEAD_WIDE = 62.0  # of what stands beside the title, mm
APART = 4.0  # between the last rows and the codes, mm
MOST_BESIDE = 2  # codes beside the readings
WIDEST_CODES = 115.0  # that leave room for the table of readings, mm
# Largest height of the drawings, mm, whether the scales of gauges are drawn, and the side of a square of the codes, mm:
# the first that has room for all.
AIRY = (
    *((high, True, square) for square in (*SIDES, SIDE) for high in (90.0, 66.0)),
    (66.0, False, SIDE),
    (50.0, True, SIDE),
    *((high, False, SIDE) for high in (50.0, 46.0, 42.0, 38.0, 34.0)),
)
SMALL_CODES = tuple(one for one in AIRY if one[2] == SIDE)
Group = list[Block]


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
    program : SheetProgram or None
        That bores the jaws, where one goes along.
    appendix : bool
        All verdicts follow behind its pages.
    """

    codes: tuple[str, ...] = ()
    apart: tuple[str, ...] = ()
    gauge: Gauge | None = None
    program: SheetProgram | None = None
    appendix: bool = False


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
        (one, page)
        for one, more in zip(assessments, given, strict=True)
        for page in (*_pages(one, asked, more), *(_appended(one, asked) if more.appendix else ()))
    ]
    return tuple(
        _page(assessment, asked, blocks, (number, len(found)))
        for number, (assessment, blocks) in enumerate(found, start=1)
    )


def _pages(assessment: Assessment, asked: Asked, handed: Handed) -> list[list[Block]]:
    """Return a set-up's pages: as airy as two of them allow, and where nothing does that, as few as there are."""
    room = _top(assessment, asked) - _bottom(assessment, asked)
    drawn = lru_cache(partial(drawing_blocks, assessment, asked))
    steps = sections(assessment, form_of(asked), handed)
    found: list[list[Block]] = []
    for high, scales, square in AIRY if len(handed.codes) <= MOST_BESIDE else SMALL_CODES:
        for whole in (True, False):
            airy = (room if whole else 0.0, scales, square)
            groups = _groups(assessment, asked, handed, (steps, drawn(high)), airy)
            laid = _filled(list(groups), room)
            if not found or len(laid) < len(found):
                found = laid
            if len(found) <= MOST_PAGES:
                return found
    return found


def _appended(assessment: Assessment, asked: Asked) -> list[list[Block]]:
    """Return the pages of a set-up's appendix, its steps counted by letters."""
    at, form = columns(asked), form_of(asked)
    wide = replace(at, side=at.right)
    blocks = [
        block
        for letter, section in zip("ABCDE", appendix(assessment, form), strict=False)
        for block in section_blocks(letter, section, at if letter > "A" else wide)
    ]
    return _filled(_together(blocks), _top(assessment, asked) - _bottom(assessment, asked))


def _groups(
    assessment: Assessment,
    asked: Asked,
    handed: Handed,
    made: tuple[tuple[Section, ...], list[Block]],
    airy: tuple[float, bool, float],
) -> Iterator[Group]:
    """Yield what stays together, in the order of the work.

    `made` are the steps of the work and the drawings. `airy` is the height (mm) in which a step that is read in one
    look must fit to stay whole, whether a gauge's scale is drawn beside its words, and the side of a square of the
    codes (mm).
    """
    form, at = form_of(asked), columns(asked)
    room, scales, square = airy
    for told in standing(assessment, form):
        yield from _together(told_blocks(told, at))
    (*steps, last), drawings = made
    for number, section in enumerate(steps, start=1):
        if not scales:
            section = replace(section, entries=tuple(replace(one, scale=None) for one in section.entries))
        step = section_blocks(number, section, at)
        whole = section.together and sum(block.height for block in step) <= room
        yield from [step] if whole else _together(step)
        if section.drawn:
            yield from ([block] for block in drawings)
    closing = _closing(assessment, asked, handed, (len(steps) + 1, last), square)
    yield from ([block] for block in closing)


def _closing(
    assessment: Assessment, asked: Asked, handed: Handed, last: tuple[int, Section], square: float = SIDE
) -> list[Block]:
    """Return the last step, the blank table of readings and the codes, as low as they can stand beside each other.

    More codes than two stand behind it: they are no step of the work.
    """
    form, at = form_of(asked), columns(asked)
    number, section = last
    title = Section(form.say("Grip gauge, readings for chuckscene fit"), ())
    rows = blank_rows(assessment, handed.gauge)

    def table(place: Columns) -> list[Block]:
        return [*section_blocks(number + 1, title, place), readings_block(rows, place, form)]

    wide, codes = code_column(handed.codes, handed.apart, asked, square=square)
    if codes is None or len(handed.codes) > MOST_BESIDE:
        alone = _stacked([*section_blocks(number, section, at), *table(at)])
        _, codes = code_column(handed.codes, handed.apart, asked, across=MOST_BESIDE)
        return [alone] if codes is None else [alone, codes]
    left = narrower(at, wide + APART)
    found = [_beside(_stacked([*section_blocks(number, section, left), *table(left)]), codes)]
    wide, codes = code_column(handed.codes, handed.apart, asked, across=MOST_BESIDE, square=square)
    if codes is not None and wide < WIDEST_CODES:
        under = _beside(_stacked(table(narrower(at, wide + APART))), codes)
        found.append(_stacked([*section_blocks(number, section, at), under]))
    return [min(found, key=lambda one: one.height)]


def _stacked(blocks: Sequence[Block]) -> Block:
    def drawn(top: float) -> list[Item]:
        items: list[Item] = []
        for block in blocks:
            items += block.draw(top)
            top -= block.height
        return items

    return Block(sum(block.height for block in blocks), drawn)


def _beside(one: Block, other: Block) -> Block:
    return Block(max(one.height, other.height), lambda top: [*one.draw(top), *other.draw(top)])


def _together(blocks: Sequence[Block]) -> list[Group]:
    """Return blocks that stay together: a heading with what follows it."""
    found: list[Group] = []
    open_group = False
    for block in blocks:
        if open_group:
            found[-1].append(block)
        else:
            found.append([block])
        open_group = block.with_next
    return found


def _filled(groups: Sequence[Group], room: float) -> list[list[Block]]:
    """Return groups on as many pages as they need, each so high."""
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


def _title_lines(assessment: Assessment, asked: Asked) -> tuple[str, ...]:
    at = columns(asked)
    return broken(shown(assessment.scenario.title), NAME, at.right - at.left - HEAD_WIDE, bold=True)


def _top(assessment: Assessment, asked: Asked) -> float:
    """Return where the rows of a page begin."""
    title = len(_title_lines(assessment, asked)) * pitch(NAME)
    return asked.size[1] - MARGIN - max(title, 3.0 * pitch(SMALLEST)) - 1.0


def _foot(form: Form) -> str:
    return " ".join(form.say(caution) for caution in CAUTIONS)


def _foot_rows(assessment: Assessment, asked: Asked) -> tuple[Row, ...]:
    at, form = columns(asked), form_of(asked)
    standing = strong(form.say("NOT RELEASED. {standing}", standing=_standing_words(assessment, form)))
    return rows_of([f"{standing} {_foot(form)}"], at.right - at.left, body=SMALLEST, first=SMALLEST)


def _bottom(assessment: Assessment, asked: Asked) -> float:
    """Return where the rows of a page end."""
    return MARGIN + 2.0 + rows_high(_foot_rows(assessment, asked))


def _page(assessment: Assessment, asked: Asked, blocks: Sequence[Block], place: tuple[int, int]) -> Sheet:
    width, height = asked.size
    form = form_of(asked)
    at, top, bottom = columns(asked), _top(assessment, asked), _bottom(assessment, asked)
    number = form.say("setup sheet, page {page} of {pages}", page=place[0], pages=place[1])
    head = (
        number,
        form.say("scenario {digest}", digest=scenario_digest(assessment.scenario)),
        _revision(assessment, form),
    )
    items: list[Item] = [
        *under_each_other(at.left, height - MARGIN, _title_lines(assessment, asked), NAME, bold=True),
        *(
            lettered((at.right, height - MARGIN - SMALLEST - row * pitch(SMALLEST)), words, SMALLEST, "right")
            for row, words in enumerate(head)
        ),
        Line((at.left, top + 0.6), (at.right, top + 0.6), FRAME),
    ]
    y = top
    for block in blocks:
        items += block.draw(y)
        y -= block.height
    items.append(Line((at.left, bottom - 0.6), (at.right, bottom - 0.6), THIN))
    items += drawn_rows(at.left, bottom - 2.0, _foot_rows(assessment, asked))
    name = shown(f"{assessment.scenario.title}: {number}")
    return Sheet(name, width, height, View((0.0, 0.0), 1.0), asked.units, tuple(items), _foot(form))


def _revision(assessment: Assessment, form: Form) -> str:
    revision = assessment.scenario.revision
    if revision:
        return form.say("revision {revision}  date __________", revision=shown(revision))
    return form.say("revision ______  date __________")


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
