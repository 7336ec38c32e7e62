"""Drawings of a judged setup in true scale: one list of primitives a sheet, written as SVG, PDF or DXF.

A sheet's own frame: mm on the paper, origin at its lower left corner, x to the right, y up.
"""
