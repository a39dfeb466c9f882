"""The belt on paper: its body, its ribbed side, its arrows of travel, and the room they take."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import cos, hypot, sin

import shapely

from beltpath.cards.scene import Arc, Curve, Item, Pen, To, angle_of, arrow_head, moved, sampled
from beltpath.cards.view import Frame
from beltpath.geometry import Point, distance
from beltpath.layout.records import Belt
from beltpath.solve.path import BeltPath


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """How heavy the belt is drawn, mm.

    The body's width, how far the ribs stand out from the middle, a tooth's width and pitch, an
    arrow's length, and the shortest span that carries one.
    """

    body: float
    ribs: float
    tooth: float
    pitch: float
    arrow: float
    least_span: float


FULL = Weight(body=0.8, ribs=1.25, tooth=0.45, pitch=1.15, arrow=3.8, least_span=7.0)
SMALL = Weight(body=0.5, ribs=0.8, tooth=0.3, pitch=0.8, arrow=2.4, least_span=5.0)

#: A dashed belt's dashes and the gaps between them, mm.
DASH, DASH_GAP = 1.7, 0.9
#: How near a loose belt hangs to the pulley that it is off, mm.
BESIDE = 2.0
#: How often a loose belt is bowed further to keep off its pulley, half a millimetre each time.
BOWS = 30
#: Where an arrow of travel is tried: the middle of its span, then ever further to either side.
PLACES = (0.0, -0.25, 0.25, -0.5, 0.5, -0.75, 0.75, -1.0, 1.0)


def outline(
    path: BeltPath, frame: Frame, offset: float = 0.0
) -> tuple[Point, tuple[To | Arc, ...]]:
    """The effective line on paper, moved `offset` mm towards the ribs (a parallel curve)."""
    start, pieces = stretch(path, frame, range(len(path.contacts)), offset)
    return start, (*pieces, To(start))


def stretch(
    path: BeltPath, frame: Frame, contacts: Iterable[int], offset: float = 0.0
) -> tuple[Point, tuple[To | Arc, ...]]:
    """A part of the line on paper: round these contacts, which follow one another in travel."""
    pieces: list[To | Arc] = []
    for i in contacts:
        contact = path.contacts[i]
        centre = frame.point(contact.centre)
        towards_ribs = contact.sign * path.loop
        radius = max(contact.radius * frame.scale - towards_ribs * offset, 0.05)
        start = angle_of(centre, frame.point(contact.enter))
        arc = Arc(centre, radius, start, -contact.sign * frame.view.handed * contact.wrap)
        pieces += [To(arc.at(0.0)), arc]
    return pieces[0].end, tuple(pieces[1:])


def drawn(path: BeltPath, frame: Frame, belt: Belt, weight: Weight = FULL) -> list[Item]:
    """Body and ribs."""
    return laid(lambda offset: outline(path, frame, offset), belt, weight, closed=True)


def laid(
    line: Callable[[float], tuple[Point, tuple[To | Arc, ...]]],
    belt: Belt,
    weight: Weight,
    *,
    closed: bool,
) -> list[Item]:
    """Body and ribs along a line on paper, which is asked for with its offset to the ribs."""
    items: list[Item] = []
    for side in (1, -1) if belt.double_sided else (1,):
        start, teeth = line(side * (weight.body / 2.0 + weight.ribs) / 2.0)
        pen = Pen(
            width=weight.ribs - weight.body / 2.0, dash=(weight.tooth, weight.pitch - weight.tooth)
        )
        items.append(Curve(start=start, pieces=teeth, pen=pen))
    start, pieces = line(0.0)
    items.append(Curve(start=start, pieces=pieces, pen=Pen(width=weight.body), closed=closed))
    return items


def dashed(path: BeltPath, frame: Frame, weight: Weight = SMALL) -> Curve:
    """The body alone, in dashes: a belt that is not to lie so."""
    start, pieces = outline(path, frame)
    pen = Pen(width=weight.body, dash=(DASH, DASH_GAP))
    return Curve(start=start, pieces=pieces, pen=pen, closed=True)


def arrows(
    path: BeltPath, frame: Frame, weight: Weight = FULL, *, off: shapely.Geometry | None = None
) -> list[Curve]:
    """An arrow of travel on every span that has room for one: in the middle, or nearest to it.

    Arrows keep off `off`; a span that has no place off it has no arrow.
    """
    found = (_arrow(frame.point(s.leave), frame.point(s.enter), weight, off) for s in path.spans)
    return [arrow for arrow in found if arrow is not None]


def _arrow(a: Point, b: Point, weight: Weight, off: shapely.Geometry | None) -> Curve | None:
    length = distance(a, b)
    if length < weight.least_span:
        return None
    way = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    # With as much belt before and behind it as an arrow in the middle of the least span has.
    spare = (length - weight.least_span) / 2.0
    for share in PLACES if off is not None else PLACES[:1]:
        along = length / 2.0 + share * spare + weight.arrow / 2.0
        arrow = arrow_head(moved(a, way, along), way, weight.arrow, "accent", edged=True)
        if off is None or not shapely.Polygon(_corners(arrow)).intersects(off):
            return arrow
    return None


def covered(curve: Curve, reach: float) -> shapely.Geometry:
    """What lies no further than `reach` from a line, mm."""
    return shapely.LineString(sampled(curve.start, curve.pieces)).buffer(reach)


def room(path: BeltPath, frame: Frame) -> shapely.Geometry:
    """What the belt and its arrows cover on paper, a little more than is drawn."""
    start, pieces = outline(path, frame)
    band = shapely.LineString(sampled(start, pieces)).buffer(FULL.ribs)
    heads = [shapely.Polygon(_corners(item)) for item in arrows(path, frame)]
    return shapely.union_all([band, *heads])


def disc_radius(path: BeltPath, i: int, frame: Frame, belt: Belt, weight: Weight = FULL) -> float:
    """The radius on paper at which pulley `i` is drawn, so that the belt lies round it."""
    ribbed = path.sides[i] == "ribs" or belt.double_sided
    inner = weight.ribs if ribbed else weight.body / 2.0
    return max(path.contacts[i].radius * frame.scale - inner - 0.1, 0.6)


# --- a belt that hangs loose ---------------------------------------------------------------------


def loose(
    path: BeltPath, frame: Frame, belt: Belt, off: int, offset: float
) -> tuple[Point, tuple[To | Arc, ...]]:
    """The line round every pulley but contact `off`, beside which it hangs, inside the loop."""
    count = len(path.contacts)
    others = [(off + step) % count for step in range(1, count)]
    start, pieces = stretch(path, frame, others, offset)
    first, rest = stretch(path, frame, others)
    centre = frame.point(path.contacts[off].centre)
    clear = disc_radius(path, off, frame, belt, SMALL) + BESIDE
    ux, uy = wrap_middle(path, off, frame)
    inwards = -1.0 if path.contacts[off].sign == path.loop else 1.0
    bights = [
        _bight(rest[-1].end, first, centre, (side * ux, side * uy), clear)
        for side in (inwards, -inwards)
    ]
    # Into the loop, unless it would lie across the other spans there.
    spans = shapely.LineString(sampled(first, rest))
    free = [bow for bow in bights if not shapely.LineString(bow[1:-1]).intersects(spans)]
    bight = (free or bights)[0]
    ribs = offset * path.loop * frame.view.handed
    return start, (*pieces, *(To(point) for point in _beside(bight, ribs)), To(start))


def wrap_middle(path: BeltPath, i: int, frame: Frame) -> Point:
    """The direction on paper from a pulley's centre to the middle of the belt that lies on it."""
    contact = path.contacts[i]
    enter = angle_of(frame.point(contact.centre), frame.point(contact.enter))
    angle = enter - contact.sign * frame.view.handed * contact.wrap / 2.0
    return cos(angle), sin(angle)


