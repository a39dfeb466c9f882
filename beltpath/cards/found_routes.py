"""The best few ways that a belt can go, side by side, each with what tells it apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain, repeat

from beltpath.cards.diagram import diagram
from beltpath.cards.document import Card, Options
from beltpath.cards.facts import verdict_words
from beltpath.cards.page import ROW, body, bound, heading, set_line
from beltpath.cards.paper import Box
from beltpath.cards.scene import Group, Pen, rectangle
from beltpath.cards.text import LEAST_SIZE, wrap
from beltpath.ranking.rank import RankedRoute

SPACE = 2.0
#: A drawing is at least this wide, mm, and this much of its cell's width high.
LEAST_WIDTH = 85.0
PICTURE_SHARE = 0.78
#: This share of a cell's width is the drawing's where the words stand beside it.
BESIDE = 0.55
PAD = 1.5
TITLE_SIZE = 4.6


def ways_card(ways: Sequence[RankedRoute], options: Options, *, summary: str) -> Card:
    """The card of several ways of one drive. Only paper, view and ink of the options apply."""
    page, layout = body(options.sheet, SPACE), ways[0].study.layout
    title = f"{layout.title}: ways that the belt can go"
    head = heading(title, f"{options.view.words}. {summary}", TITLE_SIZE)
    group, high = head.group(page.x, page.y, page.width)
    cells = list(_cells(ways, options, page, page.y + high + SPACE))
    faces: list[list[Group]] = [[] for _ in range(cells[-1][0])]
    faces[0].append(group)
    for number, cell in cells:
        faces[number - 1].append(cell)
    pages = bound(faces, options, layout, title=f"{layout.title}: ways", description=summary)
    return Card(title=title, pages=pages, ink=options.ink)


def _cells(
    ways: Sequence[RankedRoute], options: Options, area: Box, y: float
) -> Iterator[tuple[int, Group]]:
    """Every way in its place, with the number of its page; a row is as high as its longest text."""
    page, number = 1, 1
    for row in _rows(ways, area, y):
        if y + row.high > area.bottom:
            page, y = page + 1, area.y
        for i, (way, lines) in enumerate(row.texts):
            x = area.x + i * (row.wide + SPACE)
            place = Box(x=x, y=y, width=row.wide, height=row.high)
            yield page, _cell(number, way, lines, place, row, options)
            number += 1
        y += row.high + SPACE


_Lines = Sequence[tuple[str, bool]]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """Ways side by side, each with its lines: below its drawing, or beside it.

    `wide` is the width of each, `high` the row's height, `drawing` the width and height of each
    drawing's room, all in mm.
    """

    texts: Sequence[tuple[RankedRoute, _Lines]]
    wide: float
    high: float
    drawing: tuple[float, float]
    beside: bool


def _rows(ways: Sequence[RankedRoute], area: Box, top: float) -> list[_Row]:
    """Rows with their words below the drawings; beside them where those would take their room.

    On the first page they start at `top`.
    """
    rows = [_below(*each) for each in _shared(ways, area, LEAST_WIDTH)]
    if rows[0].high <= area.bottom - top and all(row.high <= area.height for row in rows):
        return rows
    rooms = chain([area.bottom - top], repeat(area.height))
    shared = _shared(ways, area, LEAST_WIDTH / BESIDE)
    return [_beside(*each, area, room) for each, room in zip(shared, rooms, strict=False)]


_Shared = tuple[int, Sequence[RankedRoute], float]


def _shared(ways: Sequence[RankedRoute], area: Box, least: float) -> Iterator[_Shared]:
    """The ways row by row: the first one's number, the ways, and how wide each is, mm.

    None is narrower than `least`, but for one that stands alone.
    """
    columns = max(1, int((area.width + SPACE) // (least + SPACE)))
    wide = (area.width - (columns - 1) * SPACE) / columns
    for start in range(0, len(ways), columns):
        yield start + 1, ways[start : start + columns], wide


def _below(first: int, ways: Sequence[RankedRoute], wide: float) -> _Row:
    texts = [(way, _texts(first + i, way, wide)) for i, way in enumerate(ways)]
    picture = wide * PICTURE_SHARE
    high = picture + max(len(lines) for _, lines in texts) * ROW + PAD
    return _Row(texts=texts, wide=wide, high=high, drawing=(wide, picture), beside=False)


def _beside(first: int, ways: Sequence[RankedRoute], wide: float, area: Box, room: float) -> _Row:
    """A row as high as its drawings should be, if there is so much room, and as its texts are."""
    left = wide * BESIDE
    texts = [(way, _texts(first + i, way, wide - left)) for i, way in enumerate(ways)]
    written = max(len(lines) for _, lines in texts) * ROW + 2 * PAD
    high = min(max(written, min(left * PICTURE_SHARE, room)), area.height)
    return _Row(texts=texts, wide=wide, high=high, drawing=(left, high), beside=True)


def _texts(number: int, way: RankedRoute, wide: float) -> _Lines:
    head = f"{number}. {verdict_words(way.study)}"
    lines = [(text, True) for text in wrap(head, wide - 2 * PAD, LEAST_SIZE, bold=True)]
    body = [text for reason in way.reasons for text in wrap(reason, wide - 2 * PAD, LEAST_SIZE)]
    return lines + [(text, False) for text in body]


def _cell(
    number: int, way: RankedRoute, lines: _Lines, place: Box, row: _Row, options: Options
) -> Group:
    across, high = row.drawing
    box = Box(x=place.x, y=place.y, width=across, height=high)
    drawn = diagram(way.study, box.shrunk(PAD), options.view, {})
    left, top = (box.right + PAD, box.y + PAD) if row.beside else (box.x + PAD, box.bottom)
    words = (set_line(text, left, top + i * ROW, bold=b) for i, (text, b) in enumerate(lines))
    frame = rectangle(place, Pen(stroke="grey", width=0.2))
    name = f"way-{number}"
    named = (replace(group, name=f"{name}-{group.name}") for group in drawn.groups)
    return Group(name=name, items=(frame, *named, *words), title=f"Way {number}")
