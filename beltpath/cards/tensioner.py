"""The tensioner on paper: its arm or gauge, travel, window, stops, and the way its lever goes."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians

from beltpath.cards.scene import (
    Arc,
    Curve,
    Disc,
    Item,
    Pen,
    angle_of,
    arrow_head,
    line,
    moved,
    polygon,
    turning_arrow,
)
from beltpath.cards.view import Frame
from beltpath.geometry import Point, distance
from beltpath.solve.tensioner import Stand

#: How far beside its pulley a slide's gauge runs, mm.
GAUGE_GAP = 2.6


def tensioner_items(stand: Stand | None, frame: Frame, *, lever: bool = True) -> Iterator[Item]:
    """The tensioner: arm or gauge, travel, window, stops, and the way its lever goes."""
    yield from arm_items(stand, frame)
    yield from travel_items(stand, frame, lever=lever)


def arm_items(stand: Stand | None, frame: Frame) -> Iterator[Item]:
    """The arm itself, under the pulleys."""
    if stand is None or stand.tensioner.pivot is None:
        return
    pivot, pulley = frame.point(stand.tensioner.pivot), frame.point(stand.at)
    length = distance(pivot, pulley) or 1.0
    across = (-(pulley[1] - pivot[1]) / length, (pulley[0] - pivot[0]) / length)
    ends = ((pivot, 0.8), (pulley, 0.8), (pulley, -0.8), (pivot, -0.8))
    yield polygon([moved(at, across, by) for at, by in ends], Pen(width=0.25, fill="paper"))


def travel_items(stand: Stand | None, frame: Frame, *, lever: bool = True) -> Iterator[Item]:
    """Pivot, travel, window, stops and the lever's way, over the pulleys."""
    if stand is None:
        return
    if stand.tensioner.pivot is None:
        yield from _slide_items(stand, frame)
        if lever:
            yield from _slide_arrow(stand, frame)
    else:
        yield from _dial_items(stand, frame, stand.tensioner.pivot)
        if lever:
            yield from _lever_arrow(stand, frame, stand.tensioner.pivot)


def _dial_items(stand: Stand, frame: Frame, pivot_at: Point) -> Iterator[Item]:
    t, pivot = stand.tensioner, frame.point(pivot_at)
    radius = _dial_radius(stand, frame)
    yield _dial(frame, pivot, radius, t.free, t.load, Pen(width=0.25, dash=(1.0, 0.7)))
    if t.window is not None:
        yield _dial(frame, pivot, radius, *t.window, Pen(width=0.8))
    for position in (t.free, t.load):
        way = frame.direction(position)
        yield line(moved(pivot, way, radius - 1.2), moved(pivot, way, radius + 1.2), Pen(width=0.4))
    yield Disc(centre=pivot, radius=1.3, pen=Pen(width=0.3, fill="paper"))
    yield Disc(centre=pivot, radius=0.5, pen=Pen(stroke=None, width=0.0, fill="ink"))


def _lever_arrow(stand: Stand, frame: Frame, pivot_at: Point) -> Iterator[Item]:
    pivot, pulley = frame.point(pivot_at), frame.point(stand.at)
    if isinstance(stand.release, str):
        yield from turning_arrow(
            pivot,
            2.6,
            frame.view.sign(stand.release),
            middle=angle_of(pulley, pivot),
            sweep=radians(240),
            pen=Pen(stroke="accent", width=0.4),
            head=1.7,
        )


def _dial(frame: Frame, pivot: Point, radius: float, start: float, end: float, pen: Pen) -> Curve:
    first = angle_of((0.0, 0.0), frame.direction(start))
    sweep = -radians(end - start) * frame.view.handed
    arc = Arc(pivot, radius, first, sweep)
    return Curve(start=arc.at(0.0), pieces=(arc,), pen=pen)


def _slide_items(stand: Stand, frame: Frame) -> Iterator[Item]:
    t = stand.tensioner
    free, load = stop_points(stand, frame)
    yield line(free, load, Pen(width=0.25, dash=(1.0, 0.7)))
    if t.window is not None:
        a, b = (_mark(stand, frame, position) for position in t.window)
        yield line(a, b, Pen(width=0.8))
    ux, uy = frame.direction(t.along or 0.0)
    for x, y in (free, load):
        yield line((x + uy * 1.2, y - ux * 1.2), (x - uy * 1.2, y + ux * 1.2), Pen(width=0.4))
    here = _mark(stand, frame, stand.position)
    yield Disc(centre=here, radius=0.7, pen=Pen(width=0.3, fill="paper"))


def _slide_arrow(stand: Stand, frame: Frame) -> Iterator[Item]:
    here = _mark(stand, frame, stand.position)
    if isinstance(stand.release, float):
        way = frame.direction(stand.release)
        yield line(here, moved(here, way, 5.0), Pen(stroke="accent", width=0.4))
        yield arrow_head(moved(here, way, 6.0), way, 2.0, "accent")


def stop_points(stand: Stand, frame: Frame) -> tuple[Point, Point]:
    """Where the two stops are marked: on the dial of an arm, on the gauge of a slide."""
    t = stand.tensioner
    return _mark(stand, frame, t.free), _mark(stand, frame, t.load)


def _mark(stand: Stand, frame: Frame, position: float) -> Point:
    t = stand.tensioner
    if t.pivot is None:
        return _gauge_point(stand, frame, position)
    pivot = frame.point(t.pivot)
    return moved(pivot, frame.direction(position), _dial_radius(stand, frame))


def _gauge_point(stand: Stand, frame: Frame, position: float) -> Point:
    """A slide's gauge runs beside its pulley, on the side that the belt leaves free."""
    i = stand.path.index(stand.tensioner.pulley)
    contact = stand.path.contacts[i]
    centre = frame.point(contact.centre)
    ux, uy = frame.direction(stand.tensioner.along or 0.0)
    enter, leave = frame.point(contact.enter), frame.point(contact.leave)
    towards_belt = -uy * (enter[0] + leave[0] - 2 * centre[0]) + ux * (
        enter[1] + leave[1] - 2 * centre[1]
    )
    side = -1.0 if towards_belt > 0 else 1.0
    beside = side * (contact.radius * frame.scale + GAUGE_GAP)
    step = (position - stand.position) * frame.scale
    return (centre[0] + step * ux - beside * uy, centre[1] + step * uy + beside * ux)


def _dial_radius(stand: Stand, frame: Frame) -> float:
    """The travel is shown as a dial between pivot and pulley, where the arm is its pointer."""
    t = stand.tensioner
    arm = frame.scale * distance(t.pivot or stand.at, stand.at)
    return max(3.6, 0.5 * arm)


def lever_point(stand: Stand, frame: Frame) -> Point:
    """Where the lever takes hold: an arm's pivot, or a slide's place on its gauge."""
    t = stand.tensioner
    if t.pivot is None:
        return _mark(stand, frame, stand.position)
    return frame.point(t.pivot)
