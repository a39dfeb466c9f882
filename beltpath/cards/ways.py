"""The best few ways that a belt can go, side by side, each with what tells it apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from beltpath.cards import panels
from beltpath.cards.diagram import diagram
from beltpath.cards.document import Card, Options, Page
from beltpath.cards.paper import Box
from beltpath.cards.scene import Group, Item, Pen, Words, rectangle
from beltpath.cards.text import ASCENT, LEAST_SIZE, LINE, wrap
from beltpath.ranking.rank import RankedRoute

ROW = LEAST_SIZE * LINE
SPACE = 2.0
#: A drawing is at least this wide, mm, and this much of its cell's width high.
LEAST_WIDTH = 85.0
PICTURE_SHARE = 0.78
#: This share of a cell's width is the drawing's where the words stand beside it.
BESIDE = 0.55
PAD = 1.5


def ways_card(ways: Sequence[RankedRoute], options: Options, *, summary: str) -> Card:
    """The card of several ways of one drive. Only paper, view and ink of the options apply."""
    body = _body(options)
    title = ways[0].study.layout.title
    head = _head(f"{title}: ways that the belt can go", f"{options.view.words}. {summary}", body)
    cells = list(_cells(ways, options, body, head))
    count = cells[-1].page
    pages = []
    for number in range(1, count + 1):
        groups = [group for cell in cells if cell.page == number for group in cell.groups]
        words = f"page {number} of {count}"
        foot_y = options.sheet.printable.bottom - panels.FOOTER
        foot = panels.footer(ways[0].study.layout, words, body.x, foot_y, body.width)
        top = [Group(name="heading", items=tuple(head), title="Title and view")]
        pages.append(
            Page(
                paper=options.sheet,
                title=f"{title}: ways, {words}",
                description=summary,
                items=(*(top if number == 1 else ()), *groups, foot),
                layout=ways[0].study.layout,
            )
        )
    return Card(title=f"{title}: ways that the belt can go", pages=tuple(pages), ink=options.ink)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cell:
    page: int
    groups: tuple[Group, ...]


def _body(options: Options) -> Box:
    box = options.sheet.printable
    return Box(x=box.x, y=box.y, width=box.width, height=box.height - panels.FOOTER - SPACE)


def _head(title: str, words: str, body: Box) -> list[Item]:
    items: list[Item] = []
    y = body.y
    for text in wrap(title, body.width, 4.6, bold=True):
        items.append(Words(text=text, at=(body.x, y + ASCENT * 4.6), size=4.6, bold=True))
        y += 4.6 * LINE
    for text in wrap(words, body.width, LEAST_SIZE):
        items.append(Words(text=text, at=(body.x, y + ASCENT * LEAST_SIZE), size=LEAST_SIZE))
        y += ROW
    return items


def _cells(
    ways: Sequence[RankedRoute], options: Options, body: Box, head: Sequence[Item]
) -> Iterator[_Cell]:
    """Every way in its place: row by row, page by page, a row as high as its longest text."""
    page, y = 1, max(item.box.bottom for item in head) + SPACE
    number = 1
    for row in _rows(ways, body, y):
        if y + row.high > body.bottom:
            page, y = page + 1, body.y
        for i, (way, lines) in enumerate(row.texts):
            x = body.x + i * (row.wide + SPACE)
            place = Box(x=x, y=y, width=row.wide, height=row.high)
            yield _Cell(page=page, groups=_cell(number, way, lines, place, row, options))
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


def _rows(ways: Sequence[RankedRoute], body: Box, top: float) -> list[_Row]:
    """Rows with their words below the drawings; beside them where those would take their room.

    On the first page they start at `top`.
    """
    columns = _columns(body.width, LEAST_WIDTH)
    starts = range(0, len(ways), columns)
    rows = [_below(start + 1, ways[start : start + columns], columns, body) for start in starts]
    if rows[0].high <= body.bottom - top and all(row.high <= body.height for row in rows):
        return rows
    columns = _columns(body.width, LEAST_WIDTH / BESIDE)
    starts = range(0, len(ways), columns)
    return [
        _beside(
            start + 1,
            ways[start : start + columns],
            columns,
            body,
            body.height if start else body.bottom - top,
        )
        for start in starts
    ]


def _columns(across: float, least: float) -> int:
    """How many cells of a least width stand side by side, at least one."""
    return max(1, int((across + SPACE) // (least + SPACE)))


def _wide(body: Box, columns: int) -> float:
    return (body.width - (columns - 1) * SPACE) / columns


def _below(first: int, ways: Sequence[RankedRoute], columns: int, body: Box) -> _Row:
    wide = _wide(body, columns)
    texts = [(way, _texts(first + i, way, wide)) for i, way in enumerate(ways)]
    picture = wide * PICTURE_SHARE
    high = picture + max(len(lines) for _, lines in texts) * ROW + PAD
    return _Row(texts=texts, wide=wide, high=high, drawing=(wide, picture), beside=False)


def _beside(first: int, ways: Sequence[RankedRoute], columns: int, body: Box, room: float) -> _Row:
    """A row as high as its drawings should be, if there is so much room, and as its texts are."""
    wide = _wide(body, columns)
    left = wide * BESIDE
    texts = [(way, _texts(first + i, way, wide - left)) for i, way in enumerate(ways)]
    written = max(len(lines) for _, lines in texts) * ROW + 2 * PAD
    high = min(max(written, min(left * PICTURE_SHARE, room)), body.height)
    return _Row(texts=texts, wide=wide, high=high, drawing=(left, high), beside=True)


def _texts(number: int, way: RankedRoute, wide: float) -> _Lines:
    head = f"{number}. {panels.verdict_words(way.study)}"
    lines = [(text, True) for text in wrap(head, wide - 2 * PAD, LEAST_SIZE, bold=True)]
    body = [text for reason in way.reasons for text in wrap(reason, wide - 2 * PAD, LEAST_SIZE)]
    return lines + [(text, False) for text in body]


def _cell(
    number: int, way: RankedRoute, lines: _Lines, place: Box, row: _Row, options: Options
) -> tuple[Group, ...]:
    across, high = row.drawing
    box = Box(x=place.x, y=place.y, width=across, height=high)
    drawn = diagram(way.study, box.shrunk(PAD), options.view, {})
    left, top = (box.right + PAD, box.y + PAD) if row.beside else (box.x + PAD, box.bottom)
    words = tuple(
        Words(text=text, at=(left, top + i * ROW + ASCENT * LEAST_SIZE), size=LEAST_SIZE, bold=bold)
        for i, (text, bold) in enumerate(lines)
    )
    frame = rectangle(place, Pen(stroke="grey", width=0.2))
    picture = Group(
        name=f"way-{number}",
        items=(frame, *(_renamed(group, number) for group in drawn.groups), *words),
        title=f"Way {number}",
    )
    return (picture,)


def _renamed(group: Group, number: int) -> Group:
    """The same group under a name that no other way uses."""
    return Group(
        name=f"way-{number}-{group.name}",
        items=group.items,
        title=group.title,
        description=group.description,
    )
