"""What the page that is handed round holds of one operation: its card at the head, plots, and rows of figures."""

from __future__ import annotations

import math
from dataclasses import dataclass

from markupsafe import Markup
from PIL import Image

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.assessment.state import States
from sim.assessment.unequal import why_unequal
from sim.assessment.verdict import ORDER, Status
from sim.base.rounding import against, at_most_text
from sim.base.share import Tell
from sim.base.unit_words import percent
from sim.contact import band_means
from sim.report.running import RunningRow, running_rows
from sim.views.colours import STATUS_SYMBOL
from sim.views.cutaway import Arrow, arrows, cutaway_picture, grip_colour
from sim.views.embed import Embedded, embedded_drawing, embedded_picture, embedded_plot, small_picture
from sim.views.picture import PRESSURE_DOTS
from sim.views.plots import grip_against_speed, pressure_faces
from sim.views.pressure_scale import coloured, top_of
from sim.views.scene import pressure_picture
from sim.views.shape import over_turn, roundness_polar
from sim.views.shape_picture import DOTS, shape_picture
from sim.views.wording import sentence

SIZE = (720, 480)  # pixels of a picture: sharp at the width it has in the page


@dataclass(frozen=True, slots=True)
class Card:
    """An operation at the head of the page.

    Attributes
    ----------
    name, about : str
    status, symbol : str
        Worst of its own verdicts.
    picture : Embedded or None
        None where this computer cannot render.
    arrows : tuple of Arrow
        Grip of each jaw at rest in that picture.
    rest, speed, need : float
        Grip in all at rest and at the highest speed, and what the cuts ask for without safety, kN.
    top : float
        End of the scale of all cards, kN.
    rows : tuple of (what, in all, jaw 1, jaw 2, jaw 3)
        In kN, as text.
    colour : str
        Of the grip at speed against what the cuts need, as in the scene.
    faces : tuple of Markup
        Pressure on the three faces unrolled, as small pictures to one scale.
    pressed : str
        The end of that scale, and what yields where.
    unequal : str
        Why the jaws grip unequally before the cut pushes; empty where they grip alike.
    """

    name: str
    about: str
    status: Status
    symbol: str
    picture: Embedded | None
    arrows: tuple[Arrow, ...]
    rest: float
    speed: float
    need: float
    top: float
    rows: tuple[tuple[str, ...], ...]
    colour: str
    faces: tuple[Markup, ...]
    pressed: str
    unequal: str


@dataclass(frozen=True, slots=True)
class OperationPage:
    """What the page holds of one operation; pictures are None where this computer cannot render."""

    name: str
    anchor: str
    card: Card
    pressure: Embedded | None
    sprung: Embedded | None
    faces: Embedded
    grip: Embedded
    shape: Embedded | None
    turn: Embedded
    figures: tuple[tuple[str, str], ...]
    running: tuple[RunningRow, ...]


def card(assessment: Assessment, figures: OperationFigures, *, rendered: bool) -> Card:
    """Return the card of an operation."""
    index, operation = figures.index, figures.operation
    grip, there = figures.grip, figures.contact_at_speed
    pocket = assessment.scenario.pocket_of(operation)
    gripping, work = operation.gripping, operation.workpiece
    own = [v.status for v in assessment.verdicts if v.stage == operation.name]
    status: Status = min(own, key=ORDER.index, default="pass")
    each = [f"{float(n) / 1000.0:.1f}" for n in figures.contact.grip_n]
    least = ["not held"] * 3 if there is None else [f"{float(n) / 1000.0:.1f}" for n in there.grip_n]
    picture = (
        embedded_picture(
            cutaway_picture(assessment, index),
            f"{operation.name.capitalize()}: gripped at {figures.grip_travel:.2f} mm travel, a quarter cut away, "
            "seen from the tailstock; at the arrows the grip of each jaw at rest.",
        )
        if rendered
        else None
    )
    return Card(
        name=operation.name,
        about=f"{work.material}, Ø{work.gripped_diameter_low:g} to {work.gripped_diameter_high:g} mm in pocket "
        f"{pocket.name}, {10.0 * gripping.pressure:.1f} bar, up to {gripping.speed_high:.0f} rev/min",
        status=status,
        symbol=STATUS_SYMBOL[status],
        picture=picture,
        arrows=arrows(assessment, index),
        rest=grip.rest_total / 1000.0,
        speed=grip.high_speed_total / 1000.0,
        need=grip.needed_total / 1000.0,
        top=1.04
        * max(
            max(f.grip.rest_total, f.grip.high_speed_total, f.grip.needed_total)
            for f in assessment.operations
        )
        / 1000.0,
        rows=(
            ("at rest", f"{grip.rest_total / 1000.0:.1f}", *each),
            (f"at {gripping.speed_high:.0f} rev/min", f"{grip.high_speed_total / 1000.0:.1f}", *least),
        ),
        colour=grip_colour(assessment, figures, grip.high_speed_total if there is not None else 0.0),
        faces=_faces(figures),
        pressed=_pressed(figures),
        unequal=sentence(why_unequal(figures, assessment.scenario.soft_jaw)),
    )


