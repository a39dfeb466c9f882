"""The written parts of a card as blocks that know their height for a width."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import degrees, radians
from typing import NamedTuple

from beltpath.cards.paper import Box
from beltpath.cards.scene import (
    Anchor,
    Colour,
    Disc,
    Group,
    Item,
    Pen,
    Words,
    arrow_head,
    line,
    rectangle,
    turning_arrow,
)
from beltpath.cards.text import (
    ASCENT,
    CAPITAL,
    DESCENT,
    LEAST_SIZE,
    LINE,
    SPARE,
    shorten,
    width,
    wrap,
)
from beltpath.cards.view import View
from beltpath.checks.findings import Finding, Level
from beltpath.geometry import TAU
from beltpath.layout.designation import named
from beltpath.layout.keys import Sense
from beltpath.layout.layout import Layout
from beltpath.layout.records import SIGN, Pulley
from beltpath.refit.cautions import LIMITS, STILL_BRIEF, Caution, cautions
from beltpath.refit.steps import SWING_ENDS, Step, held_runs, in_window
from beltpath.solve.reliance import doubt, told_of, way_to_slacken
from beltpath.solve.tensioner import Stand, laid_nowhere
from beltpath.studies import Study
from beltpath.words import counted, whole

ROW = LEAST_SIZE * LINE
PAD = 1.2

Builder = Callable[[float, float, float], tuple[list[Item], float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A part of the card: built at x, y with a width, it gives its items and its height.

    `gap` is the space under it, mm. One to `keep` stands on the face on which the next begins.
    """

    name: str
    title: str
    build: Builder
    gap: float = 1.8
    keep: bool = False

    def height(self, wide: float) -> float:
        """How high it is at a width, mm."""
        return self.build(0.0, 0.0, wide)[1]

    def group(self, x: float, y: float, wide: float) -> tuple[Group, float]:
        """The block as a group at its place, and the height it took."""
        items, height = self.build(x, y, wide)
        return Group(name=self.name, items=tuple(items), title=self.title), height


def heading(study: Study, view: View, size: float) -> Block:
    """Title, view and the crank's sense."""

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        items: list[Item] = []
        start = y
        for text in wrap(study.layout.title, wide, size, bold=True):
            items.append(_text(text, x, y, size, bold=True))
            y += size * LINE
        crank = study.layout.crank
        sense = view.sense(study.layout.crank_turns)
        title = crank.title[0].upper() + crank.title[1:]
        lines = f"{view.words}. {title} turns {sense} in this picture."
        body, used = _paragraph(lines, x, y, wide)
        return items + body, used + y - start

    return Block(name="heading", title="Title and view", build=build)


def verdict_box(study: Study) -> Block:
    """The verdict in a frame; a failed drive says NOT VERIFIED across it."""

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        failed = study.verdict == "fail"
        size = 5.2 if failed else 4.0
        words = verdict_words(study)
        while width(words, size, bold=True) > wide - 2 * PAD and size > LEAST_SIZE:
            size -= 0.1
        lines = wrap(words, wide - 2 * PAD, size, bold=True)
        height = len(lines) * size * LINE + 2 * PAD
        box = Box(x=x, y=y, width=wide, height=height)
        items: list[Item] = [
            rectangle(box, Pen(width=0.6 if failed else 0.35, fill="ink" if failed else None))
        ]
        for i, text in enumerate(lines):
            items.append(
                Words(
                    text=text,
                    at=(x + wide / 2.0, y + PAD + (i + 0.5) * size * LINE + CAPITAL * size / 2.0),
                    size=size,
                    bold=True,
                    anchor="middle",
                    colour="paper" if failed else "ink",
                )
            )
        return items, height

    return Block(name="verdict", title="Verdict", build=build)


def verdict_words(study: Study) -> str:
    """The verdict as the card prints it."""
    count = {level: _count(study, level) for level in ("fault", "caution")}
    if study.verdict == "fail":
        return f"NOT VERIFIED: {counted(count['fault'], 'fault')}"
    if study.verdict == "caution":
        return f"Checked: no fault, {counted(count['caution'], 'caution')}"
    return "Checked: no fault found"


def _count(study: Study, level: Level) -> int:
    return sum(finding.level == level for finding in study.findings)


