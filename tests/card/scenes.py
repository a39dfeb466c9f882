"""Cards of the demos, and their primitives taken apart into shapes that a test can judge.

Nothing here uses the labelling engine or its collision code: bands, boxes and discs are built
afresh from what the page paints.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from math import ceil, cos, hypot, radians, sin
from pathlib import Path
from typing import Literal

import shapely

import beltpath
from beltpath.cards import Card, Options, Page, card
from beltpath.cards.paper import PAPER_NAMES, PaperName
from beltpath.cards.scene import Arc, Curve, Disc, Group, Item, Stamp, To, Words
from beltpath.cards.text import width
from beltpath.cards.view import View
from beltpath.geometry import Point
from beltpath.studies import Study

LAYOUTS = Path(__file__).parents[2] / "layouts"
#: Demos whose drawings are another's but for a size or two. The gallery draws them too.
DRAWN_ALREADY = {"cider-mill-inch", "orchard-sprayer-underdrive", "orchard-sprayer-worn-belt"}
#: Every other demo that has a route: where it is still to be found there is nothing to draw.
DEMOS = sorted(
    path.stem
    for path in LAYOUTS.glob("*.toml")
    if path.stem not in DRAWN_ALREADY and beltpath.read(path).route is not None
)
#: Eight pulleys, an obstacle, an arm with a window: no demo has less room.
HARDEST = "snow-groomer"

Shape = Curve | Disc | Stamp
ViewName = Literal["front", "mirrored", "turned90", "turned37"]
VIEWS: dict[ViewName, View] = {
    "front": View(),
    "mirrored": View(mirrored=True),
    "turned90": View(turned=90.0),
    "turned37": View(turned=37.0),
}
#: Which part of an em a line of text may fill above and below its baseline.
ABOVE, BELOW = 0.935, 0.265


@dataclass(frozen=True, slots=True)
class Case:
    """One way to print one demo."""

    demo: str
    paper: PaperName
    landscape: bool
    view: ViewName

    def __str__(self) -> str:
        way = "landscape" if self.landscape else "portrait"
        return f"{self.demo}-{self.paper}-{way}-{self.view}"

    @property
    def options(self) -> Options:
        """The options that print it so."""
        seen = VIEWS[self.view]
        return Options(
            paper=self.paper,
            landscape=self.landscape,
            mirrored=seen.mirrored,
            turned=seen.turned,
        )


def every_pair() -> list[Case]:
    """Every demo on every paper, orientation and view going round so that all pairs occur."""
    views = list(VIEWS)
    return [
        Case(demo, paper, (i + j // 2) % 2 == 1, views[(i + j) % 4])
        for i, demo in enumerate(DEMOS)
        for j, paper in enumerate(PAPER_NAMES)
    ]


def every_way(demo: str) -> list[Case]:
    """One demo on every paper, held both ways, in every view."""
    return [
        Case(demo, paper, landscape, view)
        for paper in PAPER_NAMES
        for landscape in (False, True)
        for view in VIEWS
    ]


@cache
def studied(demo: str) -> Study:
    """A demo, solved and checked."""
    return beltpath.study(beltpath.read(LAYOUTS / f"{demo}.toml"))


@lru_cache(maxsize=64)
def composed(case: Case) -> Card:
    """The card of a case."""
    return card(studied(case.demo), case.options)


def plain(
    demo: str, *, paper: PaperName = "a5", view: ViewName = "front", black: bool = False
) -> Card:
    """A demo's card in portrait."""
    made = composed(Case(demo, paper, False, view))
    return replace(made, ink="black") if black else made


# --- a page taken apart -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Piece:
    """One primitive, the names of the groups that hold it, and what it is clipped to."""

    item: Shape | Words
    groups: tuple[str, ...]
    clip: shapely.Polygon | None = None


def pieces(items: Sequence[Item]) -> Iterator[Piece]:
    """Every primitive in the order of painting."""
    yield from _pieces(items, (), None)


def _pieces(
    items: Sequence[Item], groups: tuple[str, ...], clip: shapely.Polygon | None
) -> Iterator[Piece]:
    for item in items:
        if isinstance(item, Group):
            inner = clip
            if item.clip is not None:
                box = item.clip
                inner = shapely.box(box.x, box.y, box.right, box.bottom)
            yield from _pieces(item.items, (*groups, item.name), inner)
        else:
            yield Piece(item, groups, clip)


def group(page: Page, name: str) -> Group:
    """A page's group by its name, wherever it stands."""
    found = [g for g in _groups(page.items) if g.name == name]
    assert len(found) == 1, (name, [g.name for g in _groups(page.items)])
    return found[0]


def has_group(page: Page, name: str) -> bool:
    """Whether a page has a group of that name."""
    return any(g.name == name for g in _groups(page.items))


def _groups(items: Sequence[Item]) -> Iterator[Group]:
    for item in items:
        if isinstance(item, Group):
            yield item
            yield from _groups(item.items)


def words(page: Page) -> list[Words]:
    """Every line of text on a page."""
    return [p.item for p in pieces(page.items) if isinstance(p.item, Words)]


def said(page: Page) -> str:
    """All text of a page, line after line, spaces made plain."""
    return " ".join(" ".join(item.text for item in words(page)).split())


def pulley_group(page: Page, study: Study, name: str) -> Group:
    """The group that draws a pulley: pulleys are drawn in the order of the layout."""
    number = list(study.layout.pulleys).index(name) + 1
    return group(page, f"pulley-{number}")


def belt_curves(card: Card) -> list[Curve]:
    """The belt's teeth, then its body."""
    curves = [item for item in group(card.pages[0], "belt").items if isinstance(item, Curve)]
    return sorted(curves, key=lambda curve: not curve.pen.dash)


