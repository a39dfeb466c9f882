"""The drive at true scale, 1:1, over as many sheets as it takes, for drawing through and drilling.

Rims, effective line and belt outline are where they really are; neighbouring sheets overlap and
carry the same marks, which are laid on one another. A sheet that would stay blank is not printed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil

import shapely

from beltpath.cards.belt import outline
from beltpath.cards.diagram import extent
from beltpath.cards.page import ROW, set_line
from beltpath.cards.paper import Box
from beltpath.cards.scene import (
    Curve,
    Disc,
    Group,
    Item,
    Pen,
    Words,
    cross,
    line,
    rectangle,
    sampled,
)
from beltpath.cards.text import ASCENT, LEAST_SIZE, LINE, shorten
from beltpath.cards.view import Frame, View
from beltpath.geometry import Point
from beltpath.studies import Study

#: How much of a sheet its neighbour shows again, mm.
OVERLAP = 10.0
HEAD = 3 * LEAST_SIZE * LINE
BAR = 50.0
#: Room round the drive, mm.
EDGE = 4.0
#: A drive that needs more sheets than this is not for this printer.
MOST_SHEETS = 60
#: Of more sheets than this nobody asks which would stay blank.
MOST_LOOKED_AT = 2000
#: A line this near to a sheet (mm) may print on it: half its width, and what sampling leaves out.
LINE_ROOM = 0.3
#: Height of the map of sheets and of the largest sheet on it, mm.
MAP = 11.0
LARGEST_CELL = 5.0
#: Where along an edge the marks of neighbouring sheets are.
MARK_SHARES = (0.25, 0.75)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Which sheets there are: the grid's rows and columns, and the places that carry something.

    A place is a row and a column from 0; the places stand in the order of printing.
    """

    rows: int
    columns: int
    places: tuple[tuple[int, int], ...]


def plan(study: Study, view: View, room: Box) -> Plan:
    """The sheets that the drive takes at 1:1. One on which nothing would be drawn is left out."""
    area = tile(room)
    columns, rows = grid(study, view, area)
    places = [(row, column) for row in range(rows) for column in range(columns)]
    if len(places) > MOST_LOOKED_AT:
        return Plan(rows=rows, columns=columns, places=tuple(places))
    lines = shapely.STRtree(list(_ink(_items(study, _frame(study, view, area, (0, 0))))))
    # The drawing stands still here, and the sheets move over it.
    across, down = area.width - OVERLAP, area.height - OVERLAP
    boxes = shapely.box(
        [area.x + column * across for _, column in places],
        [area.y + row * down for row, _ in places],
        [area.right + column * across for _, column in places],
        [area.bottom + row * down for row, _ in places],
    )
    met, _ = lines.query(boxes, predicate="dwithin", distance=LINE_ROOM)
    kept = tuple(places[i] for i in sorted(set(met.tolist())))
    return Plan(rows=rows, columns=columns, places=kept)


def sheets(study: Study, view: View, room: Box, found: Plan) -> list[tuple[Group, ...]]:
    """The planned sheets, row by row from the top left; each prints on `room`."""
    return [_sheet(study, view, room, found, place) for place in found.places]


def _ink(items: Iterable[Item]) -> Iterator[shapely.Geometry]:
    """Every line and word as a geometry without width; curves are sampled."""
    for item in items:
        if isinstance(item, Disc):
            yield shapely.Point(item.centre).buffer(item.radius, quad_segs=32).exterior
        elif isinstance(item, Curve):
            yield shapely.LineString(sampled(item.start, item.pieces))
        else:
            box = item.box
            yield shapely.box(box.x, box.y, box.right, box.bottom)


def tile(room: Box) -> Box:
    """What of a sheet's room the drawing gets, under its head."""
    return Box(x=room.x, y=room.y + HEAD, width=room.width, height=room.height - HEAD)


def grid(study: Study, view: View, area: Box) -> tuple[int, int]:
    """How many columns and rows of sheets the drive takes at 1:1."""
    box = extent(study, view)
    return (_count(box.width + 2 * EDGE, area.width), _count(box.height + 2 * EDGE, area.height))


def _count(need: float, have: float) -> int:
    return max(1, ceil((need - OVERLAP) / (have - OVERLAP)))


def _frame(study: Study, view: View, area: Box, place: tuple[int, int]) -> Frame:
    """Top left of the drive (y up in the view) goes to the top left of the first sheet."""
    world = extent(study, view)
    row, column = place
    left = area.x + EDGE - column * (area.width - OVERLAP)
    top = area.y + EDGE - row * (area.height - OVERLAP)
    return Frame(view=view, scale=1.0, origin=(left - world.x, top + world.y + world.height))