def facts(study: Study) -> Block:
    """The belt's size, the computed length and its ±, the usable range, the tensioner's place."""

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        items: list[Item] = []
        start = y
        for name, words in fact_rows(study):
            label = _text(f"{name}:", x, y, LEAST_SIZE, bold=True)
            items.append(label)
            indent = width(f"{name}: ", LEAST_SIZE, bold=True) + 0.6
            first, *rest = wrap(words, wide - indent, LEAST_SIZE)
            rest = wrap(" ".join(rest), wide - 3.0, LEAST_SIZE) if rest else []
            items.append(_text(first, x + indent, y, LEAST_SIZE))
            y += ROW
            for text in rest:
                items.append(_text(text, x + 3.0, y, LEAST_SIZE))
                y += ROW
        return items, y - start

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


def table(study: Study, view: View, numbers: Mapping[str, int]) -> Block:
    """Every pulley that the belt meets: number, name, face, side, sense, wrap."""

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        titles = [study.layout.pulleys[c.pulley].title for c in study.path.contacts]
        names_wide = max(width(t, LEAST_SIZE) for t in titles) / SPARE
        columns = _columns(wide, max(names_wide, width("pulley", LEAST_SIZE, bold=True)))
        at, start = columns.at, y
        heads = [name for name in at if name != "on" or study.verdict != "fail"]
        items: list[Item] = [_text(name, x + at[name], y, LEAST_SIZE, bold=True) for name in heads]
        y += ROW
        items.append(line((x, y + 0.15), (x + wide, y + 0.15), Pen(width=0.3)))
        y += 0.5
        for i, contact in enumerate(study.path.contacts):
            pulley = study.layout.pulleys[contact.pulley]
            seen = view.sense(contact.turns)
            names = wrap(pulley.title, at["face"] - at["pulley"] - 1.0, LEAST_SIZE)
            number = numbers.get(contact.pulley, "")
            icon_y = y + ROW / 2.0 - 0.3
            items += [
                _text(str(number), x, y, LEAST_SIZE, bold=True),
                *(
                    _text(words, x + at["pulley"], y + k * ROW, LEAST_SIZE)
                    for k, words in enumerate(names)
                ),
                _text(_side_word(study, i), x + at["side"], y, LEAST_SIZE),
                *_sense_icon(x + at["turns"] + 1.6, icon_y, SIGN[seen]),
                _text(_sense_words(seen, columns.senses), x + at["turns"] + 4.2, y, LEAST_SIZE),
                _text(f"{degrees(contact.wrap):.0f}°", x + wide - 0.2, y, LEAST_SIZE, end=True),
                *_face(pulley, x + at["face"], y, columns.faces),
            ]
            y += ROW * len(names)
        return items, y - start

    return Block(name="table", title="Pulleys in the order of travel", build=build)


def _side_word(study: Study, i: int) -> str:
    """The side of the belt that lies on contact `i`; a V-belt has no ribs."""
    side = study.path.sides[i]
    return "V" if side == "ribs" and not study.layout.belt.section.ribbed else side


class _Columns(NamedTuple):
    """Where each column of the table begins, mm; and whether senses and faces are in words."""

    at: Mapping[str, float]
    senses: bool
    faces: bool


def _columns(wide: float, names: float) -> _Columns:
    """The roomiest columns that hold names so wide; the narrowest, if none does."""
    for senses, faces in ((True, True), (True, False), (False, True)):
        turns = 37.0 if senses else 13.5
        found = _placed(wide, 6.0, (18.0 if faces else 9.5, 10.5, turns, 0.2))
        if found["face"] - found["pulley"] - 1.0 >= names:
            return _Columns(found, senses, faces)
    return _Columns(_placed(wide, 5.4, (8.6, 8.6, 11.4, 0.0)), False, False)


def _placed(wide: float, names_at: float, widths: tuple[float, ...]) -> dict[str, float]:
    """Columns from the right: those of face, side and turns, and what is spare behind the wrap."""
    face, side, turns, spare = widths
    wrap_at = wide - width("wrap", LEAST_SIZE, bold=True) - spare
    turns_at = wrap_at - turns
    return {
        "on": 0.0,
        "pulley": names_at,
        "face": turns_at - side - face,
        "side": turns_at - side,
        "turns": turns_at,
        "wrap": wrap_at,
    }


def _face(pulley: Pulley, x: float, y: float, words: bool) -> list[Item]:
    """A pulley's face in a word, or as the sign that the drawing and the legend have for it."""
    if words:
        return [_text(pulley.face, x, y, LEAST_SIZE)]
    sign = _grooved_sign if pulley.face == "grooved" else _smooth_sign
    return sign(x + 0.5, y + ROW / 2.0 - 0.2)


def _sense_words(sense: Sense, spelled: bool) -> str:
    if spelled:
        return sense
    return "cw" if sense == "clockwise" else "ccw"


