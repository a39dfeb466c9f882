"""How far the belt, thickness included, stays from the rims that it does not run on.

shapely measures the distances; lengths never come from polygons. Rims stay exact: the distance is
taken from a pulley's centre and the rim's radius is subtracted.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import atan2, hypot

import shapely

from beltpath.geometry import TAU, Point, distance
from beltpath.layout import Layout, Pulley, rim_diameter
from beltpath.path import BeltPath, Contact, Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """The nearest foreign rim to one stretch of belt: a span, or the belt on one pulley.

    `gap` in mm, negative when the belt would have to pass through the rim; `nearest` None and
    `gap` None when there is no other pulley.
    """

    gap: float | None
    nearest: str | None


def span_clearances(layout: Layout, path: BeltPath) -> tuple[Clearance, ...]:
    """The nearest rim to every span, pulleys at the span's own ends left out."""
    return tuple(
        _nearest(
            (p.name, band.distance(shapely.Point(_at(path, p))) - rim_diameter(p, section) / 2.0)
            for p in layout.pulleys.values()
            if p.name not in (span.start, span.end)
        )
        for span, band in zip(path.spans, bands(layout, path), strict=True)
        for section in (layout.belt.section,)
    )


def wrap_clearances(layout: Layout, path: BeltPath) -> tuple[Clearance, ...]:
    """The nearest rim to the belt on every pulley, exact: distance to an arc of a circle."""
    section = layout.belt.section
    return tuple(
        _nearest(
            (
                p.name,
                _from_arc(contact, _at(path, p), outer_thickness(layout, path, i))
                - rim_diameter(p, section) / 2.0,
            )
            for p in layout.pulleys.values()
            if p.name != contact.pulley
        )
        for i, contact in enumerate(path.contacts)
    )


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
    first = atan2(contact.enter[1] - cy, contact.enter[0] - cx)
    there = atan2(point[1] - cy, point[0] - cx)
    return contact.sign * (there - first) % TAU <= contact.wrap


def _out(contact: Contact, end: Point, radius: float) -> Point:
    cx, cy = contact.centre
    scale = radius / (hypot(end[0] - cx, end[1] - cy) or 1.0)
    return (cx + (end[0] - cx) * scale, cy + (end[1] - cy) * scale)


def _nearest(gaps: Iterable[tuple[str, float]]) -> Clearance:
    name, gap = min(gaps, key=lambda found: found[1], default=(None, None))
    return Clearance(gap=gap, nearest=name)
