"""Collisions of many upright boxes and segments at once (numpy).

Boxes are rows (x0, y0, x1, y1), segments rows of two points. Every function takes n rows and m
rows and answers an n × m table of booleans.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]


def widened(boxes: Floats, by: float) -> Floats:
    """The boxes, larger by `by` on every side."""
    wide: Floats = boxes + np.array([-by, -by, by, by])
    return wide


def boxes_overlap(boxes: Floats, others: Floats) -> Bools:
    """Whether boxes share area."""
    a, b = boxes[:, None], others[None]
    found: Bools = (
        (a[..., 0] < b[..., 2])
        & (a[..., 2] > b[..., 0])
        & (a[..., 1] < b[..., 3])
        & (a[..., 3] > b[..., 1])
    )
    return found


def boxes_touch_discs(boxes: Floats, centres: Floats, radii: Floats) -> Bools:
    """Whether a box comes nearer to a disc's centre than its radius."""
    nearest = np.clip(centres[None], boxes[:, None, :2], boxes[:, None, 2:])
    found: Bools = np.hypot(*np.moveaxis(nearest - centres[None], -1, 0)) < radii[None]
    return found


def segments_touch_discs(segments: Floats, centres: Floats, radii: Floats) -> Bools:
    """Whether a segment comes nearer to a disc's centre than its radius."""
    start, end = segments[:, None, 0], segments[:, None, 1]
    found: Bools = _to_segment(centres[None], start, end) < radii[None]
    return found


def segments_cross_boxes(segments: Floats, boxes: Floats) -> Bools:
    """Whether a segment enters a box: no separating axis among x, y and the segment's normal."""
    a, b = segments[:, None, 0], segments[:, None, 1]
    low, high = boxes[None, :, :2], boxes[None, :, 2:]
    apart = np.any((np.maximum(a, b) < low) | (np.minimum(a, b) > high), axis=-1)
    along = b - a
    normal = np.stack([-along[..., 1], along[..., 0]], axis=-1)
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    off = np.abs(np.sum(normal * (middle - a), axis=-1))
    reach = np.sum(np.abs(normal) * half, axis=-1)
    found: Bools = ~(apart | (off > reach))
    return found


def segments_near(segments: Floats, others: Floats, gap: float) -> Bools:
    """Whether two segments cross or come nearer to each other than `gap`."""
    a, b = segments[:, None, 0], segments[:, None, 1]
    c, d = others[None, :, 0], others[None, :, 1]
    near = np.minimum.reduce(
        [_to_segment(a, c, d), _to_segment(b, c, d), _to_segment(c, a, b), _to_segment(d, a, b)]
    )
    crossing = (_side(a, b, c) * _side(a, b, d) < 0) & (_side(c, d, a) * _side(c, d, b) < 0)
    found: Bools = crossing | (near < gap)
    return found


def _side(a: Floats, b: Floats, p: Floats) -> Floats:
    """On which side of the line ab a point lies (sign of the cross product)."""
    left: Floats = (b[..., 0] - a[..., 0]) * (p[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (
        p[..., 0] - a[..., 0]
    )
    return left


def _to_segment(p: Floats, a: Floats, b: Floats) -> Floats:
    """Distance from points to segments."""
    along = b - a
    square = np.maximum(np.sum(along * along, axis=-1), 1e-12)
    share = np.clip(np.sum((p - a) * along, axis=-1) / square, 0.0, 1.0)
    off = p - (a + share[..., None] * along)
    distance: Floats = np.hypot(off[..., 0], off[..., 1])
    return distance
