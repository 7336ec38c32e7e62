"""Friction pairings by what they are of: names read "part on jaw, jaw face, part surface"."""

from __future__ import annotations

from collections.abc import Iterable

from sim.base import tables
from sim.base.errors import ScenarioError
from sim.base.tables import Friction, Material

FAMILIES = ("cast iron", "aluminium", "brass", "steel", "plastic")  # as the pairings of the table name them
SURFACES = ("turned", "ground", "raw")  # of the part, where the jaws grip it
SERRATED = "serrated"


def family(material: Material) -> str:
    """Return what the pairings call a material; '' where they name none."""
    return material.family or next((name for name in FAMILIES if name in material.name), "")


def surface_of(pairing: str) -> str:
    """Return which surface of a part a pairing names; '' where it names none."""
    return next((one for one in SURFACES if f"{one} part" in pairing), "")


def pairing_name(part: str, jaw: str, surface: str) -> str:
    """Return the name of the pairing of two families; soft jaws are bored, so their faces are smooth."""
    return f"{part} on {jaw}, smooth jaw, {surface} part"


def known_pairings(*materials: Material) -> tuple[Friction, ...]:
    """Return the pairings of the table and those that the materials themselves state."""
    own = dict.fromkeys(row for material in materials for row in material.pairings)
    return (*tables.frictions(), *own)


def named(name: str, rows: Iterable[Friction]) -> Friction:
    """Return the pairing of that name; UnknownNameError otherwise."""
    return tables.friction(name, own=tuple(rows))


def following(part: Material, jaw: Material, surface: str) -> Friction:
    """Return the pairing that follows from two materials and the surface that is gripped.

    Raises
    ------
    ScenarioError
        If none is known.
    """
    wanted = pairing_name(family(part) or part.name, family(jaw) or jaw.name, surface)
    row = next((one for one in known_pairings(part, jaw) if one.name == wanted), None)
    if row is None:
        raise ScenarioError(
            f"no friction is known for {part.name} in jaws of {jaw.name}, {surface}: neither the table nor a material "
            f"of the scenario has '{wanted}'"
        )
    return row
