"""What tests of several commands share."""

from __future__ import annotations

import sys
from collections.abc import Callable

import pytest

from sim import cli


@pytest.fixture
def command(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> Callable[[str], Callable[..., tuple[int, str, str]]]:
    """Return a command as a function of its arguments: exit status, what it printed, what it complained of."""

    def named(name: str) -> Callable[..., tuple[int, str, str]]:
        def call(*arguments: str) -> tuple[int, str, str]:
            monkeypatch.setattr(sys, "argv", ["chuckscene", name, *arguments])
            with pytest.raises(SystemExit) as left:
                cli.main()
            out, err = capfd.readouterr()
            return int(left.value.code or 0), out, err

        return call

    return named
