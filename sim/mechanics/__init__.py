"""Closed forms on plain floats: what moves, turns, pulls and bends."""
