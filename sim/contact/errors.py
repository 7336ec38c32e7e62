"""Error of the contact computation, shown to a user as one sentence."""

from __future__ import annotations

from sim.base.errors import ChuckSceneError


class ContactNotConverged(ChuckSceneError):  # noqa: N818 - reads as the sentence it stands for
    """No pressure field satisfies contact and equilibrium; the message says why. No figure is returned."""
