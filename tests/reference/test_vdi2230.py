"""Preload and torque of VDI 2230, stress areas and loads of ISO 898-1.

VDI 2230-1, Systematic calculation of highly stressed bolted joints: tables of assembly preload and torque at 90 %
of the yield strength.

- Fine threads M12x1.25 and M16x1.5: as quoted in a fastener supplier's public technical pages, "VDI 2230,
  edition 2001", hexagon heads (bearing diameter 16.63 and 22.49 mm by ISO 4014, as a public table of
  grade A quotes it).
- M12 8.8 at 0.14, 41.9 kN: worked example in another supplier's public pages after the edition of 2015.
- Coarse threads at 0.12: edition 2003, from memory, not verified.

ISO 898-1: nominal stress areas, minimum ultimate tensile loads and proof loads as quoted in two public tables.
The guideline computes with rounded constants that are not printed beside the tables: all preloads here
are a little higher, by up to 0.14 % (fine threads) and 0.25 % (coarse), part of which is the print's rounding.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from sim.base.tables import Thread, property_class, thread
from sim.mechanics.screws import allowed_preload, allowed_torque, head_pressure

FINE = {
    "M12x1.25": replace(thread("M12"), pitch=1.25, bearing_diameter=16.63),
    "M16x1.5": replace(thread("M16"), pitch=1.5, bearing_diameter=22.49),
}


@pytest.mark.parametrize(
    ("name", "strength", "mu", "preload", "torque"),
    [
        ("M12x1.25", "8.8", 0.10, 49.1, 79.0),
        ("M12x1.25", "8.8", 0.12, 48.0, 90.0),
        ("M12x1.25", "8.8", 0.14, 46.8, 101.0),
        ("M12x1.25", "10.9", 0.12, 70.5, 133.0),
        ("M12x1.25", "12.9", 0.12, 82.5, 155.0),
        ("M16x1.5", "8.8", 0.12, 87.6, 218.0),
        ("M16x1.5", "10.9", 0.12, 128.7, 320.0),
        ("M16x1.5", "12.9", 0.14, 146.9, 420.0),
    ],
)
def test_fine_threads(name: str, strength: str, mu: float, preload: float, torque: float) -> None:
    screw = FINE[name]
    hole = screw.hole_medium
    row = property_class(strength, screw.diameter)
    assert 1e-3 * allowed_preload(screw, row, mu) == pytest.approx(preload, rel=1.5e-3)
    assert 1e-3 * allowed_torque(screw, row, hole, mu, mu) == pytest.approx(torque, rel=0.01)


def test_worked_example_of_an_m12() -> None:
    assert 1e-3 * allowed_preload(thread("M12"), property_class("8.8", 12.0), 0.14) == pytest.approx(
        41.9, rel=3e-3
    )


@pytest.mark.parametrize(
    ("name", "strength", "preload", "torque"),
    [
        ("M10", "8.8", 29.6, 48.0),
        ("M10", "10.9", 43.4, 71.0),
        ("M12", "8.8", 43.0, 84.0),
        ("M12", "10.9", 63.2, 123.0),
        ("M16", "8.8", 80.9, 206.0),
        ("M16", "10.9", 118.8, 302.0),
    ],
)
def test_coarse_threads(name: str, strength: str, preload: float, torque: float) -> None:
    """From memory, not verified. The torque is 0.3 to 2 % higher here: a socket head's d_w is wider."""
    screw = thread(name)
    row = property_class(strength, screw.diameter)
    assert 1e-3 * allowed_preload(screw, row, 0.12) == pytest.approx(preload, rel=0.003)
    found = 1e-3 * allowed_torque(screw, row, screw.hole_medium, 0.12, 0.12)
    assert torque <= found <= 1.02 * torque


def _three_digits(value: float) -> float:
    return float(f"{value:.3g}")


