"""The costly solutions behind quick variants one by one, so that several processes can share them out.

``needed`` names the grid points that a batch of variants asks for, without solving one; ``solve`` gives the values at
one of them, in any process that has the same setup ready; ``learn`` takes them over. A batch whose points are all
known takes microseconds a variant.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import ArrayLike

from sim.base.arrays import Floats
from sim.variants.contact import CONTACT
from sim.variants.judge import judged
from sim.variants.ready import CLEAR, Variants
from sim.variants.table import GridTable, Key, Name

Node = tuple[Name, Key]  # table and grid point


def needed(ready: Variants, varied: Mapping[str, ArrayLike]) -> set[Node]:
    """Return the grid points that `judged` asks for, known or not; errors as `judged`."""
    ready.notes.points.clear()
    ready.notes.open = True
    try:
        # Where to look depends on forces and sizes only, so that the zeros in place of solutions do not matter.
        with np.errstate(all="ignore"):
            judged(ready, varied)
    finally:
        ready.notes.open = False
    found = set(ready.notes.points)
    ready.notes.points.clear()
    return found


def unknown(ready: Variants, nodes: Iterable[Node]) -> list[Node]:
    """Return those points that are not solved here, in a fixed order."""
    return sorted(node for node in nodes if not _table(ready, node[0]).knows(node[1]))


def solve(ready: Variants, node: Node) -> Floats:
    """Return the values at a grid point, (k,)."""
    return _table(ready, node[0]).at(node[1])


def learn(ready: Variants, values: Mapping[Node, Floats]) -> None:
    """Take over values that were solved elsewhere for the same setup."""
    for (name, key), found in values.items():
        _table(ready, name).learn(key, found)


def _table(ready: Variants, name: Name) -> GridTable:
    own = ready.operations[int(name[0])]
    if name[1] == CONTACT:
        return own.contact.table(name[2:])
    table = own.places.named.get(name[1], own.clear if name[1] == CLEAR else own.other_step)
    if table is None:
        raise KeyError(f"no table {name}")
    return table
