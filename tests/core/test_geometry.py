"""Points, tangents and turns, on cases that can be worked out by hand."""

from __future__ import annotations

from math import pi, sqrt

import pytest

from beltpath.geometry import (
    TAU,
    Point,
    crossing_point,
    distance,
    rotated,
    tangent,
    turn,
)

EAST, NORTH, WEST, SOUTH = (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)


class TestTangent:
    """The directed tangent of two circles, of which there are four, or none."""

    def test_of_equal_circles_both_anticlockwise(self) -> None:
        found = tangent((0, 0), 2, (10, 0), 2)
        assert found is not None
        assert found == ((0, -2), (10, -2), (1, 0), 10)

    def test_of_equal_circles_both_clockwise(self) -> None:
        found = tangent((0, 0), -2, (10, 0), -2)
        assert found is not None
        assert found == ((0, 2), (10, 2), (1, 0), 10)

    def test_crossing(self) -> None:
        found = tangent((0, 0), 3, (10, 0), -3)
        assert found is not None
        assert found.length == pytest.approx(8.0)
        assert found.start == pytest.approx((1.8, -2.4))
        assert found.end == pytest.approx((8.2, 2.4))
        assert found.direction == pytest.approx((0.8, 0.6))

    def test_of_points(self) -> None:
        found = tangent((0, 0), 0, (3, 4), 0)
        assert found is not None
        assert found.length == 5.0

    @pytest.mark.parametrize(
        ("q1", "c2", "q2"),
        [(5, (3, 0), 1), (5, (4, 0), 1), (5, (5, 0), -1), (5, (6, 0), -1), (2, (0, 0), 2)],
    )
    def test_none(self, q1: float, c2: Point, q2: float) -> None:
        assert tangent((0, 0), q1, c2, q2) is None


class TestTurn:
    """The turn from one direction to another by a sense, in [0, 2π)."""

    def test_quarters(self) -> None:
        assert turn(EAST, NORTH, 1) == pytest.approx(pi / 2)
        assert turn(EAST, NORTH, -1) == pytest.approx(3 * pi / 2)
        assert turn(EAST, SOUTH, -1) == pytest.approx(pi / 2)
        assert turn(EAST, WEST, 1) == turn(EAST, WEST, -1) == pytest.approx(pi)

    def test_none_is_none_and_not_a_whole_turn(self) -> None:
        assert turn(EAST, EAST, 1) == turn(EAST, EAST, -1) == 0.0
        assert turn(EAST, (1.0, -1e-12), 1) == 0.0
        assert turn(EAST, (1.0, 1e-12), -1) == 0.0

    def test_a_little_the_wrong_way_is_nearly_a_whole_turn(self) -> None:
        assert turn(EAST, (1.0, -1e-6), 1) == pytest.approx(TAU - 1e-6)


class TestCrossingPoint:
    """Where two segments properly cross."""

    def test_crossing(self) -> None:
        assert crossing_point((0, 0), (4, 4), (0, 4), (4, 0)) == pytest.approx((2, 2))

    @pytest.mark.parametrize(
        ("a", "b", "c", "d"),
        [
            ((0, 0), (4, 0), (0, 1), (4, 1)),  # parallel
            ((0, 0), (4, 0), (1, 0), (3, 0)),  # on one line
            ((0, 0), (1, 1), (3, 0), (4, 5)),  # beyond the first
            ((0, 0), (4, 4), (0, 4), (1, 3)),  # short of the second
            ((0, 0), (4, 0), (4, 0), (4, 4)),  # touching at an end
            ((0, 0), (4, 0), (2, 0), (2, 4)),  # touching in the middle
        ],
    )
    def test_none(self, a: Point, b: Point, c: Point, d: Point) -> None:
        assert crossing_point(a, b, c, d) is None


def test_distance_and_rotated() -> None:
    assert distance((1, 2), (4, 6)) == 5.0
    half = sqrt(0.5)
    assert rotated((1, 0), half, half) == pytest.approx((half, half))
    assert rotated((0, 1), 0.0, 1.0) == (-1.0, 0.0)
