"""The JSON Schemas that ship in docs/: of a layout file, and of the answer of ``check --json``.

Beside them, in the package, ship the rules that layout files are read with: pydantic's core schema.
``python -m beltpath.schemas`` writes all anew (in their places, or into the folder named); tests
compare what ships with what is built here. A JSON Schema never refuses what the reader accepts; the
reader sees more (references, stops, sizes), since a schema cannot compare one key with another.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from copy import deepcopy
from pathlib import Path
from typing import Any, cast, get_args

from beltpath.files import write_whole
from beltpath.findings import Level, Verdict
from beltpath.forces import Basis
from beltpath.layout import Sense, Side, TensionerKind
from beltpath.layout_file import schema
from beltpath.layout_model import LayoutModel
from beltpath.layout_tables import RULES_FILE
from beltpath.sections import DATA, SECTION_NAMES
from beltpath.shelf import Answer, Kind
from beltpath.tensioner import Reached
from beltpath.uncertainty import Quantity

Schema = dict[str, Any]
#: What of a model's configuration its plain table keeps.
_RULING = ("strict", "extra_fields_behavior", "allow_inf_nan")
DRAFT = "https://json-schema.org/draft/2020-12/schema"


def layout_schema() -> Schema:
    """The schema of a layout file, read as TOML."""
    built: Schema = _pruned(deepcopy(dict(schema())))
    tables = built["$defs"]
    built["properties"]["pulleys"]["minProperties"] = 2
    built["properties"]["route"] |= {"minItems": 2, "uniqueItems": True}
    built["allOf"] = [
        _when({"belt": _where({"elastic": {"const": True}})}, {"properties": {"tensioner": False}})
    ]
    tables["BeltModel"]["allOf"] = [
        _when(
            {"section": {"enum": [name for name in SECTION_NAMES if name.startswith("AV")]}},
            {"properties": {"ribs": {"const": 1}, "double_sided": {"const": False}}},
        )
    ]
    tables["PulleyModel"]["allOf"] = [
        _when(
            {"face": {"const": "smooth"}}, {"properties": {"over_balls": False, "grooves": False}}
        )
    ]
    tables["TensionerModel"]["allOf"] = [
        _when(
            {"kind": {"enum": ["arm", "swing"]}},
            {"required": ["pivot"], "properties": {"along": False}},
        ),
        _when(
            {"kind": {"const": "slide"}},
            {
                "required": ["along"],
                "properties": {
                    "pivot": False,
                    "release": False,
                    "spring": {"properties": {"torque": False}},
                },
            },
        ),
        _when(
            {"kind": {"const": "arm"}}, {"properties": {"spring": {"properties": {"force": False}}}}
        ),
        _when({"kind": {"const": "swing"}}, {"properties": {"spring": False}}),
    ]
    return built


def check_schema() -> Schema:
    """The schema of what ``check --json`` prints: one answer, or a list for several files."""
    named = {"file": _text("The file as it was named in the call; - is standard input.")}
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
            "unusable": _table(
                "A file that cannot be used.",
                {**named, "error": _text("Every problem found, a line each.")},
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


def compare_schema() -> Schema:
    """The schema of what ``compare --json`` prints."""
    findings = _list_of(_finding(), "Matched by check, level and pulleys.")
    built = _table(
        "Two layouts compared; fields may be added, never renamed.",
        {
            "units": {"const": "mm"},
            "verdict": _one_of(get_args(Verdict), "The verdict of the layout after."),
            "before": _compared("The layout before."),
            "after": _compared("The layout after."),
            "changes": _list_of(_change(), "What differs between the layouts."),
            "needed_length_mm": _pair(_or_null(_number("As measured; null: no belt fits so."))),
            "old_belt": _or_null(
                {
                    "allOf": [
                        _tensioner(),
                        _table(
                            "The drive after with the belt in hand of the one before.",
                            {"reached": _one_of(get_args(Reached), "How it was found.")},
                        ),
                    ]
                }
            ),
            "speeds": _list_of(_number("A crank speed of both layouts, rpm."), "As in after."),
            "contacts": _list_of(_ride(), "Pulleys that both belts meet; none if one cannot be."),
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
    return _table(
        description,
        {
            "title": _text("Its title."),
            "digest": _text("The digest of its text, as on its card."),
            "verdict": _one_of(get_args(Verdict), "fail with any fault."),
            "uncertainty_mm": _number("± on the length by the measurements, at 95 %."),
            "given_length_mm": _or_null(_number("The length of the belt in hand.")),
            "tensioner": _or_null(_tensioner()),
        },
    )


def _change() -> Schema:
    anything = "A value of any kind, lengths in mm; null: not given; true and false: there or not."
    return _table(
        "One fact that differs.",
        {
            "subject": _text("A pulley's name, or belt, tensioner, running or layout."),
            "is_pulley": {"type": "boolean", "description": "Whether the subject is a pulley."},
            "key": _text("The key that differs; pulley: the pulley as a whole."),
            "before": {"description": anything},
            "after": {"description": anything},
        },
    )


def _ride() -> Schema:
    known = _or_null(_number("Over the speeds of both; null: not known, or no limit."))
    return _table(
        "One pulley before and after.",
        {
            "pulley": _text("Its name."),
            "turns": _pair(_one_of(get_args(Sense), "The sense it turns in.")),
            "side": _pair(_one_of(get_args(Side), "The side of the belt on it.")),
            "wrap_deg": _pair(_number("Wrap angle.")),
            "speed_ratio": _pair(_number("Pulley speed over crank speed.")),
            "rpm": _list_of(_pair(_number("Its speed.")), "At each of `speeds`."),
            "slip_reserve": _pair(known),
            "hub_load_n": _pair(known),
        },
    )


def _pair(kind: Schema) -> Schema:
    return _table("Before and after.", {"before": kind, "after": kind})


def size_schema() -> Schema:
    """The schema of what ``size --json`` prints."""
    return {
        "$schema": DRAFT,
        "title": "beltpath size --json",
        "description": "Lengths in mm, whatever the layout's own units. Fields may be added, never "
        "renamed.",
        **_size(),
    }


def reading_rules() -> Schema:
    """What layout files are read with: `LayoutModel`'s own rules, giving plain tables."""
    return _plain(cast("Schema", LayoutModel.__pydantic_core_schema__))


