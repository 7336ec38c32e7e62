"""Screws against statics worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sim.base.tables import material, property_class, thread, tightening
from sim.mechanics.screws import (
    allowed_preload,
    allowed_torque,
    engagement,
    equivalent_stress,
    head_pressure,
    preload,
    torque_per_preload,
)

M12 = thread("M12")
CLASS = property_class("10.9", 12.0)
WRENCH = tightening("torque wrench")


def test_torque_is_the_exact_screw_to_a_percent() -> None:
    """Statics of a screw of 60 deg thread: MG = FM (d2/2) tan(lead + friction angle), mu' = mu / cos 30 deg.

    VDI 2230 adds the two tangents, which leaves out 1 - tan(lead) tan(friction): 1 % of MG at mu = 0.2.
    """
    for mu in (0.08, 0.12, 0.2):
        lead = math.atan(M12.pitch / (math.pi * M12.pitch_diameter))
        in_thread = 0.5 * M12.pitch_diameter * math.tan(lead + math.atan(mu / math.cos(math.pi / 6.0)))
        head = 0.25 * (M12.bearing_diameter + 13.5) * mu
        assert torque_per_preload(M12, 13.5, mu, mu) == pytest.approx(in_thread + head, rel=0.01)
    frictionless = torque_per_preload(M12, 13.5, 0.0, 0.0)
    assert frictionless == pytest.approx(M12.pitch / (2.0 * math.pi), rel=1e-3)  # work of one turn


def test_allowed_preload_uses_ninety_per_cent_of_yield() -> None:
    force = allowed_preload(M12, CLASS, 0.12)
    assert equivalent_stress(force, M12, 0.12) == pytest.approx(0.9 * 940.0)
    assert equivalent_stress(force, M12, 0.0) < 0.9 * 940.0


def test_torsion_is_a_fully_plastic_section() -> None:
    """von Mises with tau from pi d0^3/12, integrated: a section at its shear yield tau takes 2 pi tau r^2 dr."""
    radius = 0.25 * (M12.pitch_diameter + M12.root_diameter)
    r = (np.arange(2000) + 0.5) / 2000 * radius
    moment_per_shear = np.sum(2.0 * math.pi * r**2) * radius / 2000
    moment = 0.5 * M12.pitch_diameter * (M12.pitch / (math.pi * M12.pitch_diameter) + 1.155 * 0.12)
    shear = moment / moment_per_shear
    assert equivalent_stress(1.0, M12, 0.12) == pytest.approx(
        math.hypot(1.0 / M12.stress_area, math.sqrt(3.0) * shear), rel=1e-5
    )


def test_preload_of_the_allowed_torque() -> None:
    torque = allowed_torque(M12, CLASS, 13.5, 0.12, 0.12)
    found = preload(torque, M12, CLASS, 13.5, 0.12, 0.12, WRENCH)
    assert found.utilisation == pytest.approx(0.9)
    assert found.largest == pytest.approx(found.allowed)
    assert found.least == pytest.approx(found.largest / 2.0)
    by_feel = preload(torque, M12, CLASS, 13.5, 0.12, 0.12, tightening("by feel"))
    assert by_feel.least == pytest.approx(found.largest / 4.0)


def test_aluminium_needs_a_washer_or_less_torque() -> None:
    """M12 10.9 at full preload under a bare head: about 700 MPa, against 260 MPa of 6082."""
    force = allowed_preload(M12, CLASS, 0.12)
    bare = head_pressure(force, M12, 13.5)
    washer = head_pressure(force, M12, 13.5, M12.washer_diameter)
    assert bare == pytest.approx(700.0, rel=0.02)
    assert washer < bare
    aluminium = material("aluminium EN AW-6082-T6").surface_pressure
    assert washer > aluminium  # the listed washer is not enough: torque has to come down as well
    assert head_pressure(1000.0, M12, 13.5, 40.0) == pytest.approx(
        1000.0 / (0.25 * math.pi * ((17.23 + 3.2) ** 2 - 13.5**2))
    )


def test_head_that_falls_through_is_refused() -> None:
    with pytest.raises(ValueError, match=r"17\.23 mm"):
        head_pressure(1.0, M12, 18.0)


def test_engagement_of_equal_strengths() -> None:
    """By hand: 1.2 * 800 * 84.27 = 80.9 kN against 0.897 * 480 * 32.99 = 14.2 kN/mm, and 1.4 mm lost.

    Less than the 10.8 mm of an ISO 4032 nut (edition 2001, as two public tables quote it), which has to be safe.
    """
    found = engagement(10.0, M12, property_class("8.8", 12.0), 800.0)
    assert found.needed == pytest.approx(80.9 / 14.2 + 1.4, abs=0.01)
    assert found.needed < 10.8
    assert found.factor == pytest.approx(10.0 / found.needed)


def test_stronger_screw_and_weaker_nut_need_more_thread() -> None:
    steel = engagement(12.0, M12, CLASS, 800.0).needed
    assert engagement(12.0, M12, CLASS, 400.0).needed > steel
    assert engagement(12.0, M12, property_class("8.8", 12.0), 800.0).needed < steel
    longer = 2.0 * (steel - 0.8 * M12.pitch)
    assert engagement(12.0, M12, CLASS, 400.0).needed - 0.8 * M12.pitch == pytest.approx(longer)


def test_preload_refuses_a_negative_torque() -> None:
    with pytest.raises(ValueError, match="torque"):
        preload(-1.0, M12, CLASS, 13.5, 0.12, 0.12, WRENCH)


def test_smaller_pitch_same_diameter_is_stronger() -> None:
    fine = replace(M12, pitch=1.25)
    assert allowed_preload(fine, CLASS, 0.12) > allowed_preload(M12, CLASS, 0.12)
