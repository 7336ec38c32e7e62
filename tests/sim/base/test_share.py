"""How much of long work is done, told from within a part of it."""

from __future__ import annotations

from sim.base.share import counted, part_of, shares_to, tell_share


def test_shares_of_a_part_are_told_as_those_of_the_whole() -> None:
    said: list[str] = []
    with shares_to(said.append):
        tell_share(20, 80)
        with part_of(20, 40, 80):
            assert list(counted("ab")) == ["a", "b"]
            tell_share(5, 5)
        tell_share(60, 80)
    assert said == ["25\u00a0%", "25\u00a0%", "50\u00a0%", "75\u00a0%", "75\u00a0%"]
    with part_of(0, 1, 1):
        tell_share(1, 2)
    assert len(said) == 5
