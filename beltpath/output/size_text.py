"""What `size` says in words. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from typing import TYPE_CHECKING

from beltpath.checks.judged import TakeUp
from beltpath.data.sections import tolerance_doubt
from beltpath.layout.characters import inert
from beltpath.layout.keys import MM_PER_INCH
from beltpath.layout.records import Tensioner
from beltpath.output.check_text import length_words
from beltpath.output.size_answer import Sized, notes
from beltpath.output.tables import Rows, aligned, page, table
from beltpath.sizing.fit import (
    Band,
    Judged,
    Place,
    Wanted,
    places,
    shares,
    with_tolerance,
    without,
)
from beltpath.solve.uncertainty import COVERAGE, Share
from beltpath.words import counted, mm, position, sentence

if TYPE_CHECKING:
    from beltpath.solve.monte_carlo import MonteCarlo

#: So many belts of a catalogue are shown in words.
SHOWN = 12
#: A catalogue's own words are cut after so many characters.
LONGEST_TEXT = 120
#: A budget is shown until so much of the variance is accounted for.
ACCOUNTED = 0.98

OUT = "out of travel"

_QUANTITIES = {
    "centre": "the place of {}",
    "diameter": "the diameter of {}",
    "back": "the belt's thickness behind its effective line",
}


def size_report(sized: Sized, *, width: int | None = None) -> str:
    """Everything that `size` says in words; sentences are folded at `width` characters."""
    need = sized.need
    shown = _shown(sized)
    blocks = [
        [need.layout.title],
        aligned(_lengths(sized), width),
        _belts(need, shown),
        aligned(_reasons(sized, shown), width),
        _budget(need),
        aligned(_measure_again(sized), width),
        aligned(_end(sized), width),
    ]
    return page(blocks)


def _lengths(sized: Sized) -> Rows:
    need = sized.need
    inches = need.layout.units == "in"
    sure = need.uncertainty.expanded
    belt = need.layout.belt
    ribs = f", {counted(belt.ribs, 'rib')}" if belt.section.ribbed else ""
    yield "belt", f"{belt.section.name}{ribs}"
    yield (
        "effective length",
        f"{length_words(need.nominal, inches)} ± {sure:.1f} mm (95 %) as measured",
    )
    if sized.sampled is not None:
        yield "Monte Carlo", _sampled(sized.sampled)
    both = f"± {with_tolerance(need, need.tolerance):.1f} mm (95 %)"
    own = f"its own tolerance of ± {mm(need.tolerance)} mm ({need.tolerance_source()})"
    yield "with the belt", f"{both}, {own} included"
    yield from _bands(need)
    yield "usable range", _usable(need)
    if (aim := sized.aim) is not None:
        yield "aim at", length_words(aim, inches)
    if need.take_up is not None:
        yield "take-up needed", _take_up(need, need.take_up)
    if any(need.tolerance_source(one.offer) != "given" for one in _shown(sized)):
        yield "tolerance", f"± beside a belt, unless given: {_doubt(need)}"
    for note in notes(need):
        yield "note", note


def _sampled(sampled: MonteCarlo) -> str:
    told = (
        f"{sampled.mean:.1f} mm ± {COVERAGE * sampled.sigma:.1f} mm, 95 % within "
        f"{sampled.low:.1f} to {sampled.high:.1f} mm ({sampled.rows} drives drawn)"
    )
    if not sampled.lost:
        return told
    return f"{told}; in {100.0 * sampled.lost:.2g} % of them no belt could be laid"


def _bands(need: Wanted) -> Rows:
    """What the drive takes before tolerance and measuring are allowed for."""
    if need.kind == "fixed":
        yield "tensioner", "none: nothing makes up a difference between belt and path"
        return
    if need.kind == "stretch-fit":
        yield "stretch-fit", f"{_range(need.window)} mm by the stretch that the guide allows"
        return
    t = need.layout.tensioner
    yield "belts it can take", f"{_range(need.reach)} mm (the whole travel)"
    name = "in its window" if t is not None and t.window else "less its margins"
    yield name, f"{_range(need.window)} mm"


def _usable(need: Wanted) -> str:
    allowed = f"tolerance ± {mm(need.tolerance)} mm"
    if need.kind == "tensioner":
        allowed += f", {100.0 * need.stretch:g} % of stretch in service"
    sure = f"± {mm(need.uncertainty.expanded)} mm of the measuring"
    if need.kind == "fixed":
        return (
            f"none is sure to fit: nothing on fixed centres makes up the {allowed} and the {sure}. "
            f"Fit an adjustable centre, a tensioner or a stretch-fit belt, and describe it in the "
            f"layout."
        )
    if need.usable is not None:
        low, high = (length / MM_PER_INCH for length in need.usable)
        inches = f" ({low:.3f} to {high:.3f} in)" if need.layout.units == "in" else ""
        return f"{_inward(need.usable)} mm{inches} nominal ({allowed} and the {sure} allowed for)"
    if need.exact is not None:
        return (
            f"none is sure to fit with the {sure}; {_inward(need.exact)} mm if the measuring were "
            f"exact ({allowed} allowed for). Measure again before ordering."
        )
    return (
        f"none: {_range(need.window)} mm leave no room for {allowed}. Look for a belt of closer "
        f"tolerance, or look at the window again."
    )


def _take_up(need: Wanted, take_up: TakeUp) -> str:
    unsure = f"± {mm(need.tolerance)} mm and the ± {mm(need.uncertainty.expanded)} mm"
    return (
        f"the path must get {mm(take_up.shorter)} mm shorter and {mm(take_up.longer)} mm longer: "
        f"{unsure} of the measuring, {mm(take_up.slip_on)} mm to slip the belt over its easiest "
        f"rim, {mm(take_up.stretch)} mm of stretch in service"
    )


def _doubt(need: Wanted) -> str:
    return tolerance_doubt(need.layout.belt.section.name)


def _shown(sized: Sized) -> list[Judged]:
    able = [one for one in sized.stocked if one.answer != "does not fit"][:SHOWN]
    return [*sized.named, *(able or sized.stocked[:SHOWN])]


def _belts(need: Wanted, shown: Sequence[Judged]) -> list[str]:
    """The table of belts, best first."""
    if not shown:
        return []
    t = need.layout.tensioner
    head = ["belt", "answer", "length mm"]
    rows = [_row(one) for one in shown]
    if t is not None:
        head += ["position", "used", "at its tolerance limits", "after stretch", "used"]
        rows = [[*_row(one), *_positions(need, t, one)] for one in shown]
    if any(one.offer.stock is not None for one in shown):
        head.append("stock")
        stocks = (one.offer.stock for one in shown)
        rows = [
            [*row, "-" if stock is None else str(stock)]
            for row, stock in zip(rows, stocks, strict=True)
        ]
    sides = "llr" + "rrrrr" * (t is not None) + "r"
    return table(head, rows, sides[: len(head)])


def _row(one: Judged) -> list[str]:
    return [_name(one), one.answer, f"{one.offer.length:.1f} ± {mm(one.tolerance)}"]


def _positions(need: Wanted, t: Tensioner, one: Judged) -> list[str]:
    stands = places(need, one) if one.offer.section == need.layout.belt.section.name else None
    if stands is None:
        return ["-"] * 5
    now = _at(t, stands.now)
    if stands.sure is not None:
        now += f" ± {mm(stands.sure)}"
    limits = f"{_at(t, stands.shortest)} to {_at(t, stands.longest)}"
    if stands.shortest.position is None and stands.longest.position is None:
        limits = OUT
    return [now, _used(stands.now), limits, _at(t, stands.worn), _used(stands.worn)]


def _at(t: Tensioner, place: Place) -> str:
    return OUT if place.position is None else position(t, place.position)


def _used(place: Place) -> str:
    return "-" if place.used is None else f"{100.0 * place.used:.0f} %"


def _reasons(sized: Sized, shown: Sequence[Judged]) -> Rows:
    for one in shown:
        note = _cut(one.offer.note)
        if one.reasons:
            told = f"{one.answer}: {'; '.join(one.reasons)}"
            yield _name(one), f"{told} ({note})" if note else told
        elif note:
            yield _name(one), note
    shelf = sized.shelf
    if shelf is None:
        return
    more = sum(one.answer != "does not fit" for one in sized.stocked) - SHOWN
    if more > 0:
        yield "more", f"{more} others of the catalogue that can be fitted; --json tells of all"
    counts = [
        f"{count} {words}"
        for count, words in (
            (shelf.other_section, "of another section"),
            (shelf.other_ribs, "with too few or too many ribs"),
            (shelf.too_short, "too short"),
            (shelf.too_long, "too long"),
        )
        if count
    ]
    if counts:
        yield "passed over", ", ".join(counts)


def _budget(need: Wanted) -> list[str]:
    """The uncertainty budget as far as it matters."""
    parts = shares(need.uncertainty)
    so_far = accumulate(part for _, part in parts)
    rows = [
        (
            _measurement(need, share),
            f"{share.sigma:.2f}",
            f"{share.adds:.2f}",
            f"{100.0 * part:.0f} %",
        )
        for (share, part), told in zip(parts, so_far, strict=True)
        if told - part < ACCOUNTED
    ]
    return table(("measurement", "1 sigma mm", "adds mm", "of the variance"), rows, "lrrr")


def _measurement(need: Wanted, share: Share) -> str:
    pulley = "" if share.pulley is None else need.layout.pulleys[share.pulley].title
    return _QUANTITIES[share.quantity].format(pulley)


def _measure_again(sized: Sized) -> Rows:
    need = sized.need
    (share, part), *_ = shares(need.uncertainty)
    told = (
        f"first {_measurement(need, share)}: it makes {100 * part:.0f} % of the variance. Known "
        f"twice as well, it would leave ± {without(need.uncertainty, share):.1f} mm instead of "
        f"± {need.uncertainty.expanded:.1f} mm."
    )
    yield "measure again", told


def _end(sized: Sized) -> Rows:
    for finding in sized.faults:
        yield "fault", f"{finding.check}: {finding.message}"
    if sized.faults:
        yield "note", "Put the faults right first: these lengths are those of the drive as it is."
    verdict, best = sized.answer, sized.best
    if best is not None:
        yield "answer", f"{_name(best)} {_best(sized.need, best)}. {_DEFERS}"
    elif verdict is not None:
        where = "on this shelf" if sized.shelf is not None else "of these"
        yield "answer", f"none {where} fits: {_wants(sized.need)}. {_DEFERS}"


_DEFERS = "The maker's parts list and service information come first."


def _best(need: Wanted, best: Judged) -> str:
    if best.answer == "fits":
        return "fits"
    return f"comes nearest, but {best.reasons[0]}. {sentence(_wants(need))}"


def _wants(need: Wanted) -> str:
    """What to ask for instead."""
    if need.kind == "fixed":
        return f"you need a belt near {mm(need.nominal)} mm and a way to tension it"
    if need.usable is not None:
        return f"you need {_inward(need.usable)} mm"
    if need.exact is not None:
        return f"you need {_inward(need.exact)} mm, and the pulleys measured again"
    return "see usable range"


def _name(one: Judged) -> str:
    return _cut(one.offer.designation)


def _cut(text: str) -> str:
    """A catalogue's own words, harmless to a terminal and of a length that can be read."""
    text = inert(text)
    return text if len(text) <= LONGEST_TEXT else f"{text[:LONGEST_TEXT]}…"


def _range(band: Band) -> str:
    return f"{mm(band[0])} to {mm(band[1])}"


def _inward(band: Band) -> str:
    """A range to buy by: whole millimetres inside it, unless there are none."""
    low, high = -(-band[0] // 1.0), band[1] // 1.0
    return f"{low:.0f} to {high:.0f}" if low < high else _range(band)