def _sheet(
    study: Study, view: View, room: Box, found: Plan, place: tuple[int, int]
) -> tuple[Group, ...]:
    area = tile(room)
    frame = _frame(study, view, area, place)
    every = (
        Group(name="head", items=tuple(_head(room, found, place)), title="Sheet"),
        Group(name="map", items=tuple(_map(room, found, place)), title="Where the sheet belongs"),
        Group(
            name="template",
            items=tuple(_items(study, frame)),
            title="The drive at true scale",
            clip=area,
        ),
        Group(
            name="marks",
            items=tuple(_marks(area, found, place)),
            title="Marks that lie on those of the next sheets",
        ),
        Group(name="edge", items=(rectangle(area, Pen(stroke="grey", width=0.2)),), title="Edge"),
    )
    return tuple(group for group in every if group.items)


def _head(room: Box, found: Plan, place: tuple[int, int]) -> Iterator[Item]:
    number, count = found.places.index(place) + 1, len(found.places)
    where = f"row {place[0] + 1} of {found.rows}, column {place[1] + 1} of {found.columns}"
    yield set_line(f"True scale 1:1. Sheet {number} of {count}", room.x, room.y, bold=True)
    overlap = f"sheets overlap by {OVERLAP:.0f} mm"
    yield set_line(f"{where}; {overlap}", room.x, room.y + ROW)
    end, y = room.x + BAR, room.y + ASCENT * LEAST_SIZE + 2 * ROW
    yield line((room.x, y - 1.0), (end, y - 1.0), Pen(width=0.3))
    for x in (room.x, end):
        yield line((x, y - 2.2), (x, y + 0.2), Pen(width=0.3))
    yield Words(text=f"must measure {BAR:.0f} mm", at=(end + 2.0, y), size=LEAST_SIZE)


def _map(room: Box, found: Plan, place: tuple[int, int]) -> Iterator[Item]:
    """The sheets as they are laid together, this one filled; those left out are missing."""
    if len(found.places) == 1:
        return
    cell = min(MAP / found.rows, 0.75 * MAP / found.columns, LARGEST_CELL)
    left = room.right - found.columns * cell * 0.75 - 0.2
    for row, column in found.places:
        box = Box(
            x=left + column * cell * 0.75, y=room.y + row * cell, width=cell * 0.75, height=cell
        )
        here = (row, column) == place
        yield rectangle(box, Pen(width=0.2, fill="ink" if here else None))


def _marks(area: Box, found: Plan, place: tuple[int, int]) -> Iterator[Item]:
    """In every strip that a next sheet shows too, two marks with the numbers of both sheets."""
    numbers = {each: i for i, each in enumerate(found.places, start=1)}
    row, column = place
    half = OVERLAP / 2.0
    for share in MARK_SHARES:
        y, x = area.y + share * area.height, area.x + share * area.width
        for other, at in (
            ((row, column - 1), (area.x + half, y)),
            ((row, column + 1), (area.right - half, y)),
            ((row - 1, column), (x, area.y + half)),
            ((row + 1, column), (x, area.bottom - half)),
        ):
            if other in numbers:
                pair = sorted((numbers[place], numbers[other]))
                yield from _mark(at, pair, beside=other[1] == column)


def _mark(at: Point, pair: Sequence[int], *, beside: bool) -> Iterator[Item]:
    yield Disc(centre=at, radius=1.5, pen=Pen(width=0.2))
    yield from cross(at, 2.5)
    x, y = at
    words = f"{pair[0]}+{pair[1]}"
    if beside:
        yield Words(text=words, at=(x + 3.2, y + LEAST_SIZE / 3.0), size=LEAST_SIZE)
    else:
        yield Words(text=words, at=(x, y + 2.2 + LEAST_SIZE), size=LEAST_SIZE, anchor="middle")


def _items(study: Study, frame: Frame) -> Iterator[Item]:
    belt = study.layout.belt
    for pulley in study.layout.pulleys.values():
        centre = frame.point(study.drive.centre(pulley.name))
        yield Disc(centre=centre, radius=study.drive.rim_radius(pulley), pen=Pen(width=0.3))
        yield from cross(centre, 4.0)
        name = shorten(pulley.title, 60.0, LEAST_SIZE)
        at = (centre[0], centre[1] + 4.0 + LEAST_SIZE)
        yield Words(text=name, at=at, size=LEAST_SIZE, anchor="middle")
    for offset, pen in (
        (0.0, Pen(stroke="grey", width=0.2, dash=(3.0, 1.0, 0.5, 1.0))),
        (belt.height - belt.back, Pen(width=0.25)),
        (-belt.back, Pen(width=0.25)),
    ):
        start, pieces = outline(study.path, frame, offset)
        yield Curve(start=start, pieces=pieces, pen=pen)
    t = study.layout.tensioner
    if t is not None and t.pivot is not None:
        yield from cross(frame.point(t.pivot), 4.0)
