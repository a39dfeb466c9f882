"""A card of two drawings: the drive before and after, and what changed between them.

A changed pulley's name stands in a frame with a number; its changes stand below under that number.
The card carries the layout after.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import isclose

from beltpath.cards import panels
from beltpath.cards.diagram import LARGEST_SCALE, Diagram, diagram, fault_marks
from beltpath.cards.document import Card, Options, Page
from beltpath.cards.panels import Block, set_line
from beltpath.cards.paper import Box, Paper
from beltpath.cards.scene import Group, Item, Pen, Words, rectangle
from beltpath.cards.text import LEAST_SIZE, LINE, width, wrap
from beltpath.checks.findings import Finding
from beltpath.comparison import Comparison
from beltpath.layout.layout import stand_in
from beltpath.output.compare_text import change, effects
from beltpath.refit.cautions import LIMITS
from beltpath.studies import Study

ROW = LEAST_SIZE * LINE
#: Space between parts of the card, and between the lines of a list, mm.
SPACE = 1.8
GAP = 0.5
#: Least heights tried for the drawings, as shares of the page: the first that gives every pulley a
#: name is taken. What finds no room below them goes overleaf.
SHARES = (0.6, 0.8, 1.0)
#: However small the paper, a drawing with its caption is this high, if the page is, mm.
LEAST_PICTURE = 75.0
#: How far a list's text stands in from its head, mm.
INDENT = 7.0
#: How often the larger drawing is drawn anew at the scale of the smaller, until both agree.
MOST_MATCHES = 6
#: How far a frame stands out from the name in it; less than the air kept round names, mm.
OUT = 0.6


@dataclass(frozen=True, slots=True)
class _Entry:
    """One line of a list: a short head, its text, and the list's title if it is the first."""

    head: str
    text: str
    title: str = ""


def comparison_card(comparison: Comparison, options: Options) -> Card:
    """The card of a comparison. `true_scale`, `steps` and `code` of the options do not apply."""
    sheet = options.sheet
    body = _body(sheet)
    numbers = {name: i for i, name in enumerate(comparison.changed_pulleys, start=1)}
    head = _heading(comparison, options, alike=False)
    top = body.y + head.height(body.width) + SPACE
    rows = [_limits(), *_rows(_entries(comparison, numbers))]
    room = Box(x=body.x, y=top, width=body.width, height=body.bottom - top)
    for share in SHARES:
        least = max(share * room.height, LEAST_PICTURE * (1 if sheet.landscape else 2))
        front, later = _fitting(rows, room.height - least - SPACE, body.width)
        used = sum(row.height(body.width) + GAP for row in front)
        pictures = replace(room, height=room.height - used - (SPACE if front else 0.0))
        drawn = _pictures(comparison, pictures, options, numbers)
        if all(picture.named for picture in drawn):
            break
    head = _heading(comparison, options, alike=_alike(*drawn))
    group, _ = head.group(body.x, body.y, body.width)
    below = _stacked(front, body.x, pictures.bottom + SPACE, body.width)
    items = [group, *(picture.group for picture in drawn), *below]
    backs = list(_backs(later, body))
    count = 1 + len(backs)
    pages = [_page(comparison, sheet, items, 1, count)]
    for i, rows in enumerate(backs, start=2):
        stacked = list(_stacked(rows, body.x, body.y, body.width))
        pages.append(_page(comparison, sheet, stacked, i, count))
    title = f"{comparison.before.layout.title}: before and after"
    return Card(title=title, pages=tuple(pages), ink=options.ink)


def _body(sheet: Paper) -> Box:
    """The printable box less the footer."""
    box = sheet.printable
    return Box(x=box.x, y=box.y, width=box.width, height=box.height - panels.FOOTER - SPACE)


def _boxes(room: Box, *, landscape: bool) -> tuple[Box, Box]:
    """Two boxes: side by side on a wide page, one above the other on a high one."""
    if landscape:
        half = (room.width - SPACE) / 2.0
        one = Box(x=room.x, y=room.y, width=half, height=room.height)
        return one, replace(one, x=room.x + half + SPACE)
    half = (room.height - SPACE) / 2.0
    one = Box(x=room.x, y=room.y, width=room.width, height=half)
    return one, replace(one, y=room.y + half + SPACE)


# --- the drawings --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Picture:
    """One drawing, its scale, and whether every pulley on it has its name."""

    group: Group
    scale: float
    named: bool


