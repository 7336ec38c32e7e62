"""Geometry only: frozen dimension dataclasses in, watertight meshes out."""