def arcs(curve: Curve) -> list[Arc]:
    """The arcs of a belt curve, one a contact, in the order of the route."""
    return [piece for piece in curve.pieces if isinstance(piece, Arc)]


def rim_of(card: Card, study: Study, name: str) -> Disc:
    """The outermost circle of a pulley."""
    circles = [
        item
        for item in pulley_group(card.pages[0], study, name).items
        if isinstance(item, Disc) and item.pen.stroke is not None
    ]
    return max(circles, key=lambda disc: disc.radius)


# --- shapes -------------------------------------------------------------------------------------


def text_box(item: Words) -> shapely.Polygon:
    """The upright box that a line of text may fill."""
    length = width(item.text, item.size, bold=item.bold)
    x = item.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * length
    y = item.at[1]
    return shapely.box(x, y - ABOVE * item.size, x + length, y + BELOW * item.size)


def points(curve: Curve) -> list[Point]:
    """Points along a curve, arcs in steps of at most two degrees."""
    found = [curve.start]
    for piece in curve.pieces:
        found += _along(piece) if isinstance(piece, Arc) else [piece.end]
    return [*found, found[0]] if curve.closed else found


def _along(arc: Arc) -> list[Point]:
    steps = max(1, ceil(abs(arc.sweep) / radians(2.0)))
    angles = [arc.start + arc.sweep * i / steps for i in range(1, steps + 1)]
    cx, cy = arc.centre
    return [(cx + arc.radius * cos(a), cy + arc.radius * sin(a)) for a in angles]


def stroke(item: Shape) -> shapely.Geometry:
    """The band that a primitive's stroke covers, gaps between dashes included."""
    if isinstance(item, Stamp) or item.pen.stroke is None:
        return shapely.Polygon()
    if isinstance(item, Disc):
        half = item.pen.width / 2.0
        return circle(item.centre, item.radius + half).difference(
            circle(item.centre, max(item.radius - half, 0.0))
        )
    return shapely.LineString(points(item)).buffer(item.pen.width / 2.0, cap_style="flat")


def fill(item: Shape) -> shapely.Geometry:
    """The area that a primitive fills; all of a matrix code counts as filled."""
    if isinstance(item, Stamp):
        return shapely.box(item.box.x, item.box.y, item.box.right, item.box.bottom)
    if item.pen.fill is None:
        return shapely.Polygon()
    if isinstance(item, Disc):
        return circle(item.centre, item.radius)
    return shapely.Polygon(points(item))


def painted(item: Shape) -> shapely.Geometry:
    """All that a primitive covers, white areas included."""
    return shapely.union(stroke(item), fill(item))


def inked(item: Shape) -> shapely.Geometry:
    """What a primitive covers with ink: white areas are no ink."""
    if isinstance(item, Stamp):
        return fill(item)
    shapes = [
        shape
        for shape, colour in ((fill(item), item.pen.fill), (stroke(item), item.pen.stroke))
        if colour not in (None, "paper")
    ]
    return shapely.union_all(shapes)


def circle(centre: Point, radius: float) -> shapely.Geometry:
    """A disc as a fine polygon."""
    return shapely.Point(centre).buffer(radius, quad_segs=32)


def is_head(item: Item) -> bool:
    """Whether a primitive is an arrow head: a filled triangle."""
    return (
        isinstance(item, Curve)
        and item.closed
        and item.pen.fill not in (None, "paper")
        and len(item.pieces) == 2
        and all(isinstance(piece, To) for piece in item.pieces)
    )


def heads(items: Sequence[Item]) -> list[Curve]:
    """The arrow heads among primitives."""
    return [item for item in items if isinstance(item, Curve) and is_head(item)]


def head_direction(head: Curve) -> tuple[Point, Point]:
    """The tip of an arrow head and the unit vector along which it points.

    The tip is the corner that is equally far from the other two.
    """
    corners = points(head)[:3]
    for i, tip in enumerate(corners):
        a, b = corners[i - 1], corners[i - 2]
        if abs(_apart(tip, a) - _apart(tip, b)) < 1e-6:
            base = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
            length = _apart(base, tip)
            return tip, ((tip[0] - base[0]) / length, (tip[1] - base[1]) / length)
    raise AssertionError(f"no arrow head: {corners}")


def _apart(a: Point, b: Point) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])


def paper_point(page: Page, world: Point) -> Point:
    """Where a point of the engine's front view falls on paper, reckoned afresh.

    The view mirrors x, then turns counterclockwise; paper has y down.
    """
    assert page.diagram is not None
    frame = page.diagram.frame
    x = -world[0] if frame.view.mirrored else world[0]
    c, s = cos(radians(frame.view.turned)), sin(radians(frame.view.turned))
    seen = (c * x - s * world[1], s * x + c * world[1])
    return (
        frame.origin[0] + frame.scale * seen[0],
        frame.origin[1] - frame.scale * seen[1],
    )


def paper_direction(page: Page, world: Point) -> Point:
    """A unit vector of the front view as it lies on paper."""
    a, b = paper_point(page, (0.0, 0.0)), paper_point(page, world)
    length = _apart(a, b)
    return ((b[0] - a[0]) / length, (b[1] - a[1]) / length)


def turn_on_paper(centre: Point, at: Point, direction: Point) -> int:
    """+1 when moving along `direction` at a place turns counterclockwise, as seen, about a centre.

    Paper has y down, so a positive cross product looks clockwise.
    """
    cross = (at[0] - centre[0]) * direction[1] - (at[1] - centre[1]) * direction[0]
    assert abs(cross) > 1e-9, "the direction points at the centre"
    return -1 if cross > 0.0 else 1
