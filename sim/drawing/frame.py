"""What stands around the views of a sheet: frame, standing of the verdicts, notes, title block; mm on the paper."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely

from meshes.points import Point
from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.said import unasked
from sim.drawing.asked import Asked
from sim.drawing.digest import scenario_digest
from sim.drawing.letters import LEADING, shown, words_width, wrapped
from sim.drawing.numbers import SHORT
from sim.drawing.pens import AXIS, EDGE, FRAME, THIN
from sim.drawing.primitives import Arc, Corners, Item, Line, Sheet, View, Words

LEFT, OTHER = 20.0, 10.0  # mm, margin for filing and the others (ISO 5457; cad-standard.com has them too)
BLOCK = 44.0  # mm, height of the title block
# Heights of capitals, mm (ISO 3098: steps of the square root of 2, as roymech.org quotes it).
SMALL, BODY, LARGE, LARGEST = 1.8, 2.5, 3.5, 5.0
PAD = 3.0  # mm between the frame and what stands in it
MOST_NAMED = 3  # lines of verdicts that do not pass
DIVIDED = 0.52  # share of the title block's width that has the cautions


def room(asked: Asked, assessment: Assessment, notes: Sequence[str]) -> shapely.Polygon:
    """Return where the views of a sheet may stand, between what heads it and its notes."""
    left, low, right, high = _inner(asked)
    high -= _standing_height(asked, assessment)
    low += BLOCK + _notes_height(asked, notes)
    return shapely.box(left + PAD, low + PAD, right - PAD, high - PAD)


def sheet(
    asked: Asked,
    assessment: Assessment,
    what: str,
    view: View,
    views: Sequence[Item],
    notes: Sequence[str],
) -> Sheet:
    """Return a whole sheet around its views; `what` says what is drawn."""
    width, height = asked.size
    left, low, right, high = _inner(asked)
    title = shown(f"{assessment.scenario.title}: {what}")
    items: list[Item] = [
        *views,
        Corners(((left, low), (right, low), (right, high), (left, high)), FRAME),
        *_standing(asked, assessment),
        *_notes(asked, notes),
        *_block(asked, assessment, what, view.scale),
    ]
    return Sheet(title, width, height, view, asked.units, tuple(items), " ".join(CAUTIONS))


def scale_text(scale: float) -> str:
    """Return a scale as ISO 5455 writes it."""
    return f"{scale:g}:1" if scale >= 1.0 else f"1:{1.0 / scale:g}"


def _inner(asked: Asked) -> tuple[float, float, float, float]:
    width, height = asked.size
    return LEFT, OTHER, width - OTHER, height - OTHER


def _column(at: Point, lines: Sequence[str], height: float, leading: float = LEADING) -> list[Item]:
    """Return lines of words under each other, the first with its capitals' top at `at`."""
    return [
        Words((at[0], at[1] - height - number * leading * height), line, height)
        for number, line in enumerate(lines)
    ]


def _standing_lines(asked: Asked, assessment: Assessment) -> tuple[str, tuple[str, ...]]:
    """Return in large how a setup stands, and what does not pass."""
    left, _, right, _ = _inner(asked)
    failing = [v for v in assessment.verdicts if v.status == "fail"]
    warned = [v for v in assessment.verdicts if v.status == "warn"]
    many = len(assessment.verdicts)
    if failing:
        head = f"DO NOT USE: {len(failing)} of {many} verdicts fail"
    elif assessment.status == "pass":
        head = f"All {many} verdicts pass"
    else:
        more = [f"{len(warned)} warn", unasked(len(assessment.unasked))]
        head = f"No verdict of {many} fails; {', '.join(one for one in more if one)}"
    told = "; ".join(f"{v.name} ({v.stage})" for v in (failing or warned))
    lines = wrapped(shown(told), BODY, right - left - 2.0 * PAD)
    if len(lines) > MOST_NAMED:
        lines = (*lines[: MOST_NAMED - 1], "and more: see chuckscene check")
    return head, lines


def _standing_height(asked: Asked, assessment: Assessment) -> float:
    _, lines = _standing_lines(asked, assessment)
    return 2.0 * PAD + LARGEST + len(lines) * LEADING * BODY + (1.5 if lines else 0.0)


def _standing(asked: Asked, assessment: Assessment) -> list[Item]:
    left, _, right, high = _inner(asked)
    head, lines = _standing_lines(asked, assessment)
    low = high - _standing_height(asked, assessment)
    size = LARGEST if assessment.status == "fail" else LARGE
    size = min(size, LARGE * (right - left - 2.0 * PAD) / words_width(head, LARGE))
    items: list[Item] = [Words((left + PAD, high - PAD - LARGEST), head, size)]
    items += _column((left + PAD, high - PAD - LARGEST - 2.5), lines, BODY)
    if assessment.status == "fail":
        inset = 0.9
        corners = ((left, low), (right, low), (right, high), (left, high))
        sides = ((1, 1), (-1, 1), (-1, -1), (1, -1))
        framed = tuple(
            (x + dx * inset, y + dy * inset) for (x, y), (dx, dy) in zip(corners, sides, strict=True)
        )
        items.append(Corners(framed, FRAME))
    return [*items, Line((left, low), (right, low), EDGE)]