def write(docs: Path, data: Path) -> None:
    """Write the JSON Schemas and the rules into their folders, over those that are there."""
    for name, built in (
        ("layout", layout_schema()),
        ("check", check_schema()),
        ("size", size_schema()),
        ("compare", compare_schema()),
    ):
        write_whole(docs / f"{name}.schema.json", text_of(built).encode())
    write_whole(data / RULES_FILE, text_of(reading_rules()).encode())


def text_of(built: Mapping[str, Any]) -> str:
    """A schema as it stands in its file."""
    return json.dumps(built, indent=2, ensure_ascii=False) + "\n"


def _answer() -> Schema:
    return _table(
        "One layout, solved and checked.",
        {
            "title": _text("The layout's title."),
            "verdict": _one_of(get_args(Verdict), "fail with any fault, caution with any caution."),
            "units": {"const": "mm"},
            "belt": _belt(),
            "contacts": _list_of(_contact(), "In route order, crank first."),
            "spans": _list_of(_span(), "Span i leaves contact i."),
            "tensioner": _or_null(_tensioner()),
            "forces": _or_null(_list_of(_forces(), "One entry for each crank speed.")),
            "guides": _or_null(_list_of(_guide(), "What the forces rest on.")),
            "findings": _list_of(_finding(), "Faults first, then cautions, then notes."),
        },
    )


