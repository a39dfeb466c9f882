"""Laws of the swept tensioner: it is `Travel`, at many positions at once."""

from __future__ import annotations

from collections.abc import Callable
from math import isnan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from beltpath import parse
from beltpath.layout.layout import Layout
from beltpath.layout.records import Tensioner
from beltpath.solve.many import positions_for, sweep
from beltpath.solve.path import trace
from beltpath.solve.tensioner import Travel
from tests import drives
from tests.bench.eight import eight
from tests.drives import drive, grooved
from tests.strategies import Made, law, layout_of, tensioned


def three(sense: str) -> Layout:
    """Three pulleys, the third on a slide."""
    pulleys = {
        "crank": grooved(0, 0, 120, "crank"),
        "fan": grooved(250, 30, 90, "fan"),
        "slide": grooved(120, 140, 60, "tensioner"),
    }
    tensioner = drives.slide("slide", along=70, free=40, load=-30)
    return parse(drive(pulleys, tensioner=tensioner, crank_turns=sense))


def arm() -> Travel:
    return travel_of(eight())


def slide() -> Travel:
    return travel_of(three("counterclockwise"))


def not_proper() -> Travel:
    """The slide's drive routed against its belt's travel: laid, but every pulley missed."""
    return travel_of(three("clockwise"))


def over_centre() -> Travel:
    """An arm that stands upright in mid-travel: the length rises, and falls again."""
    travel = slide()
    upright = Tensioner(pulley="slide", kind="arm", pivot=(125.0, 40.0), free=60.0, load=150.0)
    return Travel(upright, travel.path, travel.measured_at)


def travel_of(layout: Layout) -> Travel:
    assert layout.tensioner is not None
    return Travel(layout.tensioner, trace(layout), layout.pulleys[layout.tensioner.pulley].at)


MakeTravel = Callable[[], Travel]
every_travel = pytest.mark.parametrize("make", [arm, slide, not_proper, over_centre])


class TestSweep:
    """Length and rate at every position are the scalar ones; NaN where `laid` finds no belt."""

    @every_travel
    def test_agrees_with_travel(self, make: MakeTravel) -> None:
        travel = make()
        swept = sweep(travel, np.linspace(-220.0, 330.0, 56))
        for at, length, rate, ok in zip(
            swept.positions, swept.lengths, swept.rates, swept.ok, strict=True
        ):
            path = travel.laid(float(at))
            assert ok == (path is not None)
            if path is None:
                assert isnan(length)
                assert isnan(rate)
            else:
                assert length == pytest.approx(path.length, rel=1e-12)
                assert rate == pytest.approx(travel.rate(path, float(at)), rel=1e-9, abs=1e-9)
        assert swept.ok.sum() > 10

    @every_travel
    def test_rate_is_the_slope(self, make: MakeTravel) -> None:
        travel, step = make(), 1e-4
        at = np.linspace(*travel.usable(), 9)[1:-1]
        slope = (sweep(travel, at + step).lengths - sweep(travel, at - step).lengths) / (2.0 * step)
        np.testing.assert_allclose(sweep(travel, at).rates, slope, rtol=1e-6, atol=1e-7)

    def test_one_position(self) -> None:
        assert sweep(arm(), 168.0).lengths.shape == (1,)


class TestPositionsFor:
    """A position that is found gives the length asked for; NaN where the scalar answer is None."""

    @every_travel
    def test_agrees_with_position_for(self, make: MakeTravel) -> None:
        travel = make()
        usable = travel.usable()
        ends = [travel.path_at(end).length for end in usable]
        wanted = np.array([*np.linspace(min(ends) - 20.0, max(ends) + 20.0, 40), *ends])
        found = positions_for(travel, wanted, usable)
        assert np.isnan(found).any()
        for position, length in zip(found, wanted, strict=True):
            expected = travel.position_for(float(length), usable)
            assert isnan(position) == (expected is None)
            if expected is not None:
                assert travel.path_at(float(position)).length == pytest.approx(length, abs=1e-8)
                assert position == pytest.approx(expected, abs=1e-6)

    @law
    @given(tensioned(kinds=("arm", "slide", "swing")), st.floats(0.0, 1.0))
    def test_there_and_back(self, made: Made, part: float) -> None:
        travel = travel_of(layout_of(made.data))
        free, load = travel.usable()
        swept = sweep(travel, [free, free + part * (load - free), load])
        assert swept.ok.all()
        found = positions_for(travel, swept.lengths, (free, load))
        np.testing.assert_allclose(found, swept.positions, rtol=0.0, atol=1e-6)

    def test_an_end_is_held_to_the_last_digits_and_no_more(self) -> None:
        travel = arm()
        longest, shortest = (travel.path_at(end).length for end in (150.0, 190.0))
        wanted = [longest + 5e-10, longest + 1e-6, shortest - 5e-10, shortest - 1e-6]
        found = positions_for(travel, wanted, (150.0, 190.0))
        np.testing.assert_array_equal(found, [150.0, np.nan, 190.0, np.nan])

    def test_a_travel_that_changes_no_length_holds_only_that_length(self) -> None:
        travel = slide()
        length = travel.path_at(10.0).length
        found = positions_for(travel, [length, length + 1.0], (10.0, 10.0))
        assert found[0] == 10.0
        assert isnan(found[1])

    def test_a_jump_of_the_length_is_no_position(self) -> None:
        """Past 247° the belt misses the tensioner: no position gives 2 200 mm, though ends do."""
        travel = arm()
        assert sweep(travel, [150.0, 240.0, 300.0]).ok.tolist() == [True, True, False]
        assert travel.path_at(150.0).length < 2200.0 < travel.path_at(300.0).length
        found = positions_for(travel, [2120.0, 2200.0], (150.0, 300.0))
        assert isnan(found[1])

    def test_no_length_is_no_number(self) -> None:
        assert np.isnan(positions_for(arm(), [np.nan, np.inf], (150.0, 190.0))).all()
