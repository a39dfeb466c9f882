"""The drive at true scale, 1:1, over as many sheets as it takes, for drawing through and drilling.

Rims, effective line and belt outline are where they really are; neighbouring sheets overlap and
carry the same marks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from beltpath.card.belt import outline
from beltpath.card.diagram import extent
from beltpath.card.paper import Box
from beltpath.card.scene import Curve, Disc, Group, Item, Pen, Words, line, rectangle
from beltpath.card.text import LEAST_SIZE, LINE, shorten
from beltpath.card.view import Frame, View
from beltpath.geometry import Point
from beltpath.study import Study

#: How much of a sheet its neighbour shows again, mm.
OVERLAP = 10.0
HEAD = 3 * LEAST_SIZE * LINE
BAR = 50.0
#: Room round the drive, mm.
EDGE = 4.0
#: A drive that needs more sheets than this is not for this printer.
MOST_SHEETS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One sheet of the template: its row and column from 1, and its groups."""

    row: int
    column: int
    groups: tuple[Group, ...]


def sheets(study: Study, view: View, room: Box) -> tuple[Sheet, ...]:
    """The sheets of the template, row by row from the top left; each prints on `room`."""
    area = tile(room)
    columns, rows = grid(study, view, area)
    return tuple(
        Sheet(
            row=row + 1,
            column=column + 1,
            groups=_sheet(study, view, area, room, (row, column), (rows, columns)),
        )
        for row in range(rows)
        for column in range(columns)
    )


def tile(room: Box) -> Box:
    """What of a sheet's room the drawing gets, under its head."""
    return Box(x=room.x, y=room.y + HEAD, width=room.width, height=room.height - HEAD)


def grid(study: Study, view: View, area: Box) -> tuple[int, int]:
    """How many columns and rows of sheets the drive takes at 1:1."""
    box = extent(study, view)
    return (_count(box.width + 2 * EDGE, area.width), _count(box.height + 2 * EDGE, area.height))


def _count(need: float, have: float) -> int:
    return max(1, ceil((need - OVERLAP) / (have - OVERLAP)))


def _sheet(
    study: Study,
    view: View,
    tile: Box,
    room: Box,
    place: tuple[int, int],
    grid: tuple[int, int],
) -> tuple[Group, ...]:
    world = extent(study, view)
    row, column = place
    # Top left of the drive (y up in the view) goes to the top left of the first sheet.
    left = tile.x + EDGE - column * (tile.width - OVERLAP)
    top = tile.y + EDGE - row * (tile.height - OVERLAP)
    frame = Frame(view=view, scale=1.0, origin=(left - world.x, top + world.y + world.height))
    return (
        Group(name="head", items=tuple(_head(room, place, grid)), title="Sheet"),
        Group(
            name="template",
            items=tuple(_items(study, frame)),
            title="The drive at true scale",
            clip=tile,
        ),
        Group(name="edge", items=(rectangle(tile, Pen(stroke="grey", width=0.2)),), title="Edge"),
    )


def _head(room: Box, place: tuple[int, int], grid: tuple[int, int]) -> Iterator[Item]:
    words = (
        f"True scale 1:1. Sheet row {place[0] + 1} of {grid[0]}, column {place[1] + 1} of {grid[1]}"
    )
    yield Words(text=words, at=(room.x, room.y + LEAST_SIZE), size=LEAST_SIZE, bold=True)
    y = room.y + LEAST_SIZE * (1.0 + LINE)
    yield line((room.x, y - 1.0), (room.x + BAR, y - 1.0), Pen(width=0.3))
    for x in (room.x, room.x + BAR):
        yield line((x, y - 2.2), (x, y + 0.2), Pen(width=0.3))
    words = f"must measure {BAR:.0f} mm; sheets overlap by {OVERLAP:.0f} mm"
    yield Words(text=words, at=(room.x + BAR + 2.0, y), size=LEAST_SIZE)


def _items(study: Study, frame: Frame) -> Iterator[Item]:
    belt = study.layout.belt
    for pulley in study.layout.pulleys.values():
        centre = frame.point(study.drive.centre(pulley.name))
        yield Disc(centre=centre, radius=study.drive.rim_radius(pulley), pen=Pen(width=0.3))
        yield from _cross(centre)
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
        yield from _cross(frame.point(t.pivot))


def _cross(at: Point) -> Iterator[Item]:
    x, y = at
    yield line((x - 4.0, y), (x + 4.0, y), Pen(width=0.2))
    yield line((x, y - 4.0), (x, y + 4.0), Pen(width=0.2))
