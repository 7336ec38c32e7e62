"""Contact of a turned part with three soft jaws: pressures, grip per jaw, approach, shift and tilt.

One call does it: ``press(ContactSetup(...)) -> ContactResult``. Lengths in mm, forces in N, stresses in MPa,
angles in rad, in the chuck frame that turns with the spindle (z along the spindle, 0 at the serrated plane;
jaw i at 120 deg * i from x). Bodies are columns (`model="foundation"`, the order of
magnitude) or finite elements (`model="elastic"`). `prepare` does their part once per geometry, so that
``press(setup, start, prepared)`` at other loads and fits takes milliseconds.

>>> from sim.contact import ContactSetup, GripGeometry, GripLoad, JawBlock, TurnedPart, press
>>> ring = TurnedPart([(40.0, 10.0), (50.0, 10.0), (50.0, 40.0), (40.0, 40.0)], 210e3, 0.3)
>>> jaw = JawBlock(back_radius_mm=100.0, height_mm=40.0, modulus_mpa=210e3, poisson=0.3)
>>> grip = GripGeometry(
...     bore_radius_mm=50.05, part_radius_mm=50.0, width_mm=50.0, z_low_mm=10.0, z_high_mm=40.0
... )
>>> result = press(ContactSetup(grip, ring, jaw, GripLoad(closing_force_n=60e3)))
>>> [round(float(force)) for force in result.grip_n], result.pattern
([20000, 20000, 20000], 'middle')

A setup that cannot be balanced raises `ContactNotConverged` and returns no figure.
"""

from __future__ import annotations

from sim.contact.bodies import Hole, JawBlock, JawGuide, PointPlan, SeatArea, SectorPlan, TurnedPart
from sim.contact.cache import default_cache
from sim.contact.elastic import PartAlone, jaw_alone, part_alone, prepare
from sim.contact.errors import ContactNotConverged
from sim.contact.face import FaceGrid, GripGeometry, Lobe, face_grid, first_touch_offset
from sim.contact.field import (
    Revolution,
    band_means,
    edge_force,
    marking_ratio,
    revolve,
    side_load_change,
    turned,
)
from sim.contact.further import Rest, at_rest, loaded
from sim.contact.limits import closed_half_angle, open_half_angle
from sim.contact.prepared import Prepared
from sim.contact.preview import JawsNearby, deepened, jaws_nearby, previewed
from sim.contact.setup import ContactSetup, GripLoad
from sim.contact.shape import (
    ClampedShape,
    JawOpening,
    TaperAdvice,
    clamped_shape,
    face_flatness_um,
    jaw_opening,
    lobe_amplitude,
    released_mm,
    taper_to_bore,
    taper_um,
)
from sim.contact.solve import ContactResult, Residuals, press, spun
from sim.contact.speed import grip_at_speed, solved_loss_share
from sim.contact.split import finer
from sim.contact.stress import ClampedStress, clamped_stress

__all__ = [
    "ClampedShape",
    "ClampedStress",
    "ContactNotConverged",
    "ContactResult",
    "ContactSetup",
    "FaceGrid",
    "GripGeometry",
    "GripLoad",
    "Hole",
    "JawBlock",
    "JawGuide",
    "JawOpening",
    "JawsNearby",
    "Lobe",
    "PartAlone",
    "PointPlan",
    "Prepared",
    "Residuals",
    "Rest",
    "Revolution",
    "SeatArea",
    "SectorPlan",
    "TaperAdvice",
    "TurnedPart",
    "at_rest",
    "band_means",
    "clamped_shape",
    "clamped_stress",
    "closed_half_angle",
    "deepened",
    "default_cache",
    "edge_force",
    "face_flatness_um",
    "face_grid",
    "finer",
    "first_touch_offset",
    "grip_at_speed",
    "jaw_alone",
    "jaw_opening",
    "jaws_nearby",
    "loaded",
    "lobe_amplitude",
    "marking_ratio",
    "open_half_angle",
    "part_alone",
    "prepare",
    "press",
    "previewed",
    "released_mm",
    "revolve",
    "side_load_change",
    "solved_loss_share",
    "spun",
    "taper_to_bore",
    "taper_um",
    "turned",
]