def _pictures(
    comparison: Comparison, room: Box, options: Options, numbers: Mapping[str, int]
) -> tuple[_Picture, _Picture]:
    """Both drawings, at the largest scale at which either finds room for its labels."""
    one, other = _boxes(room, landscape=options.sheet.landscape)
    most = LARGEST_SCALE
    for _ in range(MOST_MATCHES):
        before = _picture("before", comparison.before, one, options, numbers, most)
        after = _picture("after", comparison.after, other, options, numbers, most)
        if _alike(before, after):
            break
        most = min(before.scale, after.scale)
    return before, after


def _alike(one: _Picture, other: _Picture) -> bool:
    return isclose(one.scale, other.scale, rel_tol=1e-9)


def _picture(
    name: str,
    study: Study,
    box: Box,
    options: Options,
    numbers: Mapping[str, int],
    most: float,
) -> _Picture:
    """One drawing in a frame under its caption. Its groups keep their names behind `name`."""
    title, verdict = _caption(name, study, box.width - 2.0)
    high = (len(title) + len(verdict)) * ROW + 1.0
    inner = Box(x=box.x, y=box.y + high, width=box.width, height=box.height - high).shrunk(1.0)
    drawing = _drawn(_numbered(study, numbers), inner, options, most)
    items: list[Item] = [rectangle(box, Pen(stroke="grey", width=0.2))]
    items += [
        set_line(
            line, box.x + 1.0, box.y + 0.5 + i * ROW, bold=i < len(title) or study.verdict == "fail"
        )
        for i, line in enumerate([*title, *verdict])
    ]
    items += [replace(group, name=f"{name}-{group.name}") for group in drawing.groups]
    if marks := tuple(_marks(drawing, numbers)):
        items.append(Group(name=f"{name}-marks", items=marks, title="Changed"))
    group = Group(name=name, items=tuple(items), title=name.capitalize())
    return _Picture(group, drawing.frame.scale, _named(drawing))


def _drawn(study: Study, box: Box, options: Options, most: float) -> Diagram:
    """The drawing; where faults leave no room for names, with their marks but not their numbers."""
    drawing = diagram(study, box, options.view, {}, most)
    if _named(drawing):
        return drawing
    drawing = diagram(replace(study, findings=()), box, options.view, {}, most)
    marks = tuple(fault_marks(study.findings, drawing.frame))
    if not marks:
        return drawing
    faults = Group(name="faults", items=marks, title="Faults")
    return replace(drawing, groups=(*drawing.groups, faults))


def _named(drawing: Diagram) -> bool:
    """Whether every pulley has its name."""
    named = {label.request.key for label in drawing.labels}
    return all(f"pulley:{pulley}" in named for pulley in drawing.discs)


def _caption(name: str, study: Study, wide: float) -> tuple[list[str], list[str]]:
    """The lines of the title and of the verdict."""
    title = wrap(f"{name.capitalize()}: {study.layout.title}", wide, LEAST_SIZE, bold=True)
    verdict = wrap(panels.verdict_words(study), wide, LEAST_SIZE, bold=True)
    return title, verdict


def _numbered(study: Study, numbers: Mapping[str, int]) -> Study:
    """The study with each changed pulley called by its number too."""
    pulleys = {
        name: replace(pulley, label=f"{numbers[name]} {pulley.title}")
        if name in numbers
        else pulley
        for name, pulley in study.layout.pulleys.items()
    }
    layout = stand_in(study.layout, pulleys=pulleys)
    return replace(study, drive=replace(study.drive, layout=layout))


def _marks(drawing: Diagram, numbers: Mapping[str, int]) -> Iterator[Item]:
    """A frame round the name of every changed pulley; its number where it found no name."""
    named = {label.request.key: label.box for label in drawing.labels}
    for name, number in numbers.items():
        if box := named.get(f"pulley:{name}"):
            yield rectangle(box.shrunk(-OUT), Pen(width=0.45))
        elif name in drawing.discs:
            x, y = drawing.discs[name][0]
            yield rectangle(
                Box(x=x - 2.0, y=y - 2.0, width=4.0, height=4.0), Pen(width=0.45, fill="paper")
            )
            yield Words(
                text=str(number), at=(x, y + 1.2), size=LEAST_SIZE, bold=True, anchor="middle"
            )


# --- the lists -----------------------------------------------------------------------------------