@pytest.mark.parametrize(
    ("name", "area", "tensile_8_8", "proof_8_8", "tensile_10_9", "proof_10_9"),
    [
        ("M8", 36.6, 29_200, 21_200, 38_100, 30_400),
        ("M10", 58.0, 46_400, 33_700, 60_300, 48_100),
        ("M12", 84.3, 67_400, 48_900, 87_700, 70_000),
        ("M14", 115.0, 92_000, 66_700, 120_000, 95_500),
        ("M16", 157.0, 125_000, 91_000, 163_000, 130_000),
        ("M20", 245.0, 203_000, 147_000, 255_000, 203_000),
        ("M24", 353.0, 293_000, 212_000, 367_000, 293_000),
    ],
)
def test_iso_898_1(
    name: str, area: float, tensile_8_8: float, proof_8_8: float, tensile_10_9: float, proof_10_9: float
) -> None:
    screw: Thread = thread(name)
    assert _three_digits(screw.stress_area) == area
    for row, tensile, proof in (
        (property_class("8.8", screw.diameter), tensile_8_8, proof_8_8),
        (property_class("10.9", screw.diameter), tensile_10_9, proof_10_9),
    ):
        assert row.tensile * area == pytest.approx(tensile, rel=0.006)
        assert row.proof * area == pytest.approx(proof, rel=0.006)
        assert row.proof < row.yield_strength < row.tensile


def test_tightening_torques_of_an_m14() -> None:
    """VDI 2230-1, table of tightening torques at 0.12 for M14: 133, 195 and 229 N m.

    From memory; a machine maker's public manual has 135, 190 and 230 for the same friction, rounded to 5.

    They hold for hexagon heads; the head of a socket screw on a hole of 15.5 mm differs by some per cent. The 185 N m
    of the scenarios' M14 12.9 lie within.
    """
    screw = thread("M14")

    def allowed(strength: str) -> float:
        return allowed_torque(screw, property_class(strength, 14.0), screw.hole_medium, 0.12, 0.12)

    for strength, listed in (("8.8", 133e3), ("10.9", 195e3), ("12.9", 229e3)):
        assert allowed(strength) == pytest.approx(listed, rel=0.04)
    assert allowed("8.8") < 185e3 < allowed("12.9")


def test_all_fine_threads_of_a_printed_table(root: Path) -> None:
    """Preloads of seven fine threads, three classes and three frictions, edition 2001 as printed by a supplier.

    All within 0.35 %; the print rounds by up to 0.35 % itself where it gives whole kN.
    """
    for row in (root / "tests/reference/data/vdi2230_fine_threads.csv").read_text().splitlines():
        if row.startswith("#"):
            continue
        name, pitch, mu, *printed = row.split(",")
        screw = replace(thread(name), pitch=float(pitch))
        for strength, value in zip(("8.8", "10.9", "12.9"), printed, strict=True):
            found = 1e-3 * allowed_preload(screw, property_class(strength, screw.diameter), float(mu))
            assert found == pytest.approx(float(value), rel=3.5e-3)


def test_head_pressure_is_that_of_the_preload_alone() -> None:
    """VDI 2230-1:2014 R10/3 multiplies by 1.4; its known errata: for tightening beyond yield only, not by torque.

    (Errata as collected by a maker of calculation programs for screws, public page.) Here the torque sets the largest
    preload, by the lowest friction: M12 10.9 at 0.12 on a medium hole, 63.2 kN on 17.23 to 13.5 mm, pi/4 (297 - 182)
    = 90.0 mm2: 702 MPa, not 983.
    """
    screw = thread("M12")
    force = allowed_preload(screw, property_class("10.9", 12.0), 0.12)
    assert head_pressure(force, screw, screw.hole_medium) == pytest.approx(702.0, rel=0.004)


def test_heads_of_socket_screws() -> None:
    """ISO 4762: head diameter (plain, max.), head height, bearing diameter d_w (min.), key, as in two public tables.

    One lists the knurled head (13.27 for M8), from which 0.27 to 0.39 mm are off; the other the plain one.
    """
    listed = {
        "M6": (10.0, 6.0, 9.38, 5.0),
        "M8": (13.0, 8.0, 12.33, 6.0),
        "M10": (16.0, 10.0, 15.33, 8.0),
        "M12": (18.0, 12.0, 17.23, 10.0),
        "M14": (21.0, 14.0, 20.17, 12.0),
        "M16": (24.0, 16.0, 23.17, 14.0),
        "M20": (30.0, 20.0, 28.87, 17.0),
        "M24": (36.0, 24.0, 34.81, 19.0),
    }
    for name, sizes in listed.items():
        screw = thread(name)
        assert (
            screw.head_diameter,
            screw.head_height,
            screw.bearing_diameter,
            screw.socket_width,
        ) == sizes