def _sense_icon(x: float, y: float, sign: int) -> tuple[Item, ...]:
    pen = Pen(stroke="accent", width=0.3)
    return turning_arrow(
        (x, y), 1.25, sign, middle=radians(-90), sweep=radians(250), pen=pen, head=1.3
    )


Sign = Callable[[float, float], list[Item]]


def legend(study: Study) -> Block:
    """What the signs mean that are on this card, and no others."""

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        items: list[Item] = []
        at, row, height = x, y, ROW + 0.6
        for sign, words in _signs(study):
            need = 7.2 + width(words, LEAST_SIZE) + 2.5
            if at + need > x + wide + 2.5 and at > x:
                at, row = x, row + height
            items += sign(at, row + ROW / 2.0 - 0.2)
            items.append(_text(words, at + 7.2, row, LEAST_SIZE))
            at += need
        return items, row + height - y

    return Block(name="legend", title="Signs", build=build)


def _signs(study: Study) -> Iterator[tuple[Sign, str]]:
    belt = study.layout.belt
    faces = {pulley.face for pulley in study.layout.pulleys.values()}
    if "grooved" in faces:
        yield _grooved_sign, "grooved"
    if "smooth" in faces:
        yield _smooth_sign, "smooth"
    if belt.double_sided:
        yield _double_sign, "belt, teeth on both sides"
    else:
        yield _belt_sign, f"belt, teeth on its {'ribbed' if belt.section.ribbed else 'V'} side"
    yield _travel_sign, "travel"
    if study.stand is not None:
        yield _stops_sign, "stops"
        if study.stand.tensioner.window is not None:
            yield _window_sign, "window: stand here"
    if any(finding.level == "fault" and finding.where for finding in study.findings):
        yield _fault_sign, "place of a fault"


def _grooved_sign(x: float, y: float) -> list[Item]:
    pitch = TAU * 1.3 / 9
    return [
        Disc(centre=(x + 3.0, y), radius=1.7, pen=Pen(width=0.3)),
        Disc(centre=(x + 3.0, y), radius=1.3, pen=Pen(width=0.8, dash=(pitch * 0.4, pitch * 0.6))),
    ]


def _smooth_sign(x: float, y: float) -> list[Item]:
    return [
        Disc(centre=(x + 3.0, y), radius=1.7, pen=Pen(width=0.3)),
        Disc(centre=(x + 3.0, y), radius=1.0, pen=Pen(width=0.2)),
    ]


def _belt_sign(x: float, y: float) -> list[Item]:
    return [
        line((x + 0.5, y - 0.2), (x + 6.0, y - 0.2), Pen(width=0.8)),
        line((x + 0.5, y + 0.6), (x + 6.0, y + 0.6), Pen(width=0.85, dash=(0.45, 0.7))),
    ]


def _travel_sign(x: float, y: float) -> list[Item]:
    return [
        line((x + 0.5, y), (x + 6.0, y), Pen(width=0.8)),
        arrow_head((x + 4.8, y), (1.0, 0.0), 3.2, "accent"),
    ]


def _double_sign(x: float, y: float) -> list[Item]:
    return [
        *_belt_sign(x, y),
        line((x + 0.5, y - 1.0), (x + 6.0, y - 1.0), Pen(width=0.85, dash=(0.45, 0.7))),
    ]


def _stops_sign(x: float, y: float) -> list[Item]:
    """A tensioner's travel between its two stops, as it is on the drawing."""
    return [
        line((x + 0.8, y), (x + 5.8, y), Pen(width=0.25, dash=(1.0, 0.7))),
        *(line((at, y - 1.2), (at, y + 1.2), Pen(width=0.4)) for at in (x + 0.8, x + 5.8)),
    ]


def _window_sign(x: float, y: float) -> list[Item]:
    return [
        line((x + 0.5, y), (x + 6.0, y), Pen(width=0.25, dash=(1.0, 0.7))),
        line((x + 1.6, y), (x + 4.9, y), Pen(width=0.8)),
    ]


def _fault_sign(x: float, y: float) -> list[Item]:
    middle, reach = (x + 3.0, y), 1.13
    pen = Pen(stroke="fault", width=0.5)
    return [
        Disc(centre=middle, radius=1.6, pen=pen),
        *(
            line((middle[0] - way, y - reach), (middle[0] + way, y + reach), pen)
            for way in (-reach, reach)
        ),
    ]


def findings_blocks(study: Study) -> list[Block]:
    """Every finding as a numbered sentence, a block each; none when there is none."""
    return [
        _finding_block(number, finding) for number, finding in enumerate(study.findings, start=1)
    ]


