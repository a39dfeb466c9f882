"""Blocks and diagram put together into pages."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from beltpath.cards import loads, panels, wrong_way
from beltpath.cards import step_pictures as strip
from beltpath.cards import true_scale as template
from beltpath.cards.diagram import Diagram, diagram
from beltpath.cards.document import Card, Options, Page
from beltpath.cards.panels import Block
from beltpath.cards.paper import Box, Paper
from beltpath.cards.scene import Group
from beltpath.errors import UsageError
from beltpath.studies import Study

#: Space between blocks, mm.
SPACE = 1.8
#: Shares of the printable height (portrait) or width (landscape) that the drawing gets.
LEAST_DRAWING = 0.36
WANTED_DRAWING = 0.46
#: However small the paper, the drawing gets this height (portrait), mm.
LEAST_PICTURE = 68.0
#: A landscape card's written column is at least this wide, mm.
COLUMN = 64.0
#: From this width on, the table and the facts stand side by side, mm.
BESIDE = 170.0


def compose(studies: Sequence[Study], options: Options) -> Card:
    """The routing cards of studies, behind one another."""
    pages = tuple(page for study in studies for page in _pages(study, options))
    titles = "; ".join(study.layout.title for study in studies)
    return Card(title=f"{titles}: belt routing", pages=pages, ink=options.ink)


def refit_numbers(study: Study) -> Mapping[str, int]:
    """The number that each pulley carries on the card: its place in putting on.

    A drive that failed its checks is not to be put on: there the numbers follow the belt's travel.
    """
    if study.verdict == "fail":
        return {contact.pulley: i for i, contact in enumerate(study.path.contacts, start=1)}
    return study.refit.numbers


def _pages(study: Study, options: Options) -> Iterator[Page]:
    sheet = options.sheet
    numbers = refit_numbers(study)
    front, backs = faces(study, options)
    templates = [
        *_strips(study, options),
        *_loads(study, options, numbers),
        *_templates(study, options),
    ]
    count = 1 + len(backs) + len(templates)
    yield _front(study, options, front, numbers, _page_words(sheet, 1, count))
    for i, blocks in enumerate(backs, start=2):
        yield _back(study, sheet, blocks, _page_words(sheet, i, count))
    for i, groups in enumerate(templates, start=2 + len(backs)):
        yield _page(study, sheet, list(groups), _page_words(sheet, i, count), None)


def faces(study: Study, options: Options) -> tuple[list[Block], list[list[Block]]]:
    """The written blocks face by face: those on the front, and those of each page behind it."""
    front, later = _split(study, options, refit_numbers(study))
    if options.code:
        # Here and not above: most cards carry no code, and its library takes time to load.
        from beltpath.cards.code import code_block

        later.append(code_block(study.layout, _body(options.sheet).width))
    return front, _flow(later, options.sheet)


def _strips(study: Study, options: Options) -> list[tuple[Group, ...]]:
    """The pages of small pictures, if they are asked for; none for a drive that failed."""
    if not options.steps or study.verdict == "fail":
        return []
    return list(strip.pages(study, _body(options.sheet), options.view))


def _loads(study: Study, options: Options, numbers: Mapping[str, int]) -> list[tuple[Group, ...]]:
    """The page of hub loads, if it is asked for and forces are known."""
    if not options.loads:
        return []
    groups = loads.page(study, _body(options.sheet), options.view, numbers)
    return [groups] if groups else []


def _templates(study: Study, options: Options) -> list[tuple[Group, ...]]:
    """The sheets of the true-scale template, if it is asked for."""
    if not options.true_scale:
        return []
    room = _body(options.sheet)
    found = template.plan(study, options.view, room)
    count = len(found.places)
    if count > template.MOST_SHEETS:
        raise UsageError(
            f"at true scale this drive takes {count} sheets of {options.paper}; choose larger paper"
        )
    return [sheet.groups for sheet in template.sheets(study, options.view, room, found)]


def _page_words(sheet: Paper, number: int, count: int) -> str:
    name = sheet.name.replace("a", "A") if sheet.name.startswith("a") else sheet.name
    return f"{name} · page {number} of {count}"


def _body(sheet: Paper) -> Box:
    """The printable box less the footer."""
    box = sheet.printable
    return Box(x=box.x, y=box.y, width=box.width, height=box.height - panels.FOOTER - SPACE)


def _split(
    study: Study, options: Options, numbers: Mapping[str, int]
) -> tuple[list[Block], list[Block]]:
    """Which blocks stand beside or under the drawing, and which go overleaf."""
    sheet = options.sheet
    body = _body(sheet)
    head = _heading(study, options).height(body.width) + SPACE
    first = _first_blocks(study, options, numbers)
    parts = (
        panels.findings_blocks(study),
        wrong_way.blocks(study, options, numbers),
        _procedure(study, options),
        [panels.by_hand_block(3)],
    )
    rest = [blocks for blocks in parts if blocks]
    wide = _column_width(sheet)
    warning = panels.front_caution(study)
    head += warning.height(wide) + SPACE
    least = 0.0 if sheet.landscape else max(LEAST_DRAWING * body.height, LEAST_PICTURE)
    wanted = 0.0 if sheet.landscape else WANTED_DRAWING * body.height
    room = body.height - head
    front: list[Block] = []
    overleaf: list[Block] = []
    for block in first:
        height = block.height(wide) + SPACE
        if room - height >= least:
            front.append(block)
            room -= height
        else:
            overleaf.append(block)
    front.append(warning)
    while rest and not overleaf and room - _height(rest[0], wide) >= wanted:
        room -= _height(rest[0], wide)
        front += rest.pop(0)
    later = [*overleaf, *(block for blocks in rest for block in blocks)]
    if not any(block.name.startswith(("caution", "how")) for block in later):
        front.remove(warning)
    return front, later


def _height(blocks: Sequence[Block], wide: float) -> float:
    """How much room blocks take one under another, mm."""
    return sum(block.height(wide) + block.gap for block in blocks) + SPACE


def _procedure(study: Study, options: Options) -> list[Block]:
    """The layout's notes, then the steps with their cautions, on one face where paper allows.

    A drive that failed its checks gets the cautions only.
    """
    notes = [panels.notes_block(study)] if study.layout.notes.strip() else []
    if study.verdict == "fail":
        return [*notes, *panels.cautions_blocks(study)]
    body = _body(options.sheet)
    whole = panels.steps_block(study, options.view)
    if _height([*notes, whole], body.width) - SPACE - whole.gap <= body.height:
        return [*notes, whole, panels.limits_block()]
    return [*notes, *panels.steps_blocks(study, options.view), panels.limits_block()]


def _first_blocks(study: Study, options: Options, numbers: Mapping[str, int]) -> list[Block]:
    """What belongs on the front, in the order of its weight."""
    table = panels.table(study, options.view, numbers)
    facts, signs = panels.facts(study), panels.legend(study)
    if _column_width(options.sheet) >= BESIDE:
        return [panels.verdict_box(study), panels.beside(table, [facts, signs], 6.0)]
    return [panels.verdict_box(study), table, facts, signs]


def _column_width(sheet: Paper) -> float:
    body = _body(sheet)
    return max(COLUMN, body.width * 0.42) if sheet.landscape else body.width


def _heading(study: Study, options: Options) -> Block:
    size = {"a4": 6.0, "letter": 6.0, "a6": 4.2}.get(options.paper, 5.0)
    return panels.heading(study, options.view, size)


def _front(
    study: Study, options: Options, blocks: list[Block], numbers: Mapping[str, int], page: str
) -> Page:
    sheet = options.sheet
    body = _body(sheet)
    head, used = _heading(study, options).group(body.x, body.y, body.width)
    top = body.y + used + SPACE
    if sheet.landscape:
        wide = _column_width(sheet)
        box = Box(x=body.x, y=top, width=body.width - wide - SPACE, height=body.bottom - top)
        column, start = Box(x=box.right + SPACE, y=top, width=wide, height=box.height), top
    else:
        wide = body.width
        below = sum(block.height(wide) + block.gap for block in blocks) + SPACE
        box = Box(x=body.x, y=top, width=wide, height=body.bottom - top - below)
        column, start = Box(x=body.x, y=box.bottom, width=wide, height=below), box.bottom + SPACE
    drawing = diagram(study, box, options.view, numbers)
    groups = [head, *drawing.groups, *_stack(blocks, column.x, start, column.width)]
    return _page(study, sheet, groups, page, drawing)


def _stack(blocks: Sequence[Block], x: float, y: float, wide: float) -> Iterator[Group]:
    for block in blocks:
        group, height = block.group(x, y, wide)
        yield group
        y += height + block.gap


def _flow(blocks: Sequence[Block], sheet: Paper) -> list[list[Block]]:
    """Blocks that go overleaf, page by page; lines to write on go where there is room left."""
    body = _body(sheet)
    pages: list[list[Block]] = []
    rooms: list[float] = []
    for block, after in zip(blocks, (*blocks[1:], None), strict=True):
        height = wanted = block.height(body.width) + block.gap
        if block.keep and after is not None:
            both = height + after.height(body.width)
            wanted = both if both <= body.height else height
        fitting = [i for i, room in enumerate(rooms) if wanted <= room]
        last = len(pages) - 1
        if fitting and (fitting[-1] == last or block.name == panels.BY_HAND):
            place = fitting[-1]
        else:
            pages.append([])
            rooms.append(body.height)
            place = last + 1
        pages[place].append(block)
        rooms[place] -= height
    return pages


def _back(study: Study, sheet: Paper, blocks: Sequence[Block], page: str) -> Page:
    body = _body(sheet)
    groups = list(_stack(blocks, body.x, body.y, body.width))
    return _page(study, sheet, groups, page, None)


def _page(
    study: Study, sheet: Paper, groups: list[Group], page: str, drawing: Diagram | None
) -> Page:
    box = sheet.printable
    foot = panels.footer(study.layout, page, box.x, box.bottom - panels.FOOTER, box.width)
    return Page(
        paper=sheet,
        title=f"{study.layout.title}: belt routing, {page}",
        description=f"{panels.verdict_words(study)}. "
        + "; ".join(words for _, words in panels.fact_rows(study)),
        items=(*groups, foot),
        layout=study.layout,
        diagram=drawing,
    )