def _faces(figures: OperationFigures) -> tuple[Markup, ...]:
    """Return the pressure on each face, width across and height up, to one scale."""
    means = band_means(figures.clamping.pressure)
    top = top_of(means)
    found = []
    for jaw, face in enumerate(means, start=1):
        colours = coloured(face[::-1], top)
        image = Image.fromarray(colours).resize((72, 26), Image.Resampling.BILINEAR)
        found.append(small_picture(image, f"Pressure on the face of jaw {jaw}, unrolled"))
    return tuple(found)


def _pressed(figures: OperationFigures) -> str:
    """Say how hard this size is pressed, and how hard the worst one, beside yield."""
    shown = float(band_means(figures.clamping.pressure).max())
    peak, least_yield = against(figures.clamping.band_peak, figures.yield_strength, (0, 0))
    return f"largest {shown:.0f} MPa on the middle size, {peak} MPa on the worst; yield {least_yield} MPa"


def operation_page(
    ready: States, figures: OperationFigures, progress: Tell, *, rendered: bool
) -> OperationPage:
    """Return everything that the page holds of an operation."""
    assessment = ready.assessment
    name, index = figures.operation.name, figures.index
    pressure = None
    progress(f"picture, {name}")
    shown = card(assessment, figures, rendered=rendered)
    if rendered:
        progress(f"contact pressure, {name}")
        where = (
            "Looking along the spindle into the bore"
            if assessment.parts.direction == "outside"
            else "The outer face of each jaw"
        )
        pressure = embedded_drawing(
            pressure_picture(assessment, index, SIZE),
            PRESSURE_DOTS,
            f"{where}, the part left out: contact pressure (means over bands of 3 deg by 2 mm) and grip of each "
            f"jaw {figures.clamping.state}.",
        )
    else:
        progress(f"plots, {name}")
    polar = roundness_polar(figures)
    peak, least_yield = against(figures.clamping.band_peak, figures.yield_strength, (0, 0))
    per_um = figures.clamping.band_peak_per_um
    changed = f", {per_um:.2g} MPa more or less for 1 µm of bore radius" if math.isfinite(per_um) else ""
    return OperationPage(
        name=name,
        anchor=f"operation-{index + 1}",
        card=shown,
        pressure=pressure,
        sprung=_sprung(ready, index) if rendered else None,
        faces=embedded_plot(
            pressure_faces(figures),
            f"faces{index}",
            "The same pressure with the three faces unrolled, for a part of middle size. The largest band mean of all "
            f"sizes is {peak} MPa{changed}; yield of the softer of part and jaw {least_yield} MPa.",
        ),
        grip=embedded_plot(
            grip_against_speed(figures, assessment.scenario),
            f"grip{index}",
            "Total grip against speed, with what the cuts need; the tinted band is the operation's speed range.",
        ),
        shape=None
        if polar is None
        else embedded_plot(
            polar,
            f"shape{index}",
            "Shape of the gripped section, far enlarged: as clamped, and as it springs back when it was turned true.",
        ),
        turn=embedded_plot(
            over_turn(figures, assessment.scenario.limits.holding_factor),
            f"turn{index}",
            "One turn of the spindle: grip of each jaw at the highest speed under the largest side force and the "
            "part's weight; holding factor of each cut at its own speed.",
        ),
        figures=operation_rows(figures),
        running=running_rows(figures.running),
    )


