"""A soft jaw from a model file: read, brought to the jaw's frame in mm, and held to the dimensions stated."""

from __future__ import annotations

import io
from pathlib import PurePath

import numpy as np
import trimesh

from sim.base.limits import JAW_TRIANGLES
from sim.part_files.glb import require_whole
from sim.scenario import JawModel, Scenario

SCALES = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}  # to mm
WITHIN = 0.2  # mm by which the model's extent may differ from the dimensions stated
MOST_TRIANGLES = JAW_TRIANGLES.most


def jaw_model(scenario: Scenario, data: bytes) -> trimesh.Trimesh:
    """Return the soft jaw's solid in the jaw's frame, mm, from what its model file holds.

    Raises
    ------
    ValueError
        If it holds no closed solid, or is not as large as the jaw; the message names the field.
    """
    stated = scenario.soft_jaw.model
    if stated is None:
        raise TypeError("only a modelled jaw has a model file")
    solid = _read(data, stated)
    vertices = np.asarray(solid.vertices, dtype=np.float64) * SCALES[stated.unit]
    if stated.up == "y":
        vertices = vertices[:, [0, 2, 1]] * np.array([1.0, -1.0, 1.0])
    solid = trimesh.Trimesh(vertices, np.asarray(solid.faces), process=True, validate=False)
    _require_closed(solid, stated)
    _require_size(solid, scenario, stated)
    return solid


def _read(data: bytes, stated: JawModel) -> trimesh.Trimesh:
    field = "soft_jaw.model.file"
    kind = PurePath(stated.file).suffix.lower().removeprefix(".")
    try:
        if kind == "glb":
            require_whole(data, MOST_TRIANGLES)
    except ValueError as error:
        words = (
            f"{field} {error} in {stated.file}"
            if str(error).startswith("must")
            else f"{field} {stated.file} {error}"
        )
        raise ValueError(words) from None
    try:
        # By its bytes alone: what a model names beside itself (a device, say) is not opened.
        loaded = trimesh.load(io.BytesIO(data), file_type=kind, force="mesh")
    except Exception:  # whatever a reader of a foreign format stumbles over
        raise ValueError(_unreadable(stated)) from None
    if not isinstance(loaded, trimesh.Trimesh) or len(loaded.faces) == 0:
        raise ValueError(_unreadable(stated))
    if len(loaded.faces) > MOST_TRIANGLES:
        raise ValueError(
            f"{field} must hold at most {MOST_TRIANGLES} triangles, found {len(loaded.faces)} in {stated.file}"
        )
    return loaded


def _unreadable(stated: JawModel) -> str:
    return (
        f"soft_jaw.model.file must hold the triangles of a jaw, found none that can be read in {stated.file}"
    )


def _require_closed(solid: trimesh.Trimesh, stated: JawModel) -> None:
    if not solid.is_watertight:
        raise ValueError(f"soft_jaw.model.file must be a closed surface, found gaps in that of {stated.file}")
    if not solid.is_winding_consistent or not solid.volume > 0.0:
        raise ValueError(
            f"soft_jaw.model.file must have all its triangles wound outward, found others in {stated.file}"
        )


def _require_size(solid: trimesh.Trimesh, scenario: Scenario, stated: JawModel) -> None:
    """Hold the extent to the dimensions: masses, screws and contact are worked out from these."""
    jaw = scenario.soft_jaw
    low, high = np.asarray(solid.bounds, dtype=np.float64)
    wanted = (
        ("inner end at x =", low[0], 0.0),
        ("outer end at x =", high[0], jaw.length),
        ("right side at y =", low[1], -0.5 * jaw.width),
        ("left side at y =", high[1], 0.5 * jaw.width),
        ("top face at z =", high[2], jaw.height),
        ("serrated plane at z =", low[2], 0.0),
    )
    for words, found, want in wanted:
        # Modelled serrations reach below their plane.
        spare = (
            scenario.chuck.serration_pitch
            if want == 0.0 and words.startswith("serr") and found < 0.0
            else 0.0
        )
        if abs(found - want) > WITHIN + spare:
            raise ValueError(
                f"soft_jaw.model.file must have its {words} {want:g} mm in the jaw's frame (x from the inner end, y "
                f"across, z from the serrated plane), found {found:g} mm in {stated.file} read as {stated.unit}"
            )
