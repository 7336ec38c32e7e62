"""Points of a plane and of space, and what they bound: mm; which two or three axes, the user says."""

from __future__ import annotations

Point = tuple[float, float]
Point3 = tuple[float, float, float]
Vector = tuple[float, float, float]  # a direction, or what lies between two points
Outline = tuple[Point, ...]  # corner after corner
