"""The belt on paper: its body, its ribbed side, its arrows of travel, and the room they take."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import shapely

from beltpath.cards.scene import Arc, Curve, Item, Pen, To, angle_of, arrow_head, sampled
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
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    # With as much belt before and behind it as an arrow in the middle of the least span has.
    spare = (length - weight.least_span) / 2.0
    for share in PLACES if off is not None else PLACES[:1]:
        along = length / 2.0 + share * spare + weight.arrow / 2.0
        tip = (a[0] + ux * along, a[1] + uy * along)
        arrow = arrow_head(tip, (ux, uy), weight.arrow, "accent", edged=True)
        if off is None or not shapely.Polygon(_corners(arrow)).intersects(off):
            return arrow
    return None


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


def _corners(item: Item) -> Sequence[Point]:
    return [item.start, *(piece.end for piece in item.pieces)] if isinstance(item, Curve) else []