def _sprung(ready: States, index: int) -> Embedded | None:
    """Return the part as it is clamped and as it springs back; None where no elastic shape is known."""
    figure = shape_picture(ready, index)
    if figure is None:
        return None
    return embedded_drawing(
        figure,
        DOTS,
        "Part and jaws as they give way under the grip and the part after the release, enlarged as often as is written "
        "on it, at the size and speed at which it comes out farthest from round. Bold: the surface that is judged; "
        "dashed: the round circle that fits it. A jaw is drawn straight between its guideway and its pressed face.",
    )


def operation_rows(figures: OperationFigures) -> tuple[tuple[str, str], ...]:
    """Return the figures of an operation as rows of (what, value with unit)."""
    grip, band, zone, contact = figures.grip, figures.travel, figures.zone, figures.contact
    gripping = figures.operation.gripping
    loss = 1.0 - grip.high_speed_total / grip.rest_total
    change = f"{percent(loss)} lost" if loss >= 0.0 else f"{percent(-loss)} gained"
    roundness = "no formula holds" if math.isnan(figures.roundness) else f"{figures.roundness:.1f} µm"
    rows = [
        ("grip travel", f"{band.first:.2f} to {band.last:.2f} mm"),
        ("loading clearance", f"{band.loading_clearance:.2f} mm"),
        ("held length", f"{zone.length:.1f} mm of {zone.part_length:.1f} mm"),
        ("first touch, smallest part", _touch(band.low.touch.pattern)),
        ("first touch, largest part", _touch(band.high.touch.pattern)),
        ("actuating pressure", f"{10.0 * gripping.pressure:.1f} bar"),
        ("grip at rest", f"{_kn(grip.rest_total)} in all, {_kn(grip.rest_per_jaw)} per jaw"),
        ("from", f"{grip.basis}, at {grip.height:.1f} mm above the serrated plane"),
        (f"grip at {gripping.speed_high:.0f} rev/min", f"{_kn(grip.high_speed_total)} in all, {change}"),
        ("centrifugal force per jaw", f"{_kn(grip.centrifugal_per_jaw)} at the highest speed"),
        (
            "needed while cutting, no safety",
            f"{_kn(grip.needed_total)} in all by the cut that needs most, friction {grip.friction:.2f}",
        ),
        ("permissible speed", f"{_speed(grip.permissible.least)} ({grip.permissible.governing})"),
        (
            f"contact, middle size, {figures.clamping.state}",
            f"{contact.pattern}, {percent(contact.closed_fraction)} of the faces closed",
        ),
        ("out-of-round after release", f"{roundness} {figures.clamping.roundness_basis}".strip()),
    ]
    rows.extend(
        (
            f"cut: {demand.name}",
            f"{demand.forces.tangential:.0f} N main, {demand.forces.feed:.0f} N feed, "
            f"{demand.forces.passive:.0f} N passive at {demand.speed:.0f} rev/min; held {held.factor:.2g} times, "
            f"limit: {held.turn.mode}; the handbooks' rule alone would ask {_kn(demand.needed)} ({demand.governing})",
        )
        for demand, held in zip(figures.demands, figures.holdings, strict=True)
    )
    return tuple(rows)


def _touch(pattern: str) -> str:
    return {"middle": "middles of the three faces", "edges": "six edges", "full": "full faces"}[pattern]


def _kn(force: float) -> str:
    return f"{force / 1000.0:.1f} kN"


def _speed(speed: float) -> str:
    return f"{at_most_text(speed, 0)} rev/min" if math.isfinite(speed) else "no limit"
