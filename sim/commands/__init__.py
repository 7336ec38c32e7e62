"""The commands that are registered by `sim.cli`, by what they serve; what several share is in `shared`."""