def _finding_block(number: int, finding: Finding) -> Block:
    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        start = y
        items: list[Item] = []
        if number == 1:
            items.append(_text("Findings", x, y, LEAST_SIZE, bold=True))
            y += ROW
        head = f"{number} {finding.level}, {finding.check}:"
        colour: Colour = "fault" if finding.level == "fault" else "ink"
        items.append(_text(head, x, y, LEAST_SIZE, bold=True, colour=colour))
        indent = width(f"{head} ", LEAST_SIZE, bold=True) + 0.6
        body, y = _hanging(finding.message, x, y, wide, indent)
        return items + body, y - start

    return Block(name=f"finding-{number}", title="Finding", build=build, gap=0.0)


def cautions_blocks(study: Study) -> list[Block]:
    """The cautions, each behind its signal word."""
    in_doubt = way_to_slacken(study.drive) is None
    every = cautions(study.layout.driver, sprung=_is_sprung(study), in_doubt=in_doubt)
    return [_caution_block(f"caution-{i}", caution) for i, caution in enumerate(every, start=1)]


def _caution_block(name: str, caution: Caution) -> Block:
    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        items, end = caution_items(caution, x, y, wide)
        return items, end - y

    return Block(name=name, title="Caution", build=build, gap=0.0)


def caution_items(caution: Caution, x: float, y: float, wide: float) -> tuple[list[Item], float]:
    """One caution: its signal word in a filled box, then its text; and where the next begins."""
    word = caution.signal
    chip = width(word, LEAST_SIZE, bold=True) + 1.6
    box = Box(x=x, y=y, width=chip, height=ROW - 0.3)
    items: list[Item] = [
        rectangle(box, Pen(stroke=None, width=0.0, fill="ink")),
        _text(word, x + 0.8, y, LEAST_SIZE, bold=True, colour="paper"),
    ]
    body, y = _hanging(caution.text, x, y, wide, chip + 1.2)
    return items + body, y + 0.5


def front_caution(study: Study) -> Block:
    """One line of warning for a front whose cautions stand overleaf."""
    sprung = "The tensioner is sprung. " if _is_sprung(study) else ""

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        still = STILL_BRIEF[study.layout.driver]
        words = f"{still} {sprung}Read the cautions overleaf first."
        items, end = caution_items(Caution(signal="WARNING", text=words), x, y, wide)
        return items, end - y

    return Block(name="warning", title="Warning", build=build)


def _is_sprung(study: Study) -> bool:
    return study.stand is not None and study.stand.tensioner.kind != "swing"


def beside(left: Block, right: Sequence[Block], gap: float) -> Block:
    """A block on the left, others stacked on the right of it."""

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        half = (wide - gap) / 2.0
        group, height = left.group(x, y, half)
        items: list[Item] = [group]
        below = y
        for block in right:
            inner, used = block.group(x + half + gap, below, half)
            items.append(inner)
            below += used + 1.5
        return items, max(height, below - y)

    return Block(name="particulars", title="Pulleys, belt and signs", build=build)


def steps_block(study: Study, view: View) -> Block:
    """Taking off and putting on as one block, for one face: side by side where there is room."""
    off, on = study.refit.off, study.refit.on

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        if wide < 2 * STEPS_COLUMN + STEPS_GAP:
            return _steps([*off, *on], view, x, y, wide)
        half = (wide - STEPS_GAP) / 2.0
        left, left_high = _steps(off, view, x, y, half)
        right, right_high = _steps(on, view, x + half + STEPS_GAP, y, half)
        high = max(left_high, right_high)
        middle = x + half + STEPS_GAP / 2.0
        rule = line((middle, y + 0.5), (middle, y + high - 0.5), Pen(stroke="grey", width=0.2))
        return [*left, rule, *right], high

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


def limits_block() -> Block:
    """What the card does not answer for."""
    return _caution_block("limits", LIMITS)


def _run_block(run: Sequence[Step], view: View) -> Block:
    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        return _steps(run, view, x, y, wide)

    first = run[0]
    name = f"how-{first.half.lower()}-{first.number}"
    return Block(name=name, title=f"{first.half}, from step {first.number}", build=build, gap=0.0)


def _steps(
    steps: Sequence[Step], view: View, x: float, y: float, wide: float
) -> tuple[list[Item], float]:
    """Steps under one another, each a named group; and the height that they take."""
    start = y
    items: list[Item] = []
    for step in steps:
        group, high = _step_block(step, view).group(x, y, wide)
        items.append(group)
        y += high
    return items, y - start


