"""The schema of the answer of ``routes --json``."""

from __future__ import annotations

from typing import get_args

from beltpath.checks.findings import Verdict
from beltpath.layout.keys import Sense, Side
from beltpath.output.schemas.check import finding
from beltpath.output.schemas.pieces import (
    DRAFT,
    Schema,
    list_of,
    number,
    one_of,
    or_null,
    table,
    text,
    whole,
    yes_no,
)


def routes_schema() -> Schema:
    """The schema of what ``routes --json`` prints."""
    return {
        "$schema": DRAFT,
        "title": "beltpath routes --json",
        **table(
            "Every way that the belt can go. Lengths in mm, whatever the layout's own units. "
            "Fields may be added, never renamed.",
            {
                "title": text("The layout's title."),
                "units": {"const": "mm"},
                "given_length_mm": or_null(number("The length of the belt in hand.")),
                "summary": text("How the search ended."),
                "complete": yes_no("False: it stopped at its limit, and there may be more ways."),
                "work": whole("Steps of the search.", least=0),
                "unreachable": list_of({"type": "string"}, "Pulleys that no span leads to."),
                "candidates": list_of(_candidate(), "The ways studied, the likeliest first."),
                "others": list_of(_other(), "The ways not studied."),
            },
        ),
    }


def _way() -> Schema:
    contact = table(
        "One contact.",
        {
            "pulley": text("The pulley's name."),
            "side": one_of(get_args(Side), "Which side of the belt touches."),
            "turns": one_of(get_args(Sense), "The sense the pulley turns in."),
        },
    )
    return {
        "route": list_of({"type": "string"}, "Pulleys in the belt's travel, crank first."),
        "contacts": list_of(contact, "In route order."),
    }


def _candidate() -> Schema:
    fit = table(
        "Whether the belt in hand fits.",
        {
            "fits": or_null(yes_no("Null: no belt is known.")),
            "off_mm": or_null(number("By how much it is short (−) or long (+).")),
            "shortest_mm": number("The shortest belt that this way takes."),
            "longest_mm": number("The longest."),
            "position": or_null(number("Where the tensioner stands, degrees or mm.")),
            "in_window": or_null(yes_no("Null: no window is known.")),
            "tightens": or_null(yes_no("False: the spring would slacken the belt.")),
            "as_measured": yes_no("Whether the belt can go this way where `at` is."),
        },
    )
    return table(
        "One way, studied.",
        {
            **_way(),
            "left_out": list_of({"type": "string"}, "Optional pulleys that it does without."),
            "effective_length_mm": number("Length of the effective line as solved."),
            "fit": fit,
            "verdict": one_of(get_args(Verdict), "fail with any fault."),
            "findings": list_of(finding(), "Faults first."),
            "reasons": list_of({"type": "string"}, "What tells it from the others."),
        },
    )


def _other() -> Schema:
    return table(
        "One way that is not studied.",
        {
            **_way(),
            "shortest_mm": number("The shortest belt at the places tried."),
            "longest_mm": number("The longest."),
        },
    )
