"""Libraries that another library loads at once, and that most runs never ask: loaded when they are first asked."""

from __future__ import annotations

import importlib
import importlib.util
import sys
from types import ModuleType
from typing import Any


class _Later(ModuleType):
    """Stands where a library would; whatever is asked of it, the library itself answers.

    Python's own way to do so (`importlib.util.LazyLoader`) loads the library at the next `import` of it.
    """

    def __getattr__(self, asked: str) -> Any:
        if sys.modules.get(self.__name__) is self:
            del sys.modules[self.__name__]
        return getattr(importlib.import_module(self.__name__), asked)


def loaded_late(name: str) -> None:
    """Let a library be loaded when something in it is first asked for; nothing happens where it is not installed.

    Of a module inside a library that is not looked for, since that would load the library. A library that is loaded
    after this, and does not ask for its module, is told of it by asking this once more.
    """
    inside, _, own = name.rpartition(".")
    if name not in sys.modules:
        spec = None if inside else importlib.util.find_spec(name)
        if not inside and spec is None:
            return
        later = _Later(name)
        later.__spec__ = spec
        sys.modules[name] = later
    if inside in sys.modules and own not in vars(sys.modules[inside]):
        setattr(sys.modules[inside], own, sys.modules[name])


def lighter_libraries() -> None:
    """Let what libraries load at once, and no check asks of them, be loaded late: a sixth of all its imports.

    Fortran sources; collisions of meshes, voxels, spheres around points, closed paths and rotations; optimization, of
    which only what is not held asks.
    """
    importlib.import_module("numpy")  # it looks for f2py in itself, and so has to have it
    for name in (
        "fcl",
        "numpy.f2py",
        "scipy.optimize",
        "scipy.spatial.transform",
        "trimesh.nsphere",
        "trimesh.path.polygons",
        "trimesh.path.simplify",
        "trimesh.voxel",
    ):
        loaded_late(name)
