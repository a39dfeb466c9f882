"""A card of two drawings: the drive before and after, and what changed between them.

A changed pulley's name stands in a frame with a number; its changes stand below under that number.
The card carries the layout after.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count
from math import isclose

from beltpath.cards.diagram import LARGEST_SCALE, Diagram, diagram, fault_marks
from beltpath.cards.document import Card, Options
from beltpath.cards.facts import verdict_words
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
from beltpath.cards.scene import Group, Item, Pen, Words, rectangle
from beltpath.cards.steps import limits_block
from beltpath.cards.text import LEAST_SIZE, width, wrap
from beltpath.checks.findings import Finding
from beltpath.comparison import Comparison
from beltpath.layout.layout import stand_in
from beltpath.output.compare_text import change, effects
from beltpath.studies import Study

#: Space between the lines of a list, mm.
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


def comparison_card(comparison: Comparison, options: Options) -> Card:
    """The card of a comparison. `true_scale`, `steps` and `code` of the options do not apply."""
    sheet, page = options.sheet, body(options.sheet)
    numbers = {name: i for i, name in enumerate(comparison.changed_pulleys, start=1)}
    top = page.y + _heading(comparison, options, alike=False).height(page.width) + SPACE
    limits = replace(limits_block(), title="What this answers for", gap=GAP)
    rows = [limits, *_rows(comparison, numbers)]
    room = Box(x=page.x, y=top, width=page.width, height=page.bottom - top)
    for share in SHARES:
        least = max(share * room.height, LEAST_PICTURE * (1 if sheet.landscape else 2))
        fit = fitting(rows, room.height - least - SPACE, page.width)
        used = height(rows[:fit], page.width) + (SPACE if fit else 0.0)
        pictures = replace(room, height=room.height - used)
        drawn = _drawings(comparison, pictures, options, numbers)
        if all(drawing.named for drawing in drawn):
            break
    head, _ = _heading(comparison, options, alike=_alike(*drawn)).group(page.x, page.y, page.width)
    below = stacked(rows[:fit], page.x, pictures.bottom + SPACE, page.width)
    front = [head, *(drawing.group for drawing in drawn), *below]
    backs = flowed(rows[fit:], page)
    before, after = comparison.before, comparison.after
    pages = bound(
        [front, *(list(stacked(back, page.x, page.y, page.width)) for back in backs)],
        options,
        after.layout,
        title=f"{after.layout.title}: before and after",
        description=f"Before: {verdict_words(before)}. After: {verdict_words(after)}.",
        paper_named=True,
    )
    title = f"{before.layout.title}: before and after"
    return Card(title=title, pages=pages, ink=options.ink)


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
class _Drawing:
    """One drawing, its scale, and whether every pulley on it has its name."""

    group: Group
    scale: float
    named: bool


def _drawings(
    comparison: Comparison, room: Box, options: Options, numbers: Mapping[str, int]
) -> tuple[_Drawing, _Drawing]:
    """Both drawings, at the largest scale at which either finds room for its labels."""
    one, other = _boxes(room, landscape=options.sheet.landscape)
    most = LARGEST_SCALE
    for _ in range(MOST_MATCHES):
        before = _drawing("before", comparison.before, one, options, numbers, most)
        after = _drawing("after", comparison.after, other, options, numbers, most)
        if _alike(before, after):
            break
        most = min(before.scale, after.scale)
    return before, after


def _alike(one: _Drawing, other: _Drawing) -> bool:
    return isclose(one.scale, other.scale, rel_tol=1e-9)


def _drawing(
    name: str,
    study: Study,
    box: Box,
    options: Options,
    numbers: Mapping[str, int],
    most: float,
) -> _Drawing:
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
    return _Drawing(group, drawing.frame.scale, _named(drawing))


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
    verdict = wrap(verdict_words(study), wide, LEAST_SIZE, bold=True)
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
            yield rectangle(Box.about((x, y), 4.0, 4.0), Pen(width=0.45, fill="paper"))
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
    title = "Before and after"
    return heading(title, words, 4.2 if options.paper == "a6" else 5.0, title)


def _rows(comparison: Comparison, numbers: Mapping[str, int]) -> Iterator[Block]:
    """The lists line by line: what is changed, what it does, and the findings."""
    changed = [
        (str(numbers[d.subject]) if d.pulley else "-", change(d)) for d in comparison.differences
    ]
    effect = [("-", sentence) for sentence in effects(comparison)]
    found = [
        *_found("new", comparison.new, comparison.after),
        *_found("still", comparison.still, comparison.after),
        *_found("gone", comparison.gone, comparison.before),
    ]
    lists = {
        "Changed": changed or [("-", "nothing")],
        "What it does": effect or [("-", "nothing along the belt")],
        "Findings": found,
    }
    number = count(1)
    for title, entries in lists.items():
        for i, (head, text) in enumerate(entries):
            yield _row(next(number), "" if i else title, head, text)


def _found(word: str, findings: Sequence[Finding], study: Study) -> Iterator[tuple[str, str]]:
    """Findings by the number that marks them in their own drawing."""
    lead = "gone, before:" if word == "gone" else f"{word}:"
    for finding in findings:
        number = next(i for i, f in enumerate(study.findings, start=1) if f is finding)
        yield "-", f"{lead} {finding.level} {number}, {finding.check}: {finding.message}"


def _row(number: int, title: str, head: str, text: str) -> Block:
    """One line of a list: a short head, its text, and the list's title if it is the first."""

    def build(column: Column) -> None:
        if title:
            column.paragraph(title, bold=True)
        framed = head != "-"
        column.text(head, 1.0, bold=framed)
        if framed:
            wide = width(head, LEAST_SIZE, bold=True) + 2.0
            box = Box(x=column.x, y=column.y + 0.2, width=wide, height=ROW - 0.4)
            column.items.append(rectangle(box, Pen(width=0.3)))
        column.paragraph(text, INDENT)

    return Block(name=f"entry-{number}", title=text, build=build, gap=GAP)
