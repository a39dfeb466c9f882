"""The schema of the answer of ``check --json``."""

from __future__ import annotations

from typing import get_args

from beltpath.checks.findings import Level, Verdict
from beltpath.data.sections import SECTION_NAMES
from beltpath.layout.keys import Sense, Side, TensionerKind
from beltpath.output.schemas.pieces import (
    DRAFT,
    Schema,
    list_of,
    number,
    one_of,
    or_null,
    table,
    text,
)
from beltpath.solve.forces import Basis


def check_schema() -> Schema:
    """The schema of what ``check --json`` prints: one answer, or a list for several files."""
    named = {"file": text("The file as it was named in the call; - is standard input.")}
    return {
        "$schema": DRAFT,
        "title": "beltpath check --json",
        "description": "Lengths in mm and angles in degrees anticlockwise from +x, seen from the "
        "front, whatever the layout's own units. Fields may be added, never renamed.",
        "anyOf": [
            {"$ref": "#/$defs/answer"},
            {"$ref": "#/$defs/unusable"},
            {
                "type": "array",
                "description": "Several files: one entry each, in the order of the call.",
                "minItems": 2,
                "items": {
                    "anyOf": [
                        {
                            "allOf": [{"$ref": "#/$defs/answer"}],
                            "properties": named,
                            "required": ["file"],
                        },
                        {"$ref": "#/$defs/unusable"},
                    ]
                },
            },
        ],
        "$defs": {
            "answer": _answer(),
            "unusable": table(
                "A file that cannot be used.",
                {**named, "error": text("Every problem found, a line each.")},
            ),
            "point": {
                "type": "array",
                "description": "[x, y] in mm.",
                "items": {"type": "number"},
                "minItems": 2,
                "maxItems": 2,
            },
        },
    }


def _answer() -> Schema:
    return table(
        "One layout, solved and checked.",
        {
            "title": text("The layout's title."),
            "verdict": one_of(get_args(Verdict), "fail with any fault, caution with any caution."),
            "units": {"const": "mm"},
            "belt": _belt(),
            "contacts": list_of(_contact(), "In route order, crank first."),
            "spans": list_of(_span(), "Span i leaves contact i."),
            "tensioner": or_null(tensioner()),
            "forces": or_null(list_of(_forces(), "One entry for each crank speed.")),
            "guides": or_null(list_of(_guide(), "What the forces rest on.")),
            "findings": list_of(finding(), "Faults first, then cautions, then notes."),
        },
    )


def _belt() -> Schema:
    return table(
        "The belt.",
        {
            "section": one_of(SECTION_NAMES, "Its section."),
            "ribs": {"type": "integer", "minimum": 1},
            "effective_length_mm": number("Length of the effective line as solved."),
            "pitch_length_mm": number("Length of the pitch line."),
            "uncertainty_mm": number("± on the length by the measurements, at 95 %."),
            "given_length_mm": or_null(number("The length of the belt in hand.")),
            "tolerance_mm": or_null(number("± on that.")),
            "tolerance_source": or_null(text("given, or how little is known of the table's.")),
            "designation": or_null(text("The designation of the belt in hand.")),
        },
    )


def _contact() -> Schema:
    return table(
        "One pulley as the belt meets it.",
        {
            "pulley": text("The pulley's name."),
            "side": one_of(get_args(Side), "Which side of the belt touches."),
            "turns": one_of(get_args(Sense), "The sense the pulley turns in."),
            "wrap_deg": number("Wrap angle."),
            "arc_mm": number("Arc of contact on the effective line."),
            "enter": {"$ref": "#/$defs/point"},
            "leave": {"$ref": "#/$defs/point"},
            "speed_ratio": number("Pulley speed over crank speed."),
        },
    )


