"""The schema of the answer of ``compare --json``."""

from __future__ import annotations

from typing import get_args

from beltpath.checks.findings import Verdict
from beltpath.layout.keys import Sense, Side
from beltpath.output.schemas.check import check_schema, finding, tensioner
from beltpath.output.schemas.pieces import (
    DRAFT,
    Schema,
    list_of,
    number,
    one_of,
    or_null,
    table,
    text,
    yes_no,
)
from beltpath.solve.tensioner import Reached


def compare_schema() -> Schema:
    """The schema of what ``compare --json`` prints."""
    findings = list_of(finding(), "Matched by check, level and pulleys.")
    built = table(
        "Two layouts compared; fields may be added, never renamed.",
        {
            "units": {"const": "mm"},
            "verdict": one_of(get_args(Verdict), "The verdict of the layout after."),
            "before": _compared("The layout before."),
            "after": _compared("The layout after."),
            "changes": list_of(_change(), "What differs between the layouts."),
            "needed_length_mm": _pair(or_null(number("As measured; null: no belt fits so."))),
            "old_belt": or_null(
                {
                    "allOf": [
                        tensioner(),
                        table(
                            "The drive after with the belt in hand of the one before.",
                            {"reached": one_of(get_args(Reached), "How it was found.")},
                        ),
                    ]
                }
            ),
            "speeds": list_of(number("A crank speed of both layouts, rpm."), "As in after."),
            "contacts": list_of(_ride(), "Pulleys that both belts meet; none if one cannot be."),
            "new": findings,
            "gone": findings,
            "still": findings,
        },
    )
    point = check_schema()["$defs"]["point"]
    return {
        "$schema": DRAFT,
        "title": "beltpath compare --json",
        **built,
        "$defs": {"point": point},
    }


def _compared(description: str) -> Schema:
    return table(
        description,
        {
            "title": text("Its title."),
            "digest": text("The digest of its text, as on its card."),
            "verdict": one_of(get_args(Verdict), "fail with any fault."),
            "uncertainty_mm": number("± on the length by the measurements, at 95 %."),
            "given_length_mm": or_null(number("The length of the belt in hand.")),
            "tensioner": or_null(tensioner()),
        },
    )


def _change() -> Schema:
    anything = "A value of any kind, lengths in mm; null: not given; true and false: there or not."
    return table(
        "One fact that differs.",
        {
            "subject": text("A pulley's name, or belt, tensioner, running or layout."),
            "is_pulley": yes_no("Whether the subject is a pulley."),
            "key": text("The key that differs; pulley: the pulley as a whole."),
            "before": {"description": anything},
            "after": {"description": anything},
        },
    )


def _ride() -> Schema:
    known = or_null(number("Over the speeds of both; null: not known, or no limit."))
    return table(
        "One pulley before and after.",
        {
            "pulley": text("Its name."),
            "turns": _pair(one_of(get_args(Sense), "The sense it turns in.")),
            "side": _pair(one_of(get_args(Side), "The side of the belt on it.")),
            "wrap_deg": _pair(number("Wrap angle.")),
            "speed_ratio": _pair(number("Pulley speed over crank speed.")),
            "rpm": list_of(_pair(number("Its speed.")), "At each of `speeds`."),
            "slip_reserve": _pair(known),
            "hub_load_n": _pair(known),
        },
    )


def _pair(kind: Schema) -> Schema:
    return table("Before and after.", {"before": kind, "after": kind})
