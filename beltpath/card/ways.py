"""The best few ways that a belt can go, side by side, each with what tells it apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from beltpath.card import panels
from beltpath.card.diagram import diagram
from beltpath.card.document import Card, Options, Page
from beltpath.card.paper import Box
from beltpath.card.scene import Group, Item, Pen, Words, rectangle
from beltpath.card.text import LEAST_SIZE, LINE, wrap
from beltpath.study import Study

ROW = LEAST_SIZE * LINE
SPACE = 2.0
#: A drawing is at least this wide, mm, and this much of its cell's width high.
LEAST_WIDTH = 85.0
PICTURE_SHARE = 0.78
PAD = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way: its study, and the sentences that tell it from the others."""

    study: Study
    reasons: tuple[str, ...]


def ways_card(ways: Sequence[Way], options: Options, *, summary: str) -> Card:
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
        items.append(Words(text=text, at=(body.x, y + 4.6), size=4.6, bold=True))
        y += 4.6 * LINE
    for text in wrap(words, body.width, LEAST_SIZE):
        items.append(Words(text=text, at=(body.x, y + LEAST_SIZE), size=LEAST_SIZE))
        y += ROW
    return items


def _cells(
    ways: Sequence[Way], options: Options, body: Box, head: Sequence[Item]
) -> Iterator[_Cell]:
    """Every way in its place: row by row, page by page, a row as high as its longest text."""
    columns = max(1, int((body.width + SPACE) // (LEAST_WIDTH + SPACE)))
    wide = (body.width - (columns - 1) * SPACE) / columns
    page, y = 1, max(item.box.bottom for item in head) + SPACE
    for start in range(0, len(ways), columns):
        row = ways[start : start + columns]
        texts = [_texts(start + i + 1, way, wide) for i, way in enumerate(row)]
        text_height = max(map(len, texts)) * ROW + PAD
        high = min(wide * PICTURE_SHARE + text_height, body.height)
        if y + high > body.bottom:
            page, y = page + 1, body.y
        for i, (way, lines) in enumerate(zip(row, texts, strict=True)):
            place = Box(x=body.x + i * (wide + SPACE), y=y, width=wide, height=high)
            yield _Cell(
                page=page, groups=_cell(start + i + 1, way, lines, place, text_height, options)
            )
        y += high + SPACE


def _texts(number: int, way: Way, wide: float) -> list[tuple[str, bool]]:
    head = f"{number}. {panels.verdict_words(way.study)}"
    lines = [(text, True) for text in wrap(head, wide - 2 * PAD, LEAST_SIZE, bold=True)]
    body = [text for reason in way.reasons for text in wrap(reason, wide - 2 * PAD, LEAST_SIZE)]
    return lines + [(text, False) for text in body]


def _cell(
    number: int,
    way: Way,
    lines: Sequence[tuple[str, bool]],
    place: Box,
    text_height: float,
    options: Options,
) -> tuple[Group, ...]:
    box = Box(x=place.x, y=place.y, width=place.width, height=place.height - text_height)
    drawn = diagram(way.study, box, options.view, {})
    top = box.bottom
    words = tuple(
        Words(
            text=text,
            at=(place.x + PAD, top + i * ROW + LEAST_SIZE),
            size=LEAST_SIZE,
            bold=bold,
        )
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
