"""What a card says of the drive as a whole: the verdict, the belt's facts, and the findings."""

from __future__ import annotations

from collections.abc import Iterator

from beltpath.cards.page import Block, Column
from beltpath.cards.paper import Box
from beltpath.cards.scene import Colour, Pen, Words, rectangle
from beltpath.cards.text import CAPITAL, LEAST_SIZE, LINE, width, wrap
from beltpath.checks.findings import Finding, Level
from beltpath.layout.designation import named
from beltpath.refit.steps import SWING_ENDS, in_window
from beltpath.solve.reliance import doubt, told_of
from beltpath.solve.tensioner import Stand, laid_nowhere
from beltpath.studies import Study
from beltpath.words import counted, whole

#: Room between the verdict's frame and its words, and how far a fact's further lines stand in, mm.
PAD = 1.2
INSET = 3.0


def verdict_box(study: Study) -> Block:
    """The verdict in a frame; a failed drive says NOT VERIFIED across it."""
    failed = study.verdict == "fail"

    def build(column: Column) -> None:
        room, size, words = column.wide - 2 * PAD, 5.2 if failed else 4.0, verdict_words(study)
        while width(words, size, bold=True) > room and size > LEAST_SIZE:
            size -= 0.1
        lines = wrap(words, room, size, bold=True)
        high = len(lines) * size * LINE + 2 * PAD
        box = Box(x=column.x, y=column.y, width=column.wide, height=high)
        pen = Pen(width=0.6 if failed else 0.35, fill="ink" if failed else None)
        column.items.append(rectangle(box, pen))
        for i, text in enumerate(lines):
            baseline = column.y + PAD + (i + 0.5) * size * LINE + CAPITAL * size / 2.0
            column.items.append(
                Words(
                    text=text,
                    at=(box.centre[0], baseline),
                    size=size,
                    bold=True,
                    anchor="middle",
                    colour="paper" if failed else "ink",
                )
            )
        column.y += high

    return Block(name="verdict", title="Verdict", build=build)


def verdict_words(study: Study) -> str:
    """The verdict as the card prints it."""
    if study.verdict == "fail":
        return f"NOT VERIFIED: {_counted(study, 'fault')}"
    if study.verdict == "caution":
        return f"Checked: no fault, {_counted(study, 'caution')}"
    return "Checked: no fault found"


def _counted(study: Study, level: Level) -> str:
    count = sum(finding.level == level for finding in study.findings)
    return counted(count, level)


def facts(study: Study) -> Block:
    """The belt's size, the computed length and its ±, the usable range, the tensioner's place."""

    def build(column: Column) -> None:
        for name, words in fact_rows(study):
            column.remark(f"{name}:", words, INSET)

    return Block(name="facts", title="Belt and tensioner", build=build)


def fact_rows(study: Study) -> Iterator[tuple[str, str]]:
    """The facts in words."""
    belt, stand = study.layout.belt, study.stand
    yield "Belt", named(belt)
    if not study.path.proper:
        yield "Length", "not known: the belt does not close as it is drawn"
        return
    off = f" ± {whole(study.uncertainty.expanded)} mm"
    if stand is None or belt.length is None:
        yield "Length computed", f"{whole(study.path.length)}{off} (95\u00a0%), effective"
    if stand is not None and laid_nowhere(stand):
        yield "Tensioner", "no belt can be laid between its stops as they are given"
    elif stand is not None:
        unsure = doubt(study.drive)
        if unsure in (None, "length"):
            ends = f"{whole(stand.shortest)} to {whole(stand.longest)} mm"
            yield "Travel takes", f"{ends},{off} (95\u00a0%)"
            yield "Tensioner", stand_words(stand)
        else:
            yield "Tensioner", f"not known where it stands: {told_of(stand, unsure).why}"


def stand_words(stand: Stand) -> str:
    """Where the tensioner stands, as the eye sees it: no angle, which turns with the picture."""
    free, load = SWING_ENDS if stand.tensioner.kind == "swing" else ("free", "load")
    where = f"{whole(100 * stand.travel_used)}\u00a0% from {free} to {load}"
    if stand.reached in ("too short", "too long"):
        return f"the belt given is {stand.reached}; drawn at {where}"
    return f"stands at {where}{in_window(stand)}; {whole(stand.take_up)} mm of belt left to take up"


def findings_blocks(study: Study) -> list[Block]:
    """Every finding as a numbered sentence, a block each; none when there is none."""
    return [
        _finding_block(number, finding) for number, finding in enumerate(study.findings, start=1)
    ]


def _finding_block(number: int, finding: Finding) -> Block:
    def build(column: Column) -> None:
        if number == 1:
            column.paragraph("Findings", bold=True)
        head = f"{number} {finding.level}, {finding.check}:"
        colour: Colour = "fault" if finding.level == "fault" else "ink"
        column.remark(head, finding.message, colour=colour)

    return Block(name=f"finding-{number}", title="Finding", build=build, gap=0.0)
