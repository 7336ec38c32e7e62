"""Numbers of variants: a block's values never depend on how the study is cut."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.base.errors import ScenarioError
from sim.studies.plan import FEW, Block, Design, blocks
from sim.studies.preparing import Prepared
from sim.studies.quantities import Marginal, VariedQuantity

LIST = VariedQuantity("a", "", numeric=True, choices=(1.0, 2.0, 3.0))
STEEL = VariedQuantity("b", "", numeric=False, choices=("C45", "16MnCr5"))
SCATTER = VariedQuantity("c", "", numeric=True, marginal=Marginal("normal", -math.inf, 0.0, math.inf, 1.0))
OTHER = VariedQuantity("d", "", numeric=True, marginal=Marginal("uniform", 2.0, 3.0, 4.0, 0.0))


@given(st.integers(1, 60), st.data())
def test_a_block_is_a_slice_of_the_whole(samples: int, data: st.DataObject) -> None:
    design = Design((LIST, SCATTER, STEEL, OTHER), samples, 3, 16)
    first = data.draw(st.integers(0, design.count - 1))
    count = data.draw(st.integers(1, design.count - first))
    whole = design.values(np.arange(design.count))
    part = design.values(np.arange(first, first + count))
    assert [one[first : first + count] for one in whole] == list(part)


def test_many_samples_are_drawn_where_they_are_wanted() -> None:
    """Beyond what is drawn at once a block skips to its own; both ways give the same numbers."""
    design = Design((LIST, SCATTER, OTHER), FEW + 100, 3, 4096)
    few = Design((LIST, SCATTER, OTHER), FEW, 3, 4096)
    across = np.arange(
        FEW + 50, FEW + 150
    )  # the end of one grid point's samples and the beginning of the next's
    values = design.values(across)
    assert values[0] == [1.0] * 50 + [2.0] * 50
    assert values[1][50:] == few.values(np.arange(50))[1]


def test_the_last_list_varies_fastest_and_samples_within_it() -> None:
    design = Design((LIST, STEEL, SCATTER), 2, 0, 16)
    lists, steels, scatter = design.values(np.arange(design.count))
    assert lists == [1.0] * 4 + [2.0] * 4 + [3.0] * 4
    assert steels == ["C45", "C45", "16MnCr5", "16MnCr5"] * 3
    assert scatter == scatter[:2] * 6  # the same samples at each grid point


def test_marginals() -> None:
    """Quantiles by hand: the normal's from tables (1.96 at 97.5 %), the triangle's from its area."""
    share = np.array([0.0, 0.5, 0.975])
    assert Marginal("uniform", 2.0, 3.0, 4.0, 0.0).at(share) == pytest.approx([2.0, 3.0, 3.95])
    normal = Marginal("normal", -math.inf, 10.0, math.inf, 2.0)
    assert normal.at(share[1:]) == pytest.approx([10.0, 10.0 + 2.0 * 1.959964], rel=1e-6)
    assert Marginal("triangular", 0.0, 1.0, 4.0, 0.0).at(share) == pytest.approx(
        [0.0, 4.0 - math.sqrt(0.5 * 4.0 * 3.0), 4.0 - math.sqrt(0.025 * 4.0 * 3.0)]
    )
    cut = Marginal("normal", 9.0, 10.0, 12.0, 1.0).at(np.linspace(0.0, 1.0, 101))
    assert (cut.min(), cut.max()) == (9.0, 12.0)
    assert np.all(np.diff(cut) > 0.0)


def test_blocks_hold_each_variant_once(ready: Callable[[str], Prepared], small: str) -> None:
    study = ready(small.replace("cast_hub_on_ring", "cast_hub_o*"))
    assert [case.name for case in study.cases] == ["cast_hub_on_plug", "cast_hub_on_ring"]
    cut = blocks(study.cases)
    assert cut[0] == Block(0, 0, 0, 16)
    held = [study.cases[b.case].first + b.first + k for b in cut for k in range(b.count)]
    assert held == list(range(study.count))
    assert study.count == 2 * 3 * 3 * 8


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ('"12 bar"', '"12 mm"', "must be a pressure, one number and one unit of bar"),
        ('"12 bar"', "12", "must be a pressure as text"),
        ('low = "600 rpm"\n', "", "must have one of: values; low, high and step; distribution"),
        ('step = "500 rpm"', 'step = "-5 rpm"', "by a step above 0, found 600 rpm to 1600 rpm by -5 rpm"),
        ("mode = 0.08", "mode = 0.3", "must rise from low over mode to high"),
        ("samples = 8\n", "", "samples must be stated for the distribution of chuck.guideway_friction"),
        ("gripping.pressure", "gripping.presure", "must name a field of the scenario"),
        ("cast_hub_on_ring.toml", "nothing*.toml", "found none for"),
        ('key = "chuck.guideway_friction"', 'key = "soft_jaw.material"', "must have a list of values"),
        ('key = "chuck.guideway_friction"', 'key = "soft_jaw.serration_index"', "takes whole numbers"),
        ("speed_high", "pressure", "vary must name each key once"),
        ("seed = 5", "sead = 5", "sead is not a key of a study"),
    ],
)
def test_a_mistake_is_one_sentence(
    ready: Callable[[str], Prepared], small: str, before: str, after: str, says: str
) -> None:
    assert before in small
    with pytest.raises(ScenarioError, match=r"study\.toml") as raised:
        ready(small.replace(before, after))
    assert says in str(raised.value)
    assert "\n" not in str(raised.value)
