"""The schemas of a file of measurements, and of the answer of ``measure --json``."""

from __future__ import annotations

from copy import deepcopy
from typing import get_args

from beltpath.measure.survey import Over
from beltpath.measure.survey_model import MeasuresModel
from beltpath.measure.survey_problems import FOUND_KEYS, OWN_KEYS, OWN_PULLEY_KEYS
from beltpath.measure.suspects import SuspectKind
from beltpath.schemas.layout import layout_schema, pruned
from beltpath.schemas.pieces import (
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


def measure_schema() -> Schema:
    """The schema of a file of measurements, read as TOML: a layout's, less what is to be found."""
    built = layout_schema()
    own: Schema = pruned(deepcopy(MeasuresModel.model_json_schema()))
    pulley = built["$defs"]["PulleyModel"]
    for key in FOUND_KEYS:
        del pulley["properties"][key]
    pulley["required"].remove("at")
    placing = own["$defs"].pop("PlacingModel")
    pulley["properties"] |= {key: placing["properties"][key] for key in OWN_PULLEY_KEYS}
    built["properties"] |= {key: own["properties"][key] for key in OWN_KEYS}
    built["$defs"] |= own["$defs"]
    pivot = built["$defs"]["TensionerModel"]["properties"]["pivot"]
    named = text("The name of one of the [points], to be found.")
    built["$defs"]["TensionerModel"]["properties"]["pivot"] = {"anyOf": [pivot, named]}
    built["required"] = [*built["required"], "level"]
    built["anyOf"] = [{"required": ["tape"]}, {"required": ["photo"]}]
    return {**built, "title": "beltpath file of measurements"}


def measured_schema() -> Schema:
    """The schema of what ``measure --json`` prints."""
    places = {"type": "object", "additionalProperties": _centre()}
    return {
        "$schema": DRAFT,
        "title": "beltpath measure --json",
        **table(
            "What was found. Lengths in mm, whatever the file's own units; the crank's centre is "
            "the origin; pixels where said so. Fields may be added, never renamed.",
            {
                "title": text("The file's title."),
                "usable": yes_no("Whether a layout can be written."),
                "pulleys": {**places, "description": "Every pulley by its name."},
                "points": {**places, "description": "Every other point by its name."},
                "rms_mm": or_null(number("Of the tape readings used; null without any.")),
                "rms_px": or_null(number("Of the clicked points used; null without any.")),
                "residuals": list_of({"anyOf": [_tape(), _rim()]}, "Tape readings, then rims."),
                "suspects": list_of(_suspect(), "What does not fit the rest."),
                "cautions": list_of({"type": "string"}, "What nothing contradicts, yet may be so."),
                "next": or_null(_next()),
                "photo": or_null(_photo()),
            },
        ),
    }


def _centre() -> Schema:
    return table(
        "One centre.",
        {
            "at": _pair("[x, y]."),
            "sigma_mm": number("1 sigma of each coordinate, taken over both."),
            "sigma_xy_mm": _pair("1 sigma of x and of y."),
            "correlation": number("Between them, −1 to 1."),
        },
    )


def _pair(description: str) -> Schema:
    return {**list_of({"type": "number"}, description), "minItems": 2, "maxItems": 2}


def _tape() -> Schema:
    return table(
        "One tape reading.",
        {
            "kind": {"const": "tape"},
            "from": text("The one end."),
            "to": text("The other end."),
            "over": one_of(get_args(Over), "What it runs over."),
            "measured_mm": number("What was read."),
            "computed_mm": number("What the solution gives."),
            "residual_mm": number("Computed less measured."),
            "in_sigmas": number("The size of the residual by its own 1 sigma."),
            "used": yes_no("False: left out as a slip."),
        },
    )


def _rim() -> Schema:
    return table(
        "The clicked points of one rim.",
        {
            "kind": {"const": "rim"},
            "pulley": text("Its name."),
            "residuals_px": list_of({"type": "number"}, "How far each point lies outside it."),
            "used": list_of({"type": "boolean"}, "False: left out as a slip."),
            "diameter_mm": number("As the solution has it."),
            "stated_mm": number("As the file has it."),
        },
    )


def _suspect() -> Schema:
    return table(
        "One doubt.",
        {
            "kind": one_of(get_args(SuspectKind), "What is doubted."),
            "pulleys": list_of({"type": "string"}, "The pulleys and points it is about."),
            "set_aside": yes_no("Whether the rest does without it."),
            "message": text("What does not fit and what to do."),
        },
    )


def _next() -> Schema:
    return table(
        "The reading, centre to centre, that would help most.",
        {
            "from": text("The one end."),
            "to": text("The other end."),
            "worst_sigma_mm": number("1 sigma of the worst place then, in its worst direction."),
        },
    )


def _photo() -> Schema:
    row = {**list_of({"type": "number"}, "A row."), "minItems": 3, "maxItems": 3}
    return table(
        "The photograph.",
        {
            "file": or_null(text("The picture's file.")),
            "image_to_front": {
                **list_of(row, "From pixels to mm in the front plane, a projective map."),
                "minItems": 3,
                "maxItems": 3,
            },
            "depth_effect_mm": {
                "type": "object",
                "additionalProperties": {"type": "number"},
                "description": "For each rim: how far any centre moves if it stands 10 mm nearer.",
            },
        },
    )
