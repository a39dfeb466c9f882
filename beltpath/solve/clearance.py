"""How far the belt, thickness included, stays from foreign rims and from itself.

shapely measures the distances; lengths never come from polygons. Rims and spans stay exact: the
distance is taken from a pulley's centre and the rim's radius is subtracted. Only where the belt
comes near itself is the belt on a pulley a fine polyline, `ARC_STEP` apart, whose outer face lies
within 0.008 mm of the circle for a radius of 200 mm.

A *stretch* is a span or the belt on one pulley. The belt of n pulleys has 2n of them, counted round
the loop in its travel: 2i is the belt on contact i, 2i + 1 the span that leaves it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import atan2, ceil, hypot, pi
from typing import NamedTuple

import numpy as np
import shapely

from beltpath.geometry import TAU, Point, distance
from beltpath.layout.layout import Layout
from beltpath.layout.records import Pulley, rim_diameter
from beltpath.solve.path import BeltPath, Contact, Span

ARC_STEP = pi / 180.0


class Gap(NamedTuple):
    """From a stretch of belt to the rim of one pulley, mm; negative when it would pass through."""

    pulley: str
    gap: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """Every foreign rim beside one stretch of belt, nearest first.

    `gap` (mm, negative when the belt would have to pass through the rim) and `nearest` tell of the
    nearest one; both are None when there is no foreign rim.
    """

    gaps: tuple[Gap, ...]

    @property
    def gap(self) -> float | None:
        """The smallest gap, mm."""
        return self.gaps[0].gap if self.gaps else None

    @property
    def nearest(self) -> str | None:
        """The pulley whose rim is nearest."""
        return self.gaps[0].pulley if self.gaps else None


class SelfGap(NamedTuple):
    """Two stretches of the belt that come near each other, `gap` mm apart at `where`.

    The gap is 0 when they would be in one place. Stretches that follow each other are joined and
    do not count, nor do the spans or pulleys either side of one stretch: where such spans run
    together again, the belt on the pulley at the end of one is as near to the other.
    """

    one: int
    other: int
    gap: float
    where: Point


def span_clearances(layout: Layout, path: BeltPath) -> tuple[Clearance, ...]:
    """The rims beside every span, pulleys at the span's own ends left out."""
    pulleys = list(layout.pulleys.values())
    centres = shapely.points([_at(path, pulley) for pulley in pulleys])
    rims = [rim_diameter(pulley, layout.belt.section) / 2.0 for pulley in pulleys]
    return tuple(
        _nearest_first(
            Gap(pulley.name, away - rim)
            for pulley, away, rim in zip(
                pulleys, shapely.distance(band, centres).tolist(), rims, strict=True
            )
            if pulley.name not in (span.start, span.end)
        )
        for span, band in zip(path.spans, bands(layout, path), strict=True)
    )


def wrap_clearances(layout: Layout, path: BeltPath) -> tuple[Clearance, ...]:
    """The rims beside the belt on every pulley, exact: distance to an arc of a circle.

    The pulleys that the belt runs to next and comes from are left out. A common tangent parts them
    from the belt here, so that they can come near it only where the belt runs off to them.
    """
    section, count = layout.belt.section, len(path.contacts)
    found = []
    for i, contact in enumerate(path.contacts):
        joined = {path.contacts[k % count].pulley for k in (i - 1, i, i + 1)}
        outer = outer_thickness(layout, path, i)
        found.append(
            _nearest_first(
                Gap(
                    p.name,
                    _from_arc(contact, _at(path, p), outer) - rim_diameter(p, section) / 2.0,
                )
                for p in layout.pulleys.values()
                if p.name not in joined
            )
        )
    return tuple(found)


def self_gaps(layout: Layout, path: BeltPath, within: float) -> tuple[SelfGap, ...]:
    """Where the belt comes within that distance (mm) of itself, nearest first."""
    shapes = _stretches(layout, path)
    boxes = shapely.bounds(shapes).tolist()
    pairs = [
        (one, other)
        for one, other in combinations(range(len(shapes)), 2)
        if min(other - one, len(shapes) - other + one) > 2
        and _boxes_apart(boxes[one], boxes[other]) <= within
    ]
    found = (
        _self_gap(shapes, one, other)
        for one, other in pairs
        if shapely.dwithin(shapes[one], shapes[other], within)
    )
    return tuple(sorted(found, key=lambda near: near.gap))


