"""Clearance in the half-plane: what a tool meets of the bodies that turn with the spindle."""
