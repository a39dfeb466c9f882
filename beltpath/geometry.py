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
#: A turn smaller than this (rad) is rounding error: it counts as none.
NO_TURN = 1e-9


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
    x1, y1 = c1
    x2, y2 = c2
    dx = x2 - x1
    dy = y2 - y1
    rise = q2 - q1
    square = dx * dx + dy * dy
    left = square - rise * rise
    if left <= 0.0:
        return None
    length = sqrt(left)
    ux = (length * dx + rise * dy) / square
    uy = (length * dy - rise * dx) / square
    return Tangent((x1 + uy * q1, y1 - ux * q1), (x2 + uy * q2, y2 - ux * q2), (ux, uy), length)


def turn(before: Point, after: Point, sense: int) -> float:
    """The angle in [0, 2π) from direction `before` to `after`, by `sense` (+1 anticlockwise).

    A turn smaller than rounding error counts as none, so that a circle that is just touched
    comes out as 0 and not as a whole turn.
    """
    ax, ay = before
    bx, by = after
    angle = sense * atan2(ax * by - ay * bx, ax * bx + ay * by)
    if angle >= 0.0:
        return angle
    return 0.0 if angle > -NO_TURN else angle + TAU


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
    gx, gy = c[0] - a[0], c[1] - a[1]
    along = (gx * sy - gy * sx) / across
    if not 1e-9 < along < 1.0 - 1e-9:
        return None
    if not 1e-9 < (gx * ry - gy * rx) / across < 1.0 - 1e-9:
        return None
    return (a[0] + along * rx, a[1] + along * ry)


def rotated(p: Point, cos: float, sin: float) -> Point:
    """Point `p` turned about the origin by the angle whose cosine and sine are given."""
    return (cos * p[0] - sin * p[1], sin * p[0] + cos * p[1])
