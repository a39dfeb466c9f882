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

from beltpath.cards import panels
from beltpath.cards.diagram import EDGE
from beltpath.cards.document import Card, Options, Page
from beltpath.cards.panels import Block, set_line
from beltpath.cards.paper import Box
from beltpath.cards.scene import Disc, Group, Item, Pen, Words, line, polygon, rectangle
from beltpath.cards.text import CAPITAL, LEAST_SIZE, LINE, width, wrap
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

ROW = LEAST_SIZE * LINE
SPACE = 1.8
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
    body = _body(options)
    head = _heading(measurement, options)
    top = body.y + head.height(body.width) + SPACE
    first, later = _split(_lists(measurement), body, top)
    below = _height(first, body) + SPACE
    room = Box(x=body.x, y=top, width=body.width, height=body.bottom - top - below)
    front = [
        head.group(body.x, body.y, body.width)[0],
        *_drawing(measurement, room, options.view),
        *_stacked(first, body, room.bottom + SPACE),
    ]
    pages = [front, *(list(_stacked(page, body, body.y)) for page in _pages(later, body))]
    return Card(
        pages=tuple(
            _page(measurement, options, layout, items, i, len(pages))
            for i, items in enumerate(pages, start=1)
        ),
        title=f"{measurement.survey.layout.title}: as measured",
        ink=options.ink,
    )


def _body(options: Options) -> Box:
    box = options.sheet.printable
    return Box(x=box.x, y=box.y, width=box.width, height=box.height - panels.FOOTER - SPACE)