def _belt() -> Schema:
    return _table(
        "The belt.",
        {
            "section": _one_of(SECTION_NAMES, "Its section."),
            "ribs": {"type": "integer", "minimum": 1},
            "effective_length_mm": _number("Length of the effective line as solved."),
            "pitch_length_mm": _number("Length of the pitch line."),
            "uncertainty_mm": _number("± on the length by the measurements, at 95 %."),
            "given_length_mm": _or_null(_number("The length of the belt in hand.")),
            "designation": _or_null(_text("The designation of the belt in hand.")),
        },
    )


def _contact() -> Schema:
    return _table(
        "One pulley as the belt meets it.",
        {
            "pulley": _text("The pulley's name."),
            "side": _one_of(get_args(Side), "Which side of the belt touches."),
            "turns": _one_of(get_args(Sense), "The sense the pulley turns in."),
            "wrap_deg": _number("Wrap angle."),
            "arc_mm": _number("Arc of contact on the effective line."),
            "enter": {"$ref": "#/$defs/point"},
            "leave": {"$ref": "#/$defs/point"},
            "speed_ratio": _number("Pulley speed over crank speed."),
        },
    )


def _span() -> Schema:
    return _table(
        "The straight run between two contacts, in the direction of travel.",
        {
            "from": _text("The pulley it leaves."),
            "to": _text("The pulley it meets."),
            "length_mm": _number("Its length."),
            "angle_deg": _number("Its direction of travel, 0 to 360."),
            "clearance_mm": _or_null(
                _number("Belt face to the nearest other rim; negative: through it.")
            ),
            "nearest": _or_null(_text("The pulley of that rim.")),
        },
    )


def _tensioner() -> Schema:
    return _table(
        "The tensioner; positions in degrees (arm, swing) or mm (slide).",
        {
            "pulley": _text("The pulley it carries."),
            "kind": _one_of(get_args(TensionerKind), "How it moves."),
            "position": _number("Where it stands."),
            "free": _number("Its stop with no belt."),
            "load": _number("Its stop with the lever held fully over."),
            "travel_used": _number("0 at the free stop, 1 at the load stop."),
            "at": {"$ref": "#/$defs/point"},
            "shortest_mm": _number("The shortest belt that its travel takes."),
            "longest_mm": _number("The longest belt that it keeps taut."),
            "take_up_mm": _number("Effective length left to take up to its free stop."),
            "rate_mm_per_unit": _number("Effective length for a degree or mm of travel."),
            "release": {
                "anyOf": [
                    _one_of(get_args(Sense), "The way an arm or swing goes to slacken."),
                    _number("The direction in which a slide goes to slacken."),
                ]
            },
            "tension_n": _or_null(_number("Static belt tension by the spring; null without one.")),
        },
    )


def _forces() -> Schema:
    return _table(
        "One crank speed.",
        {
            "crank_rpm": _number("Crank speed."),
            "belt_speed_m_s": _number("Belt speed."),
            "basis": _one_of(get_args(Basis), "What sets the tension."),
            "mass_kg_m": _number("Mass of the belt per metre."),
            **_case(),
            "high": _or_null(
                _table(
                    "Where the tension is known as an interval: its high case; the low case stands "
                    "beside it.",
                    _case(),
                )
            ),
        },
    )


def _case() -> Schema:
    span = _table(
        "One span.",
        {
            "from": _text("The pulley it leaves."),
            "to": _text("The pulley it meets."),
            "tension_n": _or_null(_number("Its tension; null where it is slack.")),
            "grip_n": _or_null(_number("Its tension less m·v², which presses on the pulleys.")),
            "frequency_hz": _or_null(_number("Of the span under that tension, standing still.")),
            "standing_frequency_hz": _number("What the plucked span sounds with the engine off."),
        },
    )
    contact = _table(
        "One contact.",
        {
            "pulley": _text("The pulley's name."),
            "rpm": _number("Its speed."),
            "torque_nm": _number("Its torque, positive where the belt drives it."),
            "friction": _number("Effective friction there."),
            "slip_reserve": _or_null(_number("Grip available over needed; null: none needed.")),
            "hub_load_n": _or_null(_number("The belt's force on its hub.")),
            "hub_load_deg": _or_null(_number("The direction of that force.")),
        },
    )
    return {
        "spans": _list_of(span, "In route order."),
        "contacts": _list_of(contact, "In route order."),
    }