def bands(layout: Layout, path: BeltPath) -> list[shapely.Polygon]:
    """The belt of every span as a polygon of its true thickness (a rectangle, so exact)."""
    back, ribs = layout.belt.back, layout.belt.height - layout.belt.back
    # The ribs face the loop's inside: to the left of travel when it runs counterclockwise.
    return [_band(span, -path.loop * back, path.loop * ribs) for span in path.spans]


def outer_thickness(layout: Layout, path: BeltPath, i: int) -> float:
    """How far the belt stands out from the effective line, away from pulley `i`, mm."""
    belt = layout.belt
    return belt.back if path.sides[i] == "ribs" else belt.height - belt.back


def _band(span: Span, one: float, other: float) -> shapely.Polygon:
    """The span between two offsets to the left of travel."""
    nx, ny = -span.direction[1], span.direction[0]
    (ax, ay), (bx, by) = span.leave, span.enter
    return shapely.Polygon(
        [
            (ax + one * nx, ay + one * ny),
            (bx + one * nx, by + one * ny),
            (bx + other * nx, by + other * ny),
            (ax + other * nx, ay + other * ny),
        ]
    )


def _at(path: BeltPath, pulley: Pulley) -> Point:
    """Where a pulley's centre is: on the path it may have moved with the tensioner."""
    for contact in path.contacts:
        if contact.pulley == pulley.name:
            return contact.centre
    return pulley.at


def _from_arc(contact: Contact, point: Point, outer: float) -> float:
    """Distance from a point outside to the outer face of the belt on a pulley."""
    radius = contact.radius + outer
    if _faces(contact, point):
        return distance(contact.centre, point) - radius
    ends = [_out(contact, end, radius) for end in (contact.enter, contact.leave)]
    return min(distance(end, point) for end in ends)


def _faces(contact: Contact, point: Point) -> bool:
    """Whether the point lies in the sector that the belt's wrap covers."""
    cx, cy = contact.centre
    there = atan2(point[1] - cy, point[0] - cx)
    return contact.sign * (there - _entry_angle(contact)) % TAU <= contact.wrap


def _entry_angle(contact: Contact) -> float:
    return atan2(contact.enter[1] - contact.centre[1], contact.enter[0] - contact.centre[0])


def _out(contact: Contact, end: Point, radius: float) -> Point:
    cx, cy = contact.centre
    scale = radius / (hypot(end[0] - cx, end[1] - cy) or 1.0)
    return (cx + (end[0] - cx) * scale, cy + (end[1] - cy) * scale)


def _nearest_first(gaps: Iterable[Gap]) -> Clearance:
    return Clearance(gaps=tuple(sorted(gaps, key=lambda found: found.gap)))


def _stretches(layout: Layout, path: BeltPath) -> list[shapely.Geometry]:
    """Every stretch round the loop: the outer face on a pulley, the band of a span, and so on."""
    shapes: list[shapely.Geometry] = []
    for i, (contact, band) in enumerate(zip(path.contacts, bands(layout, path), strict=True)):
        shapes += (_outer_face(contact, outer_thickness(layout, path, i)), band)
    return shapes


def _outer_face(contact: Contact, outer: float) -> shapely.LineString:
    (cx, cy), radius, first = contact.centre, contact.radius + outer, _entry_angle(contact)
    count = ceil(contact.wrap / ARC_STEP) + 2
    turned = np.linspace(first, first + contact.sign * contact.wrap, count)
    return shapely.linestrings(cx + radius * np.cos(turned), cy + radius * np.sin(turned))


def _boxes_apart(one: Sequence[float], other: Sequence[float]) -> float:
    """A lower bound of the distance between two shapes: the gap between their boxes, mm."""
    return max(one[0] - other[2], other[0] - one[2], one[1] - other[3], other[1] - one[3])


def _self_gap(shapes: list[shapely.Geometry], one: int, other: int) -> SelfGap:
    line = shapely.shortest_line(shapes[one], shapes[other])
    return SelfGap(one, other, float(line.length), _middle(line))


def _middle(line: shapely.LineString) -> Point:
    (ax, ay), (bx, by) = shapely.get_coordinates(line).tolist()
    return ((ax + bx) / 2.0, (ay + by) / 2.0)