def _page(
    measurement: Measurement,
    options: Options,
    layout: Layout,
    items: Sequence[Item],
    number: int,
    count: int,
) -> Page:
    box = options.sheet.printable
    title = measurement.survey.layout.title
    words = f"page {number} of {count}"
    foot = panels.footer(layout, words, box.x, box.bottom - panels.FOOTER, box.width)
    return Page(
        paper=options.sheet,
        title=f"{title}: as measured, {words}",
        description=f"As measured: {measurement.survey.readings}.",
        items=(*items, foot),
        layout=layout,
    )


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
    points = [view.point(_steady(centre.at)) for centre in measurement.centres.values()]
    radii = [target.radius or 0.0 for target in measurement.survey.targets.values()]
    low = [min(p[axis] - r for p, r in zip(points, radii, strict=True)) for axis in (0, 1)]
    high = [max(p[axis] + r for p, r in zip(points, radii, strict=True)) for axis in (0, 1)]
    scale = min(room.width / (high[0] - low[0]), room.height / (high[1] - low[1]), 1.0)
    x, y = room.centre
    middle = ((low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0)
    return Frame(view=view, scale=scale, origin=(x - scale * middle[0], y + scale * middle[1]))


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
        yield line((x - CROSS, y), (x + CROSS, y), Pen(width=0.25))
        yield line((x, y - CROSS), (x, y + CROSS), Pen(width=0.25))
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
            if any(_overlap(box, taken) for taken in self._taken):
                continue  # No room on this paper; the list tells its two ends.
            self._taken.append(box)
            yield rectangle(box, Pen(stroke=None, fill="paper"))
            yield _in_middle(box, str(number), bold=False)

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
        crowd = sum(LARGE for taken in self._taken if _overlap(box, taken))
        return crowd + sum(1.0 for a, b in others if _distance(box.centre, a, b) < TAG)


def _overlap(one: Box, other: Box) -> bool:
    return (
        one.x < other.right
        and other.x < one.right
        and one.y < other.bottom
        and other.y < one.bottom
    )


def _distance(p: Point, a: Point, b: Point) -> float:
    """From a point to a segment."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    along = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / max(dx * dx + dy * dy, 1e-12)
    share = min(max(along, 0.0), 1.0)
    return hypot(p[0] - a[0] - share * dx, p[1] - a[1] - share * dy)


def _tag(centre: Point, text: str, *, bold: bool) -> Box:
    wide = width(text, LEAST_SIZE, bold=bold) + 1.0
    return Box(x=centre[0] - wide / 2.0, y=centre[1] - TAG, width=wide, height=2.0 * TAG)


def _framed(box: Box, text: str) -> Iterator[Item]:
    yield rectangle(box, Pen(width=0.3, fill="paper"))
    yield _in_middle(box, text, bold=True)


def _in_middle(box: Box, text: str, *, bold: bool) -> Words:
    x, y = box.centre
    at = (x, y + CAPITAL * LEAST_SIZE / 2.0)
    return Words(text=text, at=at, size=LEAST_SIZE, bold=bold, anchor="middle")


# --- the lists -----------------------------------------------------------------------------------


def _heading(measurement: Measurement, options: Options) -> Block:
    doubt = "" if measurement.usable else "NOT USABLE, see what is doubtful. "
    signs = [f"{doubt}{options.view.words}. Framed numbers are centres, told below."]
    if measurement.tapes:
        signs.append("Dashed lines are tape readings by number; a double line is left out.")
    if measurement.rims:
        signs.append("Dots are clicked points; a ring is one that is left out.")
    signs.append(f"Ellipses hold 95 %, drawn {MAGNIFIED:.0f} times too large.")

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        size = 4.6
        title = wrap(f"{measurement.survey.layout.title}: as measured", wide, size, bold=True)
        items: list[Item] = [
            set_line(text, x, y + i * size * LINE, bold=True, size=size)
            for i, text in enumerate(title)
        ]
        top = y + len(title) * size * LINE
        body = wrap(" ".join(signs), wide, LEAST_SIZE)
        items += [set_line(text, x, top + i * ROW) for i, text in enumerate(body)]
        return items, top - y + len(body) * ROW

    return Block(name="heading", title="What was measured", build=build)


def _lists(measurement: Measurement) -> list[list[Block]]:
    """The places with the remarks, and the tape readings."""
    said = [
        _paragraph(f"remark-{i}", f"{kind[0].upper()}{kind[1:]}:", text)
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
    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        left = wides[0] + COLUMN_GAP
        room = wide - left - sum(wides[2:]) - COLUMN_GAP * len(wides[2:])
        texts = wrap(cells[1], room, LEAST_SIZE, bold=bold)
        items: list[Item] = [set_line(cells[0], x, y, bold=True)]
        items += [set_line(t, x + left, y + i * ROW, bold=bold) for i, t in enumerate(texts)]
        end = x + left + min(room, wides[1])
        for cell, column in zip(cells[2:], wides[2:], strict=True):
            end += COLUMN_GAP + column
            items.append(set_line(cell, end, y, bold=bold, anchor="end"))
        return items, len(texts) * ROW

    return Block(name=name, title=" ".join(filter(None, cells)), build=build, gap=gap)


def _paragraph(name: str, head: str, text: str) -> Block:
    """A remark under its bold head, which stands on its first line."""

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        indent = width(f"{head} ", LEAST_SIZE, bold=True) + 0.6
        first, *rest = wrap(text, wide - indent, LEAST_SIZE)
        rest = wrap(" ".join(rest), wide - INDENT, LEAST_SIZE) if rest else []
        items: list[Item] = [set_line(head, x, y, bold=True), set_line(first, x + indent, y)]
        items += [set_line(words, x + INDENT, y + i * ROW) for i, words in enumerate(rest, start=1)]
        return items, (1 + len(rest)) * ROW

    return Block(name=name, title=text, build=build, gap=0.6)


def _split(
    lists: Sequence[Sequence[Block]], body: Box, top: float
) -> tuple[list[Block], list[Block]]:
    """What has room below the drawing, and what goes overleaf; order is kept.

    A list that has no room as a whole goes overleaf as a whole, but for the first.
    """
    room = (body.bottom - top) * (1.0 - PICTURE_SHARE) - SPACE
    first, later = list(lists[0]), [block for blocks in lists[1:] for block in blocks]
    if _height([*first, *later], body) <= room:
        return [*first, *later], []
    fitting = next(
        count for count in range(len(first), -1, -1) if _height(first[:count], body) <= room
    )
    return first[:fitting], [*first[fitting:], *later]


def _height(blocks: Sequence[Block], body: Box) -> float:
    return sum(block.height(body.width) + block.gap for block in blocks)


def _pages(blocks: Sequence[Block], body: Box) -> Iterator[list[Block]]:
    page: list[Block] = []
    room = body.height
    for block in blocks:
        high = block.height(body.width) + block.gap
        if page and high > room:
            yield page
            page, room = [], body.height
        page.append(block)
        room -= high
    if page:
        yield page


def _stacked(blocks: Sequence[Block], body: Box, y: float) -> Iterator[Group]:
    for block in blocks:
        group, height = block.group(body.x, y, body.width)
        yield group
        y += height + block.gap