def _guide() -> Schema:
    return _table(
        "A value that the forces rest on.",
        {
            "key": _text("Its name; a layout overrides it under [running]."),
            "value": _number("Its value."),
            "unit": _text("Its unit; 1 for none."),
            "status": _text("published, computed, common practice or from memory."),
            "source": _text("Where it comes from."),
        },
    )


def _finding() -> Schema:
    return _table(
        "One result of a check.",
        {
            "check": _text("The check's name."),
            "level": _one_of(get_args(Level), "A fault fails the drive."),
            "pulleys": _list_of({"type": "string"}, "The pulleys it is about; may be none."),
            "message": _text("What is found and what to do."),
            "source": _text("Where its limit comes from."),
        },
    )


def _size() -> Schema:
    belt = {"section": _one_of(SECTION_NAMES, "Its section."), "ribs": _whole("Its ribs.")}
    return _table(
        "The lengths that a drive takes, and belts judged.",
        {
            "title": _text("The layout's title."),
            "units": {"const": "mm"},
            "answer": _or_null(_one_of(get_args(Answer), "Of the best belt; null: none named.")),
            "belt": _table("The layout's belt.", belt),
            "drive": _one_of(get_args(Kind), "What takes up a difference in length."),
            "length_mm": _number("Length of the effective line as measured."),
            "uncertainty_mm": _number("± on it by the measurements, at 95 %."),
            "tolerance_mm": _number("± of a belt of this length, allowed for in the ranges."),
            "with_tolerance_mm": _number("± at 95 % with that tolerance, taken as rectangular."),
            "stretch_percent": _or_null(_number("Stretch in service allowed for.")),
            "reach_mm": _band("Nominal lengths that can be put on at all."),
            "window_mm": _or_null(_band("Lengths between which a new belt must be.")),
            "exact_mm": _or_null(_band("Nominal lengths that fit by exact measurements.")),
            "usable_mm": _or_null(_band("Nominal lengths that fit, the ± allowed for.")),
            "aim_mm": _number("The middle of the narrowest of these that there is."),
            "budget": _list_of(_budget(), "The measurements, those that add most first."),
            "monte_carlo": _or_null(_monte_carlo()),
            "candidates": _list_of(_candidate(), "Those named, then the catalogue's; best first."),
            "passed_over": _or_null(_passed_over()),
            "notes": _list_of({"type": "string"}, "What a designation does not tell."),
            "faults": _list_of(_finding(), "Faults of the drive by its checks."),
        },
    )


def _budget() -> Schema:
    return _table(
        "One measurement.",
        {
            "pulley": _or_null(_text("The pulley; null for the belt.")),
            "quantity": _one_of(get_args(Quantity), "What is measured."),
            "sigma_mm": _number("Its 1 sigma."),
            "adds_mm": _number("1 sigma that it adds to the length."),
            "part": _number("Its part 0..1 of the length's variance."),
        },
    )


def _monte_carlo() -> Schema:
    return _table(
        "The spread of the length over drives drawn at random.",
        {
            "rows": _whole("How many were drawn."),
            "mean_mm": _number("Mean length."),
            "sigma_mm": _number("1 standard deviation."),
            "low_mm": _number("The 2.5 percentile."),
            "high_mm": _number("The 97.5 percentile."),
            "lost": _number("Part 0..1 in which no belt could be laid."),
        },
    )


