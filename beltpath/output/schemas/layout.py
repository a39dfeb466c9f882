"""The schema of a layout file, and the rules that layout files are read with."""

from __future__ import annotations

from copy import deepcopy
from typing import Any, cast

from beltpath.data.sections import SECTION_NAMES
from beltpath.layout.keys import LayoutModel
from beltpath.layout.reader import schema
from beltpath.output.records import Schema

#: What of a model's configuration its plain table keeps.
_RULING = ("strict", "extra_fields_behavior", "allow_inf_nan")


def layout_schema() -> Schema:
    """The schema of a layout file, read as TOML."""
    built: Schema = pruned(deepcopy(dict(schema())))
    tables = built["$defs"]
    built["properties"]["pulleys"]["minProperties"] = 2
    built["properties"]["route"] |= {"minItems": 2, "uniqueItems": True}
    built["allOf"] = [
        when({"belt": where({"elastic": {"const": True}})}, {"properties": {"tensioner": False}})
    ]
    tables["BeltModel"]["allOf"] = [
        when(
            {"section": {"enum": [name for name in SECTION_NAMES if name.startswith("AV")]}},
            {"properties": {"ribs": {"const": 1}, "double_sided": {"const": False}}},
        )
    ]
    tables["PulleyModel"]["allOf"] = [
        when({"face": {"const": "smooth"}}, {"properties": {"over_balls": False, "grooves": False}})
    ]
    tables["TensionerModel"]["allOf"] = [
        when(
            {"kind": {"enum": ["arm", "swing"]}},
            {"required": ["pivot"], "properties": {"along": False}},
        ),
        when(
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
        when(
            {"kind": {"const": "arm"}}, {"properties": {"spring": {"properties": {"force": False}}}}
        ),
        when({"kind": {"const": "swing"}}, {"properties": {"spring": False}}),
    ]
    return built


def reading_rules() -> Schema:
    """What layout files are read with: `LayoutModel`'s own rules, giving plain tables."""
    return _plain(cast("Schema", LayoutModel.__pydantic_core_schema__))


def where(properties: Schema) -> Schema:
    """Where all of these properties are there and match."""
    return {"properties": properties, "required": list(properties)}


def when(properties: Schema, then: Schema) -> Schema:
    """A rule that holds where all of `properties` are there and match."""
    return {"if": where(properties), "then": then}


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


def pruned(node: Any) -> Any:
    """A generated schema without what TOML does not have (null) and nobody needs (key titles)."""
    if isinstance(node, list):
        return [pruned(inner) for inner in node]
    if not isinstance(node, dict):
        return node
    kept = {
        key: pruned(inner)
        for key, inner in node.items()
        if not (key == "title" and isinstance(inner, str) and "$schema" not in node)
        and not (key == "default" and inner is None)
    }
    choices = [kind for kind in kept.get("anyOf", ()) if kind != {"type": "null"}]
    if len(choices) == 1:
        del kept["anyOf"]
        return {**choices[0], **kept}
    return kept
