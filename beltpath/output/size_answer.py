"""What `size` found, and its typed answer. Lengths in mm, whatever the layout's own units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Literal

from typing_extensions import TypedDict

from beltpath.checks.findings import Finding
from beltpath.data.sections import SectionName
from beltpath.output.check_answer import FindingAnswer, findings_answer
from beltpath.output.records import Doc, Ribs
from beltpath.sizing.catalogue import Catalogue
from beltpath.sizing.fit import (
    ANSWERS,
    Answer,
    Judged,
    Kind,
    Place,
    Places,
    Shelf,
    Wanted,
    places,
    shares,
    with_tolerance,
)
from beltpath.solve.uncertainty import Quantity

if TYPE_CHECKING:
    from beltpath.solve.monte_carlo import MonteCarlo


@dataclass(frozen=True, slots=True, kw_only=True)
class Sized:
    """All that was found: the lengths wanted, the belts judged (best first), what was passed over.

    `named` are judged by request and always shown. `sampled` is None if no Monte Carlo was asked
    for. `catalogue` tells which of its rows cannot be used.
    """

    need: Wanted
    named: Sequence[Judged]
    stocked: Sequence[Judged]
    shelf: Shelf | None
    faults: Sequence[Finding]
    sampled: MonteCarlo | None
    catalogue: Catalogue | None = None

    def __repr__(self) -> str:
        """One line: what it is of, and the answer."""
        told = self.answer or "no belt named"
        return f"<Sized {self.need.layout.title!r}: {self.need.nominal:.1f} mm, {told}>"

    @property
    def judged(self) -> tuple[Judged, ...]:
        """Every belt that was judged."""
        return (*self.named, *self.stocked)

    @property
    def best(self) -> Judged | None:
        """The best that can be fitted, None if none can."""
        able = [one for one in self.judged if one.answer != "does not fit"]
        return min(able, key=lambda one: ANSWERS.index(one.answer), default=None)

    @property
    def answer(self) -> Answer | None:
        """The answer of the best belt; None where no belt was named or looked for."""
        if self.best is not None:
            return self.best.answer
        return None if self.shelf is None and not self.named else "does not fit"

    @property
    def aim(self) -> float | None:
        """The length to aim at, mm; None where none is sure to fit, or nothing offered does."""
        return None if self.answer == "does not fit" else self.need.middle


# --- what it holds -------------------------------------------------------------------------------

_Range = Annotated[list[float], Doc("The shortest and the longest.", minItems=2, maxItems=2)]
_Count = Annotated[int, Doc("Rows of the catalogue.", minimum=0)]


class SizedBelt(TypedDict):
    """The layout's belt."""

    section: Annotated[SectionName, Doc("Its section.")]
    ribs: Ribs


class TakeUpAnswer(TypedDict):
    """What a belt as long as the path asks of fixed centres, in mm of belt length."""

    shorter: Annotated[float, Doc("So much shorter must the path get, to slip it on.")]
    longer: Annotated[float, Doc("So much longer, to tension it over its life.")]
    slip_on: Annotated[float, Doc("The part of `shorter` that the easiest rim asks for.")]
    stretch: Annotated[float, Doc("The part of `longer` that stretch in service adds.")]


class BudgetAnswer(TypedDict):
    """One measurement."""

    pulley: Annotated[str | None, Doc("The pulley; null for the belt.")]
    quantity: Annotated[Quantity, Doc("What is measured.")]
    sigma_mm: Annotated[float, Doc("Its 1 sigma.")]
    adds_mm: Annotated[float, Doc("1 sigma that it adds to the length.")]
    part: Annotated[float, Doc("Its part 0..1 of the length's variance.")]


class MonteCarloAnswer(TypedDict):
    """The spread of the length over drives drawn at random."""

    rows: Annotated[int, Doc("How many were drawn.", minimum=1)]
    mean_mm: Annotated[float, Doc("Mean length.")]
    sigma_mm: Annotated[float, Doc("1 standard deviation.")]
    low_mm: Annotated[float, Doc("The 2.5 percentile.")]
    high_mm: Annotated[float, Doc("The 97.5 percentile.")]
    lost: Annotated[float, Doc("Part 0..1 in which no belt could be laid.")]


