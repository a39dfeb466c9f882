"""Where the tensioner is tried."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings

from beltpath.geometry import distance
from beltpath.layout.layout import Layout
from beltpath.layout.records import Tensioner
from beltpath.routing.places import MOST_STEPS, STEP, places_of
from tests.routes.drives import layout_of, pulley, tensioned

CRANK = pulley("crank", (0.0, 0.0), 100.0, role="crank")
CARRIED = pulley("t", (200.0, 0.0), 70.0, face="smooth", role="tensioner")


def positions(layout: Layout) -> list[float]:
    """The positions tried, in their order."""
    return [place.position for place in places_of(layout)]


class TestPlaces:
    """Every stop, the window and the measured place are tried, free end first, a step apart."""

    def test_without_a_tensioner_there_is_one(self) -> None:
        assert positions(layout_of(CRANK, CARRIED)) == [0.0]

    def test_a_slide_with_its_window(self) -> None:
        slide = Tensioner(
            pulley="t", kind="slide", along=90.0, free=10.0, load=-6.0, window=(-3.0, 4.0)
        )
        tried = positions(layout_of(CRANK, CARRIED, tensioner=slide))
        assert {10.0, -6.0, -3.0, 4.0, 0.5, 0.0} <= set(tried)
        assert tried == sorted(tried, reverse=True)
        assert all(a - b <= STEP for a, b in pairwise(tried))

    def test_an_arm_measured_beyond_its_stop(self) -> None:
        arm = Tensioner(pulley="t", kind="arm", pivot=(150.0, 0.0), free=5.0, load=60.0)
        first, *others = places_of(layout_of(CRANK, CARRIED, tensioner=arm))
        assert (first.position, first.within) == (0.0, False)
        assert first.centre == pytest.approx(CARRIED.at)
        assert all(place.within for place in others)

    def test_a_long_travel_is_tried_in_longer_steps(self) -> None:
        slide = Tensioner(pulley="t", kind="slide", along=0.0, free=0.0, load=500.0)
        assert len(places_of(layout_of(CRANK, CARRIED, tensioner=slide))) == MOST_STEPS + 1

    @settings(max_examples=30)
    @given(tensioned(least=2, most=3, smooth=1))
    def test_no_two_places_are_the_same(self, layout: Layout) -> None:
        places = places_of(layout)
        assert all(distance(a.centre, b.centre) > 1e-3 for a, b in pairwise(places))
        assert all(place.within for place in places)