def _step_block(step: Step, view: View) -> Block:
    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        start = y
        items: list[Item] = []
        if step.number == 1:
            items.append(_text(step.half, x, y, LEAST_SIZE, bold=True))
            y += ROW
        for caution in step.before:
            drawn, y = caution_items(caution, x, y, wide)
            items += drawn
        items.append(_text(str(step.number), x, y, LEAST_SIZE, bold=True))
        text = step.seen(view.sense, mirrored=view.mirrored)
        body, used = _paragraph(text, x + STEP_INDENT, y, wide - STEP_INDENT)
        return items + body, y + used + 0.5 - start

    name = f"step-{step.half.lower()}-{step.number}"
    return Block(name=name, title=f"{step.half}, step {step.number}", build=build, gap=0.0)


#: Off and On stand side by side in columns no narrower than this, mm; and the gap between them.
STEPS_COLUMN = 60.0
STEPS_GAP = 5.0
#: How far a step's text stands in from its number, mm.
STEP_INDENT = 5.0


def code_words(x: float, y: float, wide: float) -> list[Item]:
    """What the code is for, centred under it."""
    words = "the layout, for a telephone"
    middle = (x + wide / 2.0, y + LEAST_SIZE)
    return [Words(text=words, at=middle, size=LEAST_SIZE, anchor="middle")]


def notes_block(study: Study) -> Block:
    """The layout's notes: what a hand must know before the first step."""

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        body, used = _paragraph(study.layout.notes, x, y + ROW, wide)
        return [_text("Read first", x, y, LEAST_SIZE, bold=True), *body], used + ROW

    return Block(name="notes", title="Notes of the layout", build=build, keep=True)


#: The name of the lines for notes by hand.
BY_HAND = "by-hand"


def by_hand_block(lines: int) -> Block:
    """Ruled lines for notes by hand."""

    def build(x: float, y: float, wide: float) -> tuple[list[Item], float]:
        start = y
        items: list[Item] = [_text("Notes by hand", x, y, LEAST_SIZE, bold=True)]
        y += ROW
        for _ in range(lines):
            y += 6.5
            items.append(line((x, y), (x + wide, y), Pen(stroke="grey", width=0.2)))
        return items, y - start + 1.0

    return Block(name=BY_HAND, title="Notes by hand", build=build)


def footer(layout: Layout, page: str, x: float, y: float, wide: float) -> Group:
    """The layout's name and digest, so that the card can be traced to its file; the page."""
    room = wide - width(page, LEAST_SIZE) - 2.0
    trace = f" · {layout.digest}"
    name = shorten(layout.name, room - width(trace, LEAST_SIZE), LEAST_SIZE)
    items = (
        line((x, y), (x + wide, y), Pen(width=0.2)),
        _text(name + trace, x, y + 0.6, LEAST_SIZE),
        _text(page, x + wide, y + 0.6, LEAST_SIZE, end=True),
    )
    return Group(name="footer", items=items, title="Layout and page")


FOOTER = ROW + 0.8


def set_line(
    text: str,
    x: float,
    y: float,
    *,
    bold: bool = False,
    size: float = LEAST_SIZE,
    anchor: Anchor = "start",
) -> Words:
    """A line of text whose top is at y."""
    at = (x, y + ASCENT * size * LINE / (ASCENT + DESCENT))
    return Words(text=text, at=at, size=size, bold=bold, anchor=anchor)


def _text(
    text: str,
    x: float,
    y: float,
    size: float,
    *,
    bold: bool = False,
    end: bool = False,
    colour: Colour = "ink",
) -> Words:
    """A line whose top is at y."""
    return Words(
        text=text,
        at=(x, y + ASCENT * size * LINE / (ASCENT + DESCENT)),
        size=size,
        bold=bold,
        anchor="end" if end else "start",
        colour=colour,
    )


def _paragraph(text: str, x: float, y: float, wide: float) -> tuple[list[Item], float]:
    """Lines of text and the height they take."""
    lines = wrap(text, wide, LEAST_SIZE)
    items: list[Item] = [_text(words, x, y + i * ROW, LEAST_SIZE) for i, words in enumerate(lines)]
    return items, len(lines) * ROW


def _hanging(text: str, x: float, y: float, wide: float, indent: float) -> tuple[list[Item], float]:
    """Text whose first line starts behind a head; and where the next block begins."""
    first, *rest = wrap(text, wide - indent, LEAST_SIZE)
    items: list[Item] = [_text(first, x + indent, y, LEAST_SIZE)]
    y += ROW
    for words in wrap(" ".join(rest), wide, LEAST_SIZE) if rest else []:
        items.append(_text(words, x, y, LEAST_SIZE))
        y += ROW
    return items, y
