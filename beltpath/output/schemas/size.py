"""The schema of the answer of ``size --json``."""

from __future__ import annotations

from typing import get_args

from beltpath.data.sections import SECTION_NAMES
from beltpath.output.schemas.check import finding
from beltpath.output.schemas.pieces import (
    DRAFT,
    Schema,
    band,
    list_of,
    number,
    one_of,
    or_null,
    table,
    text,
    whole,
)
from beltpath.sizing.fit import Answer, Kind
from beltpath.solve.uncertainty import Quantity


def size_schema() -> Schema:
    """The schema of what ``size --json`` prints."""
    return {
        "$schema": DRAFT,
        "title": "beltpath size --json",
        "description": "Lengths in mm, whatever the layout's own units. Fields may be added, never "
        "renamed.",
        **_size(),
    }


def _size() -> Schema:
    belt = {"section": one_of(SECTION_NAMES, "Its section."), "ribs": whole("Its ribs.")}
    return table(
        "The lengths that a drive takes, and belts judged.",
        {
            "title": text("The layout's title."),
            "units": {"const": "mm"},
            "answer": or_null(one_of(get_args(Answer), "Of the best belt; null: none named.")),
            "belt": table("The layout's belt.", belt),
            "drive": one_of(get_args(Kind), "What takes up a difference in length."),
            "length_mm": number("Length of the effective line as measured."),
            "uncertainty_mm": number("± on it by the measurements, at 95 %."),
            "tolerance_mm": number("± of a belt of this length, allowed for in the ranges."),
            "tolerance_source": text("given, or how little is known of the table's."),
            "with_tolerance_mm": number("± at 95 % with that tolerance, taken as rectangular."),
            "stretch_percent": or_null(number("Stretch in service allowed for.")),
            "reach_mm": band("Nominal lengths that can be put on at all."),
            "window_mm": or_null(band("Lengths between which a new belt must be.")),
            "exact_mm": or_null(band("Nominal lengths that fit by exact measurements.")),
            "usable_mm": or_null(band("Nominal lengths that fit, the ± allowed for.")),
            "aim_mm": or_null(number("The middle of usable_mm; null where none is sure to fit.")),
            "take_up_mm": or_null(_take_up()),
            "budget": list_of(_budget(), "The measurements, those that add most first."),
            "monte_carlo": or_null(_monte_carlo()),
            "candidates": list_of(_candidate(), "Those named, then the catalogue's; best first."),
            "passed_over": or_null(_passed_over()),
            "notes": list_of({"type": "string"}, "What a designation does not tell."),
            "faults": list_of(finding(), "Faults of the drive by its checks."),
        },
    )


def _budget() -> Schema:
    return table(
        "One measurement.",
        {
            "pulley": or_null(text("The pulley; null for the belt.")),
            "quantity": one_of(get_args(Quantity), "What is measured."),
            "sigma_mm": number("Its 1 sigma."),
            "adds_mm": number("1 sigma that it adds to the length."),
            "part": number("Its part 0..1 of the length's variance."),
        },
    )


def _take_up() -> Schema:
    return table(
        "What a belt as long as the path asks of fixed centres, in mm of belt length.",
        {
            "shorter": number("So much shorter must the path get, to slip it on."),
            "longer": number("So much longer, to tension it over its life."),
            "slip_on": number("The part of `shorter` that the easiest rim asks for."),
            "stretch": number("The part of `longer` that stretch in service adds."),
        },
    )


def _monte_carlo() -> Schema:
    return table(
        "The spread of the length over drives drawn at random.",
        {
            "rows": whole("How many were drawn."),
            "mean_mm": number("Mean length."),
            "sigma_mm": number("1 standard deviation."),
            "low_mm": number("The 2.5 percentile."),
            "high_mm": number("The 97.5 percentile."),
            "lost": number("Part 0..1 in which no belt could be laid."),
        },
    )


def _candidate() -> Schema:
    place = table(
        "Where the tensioner then stands.",
        {
            "length_mm": number("The belt's length there."),
            "position": or_null(number("Degrees or mm; null: out of travel.")),
            "travel_used": or_null(number("0 at the free stop, 1 at the load stop.")),
        },
    )
    stands = table(
        "The tensioner with this belt.",
        {
            "now": place,
            "shortest": place,
            "longest": place,
            "after_stretch": place,
            "position_uncertainty": or_null(number("± on the position now, at 95 %.")),
        },
    )
    return table(
        "One belt.",
        {
            "designation": text("As it was named."),
            "section": one_of(SECTION_NAMES, "Its section."),
            "ribs": whole("Its ribs."),
            "length_mm": number("Its effective length."),
            "tolerance_mm": number("± on that."),
            "tolerance_source": text("given, or how little is known of the table's."),
            "answer": one_of(get_args(Answer), "Whether it fits."),
            "reasons": list_of({"type": "string"}, "Why not, or why only with reserve."),
            "tensioner": or_null(stands),
            "stock": or_null(whole("How many there are.", least=0)),
            "note": text("The catalogue's note."),
            "line": or_null(whole("Its line in the catalogue.")),
        },
    )


def _passed_over() -> Schema:
    return table(
        "Rows of the catalogue that cannot fit, counted.",
        {
            "other_section": whole("Of another section.", least=0),
            "other_ribs": whole("With too few or too many ribs.", least=0),
            "too_short": whole("Too short.", least=0),
            "too_long": whole("Too long.", least=0),
        },
    )
