"""Whether every lower speed is allowed, too, told by few of them."""

from __future__ import annotations

import numpy as np

from sim.assessment.remedies import _all_allowed


def test_few_speeds_tell_what_all_of_them_tell() -> None:
    """Of speeds that are allowed and rise: some above each speed, some below one, some below the highest alone."""
    told = set()
    for seed in range(40):
        rng = np.random.default_rng(seed)
        speeds = np.sort(rng.uniform(50.0, 900.0, 19))
        over = np.maximum.accumulate(speeds + rng.uniform(-(seed % 3), 200.0, 19))
        if seed % 4 == 0:
            over = np.minimum(over, speeds[-1] - 0.1)
        rising = dict(zip(speeds.tolist(), over.tolist(), strict=True))
        found = _all_allowed(rising.__getitem__, list(rising))
        assert found == all(rising[n] >= n for n in rising), seed
        told.add(found)
    assert told == {True, False}


def test_no_more_are_asked_than_tell() -> None:
    asked: list[float] = []

    def allowed(speed: float) -> float:
        asked.append(speed)
        return 900.0

    assert _all_allowed(allowed, [100.0, 400.0, 900.0])
    assert asked == [100.0]
    assert not _all_allowed(lambda n: n - 1.0, [100.0, 400.0])
    assert _all_allowed(lambda n: n, [100.0, 400.0, 900.0])
    assert _all_allowed(lambda n: n - 1.0, [])
    one_is_not = {100.0: 150.0, 200.0: 150.0, 210.0: 250.0, 300.0: 350.0, 400.0: 400.0}
    assert not _all_allowed(one_is_not.__getitem__, list(one_is_not))
