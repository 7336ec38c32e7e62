from dataclasses import replace

import numpy as np
import pytest

from sim.contact import ContactSetup, GripGeometry, GripLoad, JawBlock, TurnedPart, prepare
from sim.contact.prepared import _of_each_jaw, _with_total, guide_compliance

STEEL = (210e3, 0.3)


@pytest.fixture(scope="session")
def elastic_setup():
    """Return a steel ring in steel jaws on a coarse face: quick, and good enough for laws."""
    ring = TurnedPart([(40.0, 10.0), (50.0, 10.0), (50.0, 40.0), (40.0, 40.0)], *STEEL)
    return ContactSetup(
        GripGeometry(50.0, 50.0, 46.0, 10.0, 40.0),
        ring,
        JawBlock(100.0, 40.0, *STEEL),
        GripLoad(60e3),
        strips=12,
        bands=3,
        model="elastic",
    )


@pytest.fixture(scope="session")
def elastic_bodies(elastic_setup):
    return prepare(elastic_setup, np.array([[40.0, 15.0], [40.0, 25.0], [50.0, 25.0], [45.0, 40.0]]))


@pytest.fixture(scope="session")
def on_springs(elastic_bodies):
    """The same bodies on other springs behind the jaws, without preparing them anew."""

    def change(guide):
        more = guide_compliance(elastic_bodies.grid, guide) - elastic_bodies.guide_mm_n
        total = elastic_bodies.total_mm_n + _of_each_jaw(more)
        return replace(_with_total(elastic_bodies, total), guide_mm_n=elastic_bodies.guide_mm_n + more)

    return change


@pytest.fixture(scope="session")
def with_bore(elastic_setup):
    def change(difference, load=None):
        grip = replace(elastic_setup.grip, bore_radius_mm=50.0 + difference)
        return replace(elastic_setup, grip=grip, load=load or elastic_setup.load)

    return change
