"""What a hand does with the drive: notes, cautions, the steps off and on, lines to write on."""

from __future__ import annotations

from collections.abc import Sequence

from beltpath.cards.page import ROW, Block, Column
from beltpath.cards.paper import Box
from beltpath.cards.scene import Pen, line, rectangle
from beltpath.cards.text import LEAST_SIZE, width
from beltpath.cards.view import View
from beltpath.refit.cautions import LIMITS, STILL_BRIEF, Caution, cautions
from beltpath.refit.steps import Step, held_runs
from beltpath.solve.reliance import way_to_slacken
from beltpath.studies import Study

#: Off and On stand side by side in columns no narrower than this, mm; and the gap between them.
STEPS_COLUMN = 60.0
STEPS_GAP = 5.0
#: How far a step's text stands in from its number, mm.
STEP_INDENT = 5.0
#: The name of the lines for notes by hand, and the height of each, mm.
BY_HAND = "by-hand"
RULED = 6.5


# --- cautions ------------------------------------------------------------------------------------


def cautions_blocks(study: Study) -> list[Block]:
    """The cautions, each behind its signal word."""
    in_doubt = way_to_slacken(study.drive) is None
    every = cautions(study.layout.driver, sprung=_is_sprung(study), in_doubt=in_doubt)
    return [_caution_block(f"caution-{i}", caution) for i, caution in enumerate(every, start=1)]


def limits_block() -> Block:
    """What the card does not answer for."""
    return _caution_block("limits", LIMITS)


def front_caution(study: Study) -> Block:
    """One line of warning for a front whose cautions stand overleaf."""
    sprung = "The tensioner is sprung. " if _is_sprung(study) else ""
    words = f"{STILL_BRIEF[study.layout.driver]} {sprung}Read the cautions overleaf first."
    warning = Caution(signal="WARNING", text=words)
    return Block(name="warning", title="Warning", build=lambda column: _set(column, warning))


def _caution_block(name: str, caution: Caution) -> Block:
    return Block(name=name, title="Caution", build=lambda column: _set(column, caution), gap=0.0)


def _set(column: Column, caution: Caution) -> None:
    """One caution: its signal word in a filled box, then its text."""
    chip = width(caution.signal, LEAST_SIZE, bold=True) + 1.6
    box = Box(x=column.x, y=column.y, width=chip, height=ROW - 0.3)
    column.items.append(rectangle(box, Pen(stroke=None, width=0.0, fill="ink")))
    column.text(caution.signal, 0.8, bold=True, colour="paper")
    column.hanging(caution.text, chip + 1.2)
    column.y += 0.5


def _is_sprung(study: Study) -> bool:
    return study.stand is not None and study.stand.tensioner.kind != "swing"


# --- steps ---------------------------------------------------------------------------------------


def steps_block(study: Study, view: View) -> Block:
    """Taking off and putting on as one block, for one face: side by side where there is room."""
    off, on = study.refit.off, study.refit.on

    def build(column: Column) -> None:
        if column.wide < 2 * STEPS_COLUMN + STEPS_GAP:
            _steps(column, [*off, *on], view)
            return
        half, top = (column.wide - STEPS_GAP) / 2.0, column.y
        left = Column(column.x, top, half)
        right = Column(column.x + half + STEPS_GAP, top, half)
        _steps(left, off, view)
        _steps(right, on, view)
        column.y = max(left.y, right.y)
        middle = column.x + half + STEPS_GAP / 2.0
        ends = (middle, top + 0.5), (middle, column.y - 0.5)
        rule = line(*ends, Pen(stroke="grey", width=0.2))
        column.items += [*left.items, rule, *right.items]

    return Block(name="how", title="Off and on", build=build)


def steps_blocks(study: Study, view: View) -> list[Block]:
    """Taking off and putting on for small paper: a block a step, or a run that one face must hold.

    In such a run a lever is held over.
    """
    return [
        _run_block(run, view)
        for half in (study.refit.off, study.refit.on)
        for run in held_runs(half)
    ]


def _run_block(run: Sequence[Step], view: View) -> Block:
    first = run[0]
    return Block(
        name=f"how-{first.half.lower()}-{first.number}",
        title=f"{first.half}, from step {first.number}",
        build=lambda column: _steps(column, run, view),
        gap=0.0,
    )


def _steps(column: Column, steps: Sequence[Step], view: View) -> None:
    """Steps under one another, each a named group."""
    for step in steps:
        group, high = _step_block(step, view).group(column.x, column.y, column.wide)
        column.items.append(group)
        column.y += high


def _step_block(step: Step, view: View) -> Block:
    def build(column: Column) -> None:
        if step.number == 1:
            column.paragraph(step.half, bold=True)
        for caution in step.before:
            _set(column, caution)
        column.text(str(step.number), bold=True)
        column.paragraph(step.seen(view.sense, mirrored=view.mirrored), STEP_INDENT)
        column.y += 0.5

    name = f"step-{step.half.lower()}-{step.number}"
    return Block(name=name, title=f"{step.half}, step {step.number}", build=build, gap=0.0)


# --- notes ---------------------------------------------------------------------------------------


def notes_block(study: Study) -> Block:
    """The layout's notes: what a hand must know before the first step."""

    def build(column: Column) -> None:
        column.paragraph("Read first", bold=True)
        column.paragraph(study.layout.notes)

    return Block(name="notes", title="Notes of the layout", build=build, keep=True)


def by_hand_block(lines: int) -> Block:
    """Ruled lines for notes by hand."""

    def build(column: Column) -> None:
        column.paragraph("Notes by hand", bold=True)
        for _ in range(lines):
            column.y += RULED
            ends = (column.x, column.y), (column.x + column.wide, column.y)
            column.items.append(line(*ends, Pen(stroke="grey", width=0.2)))
        column.y += 1.0

    return Block(name=BY_HAND, title="Notes by hand", build=build)