class PlaceAnswer(TypedDict):
    """Where the tensioner then stands."""

    length_mm: Annotated[float, Doc("The belt's length there.")]
    position: Annotated[float | None, Doc("Degrees or mm; null: out of travel.")]
    travel_used: Annotated[float | None, Doc("0 at the free stop, 1 at the load stop.")]


class PlacesAnswer(TypedDict):
    """The tensioner with this belt."""

    now: PlaceAnswer
    shortest: PlaceAnswer
    longest: PlaceAnswer
    after_stretch: PlaceAnswer
    position_uncertainty: Annotated[float | None, Doc("± on the position now, at 95 %.")]


class BeltCandidate(TypedDict):
    """One belt."""

    designation: Annotated[str, Doc("As it was named.")]
    section: Annotated[SectionName, Doc("Its section.")]
    ribs: Ribs
    length_mm: Annotated[float, Doc("Its effective length.")]
    tolerance_mm: Annotated[float, Doc("± on that.")]
    tolerance_source: Annotated[str, Doc("given, or how little is known of the table's.")]
    answer: Annotated[Answer, Doc("Whether it fits.")]
    reasons: Annotated[list[str], Doc("Why not, or why only with reserve.")]
    tensioner: PlacesAnswer | None
    stock: Annotated[Annotated[int, Doc("Pieces.", minimum=0)] | None, Doc("How many there are.")]
    note: Annotated[str, Doc("The catalogue's note.")]
    line: Annotated[
        Annotated[int, Doc("Counted from 1.", minimum=1)] | None, Doc("Its line in the catalogue.")
    ]


class PassedOver(TypedDict):
    """Rows of the catalogue that cannot fit: of another section, rib count or length."""

    other_section: _Count
    other_ribs: _Count
    too_short: _Count
    too_long: _Count


class SizeAnswer(TypedDict):
    """The lengths that a drive takes, and belts judged.

    Lengths in mm, whatever the layout's own units. Fields may be added, never renamed.
    """

    title: Annotated[str, Doc("The layout's title.")]
    units: Literal["mm"]
    answer: Annotated[Answer | None, Doc("Of the best belt; null: none named.")]
    belt: SizedBelt
    drive: Annotated[Kind, Doc("What takes up a difference in length.")]
    length_mm: Annotated[float, Doc("Length of the effective line as measured.")]
    uncertainty_mm: Annotated[float, Doc("± on it by the measurements, at 95 %.")]
    tolerance_mm: Annotated[float, Doc("± of a belt of this length, allowed for in the ranges.")]
    tolerance_source: Annotated[str, Doc("given, or how little is known of the table's.")]
    with_tolerance_mm: Annotated[float, Doc("± at 95 % with that tolerance, taken as rectangular.")]
    stretch_percent: Annotated[float | None, Doc("Stretch in service allowed for.")]
    reach_mm: Annotated[_Range, Doc("Nominal lengths that can be put on at all.")]
    window_mm: Annotated[_Range | None, Doc("Lengths between which a new belt must be.")]
    exact_mm: Annotated[_Range | None, Doc("Nominal lengths that fit by exact measurements.")]
    usable_mm: Annotated[_Range | None, Doc("Nominal lengths that fit, the ± allowed for.")]
    aim_mm: Annotated[float | None, Doc("The middle of usable_mm; null where none is sure to fit.")]
    take_up_mm: TakeUpAnswer | None
    budget: Annotated[list[BudgetAnswer], Doc("The measurements, those that add most first.")]
    monte_carlo: MonteCarloAnswer | None
    candidates: Annotated[
        list[BeltCandidate], Doc("Those named, then the catalogue's; best first.")
    ]
    passed_over: PassedOver | None
    notes: Annotated[list[str], Doc("What a designation does not tell.")]
    faults: Annotated[list[FindingAnswer], Doc("Faults of the drive by its checks.")]


# --- how it is filled ----------------------------------------------------------------------------


