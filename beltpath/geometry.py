"""Points, directed tangents and turns between circles. No belt words here.

A circle that is run round carries a *signed radius* ``q``: positive when it is run round
anticlockwise, negative when clockwise. Lengths are in whatever unit the caller uses, angles in
radians.
"""

from __future__ import annotations

from math import atan2, hypot, pi, sqrt
from typing import NamedTuple

Point = tuple[float, float]
TAU = 2.0 * pi


class Tangent(NamedTuple):
    """The directed straight line that leaves one circle and runs on to the next."""

    start: Point
    end: Point
    direction: Point
    length: float


def tangent(c1: Point, q1: float, c2: Point, q2: float) -> Tangent | None:
    """The directed tangent from circle `c1` to circle `c2`, or None when there is none.

    With u the unit direction of travel and n its left normal, ``n·(c2 − c1) = q2 − q1`` and the
    length is ``sqrt(|c2 − c1|² − (q2 − q1)²)``. There is none when ``|q2 − q1| >= |c2 − c1|``.
    """
    dx = c2[0] - c1[0]
    dy = c2[1] - c1[1]
    rise = q2 - q1
    square = dx * dx + dy * dy
    left = square - rise * rise
    if left <= 0.0:
        return None
    length = sqrt(left)
    ux = (length * dx + rise * dy) / square
    uy = (length * dy - rise * dx) / square
    return Tangent(
        (c1[0] + uy * q1, c1[1] - ux * q1), (c2[0] + uy * q2, c2[1] - ux * q2), (ux, uy), length
    )


def turn(before: Point, after: Point, sense: int) -> float:
    """The angle in [0, 2π) from direction `before` to `after`, by `sense` (+1 anticlockwise).

    A turn smaller than rounding error counts as none, so that a circle that is just touched
    comes out as 0 and not as a whole turn.
    """
    angle = sense * atan2(
        before[0] * after[1] - before[1] * after[0], before[0] * after[0] + before[1] * after[1]
    )
    if angle >= 0.0:
        return angle
    return 0.0 if angle > -1e-9 else angle + TAU


def distance(a: Point, b: Point) -> float:
    """The distance between two points."""
    return hypot(b[0] - a[0], b[1] - a[1])


def crossing_point(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    """Where segment ab properly crosses segment cd; None when they miss or only touch at an end."""
    rx, ry = b[0] - a[0], b[1] - a[1]
    sx, sy = d[0] - c[0], d[1] - c[1]
    across = rx * sy - ry * sx
    if across == 0.0:
        return None
    along = ((c[0] - a[0]) * sy - (c[1] - a[1]) * sx) / across
    other = ((c[0] - a[0]) * ry - (c[1] - a[1]) * rx) / across
    if not (1e-9 < along < 1.0 - 1e-9 and 1e-9 < other < 1.0 - 1e-9):
        return None
    return (a[0] + along * rx, a[1] + along * ry)


def rotated(p: Point, cos: float, sin: float) -> Point:
    """Point `p` turned about the origin by the angle whose cosine and sine are given."""
    return (cos * p[0] - sin * p[1], sin * p[0] + cos * p[1])
