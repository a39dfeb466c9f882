"""A study in words: tables and sentences that a person reads in a terminal.

Lengths are in mm whatever the layout's units, as in the machine-readable answer and in the
findings; a belt length is told in inches too when the layout is in inches.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from math import degrees, isfinite
from typing import Literal, TypeVar, get_args

from beltpath.checks.findings import Finding, Level, Verdict
from beltpath.checks.judged import tolerance_of, tolerance_words
from beltpath.checks.plausible import sets_forces
from beltpath.layout.designation import designation
from beltpath.layout.keys import MM_PER_INCH
from beltpath.layout.records import Belt, Pulley
from beltpath.output.check_answer import guides_answer
from beltpath.output.tables import Rows, aligned, page, table
from beltpath.solve.forces import AtSpeed, Basis, ContactForce, Forces, SpanForce
from beltpath.solve.reliance import doubt, told_of
from beltpath.solve.tensioner import Stand
from beltpath.solve.uncertainty import length_uncertainty
from beltpath.studies import Study
from beltpath.words import DEFERS, counted, decimals, unit

UNUSABLE: Literal["unusable"] = "unusable"
Outcome = Verdict | Literal["unusable"]
Part = TypeVar("Part")
LEVELS: tuple[Level, ...] = get_args(Level)

_BASES: dict[Basis, str] = {
    "spring": "the tensioner's spring",
    "given": "the layout's running.tension, measured at rest",
    "stretch": "the stretch of the belt, known as an interval only",
}
_DEFERS = f"This is geometry and statics only: {DEFERS}"
_ENDINGS = {
    "pass": "PASS: no check found anything.",
    "caution": "CAUTION: no fault, but read the cautions.",
    "fail": "FAIL: put the faults right before this drive is used.",
}


def report(study: Study, *, width: int | None = None) -> str:
    """Everything that `check` says about one layout.

    Sentences are folded at `width` characters; None leaves each on one line, for pipes and files.
    """
    blocks = [
        _heading(study),
        aligned(_belt(study), width),
        _contacts(study),
        _spans(study),
        aligned(_tensioner(study), width),
        _speeds(study.forces),
        aligned(_rests_on(study.forces), width),
        aligned(_findings(study.findings), width),
        aligned([("verdict", f"{_ENDINGS[study.verdict]} {_DEFERS}")], width),
    ]
    return page(blocks)


def row(file: str, study: Study, *, wide: int) -> str:
    """One line about one of many layouts; the file's name is padded to `wide` characters."""
    length = f"{study.path.length:8.1f} mm ± {study.uncertainty.expanded:.1f}"
    if not study.path.proper:
        length = "no belt fits so"
    said = f"{file:<{wide}}  {study.verdict:<8}  {length:<18}  {_counted(study.findings)}"
    return said.rstrip()


def unusable_row(file: str, *, wide: int) -> str:
    """The line of a layout that could not be used; its problems are told apart from the table."""
    return f"{file:<{wide}}  {UNUSABLE}"


def summary(outcomes: Iterable[Outcome]) -> str:
    """How many layouts came out how."""
    counts = Counter(outcomes)
    order: tuple[Outcome, ...] = ("pass", "caution", "fail", UNUSABLE)
    parts = [f"{counts[outcome]} {outcome}" for outcome in order if counts[outcome]]
    return f"{counts.total()} layouts: {', '.join(parts)}"


def _heading(study: Study) -> list[str]:
    layout = study.layout
    lines = [
        layout.title,
        f"seen from the front, facing the pulleys; the crank turns {layout.crank_turns}",
    ]
    if layout.units == "in":
        lines.append("the layout is in inches; this report is in millimetres")
    return lines


