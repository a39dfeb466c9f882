"""The drawing as data: primitives on paper in mm (y downward), each knowing the box it covers.

Nothing here knows of SVG or PDF. Colours are roles; `COLOURS` says what they are in each ink.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import atan2, cos, pi, sin
from typing import Literal

from beltpath.cards.paper import Box, Ink
from beltpath.cards.text import ASCENT, CAPITAL, DESCENT, LEAST_SIZE, width
from beltpath.geometry import TAU, Point

Colour = Literal["ink", "grey", "accent", "fault", "paper"]
Anchor = Literal["start", "middle", "end"]
#: What the colour roles are in ink, for SVG and cairo alike.
COLOURS: Mapping[Ink, Mapping[Colour, str]] = {
    "colour": {
        "ink": "#111111",
        "grey": "#5f5f5f",
        "accent": "#124f8c",
        "fault": "#b00020",
        "paper": "#ffffff",
    },
    "black": {
        "ink": "#000000",
        "grey": "#000000",
        "accent": "#000000",
        "fault": "#000000",
        "paper": "#ffffff",
    },
}

#: No line on a card is thinner than this, mm.
LEAST_LINE = 0.2
#: How far what lies on other lines is set off from them in paper white, mm.
HALO = 0.35


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """How a shape is drawn: stroke and its width (mm), fill, dashes. None draws nothing."""

    stroke: Colour | None = "ink"
    width: float = 0.25
    fill: Colour | None = None
    dash: tuple[float, ...] = ()
    dash_start: float = 0.0


@dataclass(frozen=True, slots=True)
class To:
    """A straight piece of a curve, to a point."""

    end: Point


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular piece of a curve: about `centre` from wherever the curve is, by `sweep` radians.

    A positive sweep runs clockwise on paper, since y points down.
    """

    centre: Point
    radius: float
    start: float
    sweep: float

    def at(self, share: float) -> Point:
        """The point a share (0 to 1) of the way along it."""
        angle = self.start + share * self.sweep
        return (
            self.centre[0] + self.radius * cos(angle),
            self.centre[1] + self.radius * sin(angle),
        )

    @property
    def end(self) -> Point:
        """Where it ends."""
        return self.at(1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """A run of straight and circular pieces from `start`."""

    start: Point
    pieces: tuple[To | Arc, ...]
    pen: Pen
    closed: bool = False

    @property
    def box(self) -> Box:
        """What it covers, its stroke included."""
        return around(sampled(self.start, self.pieces), self.pen.width / 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Disc:
    """A circle."""

    centre: Point
    radius: float
    pen: Pen

    @property
    def box(self) -> Box:
        """What it covers, its stroke included."""
        return around([self.centre], self.radius + self.pen.width / 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """A line of text; `at` lies on its baseline. Size is the font size in mm."""

    text: str
    at: Point
    size: float
    bold: bool = False
    anchor: Anchor = "start"
    colour: Colour = "ink"

    @property
    def length(self) -> float:
        """Its printed width."""
        return width(self.text, self.size, bold=self.bold)

    @property
    def start(self) -> float:
        """Where its first letter stands, from the left."""
        return self.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * self.length

    @property
    def box(self) -> Box:
        """What it covers, ascenders and descenders included."""
        return Box(
            x=self.start,
            y=self.at[1] - ASCENT * self.size,
            width=self.length,
            height=(ASCENT + DESCENT) * self.size,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """Dark squares of a matrix code: rows of ``1`` and ``0``, `module` mm wide, from `at` down."""

    at: Point
    module: float
    rows: tuple[str, ...]

    @property
    def box(self) -> Box:
        """What it covers."""
        wide = len(self.rows[0]) * self.module
        return Box(x=self.at[0], y=self.at[1], width=wide, height=len(self.rows) * self.module)

    def runs(self) -> Iterator[tuple[float, float, float]]:
        """The dark squares of every row, run by run: where a run starts (x, y), and its width."""
        for i, row in enumerate(self.rows):
            for run in re.finditer("1+", row):
                wide = (run.end() - run.start()) * self.module
                yield (
                    self.at[0] + run.start() * self.module,
                    self.at[1] + i * self.module,
                    wide,
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """A named part of the drawing, with a title and a description for screen readers.

    Nothing of it shows outside `clip`, if that is given.
    """

    name: str
    items: tuple[Item, ...]
    title: str = ""
    description: str = ""
    clip: Box | None = None

    @property
    def box(self) -> Box:
        """What all its items cover."""
        return self.clip or union(item.box for item in self.items)


Item = Curve | Disc | Words | Stamp | Group


def line(a: Point, b: Point, pen: Pen) -> Curve:
    """A straight line."""
    return Curve(start=a, pieces=(To(b),), pen=pen)


def cross(at: Point, reach: float, width: float = 0.2) -> Iterator[Curve]:
    """A level and an upright stroke through a place."""
    for ux, uy in ((1.0, 0.0), (0.0, 1.0)):
        yield line(moved(at, (ux, uy), -reach), moved(at, (ux, uy), reach), Pen(width=width))


def moved(point: Point, direction: Point, by: float) -> Point:
    """The point `by` mm away in a direction (a unit vector)."""
    return (point[0] + by * direction[0], point[1] + by * direction[1])


def centred(text: str, at: Point, *, bold: bool = True) -> Words:
    """A short text whose capitals stand in the middle of a place."""
    baseline = at[1] + CAPITAL * LEAST_SIZE / 2.0
    return Words(text=text, at=(at[0], baseline), size=LEAST_SIZE, bold=bold, anchor="middle")


def polygon(points: Sequence[Point], pen: Pen) -> Curve:
    """A closed polygon."""
    return Curve(start=points[0], pieces=tuple(map(To, points[1:])), pen=pen, closed=True)


def rectangle(box: Box, pen: Pen) -> Curve:
    """The outline of a box."""
    corners = [(box.x, box.y), (box.right, box.y), (box.right, box.bottom), (box.x, box.bottom)]
    return polygon(corners, pen)


def arrow_head(
    tip: Point, direction: Point, length: float, colour: Colour, *, edged: bool = False
) -> Curve:
    """A filled triangle pointing along `direction` (a unit vector), edged in white if asked."""
    ux, uy = direction
    half = length * 0.42
    back = (tip[0] - length * ux, tip[1] - length * uy)
    corners = [
        tip,
        (back[0] - half * uy, back[1] + half * ux),
        (back[0] + half * uy, back[1] - half * ux),
    ]
    return polygon(corners, Pen(stroke="paper" if edged else None, width=0.3, fill=colour))


def set_off(items: Iterable[Item], *, heads: bool = False) -> Iterator[Item]:
    """Lines over others, each edged in paper white; the heads of arrows too, if asked."""
    drawn = list(items)
    for item in drawn:
        if isinstance(item, Curve) and (heads or item.pen.stroke is not None):
            wide = 0.0 if item.pen.stroke is None else item.pen.width
            yield replace(item, pen=Pen(stroke="paper", width=wide + 2 * HALO))
    yield from drawn


def turning_arrow(
    centre: Point, radius: float, sign: int, *, middle: float, sweep: float, pen: Pen, head: float
) -> tuple[Curve, Curve]:
    """An arc with an arrow head; `sign` +1 turns counterclockwise as seen on the paper.

    The arc covers `sweep` radians, half of it on either side of the paper angle `middle`.
    """
    step = -sign * sweep
    start = middle - step / 2.0
    arc = Arc(centre, radius, start, step)
    tip_angle = start + step
    # The head is a chord of the arc: it is turned back by half of the angle it covers.
    lean = tip_angle + (-sign) * (pi / 2.0) - (-sign) * head / (2.0 * radius)
    shaft_end = step + sign * 0.7 * head / radius
    shaft = Arc(centre, radius, start, shaft_end)
    return (
        Curve(start=arc.at(0.0), pieces=(shaft,), pen=pen),
        arrow_head(arc.end, (cos(lean), sin(lean)), head, pen.stroke or "ink"),
    )


def sampled(start: Point, pieces: Iterable[To | Arc]) -> list[Point]:
    """Points along a curve, close enough for boxes and collisions."""
    points = [start]
    for piece in pieces:
        if isinstance(piece, Arc):
            steps = max(2, int(abs(piece.sweep) / TAU * 64) + 1)
            points += [piece.at(i / steps) for i in range(1, steps + 1)]
        else:
            points.append(piece.end)
    return points


def around(points: Sequence[Point], margin: float = 0.0) -> Box:
    """The box round points, widened by a margin."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return Box(
        x=min(xs) - margin,
        y=min(ys) - margin,
        width=max(xs) - min(xs) + 2 * margin,
        height=max(ys) - min(ys) + 2 * margin,
    )


def union(boxes: Iterable[Box]) -> Box:
    """The box round boxes."""
    every = list(boxes)
    return around([corner for b in every for corner in ((b.x, b.y), (b.right, b.bottom))])


def angle_of(centre: Point, point: Point) -> float:
    """The angle on paper (y down) from a centre to a point."""
    return atan2(point[1] - centre[1], point[0] - centre[0])