def _candidate() -> Schema:
    place = _table(
        "Where the tensioner then stands.",
        {
            "length_mm": _number("The belt's length there."),
            "position": _or_null(_number("Degrees or mm; null: out of travel.")),
            "travel_used": _or_null(_number("0 at the free stop, 1 at the load stop.")),
        },
    )
    stands = _table(
        "The tensioner with this belt.",
        {
            "now": place,
            "shortest": place,
            "longest": place,
            "after_stretch": place,
            "position_uncertainty": _or_null(_number("± on the position now, at 95 %.")),
        },
    )
    return _table(
        "One belt.",
        {
            "designation": _text("As it was named."),
            "section": _one_of(SECTION_NAMES, "Its section."),
            "ribs": _whole("Its ribs."),
            "length_mm": _number("Its effective length."),
            "tolerance_mm": _number("± on that."),
            "answer": _one_of(get_args(Answer), "Whether it fits."),
            "reasons": _list_of({"type": "string"}, "Why not, or why only with reserve."),
            "tensioner": _or_null(stands),
            "stock": _or_null(_whole("How many there are.", least=0)),
            "note": _text("The catalogue's note."),
            "line": _or_null(_whole("Its line in the catalogue.")),
        },
    )


def _passed_over() -> Schema:
    return _table(
        "Rows of the catalogue that cannot fit, counted.",
        {
            "other_section": _whole("Of another section.", least=0),
            "other_ribs": _whole("With too many ribs.", least=0),
            "too_short": _whole("Too short.", least=0),
            "too_long": _whole("Too long.", least=0),
        },
    )


def _band(description: str) -> Schema:
    number = {"type": "number"}
    return {**_list_of(number, description), "minItems": 2, "maxItems": 2}


def _whole(description: str, *, least: int = 1) -> Schema:
    return {"type": "integer", "minimum": least, "description": description}


def _table(description: str, fields: Schema) -> Schema:
    return {
        "type": "object",
        "description": description,
        "properties": fields,
        "required": list(fields),
    }


def _list_of(items: Schema, description: str) -> Schema:
    return {"type": "array", "description": description, "items": items}


def _number(description: str) -> Schema:
    return {"type": "number", "description": description}


def _text(description: str) -> Schema:
    return {"type": "string", "description": description}


def _one_of(words: Sequence[str], description: str) -> Schema:
    return {"enum": list(words), "description": description}


def _or_null(kind: Schema) -> Schema:
    return {"anyOf": [kind, {"type": "null"}]}


def _where(properties: Schema) -> Schema:
    return {"properties": properties, "required": list(properties)}


def _when(properties: Schema, then: Schema) -> Schema:
    """A rule that holds where all of `properties` are there and match."""
    return {"if": _where(properties), "then": then}


def _plain(node: Schema) -> Schema:
    """A node of pydantic's core schema with plain tables for models, without what only describes.

    What JSON cannot hold (a validator written in Python) or knows no place here fails in writing.
    """
    if node["type"] == "model":
        return _plain_table(node)
    return {
        key: _plain(inner) if key == "schema" or key.endswith("_schema") else inner
        for key, inner in node.items()
        if key != "metadata"
    }


def _plain_table(model: Schema) -> Schema:
    return {
        "type": "typed-dict",
        "config": {key: model["config"][key] for key in _RULING},
        "fields": {
            key: {
                "type": "typed-dict-field",
                "required": field["schema"]["type"] != "default",
                "schema": _plain(field["schema"]),
            }
            for key, field in model["schema"]["fields"].items()
        },
    }


def _pruned(node: Any) -> Any:
    """A generated schema without what TOML does not have (null) and nobody needs (key titles)."""
    if isinstance(node, list):
        return [_pruned(inner) for inner in node]
    if not isinstance(node, dict):
        return node
    kept = {
        key: _pruned(inner)
        for key, inner in node.items()
        if not (key == "title" and isinstance(inner, str) and "$schema" not in node)
        and not (key == "default" and inner is None)
    }
    choices = [kind for kind in kept.get("anyOf", ()) if kind != {"type": "null"}]
    if len(choices) == 1:
        del kept["anyOf"]
        return {**choices[0], **kept}
    return kept


if __name__ == "__main__":
    chosen = [Path(folder) for folder in sys.argv[1:2]]
    write(*(chosen * 2 or [Path("docs"), DATA]))