def _heading(comparison: Comparison, options: Options, *, alike: bool) -> Block:
    """What the card is, from where the drive is seen, and how changes are marked."""
    scale = "Both drawings are" if alike else "The two drawings are not"
    words = f"{options.view.words}. {scale} to one scale."
    if comparison.changed_pulleys:
        words += " A framed name with a number: this pulley is changed, see that number."

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        size = 4.2 if options.paper == "a6" else 5.0
        title = set_line("Before and after", x, y, bold=True, size=size)
        body = wrap(words, wide, LEAST_SIZE)
        top = y + size * LINE
        items: list[Item] = [title]
        items += [set_line(line, x, top + i * ROW) for i, line in enumerate(body)]
        return items, size * LINE + len(body) * ROW

    return Block(name="heading", title="Before and after", build=build)


def _entries(comparison: Comparison, numbers: Mapping[str, int]) -> Iterator[_Entry]:
    changed = [
        _Entry(str(numbers[d.subject]) if d.pulley else "-", change(d))
        for d in comparison.differences
    ]
    effect = [_Entry("-", sentence) for sentence in effects(comparison)]
    found = [
        *_found("new", comparison.new, comparison.after),
        *_found("still", comparison.still, comparison.after),
        *_found("gone", comparison.gone, comparison.before),
    ]
    yield from _titled("Changed", changed or [_Entry("-", "nothing")])
    yield from _titled("What it does", effect or [_Entry("-", "nothing along the belt")])
    yield from _titled("Findings", found)


def _found(word: str, findings: Sequence[Finding], study: Study) -> Iterator[_Entry]:
    """Findings by the number that marks them in their own drawing."""
    where = "before" if word == "gone" else "after"
    for finding in findings:
        number = next(i for i, f in enumerate(study.findings, start=1) if f is finding)
        head = f"{word}, {where}:" if word == "gone" else f"{word}:"
        yield _Entry("-", f"{head} {finding.level} {number}, {finding.check}: {finding.message}")


def _titled(title: str, entries: Sequence[_Entry]) -> Iterator[_Entry]:
    for i, entry in enumerate(entries):
        yield replace(entry, title=title if i == 0 else "")


def _rows(entries: Iterator[_Entry]) -> Iterator[Block]:
    for number, entry in enumerate(entries, start=1):
        yield _row(entry, number)


def _row(entry: _Entry, number: int) -> Block:
    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        items: list[Item] = []
        start = y
        if entry.title:
            items.append(set_line(entry.title, x, y, bold=True))
            y += ROW
        framed = entry.head != "-"
        head = set_line(entry.head, x + 1.0, y, bold=framed)
        items.append(head)
        if framed:
            box = Box(
                x=x,
                y=y + 0.2,
                width=width(entry.head, LEAST_SIZE, bold=True) + 2.0,
                height=ROW - 0.4,
            )
            items.append(rectangle(box, Pen(width=0.3)))
        for line in wrap(entry.text, wide - INDENT, LEAST_SIZE):
            items.append(set_line(line, x + INDENT, y))
            y += ROW
        return items, y - start

    return Block(name=f"entry-{number}", title=entry.text, build=build)


def _fitting(rows: Sequence[Block], room: float, wide: float) -> tuple[list[Block], list[Block]]:
    """The rows that have room below the drawings, and those that go overleaf."""
    used, count = 0.0, 0
    for row in rows:
        used += row.height(wide) + GAP
        if used > room:
            break
        count += 1
    return list(rows[:count]), list(rows[count:])


def _limits() -> Block:
    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        items, end = panels.caution_items(LIMITS, x, y, wide)
        return items, end - y

    return Block(name="limits", title="What this answers for", build=build)


def _backs(rows: Sequence[Block], body: Box) -> Iterator[list[Block]]:
    """Rows overleaf, page by page."""
    page: list[Block] = []
    room = body.height
    for row in rows:
        high = row.height(body.width) + GAP
        if page and high > room:
            yield page
            page, room = [], body.height
        page.append(row)
        room -= high
    if page:
        yield page


def _stacked(rows: Sequence[Block], x: float, y: float, wide: float) -> Iterator[Group]:
    for row in rows:
        group, height = row.group(x, y, wide)
        yield group
        y += height + GAP


def _page(
    comparison: Comparison, sheet: Paper, items: Sequence[Item], number: int, count: int
) -> Page:
    box, after = sheet.printable, comparison.after
    name = sheet.name.replace("a", "A") if sheet.name.startswith("a") else sheet.name
    words = f"{name} · page {number} of {count}"
    foot = panels.footer(after.layout, words, box.x, box.bottom - panels.FOOTER, box.width)
    return Page(
        paper=sheet,
        title=f"{after.layout.title}: before and after, {words}",
        description=f"Before: {panels.verdict_words(comparison.before)}. "
        f"After: {panels.verdict_words(after)}.",
        items=(*items, foot),
        layout=after.layout,
    )