def _span() -> Schema:
    return table(
        "The straight run between two contacts, in the direction of travel.",
        {
            "from": text("The pulley it leaves."),
            "to": text("The pulley it meets."),
            "length_mm": number("Its length."),
            "angle_deg": number("Its direction of travel, 0 to 360."),
            "clearance_mm": or_null(
                number("Belt face to the nearest other rim; negative: through it.")
            ),
            "nearest": or_null(text("The pulley of that rim.")),
        },
    )


def tensioner() -> Schema:
    """The tensioner of an answer."""
    return table(
        "The tensioner; positions in degrees (arm, swing) or mm (slide).",
        {
            "pulley": text("The pulley it carries."),
            "kind": one_of(get_args(TensionerKind), "How it moves."),
            "position": or_null(number("Where it stands; null where a fault leaves it in doubt.")),
            "free": number("Its stop with no belt."),
            "load": number("Its stop with the lever held fully over."),
            "travel_used": or_null(number("0 at the free stop, 1 at the load; null in doubt.")),
            "at": {"$ref": "#/$defs/point"},
            "shortest_mm": or_null(number("Shortest belt that its travel takes; null in doubt.")),
            "longest_mm": or_null(number("The longest belt that it keeps taut; null in doubt.")),
            "take_up_mm": or_null(
                number("Effective length left to take up to its free stop; null in doubt.")
            ),
            "rate_mm_per_unit": or_null(
                number("Effective length for a degree or mm of travel; null in doubt.")
            ),
            "release": {
                "anyOf": [
                    {"type": "null", "description": "Null where a fault leaves it in doubt."},
                    one_of(get_args(Sense), "The way an arm or swing goes to slacken."),
                    number("The direction in which a slide goes to slacken."),
                ]
            },
            "tension_n": or_null(
                number("Belt tension at rest by the spring; null without one, in doubt.")
            ),
        },
    )


def _forces() -> Schema:
    return table(
        "One crank speed.",
        {
            "crank_rpm": number("Crank speed."),
            "belt_speed_m_s": number("Belt speed."),
            "basis": one_of(get_args(Basis), "What sets the tension."),
            "mass_kg_m": number("Mass of the belt per metre."),
            **_case(),
            "high": or_null(
                table(
                    "Where the tension is known as an interval: its high case; the low case stands "
                    "beside it.",
                    _case(),
                )
            ),
        },
    )


def _case() -> Schema:
    span = table(
        "One span.",
        {
            "from": text("The pulley it leaves."),
            "to": text("The pulley it meets."),
            "tension_n": or_null(number("Its tension; null where it is slack.")),
            "grip_n": or_null(number("Its tension less m·v², which presses on the pulleys.")),
            "frequency_hz": or_null(number("Of the span under that tension, standing still.")),
            "standing_frequency_hz": number("What the plucked span sounds with the engine off."),
        },
    )
    contact = table(
        "One contact.",
        {
            "pulley": text("The pulley's name."),
            "rpm": number("Its speed."),
            "torque_nm": number("Its torque, positive where the belt drives it."),
            "friction": number("Effective friction there."),
            "slip_reserve": or_null(number("Grip available over needed; null: none needed.")),
            "hub_load_n": or_null(number("The belt's force on its hub.")),
            "hub_load_deg": or_null(number("The direction of that force.")),
        },
    )
    return {
        "spans": list_of(span, "In route order."),
        "contacts": list_of(contact, "In route order."),
    }


def _guide() -> Schema:
    return table(
        "A value that the forces rest on.",
        {
            "key": text("Its name; a layout overrides it under [running]."),
            "value": number("Its value."),
            "unit": text("Its unit; 1 for none."),
            "status": text("published, computed, common practice, from memory or given."),
            "source": text("Where it comes from."),
        },
    )


def finding() -> Schema:
    """One finding of an answer."""
    return table(
        "One result of a check.",
        {
            "check": text("The check's name."),
            "level": one_of(get_args(Level), "A fault fails the drive."),
            "pulleys": list_of({"type": "string"}, "The pulleys it is about; may be none."),
            "message": text("What is found and what to do."),
            "source": text("Where its limit comes from."),
        },
    )
