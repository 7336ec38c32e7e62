"""Where this system keeps what a user's programs have worked out and can work out again."""

from __future__ import annotations

import os
from pathlib import Path

from platformdirs import user_cache_path


def user_cache() -> Path:
    """Return the program's folder in the user's cache; on Linux $XDG_CACHE_HOME or ~/.cache by its specification.

    A user without a home, as of a service or in a container, has none: what is returned then can neither be read nor
    written.
    """
    try:
        own = user_cache_path("chuckscene", appauthor=False)
        if not own.is_absolute():  # of a relative $XDG_CACHE_HOME, which the specification says to ignore
            own = Path.home() / ".cache" / "chuckscene"
    except RuntimeError:
        return Path(os.devnull, "chuckscene")
    return own if own.is_absolute() else Path(os.devnull, "chuckscene")


def contact_folder() -> Path:
    """Return where compliances and pressed contacts are kept."""
    return user_cache() / "contact"


def answers_folder() -> Path:
    """Return the folder in which commands leave what the next run on a file may read."""
    return user_cache() / "answers"