def halfway(a: Point, b: Point) -> Point:
    """The middle between two points."""
    return ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)


def _bight(a: Point, b: Point, centre: Point, away: Point, clear: float) -> list[Point]:
    """Points of a bow from `a` to `b` that keeps `clear` of a centre, on one side of it."""
    middle = halfway(a, b)
    bow: list[Point] = []
    for step in range(BOWS):
        reach = clear + step * 0.5
        top = (centre[0] + away[0] * reach, centre[1] + away[1] * reach)
        bow = list(_bow(a, (2 * top[0] - middle[0], 2 * top[1] - middle[1]), b))
        if min(distance(point, centre) for point in bow) >= clear - 0.1:
            break
    return bow


def _bow(a: Point, towards: Point, b: Point) -> Iterator[Point]:
    """A parabola from `a` to `b`, whose tangents at its ends meet at a third point."""
    for k in range(17):
        t = k / 16.0
        shares = ((1 - t) ** 2, 2 * t * (1 - t), t * t)
        x, y = (
            sum(share * point[i] for share, point in zip(shares, (a, towards, b), strict=True))
            for i in (0, 1)
        )
        yield x, y


def _beside(points: Sequence[Point], offset: float) -> Iterator[Point]:
    """The inner points of a run, moved to the left of its way as seen, y still up."""
    for before, here, after in zip(points, points[1:], points[2:], strict=False):
        dx, dy = after[0] - before[0], after[1] - before[1]
        length = hypot(dx, dy) or 1.0
        yield here[0] + dy / length * offset, here[1] - dx / length * offset


def _corners(item: Item) -> Sequence[Point]:
    return [item.start, *(piece.end for piece in item.pieces)] if isinstance(item, Curve) else []
