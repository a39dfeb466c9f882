"""The routing card: the drawing with what is written beside or under it, and the pages behind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from beltpath.cards import hub_loads, step_pictures, steps, true_scale, wrong_way
from beltpath.cards.diagram import Diagram, diagram
from beltpath.cards.document import Card, Options, Page
from beltpath.cards.facts import fact_rows, facts, findings_blocks, verdict_box, verdict_words
from beltpath.cards.legend import legend
from beltpath.cards.page import (
    ROW,
    SPACE,
    Block,
    Column,
    body,
    bound,
    flowed,
    heading,
    height,
    set_line,
    stacked,
)
from beltpath.cards.paper import Box, Paper, paper
from beltpath.cards.scene import Group
from beltpath.cards.table import table
from beltpath.cards.view import View
from beltpath.errors import UsageError
from beltpath.studies import Study

#: Shares of the printable height (portrait) or width (landscape) that the drawing gets.
LEAST_DRAWING = 0.36
WANTED_DRAWING = 0.46
#: However small the paper, the drawing gets this height (portrait), mm.
LEAST_PICTURE = 68.0
#: A landscape card's written column is at least this wide, mm.
COLUMN = 64.0
#: From this width on, the table and the facts stand side by side; and the gap between them, mm.
BESIDE = 170.0
BESIDE_GAP = 6.0
#: Size of the title on each paper but the middling ones, mm.
TITLE_SIZES = {"a4": 6.0, "letter": 6.0, "a6": 4.2}


def routing_card(studies: Sequence[Study], options: Options) -> Card:
    """The routing cards of studies, behind one another."""
    pages = tuple(page for study in studies for page in _pages(study, options))
    titles = "; ".join(study.layout.title for study in studies)
    return Card(title=f"{titles}: belt routing", pages=pages, ink=options.ink)


def drive_svg(study: Study) -> str:
    """The drawing of a study under its verdict, as the text of an SVG file for a notebook."""
    # Here and not above: a PDF needs no SVG.
    from beltpath.cards.svg import render

    sheet = paper("a6", landscape=True)
    box = sheet.printable
    verdict = set_line(verdict_words(study), box.x, box.y, bold=True)
    room = Box(x=box.x, y=box.y + ROW, width=box.width, height=box.height - ROW)
    drawing = diagram(study, room, View(), refit_numbers(study))
    return render(
        sheet, (verdict, *drawing.groups), title=study.layout.title, description=verdict.text
    )


def refit_numbers(study: Study) -> Mapping[str, int]:
    """The number that each pulley carries on the card: its place in putting on.

    A drive that failed its checks is not to be put on: there the numbers follow the belt's travel.
    """
    if study.verdict == "fail":
        return {contact.pulley: i for i, contact in enumerate(study.path.contacts, start=1)}
    return study.refit.numbers


def _pages(study: Study, options: Options) -> tuple[Page, ...]:
    numbers, room = refit_numbers(study), body(options.sheet)
    front, backs = faces(study, options)
    drawing, groups = _front(study, options, front, numbers)
    written = [list(stacked(blocks, room.x, room.y, room.width)) for blocks in backs]
    asked_for = [
        *_strips(study, options),
        *_loads(study, options, numbers),
        *_templates(study, options),
    ]
    told = "; ".join(words for _, words in fact_rows(study))
    return bound(
        [groups, *written, *asked_for],
        options,
        study.layout,
        title=f"{study.layout.title}: belt routing",
        description=f"{verdict_words(study)}. {told}",
        paper_named=True,
        diagram=drawing,
    )


def faces(study: Study, options: Options) -> tuple[list[Block], list[list[Block]]]:
    """The written blocks face by face: those on the front, and those of each page behind it."""
    front, later = _split(study, options, refit_numbers(study))
    if options.code:
        # Here and not above: most cards carry no code, and its library takes time to load.
        from beltpath.cards.code import code_block

        later.append(code_block(study.layout, body(options.sheet).width))
    return front, flowed(later, body(options.sheet), anywhere=steps.BY_HAND)


def _strips(study: Study, options: Options) -> list[tuple[Group, ...]]:
    """The pages of small pictures, if they are asked for; none for a drive that failed."""
    if not options.steps or study.verdict == "fail":
        return []
    return list(step_pictures.pages(study, body(options.sheet), options.view))


def _loads(study: Study, options: Options, numbers: Mapping[str, int]) -> list[tuple[Group, ...]]:
    """The page of hub loads, if it is asked for and forces are known."""
    if not options.loads:
        return []
    groups = hub_loads.page(study, body(options.sheet), options.view, numbers)
    return [groups] if groups else []


def _templates(study: Study, options: Options) -> list[tuple[Group, ...]]:
    """The sheets of the true-scale template, if it is asked for."""
    if not options.true_scale:
        return []
    room = body(options.sheet)
    found = true_scale.plan(study, options.view, room)
    count = len(found.places)
    if count > true_scale.MOST_SHEETS:
        raise UsageError(
            f"at true scale this drive takes {count} sheets of {options.paper}; choose larger paper"
        )
    return true_scale.sheets(study, options.view, room, found)


def _split(
    study: Study, options: Options, numbers: Mapping[str, int]
) -> tuple[list[Block], list[Block]]:
    """Which blocks stand beside or under the drawing, and which go overleaf."""
    sheet, page = options.sheet, body(options.sheet)
    head = _heading(study, options).height(page.width) + SPACE
    first = _first_blocks(study, options, numbers)
    parts = (
        findings_blocks(study),
        wrong_way.blocks(study, options, numbers),
        _procedure(study, options),
        [steps.by_hand_block(3)],
    )
    rest = [blocks for blocks in parts if blocks]
    wide = _column_width(sheet)
    warning = steps.front_caution(study)
    head += warning.height(wide) + SPACE
    least = 0.0 if sheet.landscape else max(LEAST_DRAWING * page.height, LEAST_PICTURE)
    wanted = 0.0 if sheet.landscape else WANTED_DRAWING * page.height
    room = page.height - head
    front: list[Block] = []
    overleaf: list[Block] = []
    for block in first:
        high = block.height(wide) + SPACE
        if room - high >= least:
            front.append(block)
            room -= high
        else:
            overleaf.append(block)
    front.append(warning)
    while rest and not overleaf and room - height(rest[0], wide) - SPACE >= wanted:
        room -= height(rest[0], wide) + SPACE
        front += rest.pop(0)
    later = [*overleaf, *(block for blocks in rest for block in blocks)]
    if not any(block.name.startswith(("caution", "how")) for block in later):
        front.remove(warning)
    return front, later


def _procedure(study: Study, options: Options) -> list[Block]:
    """The layout's notes, then the steps with their cautions, on one face where paper allows.

    A drive that failed its checks gets the cautions only.
    """
    notes = [steps.notes_block(study)] if study.layout.notes.strip() else []
    if study.verdict == "fail":
        return [*notes, *steps.cautions_blocks(study)]
    room = body(options.sheet)
    whole = steps.steps_block(study, options.view)
    if height([*notes, whole], room.width) - whole.gap <= room.height:
        return [*notes, whole, steps.limits_block()]
    return [*notes, *steps.steps_blocks(study, options.view), steps.limits_block()]


def _first_blocks(study: Study, options: Options, numbers: Mapping[str, int]) -> list[Block]:
    """What belongs on the front, in the order of its weight."""
    pulleys = table(study, options.view, numbers)
    other = [facts(study), legend(study)]
    if _column_width(options.sheet) >= BESIDE:
        return [verdict_box(study), _beside(pulleys, other)]
    return [verdict_box(study), pulleys, *other]


def _beside(left: Block, right: Sequence[Block]) -> Block:
    """A block on the left, others stacked on the right of it."""

    def build(column: Column) -> None:
        half = (column.wide - BESIDE_GAP) / 2.0
        group, high = left.group(column.x, column.y, half)
        column.items.append(group)
        below = column.y
        for block in right:
            inner, used = block.group(column.x + half + BESIDE_GAP, below, half)
            column.items.append(inner)
            below += used + 1.5
        column.y = max(column.y + high, below)

    return Block(name="particulars", title="Pulleys, belt and signs", build=build)


def _column_width(sheet: Paper) -> float:
    across = body(sheet).width
    return max(COLUMN, across * 0.42) if sheet.landscape else across


def _heading(study: Study, options: Options) -> Block:
    crank, view = study.layout.crank, options.view
    title = crank.title[0].upper() + crank.title[1:]
    sense = view.sense(study.layout.crank_turns)
    words = f"{view.words}. {title} turns {sense} in this picture."
    return heading(study.layout.title, words, TITLE_SIZES.get(options.paper, 5.0))


def _front(
    study: Study, options: Options, blocks: list[Block], numbers: Mapping[str, int]
) -> tuple[Diagram, list[Group]]:
    """The drawing, and all that stands on the front."""
    sheet, page = options.sheet, body(options.sheet)
    head, used = _heading(study, options).group(page.x, page.y, page.width)
    top = page.y + used + SPACE
    wide = _column_width(sheet)
    if sheet.landscape:
        box = Box(x=page.x, y=top, width=page.width - wide - SPACE, height=page.bottom - top)
        left, start = box.right + SPACE, top
    else:
        below = height(blocks, wide) + SPACE
        box = Box(x=page.x, y=top, width=wide, height=page.bottom - top - below)
        left, start = page.x, box.bottom + SPACE
    drawing = diagram(study, box, options.view, numbers)
    return drawing, [head, *drawing.groups, *stacked(blocks, left, start, wide)]
