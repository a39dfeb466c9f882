"""The way of the tensioner's pulley: crossings in closed form, parts and turns of simple drives."""

from __future__ import annotations

from math import asin, degrees, radians, sin, sqrt

import pytest

from beltpath.layout.records import Tensioner
from beltpath.solve.motion import MOST_LOOKS, Motion, _inside, _looked, between
from beltpath.solve.path import MISSED_WRAP, BeltPath, Disc, ring
from beltpath.solve.tensioner import Travel

LINE = Motion(at=(10.0, 0.0), pivot=None, along=90.0)
ARC = Motion(at=(50.0, 0.0), pivot=(0.0, 0.0), along=0.0)


def path_of(*discs: Disc) -> BeltPath:
    laid = ring(discs)
    return BeltPath(
        contacts=laid.contacts,
        spans=laid.spans,
        sides=tuple("ribs" for _ in discs),
        loop=1,
        length=laid.length,
        turning=laid.turning,
        b_e=0.0,
        inferred=(),
    )


def pair(apart: float, large: float = 100.0, small: float = 20.0) -> BeltPath:
    """A large pulley and, to its right, a small one that moves."""
    return path_of(Disc("big", (0.0, 0.0), large, 1), Disc("t", (apart, 0.0), small, 1))


class TestCrossings:
    def test_a_line_at_a_distance_from_a_point(self) -> None:
        assert LINE.at_distance((0.0, 0.0), 26.0) == pytest.approx((-24.0, 24.0))
        assert LINE.at_distance((0.0, 0.0), 9.0) == ()

    def test_an_arc_at_a_distance_from_a_point(self) -> None:
        low, high = ARC.at_distance((50.0, 0.0), 50.0)
        assert (low, high) == pytest.approx((60.0, 300.0))
        assert ARC.at_distance((200.0, 0.0), 10.0) == ()
        assert ARC.at_distance((0.0, 0.0), 50.0) == ()  # everywhere, and so nowhere in particular

    def test_a_line_and_a_line(self) -> None:
        assert LINE.on_line((0.0, 0.0), (1.0, 0.0), 7.0) == pytest.approx((7.0,))
        along = LINE.velocity(0.0)
        assert LINE.on_line((0.0, 0.0), along, 7.0) == ()

    def test_an_arc_and_a_line(self) -> None:
        found = ARC.on_line((0.0, 0.0), (1.0, 0.0), 25.0)
        assert sorted(found) == pytest.approx([30.0, 150.0])
        assert ARC.on_line((0.0, 0.0), (1.0, 0.0), 51.0) == ()

    def test_the_nearest_to_a_point(self) -> None:
        assert LINE.nearest((0.0, 5.0), -20.0, 20.0) == pytest.approx(10.0)
        assert LINE.nearest((10.0, 25.0), -20.0, 20.0) == pytest.approx(5.0)
        assert ARC.nearest((100.0, 0.0), 300.0, 400.0) == pytest.approx(50.0)
        assert ARC.nearest((100.0, 0.0), 90.0, 180.0) == pytest.approx(sqrt(12_500.0))


class TestTwo:
    """In a drive of two both wraps follow both spans: π ± 2·asin((R − r)/apart)."""

    def test_a_wrap_that_passes_300_degrees_ends_the_part(self) -> None:
        t = Tensioner(pulley="t", kind="slide", along=0.0, free=100.0, load=-115.0)
        travel = Travel(t, pair(200.0), (200.0, 0.0))
        # asin(80/apart) = 60° where the large pulley is wrapped by 300°.
        nearest = 80.0 / sin(radians(60.0)) - 200.0
        (part,) = travel.parts()
        assert part == pytest.approx((100.0, nearest), abs=1e-5)
        assert travel.path.contacts[0].wrap < MISSED_WRAP
        assert degrees(asin(80.0 / (200.0 + nearest))) == pytest.approx(60.0)

    def test_so_does_one_on_the_pulley_that_moves(self) -> None:
        path = path_of(Disc("small", (0.0, 0.0), 20.0, 1), Disc("t", (200.0, 0.0), 100.0, 1))
        t = Tensioner(pulley="t", kind="slide", along=0.0, free=100.0, load=-150.0)
        ((free, load),) = Travel(t, path, (200.0, 0.0)).parts()
        assert (free, load) == pytest.approx((100.0, 80.0 / sin(radians(60.0)) - 200.0), abs=1e-5)

    def test_where_there_is_no_belt_there_is_no_rate_and_no_wrap(self) -> None:
        way = between(pair(200.0), "t", Motion(at=(200.0, 0.0), pivot=None, along=0.0))
        assert way.rate(-150.0) == 0.0
        assert way._over(-150.0, own=True) == -MISSED_WRAP
        assert way._over(-150.0, own=False) == -MISSED_WRAP

    def test_a_length_that_does_not_change_is_not_looked_at_for_ever(self) -> None:
        """Swung about the other pulley's centre."""
        way = between(pair(200.0), "t", Motion(at=(200.0, 0.0), pivot=(0.0, 0.0), along=0.0))
        looks = _looked(way.rate, -90.0, 90.0, lambda *_: False, 1e-9)
        assert MOST_LOOKS <= len(looks) < 3 * MOST_LOOKS
        assert way.turns(-90.0, 90.0) == []


def test_an_end_at_which_nothing_is_laid_falls_back_on_the_middle() -> None:
    assert _inside(0.0, 1.0, lambda _: False) == 0.5
    assert _inside(0.0, 1.0, lambda p: p > 1e-9) == pytest.approx(1e-9, rel=1.0)
    assert _inside(1.0, 0.0, lambda p: p <= 1.0) == 1.0