def _notes_lines(asked: Asked, notes: Sequence[str]) -> list[str]:
    left, _, right, _ = _inner(asked)
    found = []
    for number, note in enumerate(notes, start=1):
        first, *rest = wrapped(shown(note), BODY, right - left - 2.0 * PAD - 6.0)
        found += [f"{number}  {first}", *(f"    {line}" for line in rest)]
    return found


def _notes_height(asked: Asked, notes: Sequence[str]) -> float:
    lines = _notes_lines(asked, notes)
    return len(lines) * LEADING * BODY + 2.0 * PAD if lines else 0.0


def _notes(asked: Asked, notes: Sequence[str]) -> list[Item]:
    left, low, right, _ = _inner(asked)
    high = low + BLOCK + _notes_height(asked, notes)
    if not notes:
        return []
    return [
        Line((left, high), (right, high), THIN),
        *_column((left + PAD, high - PAD), _notes_lines(asked, notes), BODY),
    ]


def _block(asked: Asked, assessment: Assessment, what: str, scale: float) -> list[Item]:
    left, low, right, _ = _inner(asked)
    top = low + BLOCK
    middle = left + DIVIDED * (right - left)
    items: list[Item] = [Line((left, top), (right, top), EDGE), Line((middle, low), (middle, top), THIN)]
    items.append(Words((left + PAD, top - PAD - LARGE), "NOT RELEASED", LARGE))
    cautions = wrapped(" ".join(CAUTIONS), SMALL, middle - left - 2.0 * PAD)
    items += _column((left + PAD, top - PAD - LARGE - 3.0), cautions, SMALL)
    sign = low + PAD + 1.0
    items.append(Words((left + PAD, sign), "released by", SMALL))
    items.append(Line((left + PAD + 17.0, sign - 0.5), (left + 58.0, sign - 0.5), THIN))
    items.append(Words((left + 60.0, sign), "date", SMALL))
    items.append(Line((left + 68.0, sign - 0.5), (middle - PAD, sign - 0.5), THIN))
    return [*items, *_facts(asked, assessment, what, scale, (middle, low, right, top))]


def _facts(
    asked: Asked, assessment: Assessment, what: str, scale: float, box: tuple[float, float, float, float]
) -> list[Item]:
    middle, low, right, top = box
    wide = right - middle - 2.0 * PAD
    title = wrapped(shown(assessment.scenario.title), BODY, wide)
    if len(title) > 3:
        title = (
            (*title[:2], title[2] + " ...")
            if words_width(title[2] + " ...", BODY) <= wide
            else (*title[:2], "...")
        )
    items = _column((middle + PAD, top - PAD), title, BODY, 1.6)
    under = top - PAD - BODY - (len(title) - 1) * 1.6 * BODY - 2.0
    items += _column((middle + PAD, under), wrapped(shown(what), BODY, wide)[:2], BODY, 1.6)
    line = low + 17.5
    items.append(Line((middle, line), (right, line), THIN))
    split = middle + 0.62 * (right - middle)
    facts = (
        f"scale {scale_text(scale)}",
        f"lengths in {SHORT[asked.units] if asked.units == 'mm' else 'inch'}, paper {asked.paper}",
        _standing_of(assessment),
    )
    items += _column((middle + PAD, line - 2.5), facts, SMALL, 2.4)
    items.append(Line((split, low), (split, line), THIN))
    items += _symbol((0.5 * (split + right), low + 10.0), asked.projection)
    items.append(Words((0.5 * (split + right), low + 2.0), f"{asked.projection} angle", SMALL, "middle"))
    return items


def _standing_of(assessment: Assessment) -> str:
    """Return which scenario is drawn: its digest, and its revision where it states one."""
    revision = shown(assessment.scenario.revision)
    digest = f"scenario {scenario_digest(assessment.scenario)}"
    return f"{digest}, rev. {revision}" if revision else digest


def _symbol(at: Point, projection: str) -> list[Item]:
    """Return the sign of the projection (ISO 5456-2; mech.poriyaan.in): a cone from its side, and from its small end.

    First angle: what is seen from the left stands on the right; third angle: on the left.
    """
    side = 1.0 if projection == "first" else -1.0
    x, y, long, small, big = at[0], at[1], 6.0, 1.5, 3.0
    cone, rings = x - side * 5.0, x + side * 5.5
    left, right = cone - 0.5 * long, cone + 0.5 * long
    full = 2.0 * math.pi
    return [
        Corners(((left, y - small), (right, y - big), (right, y + big), (left, y + small)), THIN),
        Arc((rings, y), small, 0.0, full, THIN),
        Arc((rings, y), big, 0.0, full, THIN),
        Line((left - 1.2, y), (right + 1.2, y), AXIS),
        Line((rings - big - 1.2, y), (rings + big + 1.2, y), AXIS),
        Line((rings, y - big - 1.2), (rings, y + big + 1.2), AXIS),
    ]
