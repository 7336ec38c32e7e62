"""Solids packed for the page: normals and edges of bodies whose shape is known."""

from __future__ import annotations

import base64
import math

import numpy as np
import pytest
import trimesh

from meshes.revolve import revolve
from sim.views.packing import encoded, packed


def test_a_box_has_flat_faces_and_twelve_edges() -> None:
    found = packed(trimesh.creation.box((1.0, 2.0, 3.0)))
    assert len(found.positions) == 24  # three normals at each of eight corners
    assert len(found.triangles) == 12
    assert len(found.edges) == 12
    assert np.abs(found.normals).max(axis=1) == pytest.approx(np.ones(24))


def test_a_turned_wall_is_smooth_and_its_rims_are_edges() -> None:
    """The wall's normals are radial within its facets' angle; the rims are the only edges."""
    sections = 64
    found = packed(revolve([(0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (0.0, 5.0)], sections))
    wall = np.abs(found.normals[:, 2]) < 0.5
    radial = found.positions[wall, :2] / np.linalg.norm(found.positions[wall, :2], axis=1, keepdims=True)
    assert np.einsum("ij,ij->i", radial, found.normals[wall, :2]).min() > math.cos(math.pi / sections)
    assert len(found.edges) == 2 * sections
    assert np.hypot(found.edges[..., 0], found.edges[..., 1]) == pytest.approx(10.0, rel=2e-3)


def test_packing_keeps_the_volume(two_steps: object) -> None:
    from sim.assessment.results import Assessment

    assert isinstance(two_steps, Assessment)
    for solid in (two_steps.parts.bored, two_steps.parts.body, two_steps.parts.screw):
        found = packed(solid)
        again = trimesh.Trimesh(found.positions, found.triangles, process=False)
        assert again.volume == pytest.approx(solid.volume, rel=1e-5)


def test_arrays_are_little_endian_and_whole() -> None:
    surface = packed(trimesh.creation.box((1.0, 1.0, 1.0)))
    sent = encoded(surface)
    positions = np.frombuffer(base64.b64decode(sent["positions"]), "<f4").reshape(-1, 3)
    normals = np.frombuffer(base64.b64decode(sent["normals"]), "<i2").reshape(-1, 4) / 32767.0
    triangles = np.frombuffer(base64.b64decode(sent["triangles"]), "<u4").reshape(-1, 3)
    assert positions == pytest.approx(surface.positions)
    assert normals[:, :3] == pytest.approx(surface.normals, abs=1e-4)
    assert (triangles == surface.triangles).all()