def size_answer(sized: Sized) -> SizeAnswer:
    """Everything that `size --json` says."""
    need = sized.need
    belt = need.layout.belt
    return {
        "title": need.layout.title,
        "units": "mm",
        "answer": sized.answer,
        "belt": {"section": belt.section.name, "ribs": belt.ribs},
        "drive": need.kind,
        "length_mm": need.nominal,
        "uncertainty_mm": need.uncertainty.expanded,
        "tolerance_mm": need.tolerance,
        "tolerance_source": need.tolerance_source(),
        "with_tolerance_mm": with_tolerance(need, need.tolerance),
        "stretch_percent": 100.0 * need.stretch if need.kind == "tensioner" else None,
        "reach_mm": list(need.reach),
        "window_mm": None if need.kind == "fixed" else list(need.window),
        "exact_mm": None if need.exact is None else list(need.exact),
        "usable_mm": None if need.usable is None else list(need.usable),
        "aim_mm": sized.aim,
        "take_up_mm": _take_up(need),
        "budget": [
            {
                "pulley": share.pulley,
                "quantity": share.quantity,
                "sigma_mm": share.sigma,
                "adds_mm": share.adds,
                "part": part,
            }
            for share, part in shares(need.uncertainty)
        ],
        "monte_carlo": None if sized.sampled is None else _monte_carlo(sized.sampled),
        "candidates": list(_candidates(sized)),
        "passed_over": None if sized.shelf is None else _passed_over(sized.shelf),
        "notes": list(notes(need)),
        "faults": findings_answer(sized.faults),
    }


def notes(need: Wanted) -> Iterator[str]:
    """What the drive needs that a designation does not tell."""
    belt = need.layout.belt
    if belt.double_sided:
        yield "The drive needs a double-sided belt, which a designation does not tell: ask for one."
    if belt.elastic:
        yield (
            "The drive needs a stretch-fit belt, which a designation does not tell: ask for one, "
            "and go by its maker's figure for the stretch."
        )


def _take_up(need: Wanted) -> TakeUpAnswer | None:
    asked = need.take_up
    if asked is None:
        return None
    return {
        "shorter": asked.shorter,
        "longer": asked.longer,
        "slip_on": asked.slip_on,
        "stretch": asked.stretch,
    }


def _monte_carlo(sampled: MonteCarlo) -> MonteCarloAnswer:
    return {
        "rows": sampled.rows,
        "mean_mm": sampled.mean,
        "sigma_mm": sampled.sigma,
        "low_mm": sampled.low,
        "high_mm": sampled.high,
        "lost": sampled.lost,
    }


def _candidates(sized: Sized) -> Iterator[BeltCandidate]:
    """Every belt judged; belts of one length stand alike and are solved once."""
    need, found = sized.need, dict[tuple[float, float], Places | None]()
    for one in sized.judged:
        stands = None
        if one.offer.section == need.layout.belt.section.name:
            key = (one.offer.length, one.tolerance)
            if key not in found:
                found[key] = places(need, one)
            stands = found[key]
        yield _candidate(need, one, stands)


def _candidate(need: Wanted, one: Judged, stands: Places | None) -> BeltCandidate:
    offer = one.offer
    return {
        "designation": offer.designation,
        "section": offer.section,
        "ribs": offer.ribs,
        "length_mm": offer.length,
        "tolerance_mm": one.tolerance,
        "tolerance_source": need.tolerance_source(offer),
        "answer": one.answer,
        "reasons": list(one.reasons),
        "tensioner": None if stands is None else _stands(stands),
        "stock": offer.stock,
        "note": offer.note,
        "line": offer.line or None,
    }


def _stands(stands: Places) -> PlacesAnswer:
    return {
        "now": _place(stands.now),
        "shortest": _place(stands.shortest),
        "longest": _place(stands.longest),
        "after_stretch": _place(stands.worn),
        "position_uncertainty": stands.sure,
    }


def _place(place: Place) -> PlaceAnswer:
    return {"length_mm": place.length, "position": place.position, "travel_used": place.used}


def _passed_over(shelf: Shelf) -> PassedOver:
    return {
        "other_section": shelf.other_section,
        "other_ribs": shelf.other_ribs,
        "too_short": shelf.too_short,
        "too_long": shelf.too_long,
    }
