"""A sheet of what was measured: the net of tape readings, the rims as they came out, and lists.

Every reading carries its number in the drawing, and the list below says what it read and how far
the solution is from it. What was left out is drawn double and named in the list, so that black on
white is enough.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import hypot, pi, sqrt

import numpy as np
import shapely

from beltpath.cards.diagram import EDGE, frame_for
from beltpath.cards.document import Card, Options
from beltpath.cards.page import (
    ROW,
    SPACE,
    Block,
    Column,
    body,
    bound,
    fitting,
    flowed,
    heading,
    height,
    set_line,
    stacked,
)
from beltpath.cards.paper import Box
from beltpath.cards.scene import (
    Disc,
    Group,
    Item,
    Pen,
    around,
    centred,
    cross,
    line,
    polygon,
    rectangle,
    union,
)
from beltpath.cards.text import LEAST_SIZE, width, wrap
from beltpath.cards.view import Frame, View
from beltpath.geometry import Point
from beltpath.layout.layout import Layout
from beltpath.output.measure_text import (
    PLACE_HEAD,
    TAPE_HEAD,
    place_rows,
    remarks,
    tape_rows,
)
from beltpath.survey.answer import Measurement
from beltpath.survey.views import Array

TITLE_SIZE = 4.6
#: The error ellipses are drawn so many times too large, on the scale of the drawing.
MAGNIFIED = 10.0
#: Half axes of an ellipse that holds 95 % of a two-dimensional normal: sqrt(−2·ln 0.05).
HOLDS_95 = sqrt(-2.0 * float(np.log(0.05)))
#: The drawing takes at least this part of the first page's height.
PICTURE_SHARE = 0.5
#: Half the height of a number's white ground, mm, and the places along a line where it may stand.
TAG = 1.9
ALONG = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82)
#: What lying on another number costs; crossing another line costs 1.
LARGE = 1000.0
#: Half of the cross at a centre, the dot of a clicked point, mm.
CROSS, DOT = 1.2, 0.55
#: How far the further lines of a remark stand in, mm.
INDENT = 3.0
#: Space between the columns of a list, mm.
COLUMN_GAP = 2.5


def survey_card(measurement: Measurement, options: Options, layout: Layout) -> Card:
    """The sheet of a measurement. Only paper, view and ink of the options apply.

    `layout` is what the sheet carries along: the layout found, or one without a text.
    """
    page, title = body(options.sheet), f"{measurement.survey.layout.title}: as measured"
    head, used = _heading(measurement, options, title).group(page.x, page.y, page.width)
    top = page.y + used + SPACE
    first, later = _split(_lists(measurement), page, top)
    below = height(first, page.width) + SPACE
    room = Box(x=page.x, y=top, width=page.width, height=page.bottom - top - below)
    pages = bound(
        [
            [
                head,
                *_drawing(measurement, room, options.view),
                *stacked(first, page.x, room.bottom + SPACE, page.width),
            ],
            *(list(stacked(back, page.x, page.y, page.width)) for back in flowed(later, page)),
        ],
        options,
        layout,
        title=title,
        description=f"As measured: {measurement.survey.readings}.",
    )
    return Card(pages=pages, title=title, ink=options.ink)


# --- the drawing ---------------------------------------------------------------------------------


def _drawing(measurement: Measurement, room: Box, view: View) -> Iterator[Group]:
    numbers = {name: i for i, name in enumerate(measurement.centres, start=1)}
    frame = _frame(measurement, room.shrunk(EDGE), view)
    tags = _Tags(measurement, frame)
    yield Group(
        name="rims", items=tuple(_rims(measurement, frame)), title="Rims and clicked points"
    )
    if measurement.tapes:
        yield Group(name="net", items=tuple(_lines(measurement, frame)), title="Tape readings")
    yield Group(name="ellipses", items=tuple(_ellipses(measurement, frame)), title="95 % ellipses")
    yield Group(name="numbers", items=tuple(tags.items(numbers)), title="Numbers")


def _frame(measurement: Measurement, room: Box, view: View) -> Frame:
    """The scale at which everything has room, no larger than life."""
    targets = measurement.survey.targets
    rims = [
        around([view.point(_steady(centre.at))], targets[name].radius or 0.0)
        for name, centre in measurement.centres.items()
    ]
    world = union(rims)
    scale = min(room.width / world.width, room.height / world.height, 1.0)
    return frame_for(world, room, view, scale)


def _steady(place: Point) -> Point:
    """A place to 0.01 mm: finer digits come from the machine, and the same sheet is one sheet."""
    return (round(place[0], 2), round(place[1], 2))


def _rims(measurement: Measurement, frame: Frame) -> Iterator[Item]:
    for name, target in measurement.survey.targets.items():
        if target.radius is not None:
            centre = frame.point(_steady(measurement.centres[name].at))
            yield Disc(centre=centre, radius=frame.scale * target.radius, pen=Pen(width=0.35))
    for rim in measurement.rims:
        for place, kept in zip(rim.front, rim.kept, strict=True):
            at = frame.point(_steady(place))
            if kept:
                yield Disc(centre=at, radius=DOT, pen=Pen(stroke=None, fill="ink"))
            else:
                yield Disc(centre=at, radius=2.0 * DOT, pen=Pen(stroke="fault", width=0.4))


def _lines(measurement: Measurement, frame: Frame) -> Iterator[Item]:
    for tape in measurement.tapes:
        a, b = (
            frame.point(_steady(measurement.centres[name].at)) for name in (tape.start, tape.end)
        )
        if tape.kept:
            yield line(a, b, Pen(stroke="grey", width=0.2, dash=(1.6, 0.8)))
        else:
            yield line(a, b, Pen(stroke="fault", width=1.2))
            yield line(a, b, Pen(stroke="paper", width=0.6))


def _ellipses(measurement: Measurement, frame: Frame) -> Iterator[Item]:
    for i, centre in enumerate(measurement.centres.values()):
        x, y = frame.point(_steady(centre.at))
        yield from cross((x, y), CROSS, 0.25)
        rim = _ellipse(measurement.covariance[2 * i : 2 * i + 2, 2 * i : 2 * i + 2])
        points = [frame.point(_steady((centre.at[0] + u, centre.at[1] + v))) for u, v in rim]
        if max(hypot(u - x, v - y) for u, v in points) > CROSS:
            yield polygon(points, Pen(stroke="accent", width=0.25))


def _ellipse(covariance: Array) -> list[Point]:
    """Points of the ellipse that holds 95 %, as large as it is drawn, about 0."""
    values, vectors = np.linalg.eigh(covariance)
    # The symmetric root: it does not hang on the signs that a library gives to the axes.
    root = (vectors * np.sqrt(np.maximum(values, 0.0))) @ vectors.T
    turns = np.linspace(0.0, 2.0 * pi, 60, endpoint=False)
    found = MAGNIFIED * HOLDS_95 * root @ np.array([np.cos(turns), np.sin(turns)])
    return [(float(x), float(y)) for x, y in found.T]


class _Tags:
    """Places for the numbers of pulleys (bold, in a frame) and of readings (plain)."""

    def __init__(self, measurement: Measurement, frame: Frame) -> None:
        self._measurement = measurement
        self._places = {name: frame.point(_steady(c.at)) for name, c in measurement.centres.items()}
        self._ends = [(self._places[t.start], self._places[t.end]) for t in measurement.tapes]
        self._scale = frame.scale
        self._taken: list[Box] = []

    def items(self, numbers: Mapping[str, int]) -> Iterator[Item]:
        for name, (x, y) in self._places.items():
            text = self._called(name, numbers[name])
            box = _tag((x, y + CROSS + TAG + 0.4), text, bold=True)
            self._taken.append(box)
            yield from _framed(box, text)
        for number, (a, b) in enumerate(self._ends, start=1):
            box = self._along(number, a, b)
            if any(map(box.overlaps, self._taken)):
                continue  # No room on this paper; the list tells its two ends.
            self._taken.append(box)
            yield rectangle(box, Pen(stroke=None, fill="paper"))
            yield centred(str(number), box.centre, bold=False)

    def _called(self, name: str, number: int) -> str:
        """Number and name where the rim is wide enough for both, or the number."""
        both = f"{number} {name}"
        radius = (self._measurement.survey.targets[name].radius or 0.0) * self._scale
        return both if width(both, LEAST_SIZE, bold=True) < 1.7 * radius else str(number)

    def _along(self, number: int, a: Point, b: Point) -> Box:
        """The number's box at the place of its line that is farthest from all else."""
        places = [(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for t in ALONG]
        boxes = [_tag(place, str(number), bold=False) for place in places]
        others = [ends for i, ends in enumerate(self._ends, start=1) if i != number]
        costs = [self._cost(box, others) + 0.01 * i for i, box in enumerate(boxes)]
        return boxes[costs.index(min(costs))]

    def _cost(self, box: Box, others: Sequence[tuple[Point, Point]]) -> float:
        crowd = sum(LARGE for taken in self._taken if box.overlaps(taken))
        middle = shapely.Point(box.centre)
        crossed = sum(shapely.LineString(ends).distance(middle) < TAG for ends in others)
        return crowd + float(crossed)


def _tag(centre: Point, text: str, *, bold: bool) -> Box:
    wide = width(text, LEAST_SIZE, bold=bold) + 1.0
    return Box.about(centre, wide, 2.0 * TAG)


def _framed(box: Box, text: str) -> Iterator[Item]:
    yield rectangle(box, Pen(width=0.3, fill="paper"))
    yield centred(text, box.centre)


# --- the lists -----------------------------------------------------------------------------------


def _heading(measurement: Measurement, options: Options, title: str) -> Block:
    doubt = "" if measurement.usable else "NOT USABLE, see what is doubtful. "
    signs = [f"{doubt}{options.view.words}. Framed numbers are centres, told below."]
    if measurement.tapes:
        signs.append("Dashed lines are tape readings by number; a double line is left out.")
    if measurement.rims:
        signs.append("Dots are clicked points; a ring is one that is left out.")
    signs.append(f"Ellipses hold 95 %, drawn {MAGNIFIED:.0f} times too large.")

    return heading(title, " ".join(signs), TITLE_SIZE, "What was measured")


def _lists(measurement: Measurement) -> list[list[Block]]:
    """The places with the remarks, and the tape readings."""
    said = [
        _remark(f"remark-{i}", f"{kind[0].upper()}{kind[1:]}:", text)
        for i, (kind, text) in enumerate(remarks(measurement), start=1)
    ]
    said[-1] = replace(said[-1], gap=SPACE)
    return [
        [*_rows("places", PLACE_HEAD, place_rows(measurement)), *said],
        list(_rows("tapes", TAPE_HEAD, tape_rows(measurement))),
    ]


def _rows(name: str, head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> Iterator[Block]:
    """A list under its head. The columns are as wide as their texts, the second has the rest."""
    if not rows:
        return
    wides = [
        max(width(row[i], LEAST_SIZE, bold=True) for row in (head, *rows)) for i in range(len(head))
    ]
    yield _row(f"{name}-head", wides, head, bold=True)
    for i, row in enumerate(rows, start=1):
        yield _row(f"{name}-{i}", wides, row, gap=SPACE if i == len(rows) else 0.0)


def _row(
    name: str,
    wides: Sequence[float],
    cells: tuple[str, ...],
    *,
    bold: bool = False,
    gap: float = 0.0,
) -> Block:
    def build(column: Column) -> None:
        left = wides[0] + COLUMN_GAP
        room = column.wide - left - sum(wides[2:]) - COLUMN_GAP * len(wides[2:])
        column.text(cells[0], bold=True)
        texts = wrap(cells[1], room, LEAST_SIZE, bold=bold)
        x, y = column.x + left, column.y
        column.items += [set_line(t, x, y + i * ROW, bold=bold) for i, t in enumerate(texts)]
        x += min(room, wides[1])
        for cell, wide in zip(cells[2:], wides[2:], strict=True):
            x += COLUMN_GAP + wide
            column.items.append(set_line(cell, x, y, bold=bold, anchor="end"))
        column.y += len(texts) * ROW

    return Block(name=name, title=" ".join(filter(None, cells)), build=build, gap=gap)


def _remark(name: str, head: str, text: str) -> Block:
    """A remark under its bold head, which stands on its first line."""

    def build(column: Column) -> None:
        column.remark(head, text, INDENT)

    return Block(name=name, title=text, build=build, gap=0.6)


def _split(
    lists: Sequence[Sequence[Block]], page: Box, top: float
) -> tuple[list[Block], list[Block]]:
    """What has room below the drawing, and what goes overleaf; order is kept.

    A list that has no room as a whole goes overleaf as a whole, but for the first.
    """
    room = (page.bottom - top) * (1.0 - PICTURE_SHARE) - SPACE
    every = [block for blocks in lists for block in blocks]
    count = fitting(every, room, page.width)
    if count < len(every):
        count = min(count, len(lists[0]))
    return every[:count], every[count:]