def _belt(study: Study) -> Rows:
    belt, stand = study.layout.belt, study.stand
    inches = study.layout.units == "in"
    sure = f"± {study.uncertainty.expanded:.1f} mm (95 %)"
    solved = length_words(study.path.length, inches)
    # A length must not be read without its fault.
    useless = "" if study.path.proper else "; NO belt fits so, see the faults"
    yield "belt", _kind(belt)
    if stand is None or stand.reached == "measured":
        yield "effective length", f"{solved} {sure}{useless}"
    else:
        path = study.drive.as_measured
        sure = f"± {length_uncertainty(study.layout, path).expanded:.1f} mm (95 %)"
        yield "as measured", f"effective length {length_words(path.length, inches)} {sure}"
        yield "as solved", f"effective length {solved}{useless}"
    if belt.length is not None:
        yield "belt in hand", _in_hand(belt, belt.length, inches)
    yield "pitch length", f"{study.path.pitch_length:.1f} mm"


def _kind(belt: Belt) -> str:
    kind = ", double-sided" if belt.double_sided else ""
    stretch = ", stretch-fit" if belt.elastic else ""
    ribs = f", {counted(belt.ribs, 'rib')}" if belt.section.ribbed else ""
    return f"{belt.section.name}{ribs}{kind}{stretch}"


def _in_hand(belt: Belt, length: float, inches: bool) -> str:
    name = designation(belt.section.name, belt.ribs, length)
    told = f"{name}, effective length {length_words(length, inches)} ± {tolerance_of(belt):.1f} mm"
    return f"{told} ({tolerance_words(belt)})"


def length_words(mm: float, inches: bool) -> str:
    """A belt length, in inches too where the layout is in inches."""
    return f"{mm:.1f} mm ({mm / MM_PER_INCH:.3f} in)" if inches else f"{mm:.1f} mm"


def _contacts(study: Study) -> list[str]:
    path = study.path
    head = ("contact", "face", "side", "turns", "wrap °", "speed ratio")
    rows = [
        (
            _called(pulley := study.layout.pulleys[contact.pulley]),
            pulley.face,
            path.sides[i],
            contact.turns,
            f"{degrees(contact.wrap):.1f}",
            f"{path.speed_ratio(i):.3f}",
        )
        for i, contact in enumerate(path.contacts)
    ]
    return table(head, rows, "llllrr")


def _called(pulley: Pulley) -> str:
    """The name that the file uses, and the one on paper where that differs."""
    return f"{pulley.name} ({pulley.label})" if pulley.label else pulley.name


def _spans(study: Study) -> list[str]:
    head = ("span", "length mm", "clearance mm", "nearest rim")
    rows = [
        (
            f"{span.start} to {span.end}",
            f"{span.length:.1f}",
            "-" if near.gap is None else decimals(near.gap),
            near.nearest or "-",
        )
        for span, near in zip(study.path.spans, study.drive.span_clearances, strict=True)
    ]
    return table(head, rows, "lrrl")


def _tensioner(study: Study) -> Rows:
    stand = study.stand
    if stand is None:
        return
    t, told = stand.tensioner, told_of(stand, doubt(study.drive))
    each = "mm" if t.kind == "slide" else "degree"
    yield "tensioner", f"{t.pulley}, {t.kind}"
    if told.position is not None:
        yield "position", f"{decimals(told.position)}{unit(t)}{_how_found(stand)}"
    used = "" if told.travel_used is None else f", {decimals(100 * told.travel_used, 0)} % used"
    yield "travel", f"{t.free:g}{unit(t)} (free) to {t.load:g}{unit(t)} (load){used}"
    if t.window is not None:
        yield "window", f"{t.window[0]:g}{unit(t)} to {t.window[1]:g}{unit(t)}"
    if told.take_up is not None and told.rate is not None:
        rate = f"{abs(told.rate):.2f} mm for each {each}"
        yield "take-up left", f"{decimals(told.take_up)} mm of belt, at {rate}"
    if told.shortest is not None and told.longest is not None:
        yield "belts it can take", f"{told.shortest:.1f} to {told.longest:.1f} mm"
    if told.release is not None:
        yield "to slacken", _release(stand)
    if told.tension is not None and not sets_forces(study.layout):
        yield "static tension", f"{told.tension:.0f} N"
    if told.why:
        yield "not told", f"what cannot be relied on: {told.why}; see the faults"


