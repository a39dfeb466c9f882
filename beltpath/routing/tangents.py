"""Many tangents at once, as arrays: the same formulas as `geometry` and `clearance`, for a graph.

Every array of spans has the places of the tensioner as its first axis and the spans as its second.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from beltpath.geometry import TAU

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Whole = NDArray[np.int64]

#: As in `geometry.turn`: a backward turn smaller than this is rounding error.
NO_TURN = 1e-9
#: As in `geometry.crossing_point`: spans that only touch at an end do not cross.
AT_END = 1e-9
#: Pairs of spans are looked at in blocks of about so many: their arrays then stay in the cache.
AT_ONCE = 65_536


class Tangents(NamedTuple):
    """Directed tangents by place and span; the values of those that do not exist are NaN."""

    leave: Floats
    enter: Floats
    direction: Floats
    length: Floats

    def part(self, places: slice, spans: slice | Bools) -> Tangents:
        """Those of some places and some spans."""
        return Tangents(*(array[places, spans] for array in self))


def tangents(c1: Floats, q1: Floats, c2: Floats, q2: Floats) -> Tangents:
    """Directed tangents between circles of signed radii q (see `geometry.tangent`)."""
    between = c2 - c1
    dx, dy = between[..., 0], between[..., 1]
    rise = q2 - q1
    square = dx * dx + dy * dy
    left = square - rise * rise
    length = np.sqrt(np.where(left > 0.0, left, np.nan))
    ux, uy = (length * dx + rise * dy) / square, (length * dy - rise * dx) / square
    normal = np.stack((uy, -ux), axis=-1)
    return Tangents(
        c1 + normal * q1[:, None],
        c2 + normal * q2[:, None],
        np.stack((ux, uy), axis=-1),
        length,
    )


def gaps(spans: Tangents, band: tuple[float, float], centres: Floats, rims: Floats) -> Floats:
    """How far the belt of every span stays from every rim (last axis), exact, mm.

    The belt reaches from one end of `band` to the other, mm to the left of the span's line.
    `centres` holds points by place and rim.
    """
    low, high = band
    rel = centres[:, None, :, :] - spans.leave[:, :, None, :]
    ux, uy = spans.direction[..., 0, None], spans.direction[..., 1, None]
    along = rel[..., 0] * ux + rel[..., 1] * uy
    left = rel[..., 1] * ux - rel[..., 0] * uy
    past = np.maximum(np.maximum(-along, along - spans.length[..., None]), 0.0)
    beside = np.maximum(np.maximum(low - left, left - high), 0.0)
    gap: Floats = np.hypot(past, beside) - rims
    return gap


def crossing(one: Tangents, other: Tangents) -> Bools:
    """Which spans of `one` properly cross which of `other` (see `geometry.crossing_point`)."""
    (_, rows), (places, columns) = one.length.shape, other.length.shape
    found: Bools = np.empty((max(len(one.length), places), rows, columns), dtype=np.bool_)
    step = max(AT_ONCE // max(places * columns, 1), 1)
    for i in range(0, rows, step):
        block = slice(i, i + step)
        found[:, block] = _crossing(one.part(slice(None), block), other)
    return found


def _crossing(one: Tangents, other: Tangents) -> Bools:
    (ax, ay), (cx, cy) = _apart(one.leave, 2), _apart(other.leave, 1)
    (rx, ry), (sx, sy) = _apart(one.enter - one.leave, 2), _apart(other.enter - other.leave, 1)
    ex, ey = cx - ax, cy - ay
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        across = 1.0 / (rx * sy - ry * sx)
        along = (ex * sy - ey * sx) * across
        further = (ex * ry - ey * rx) * across
    end = 1.0 - AT_END
    found: Bools = (along > AT_END) & (along < end) & (further > AT_END) & (further < end)
    return found


def turns(before: Floats, after: Floats, sign: Whole) -> Floats:
    """The turns from directions `before` to `after`, in [0, 2π) (see `geometry.turn`)."""
    angle = sign * np.arctan2(_cross(before, after), (before * after).sum(axis=-1))
    return np.where(angle >= 0.0, angle, np.where(angle > -NO_TURN, 0.0, angle + TAU))


def _cross(a: Floats, b: Floats) -> Floats:
    product: Floats = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return product


def _apart(points: Floats, axis: int) -> tuple[Floats, Floats]:
    """The coordinates by place and span, each with a new axis to pair spans along."""
    x, y = (np.ascontiguousarray(points[..., i]) for i in (0, 1))
    return np.expand_dims(x, axis), np.expand_dims(y, axis)
