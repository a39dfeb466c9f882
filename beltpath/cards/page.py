"""The page kit: columns of text, blocks that know their height, and pages with their footer.

Every sheet is made with it. A block sets its lines into a column; a sheet stacks blocks under one
another, lets those without room flow over to further pages, and binds the pages.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from beltpath.cards.diagram import Diagram
from beltpath.cards.document import Options, Page
from beltpath.cards.paper import Box, Paper
from beltpath.cards.scene import Anchor, Colour, Group, Item, Pen, Words, line
from beltpath.cards.text import ASCENT, LEAST_SIZE, LINE, shorten, width, wrap
from beltpath.layout.layout import Layout

#: From one line of text to the next, mm.
ROW = LEAST_SIZE * LINE
#: Space between blocks, and between a bold head and the text behind it, mm.
SPACE = 1.8
BEHIND = 0.6
#: Height of the footer, mm.
FOOTER = ROW + 0.8


# --- text ----------------------------------------------------------------------------------------


def set_line(
    text: str,
    x: float,
    y: float,
    *,
    bold: bool = False,
    size: float = LEAST_SIZE,
    anchor: Anchor = "start",
    colour: Colour = "ink",
) -> Words:
    """A line of text whose top is at y."""
    at = (x, y + ASCENT * size)
    return Words(text=text, at=at, size=size, bold=bold, anchor=anchor, colour=colour)


class Column:
    """Text and signs set under one another; `y` is where the next line goes, mm.

    An `inset` is how far a line stands in from the left edge.
    """

    def __init__(self, x: float, y: float, wide: float) -> None:
        self.x, self.y, self.wide = x, y, wide
        self.items: list[Item] = []

    def text(
        self, text: str, inset: float = 0.0, *, bold: bool = False, colour: Colour = "ink"
    ) -> None:
        """A line at the present height; the next one stands beside it."""
        self.items.append(set_line(text, self.x + inset, self.y, bold=bold, colour=colour))

    def paragraph(
        self, text: str, inset: float = 0.0, *, bold: bool = False, size: float = LEAST_SIZE
    ) -> None:
        """Text in as many lines as it takes."""
        for words in wrap(text, self.wide - inset, size, bold=bold):
            self.items.append(set_line(words, self.x + inset, self.y, bold=bold, size=size))
            self.y += size * LINE

    def hanging(self, text: str, indent: float, inset: float = 0.0) -> None:
        """Text whose first line stands behind a head, `indent` from the left edge."""
        first, *rest = wrap(text, self.wide - indent, LEAST_SIZE)
        self.text(first, indent)
        self.y += ROW
        if rest:
            self.paragraph(" ".join(rest), inset)

    def remark(self, head: str, text: str, inset: float = 0.0, colour: Colour = "ink") -> None:
        """Text behind its bold head."""
        self.text(head, bold=True, colour=colour)
        self.hanging(text, width(f"{head} ", LEAST_SIZE, bold=True) + BEHIND, inset)


# --- blocks --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A part of a sheet: `build` sets it into a column. `gap` is the space under it, mm.

    One to `keep` stands on the face on which the next begins.
    """

    name: str
    title: str
    build: Callable[[Column], None]
    gap: float = SPACE
    keep: bool = False

    def height(self, wide: float) -> float:
        """How high it is at a width, mm."""
        return self.set(0.0, 0.0, wide).y

    def set(self, x: float, y: float, wide: float) -> Column:
        """The block in a column of its own."""
        column = Column(x, y, wide)
        self.build(column)
        return column

    def group(self, x: float, y: float, wide: float) -> tuple[Group, float]:
        """The block as a group at its place, and the height it took."""
        column = self.set(x, y, wide)
        return Group(name=self.name, items=tuple(column.items), title=self.title), column.y - y


def heading(title: str, words: str, size: float, called: str = "Title and view") -> Block:
    """A sheet's title over what must be known to read it."""

    def build(column: Column) -> None:
        column.paragraph(title, bold=True, size=size)
        column.paragraph(words)

    return Block(name="heading", title=called, build=build)


def height(blocks: Sequence[Block], wide: float) -> float:
    """How much room blocks take under one another, the space under the last included, mm."""
    return sum(block.height(wide) + block.gap for block in blocks)


def stacked(blocks: Sequence[Block], x: float, y: float, wide: float) -> Iterator[Group]:
    """Blocks under one another."""
    for block in blocks:
        group, high = block.group(x, y, wide)
        yield group
        y += high + block.gap


def fitting(blocks: Sequence[Block], room: float, wide: float) -> int:
    """How many of the blocks, from the first on, have room under one another."""
    count = 0
    for block in blocks:
        room -= block.height(wide) + block.gap
        if room < 0.0:
            break
        count += 1
    return count


def flowed(blocks: Sequence[Block], body: Box, anywhere: str = "") -> list[list[Block]]:
    """Blocks page by page, in order; the one called `anywhere` goes where there is room left."""
    pages: list[list[Block]] = []
    rooms: list[float] = []
    for block, after in zip_longest(blocks, blocks[1:]):
        high = wanted = block.height(body.width) + block.gap
        if block.keep and after is not None:
            both = high + after.height(body.width)
            wanted = both if both <= body.height else high
        fits = [i for i, room in enumerate(rooms) if wanted <= room]
        if not fits or (fits[-1] != len(pages) - 1 and block.name != anywhere):
            pages.append([])
            rooms.append(body.height)
            fits = [len(pages) - 1]
        pages[fits[-1]].append(block)
        rooms[fits[-1]] -= high
    return pages


# --- pages ---------------------------------------------------------------------------------------


def body(sheet: Paper, space: float = SPACE) -> Box:
    """What of a sheet is printed on: the printable box less the footer, and the space over it."""
    box = sheet.printable
    return Box(x=box.x, y=box.y, width=box.width, height=box.height - FOOTER - space)


def bound(
    faces: Sequence[Sequence[Item]],
    options: Options,
    layout: Layout,
    *,
    title: str,
    description: str,
    paper_named: bool = False,
    diagram: Diagram | None = None,
) -> tuple[Page, ...]:
    """The pages of a sheet with their footers; `diagram` is that of the first.

    Each page is called `title` and its number; `paper_named` puts the paper's name before that.
    """
    sheet = options.sheet
    name = sheet.name.replace("a", "A") if sheet.name.startswith("a") else sheet.name
    lead = f"{name} · " if paper_named else ""
    called = [f"{lead}page {i} of {len(faces)}" for i in range(1, len(faces) + 1)]
    return tuple(
        Page(
            paper=sheet,
            title=f"{title}, {words}",
            description=description,
            items=(*items, footer(layout, words, sheet.printable)),
            layout=layout,
            diagram=diagram if items is faces[0] else None,
        )
        for words, items in zip(called, faces, strict=True)
    )


def footer(layout: Layout, page: str, box: Box) -> Group:
    """The layout's name and digest, so that the card can be traced to its file; the page."""
    y = box.bottom - FOOTER
    trace = f" · {layout.digest}"
    room = box.width - width(page, LEAST_SIZE) - 2.0 - width(trace, LEAST_SIZE)
    items = (
        line((box.x, y), (box.right, y), Pen(width=0.2)),
        set_line(shorten(layout.name, room, LEAST_SIZE) + trace, box.x, y + 0.6),
        set_line(page, box.right, y + 0.6, anchor="end"),
    )
    return Group(name="footer", items=items, title="Layout and page")