def _how_found(stand: Stand) -> str:
    return {
        "measured": " as measured",
        "reached": " with the belt in hand",
        "too short": ", the place nearest to the belt in hand, which is too short",
        "too long": ", the place nearest to the belt in hand, which is too long",
    }[stand.reached]


def _release(stand: Stand) -> str:
    t = stand.tensioner
    lever = f" ({t.lever})" if t.lever else ""
    if isinstance(stand.release, str):
        return f"turn the {t.kind} {stand.release}{lever}"
    return f"move the pulley towards {stand.release:g}°{lever}"


def _speeds(forces: Forces | None) -> list[str]:
    """The forces, a column for each crank speed; two numbers where only an interval is known."""
    if forces is None:
        return []
    cases = list(zip(forces.low, forces.high, strict=True))
    head = ("at crank rpm", *(f"{low.crank_rpm:g}" for low, _ in cases))
    rows = [
        ("speed, belt, m/s", *(f"{low.belt_speed:.1f}" for low, _ in cases)),
        *_rows("tension, {}, N", cases, _spans_of, _tension),
        *_rows("slip reserve, {}", cases, _contacts_of, _reserve),
        *_rows("hub load, {}, N", cases, _contacts_of, _hub),
        *_rows("speed, {}, rpm", cases, _contacts_of, lambda contact: f"{contact.rpm:.0f}"),
        *_rows("plucked at rest, {}, Hz", cases, _spans_of, _pitch),
    ]
    return table(head, rows, "l" + "r" * len(cases))


def _rows(
    name: str,
    cases: Sequence[tuple[AtSpeed, AtSpeed]],
    parts_of: Callable[[AtSpeed], Sequence[tuple[str, Part]]],
    told: Callable[[Part], str],
) -> Iterator[tuple[str, ...]]:
    """A row for each span or contact; those that have nothing to tell at any speed are left out."""
    for i, (called, _) in enumerate(parts_of(cases[0][0])):
        cells = [[told(parts_of(case)[i][1]) for case in pair] for pair in cases]
        if any(cell != ["-", "-"] for cell in cells):
            yield name.format(called), *(" to ".join(dict.fromkeys(cell)) for cell in cells)


def _spans_of(at: AtSpeed) -> list[tuple[str, SpanForce]]:
    return [(f"{span.start} to {span.end}", span) for span in at.spans]


def _contacts_of(at: AtSpeed) -> list[tuple[str, ContactForce]]:
    return [(contact.pulley, contact) for contact in at.contacts]


def _tension(span: SpanForce) -> str:
    return "slack" if span.slack else f"{span.tension:.0f}"


def _pitch(span: SpanForce) -> str:
    return f"{span.standing_frequency:.0f}"


def _reserve(contact: ContactForce) -> str:
    """A pulley that takes nothing has nothing to slip by."""
    return f"{contact.slip_reserve:.2f}" if isfinite(contact.slip_reserve) else "-"


def _hub(contact: ContactForce) -> str:
    return "slack" if contact.slack else f"{contact.hub_load:.0f}"


def _rests_on(forces: Forces | None) -> Rows:
    """What the forces rest on; where there are none, a note of the check `slip` says why."""
    if forces is None:
        return
    yield "tension by", _BASES[forces.held.basis]
    for guide in guides_answer(forces) or ():
        of = "" if guide["unit"] == "1" else f" {guide['unit']}"
        yield guide["key"], f"{guide['value']:g}{of} ({guide['status']})"


def _findings(findings: Iterable[Finding]) -> Rows:
    for finding in findings:
        yield finding.level, f"{finding.check}: {finding.message} ({finding.source})"


def _counted(findings: Iterable[Finding]) -> str:
    counts = Counter(finding.level for finding in findings)
    return ", ".join(counted(counts[level], level) for level in LEVELS if counts[level])
