"""The schema of a layout file."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from beltpath.data.sections import SECTION_NAMES
from beltpath.layout.reader import schema
from beltpath.output.records import Schema


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


def where(properties: Schema) -> Schema:
    """Where all of these properties are there and match."""
    return {"properties": properties, "required": list(properties)}


def when(properties: Schema, then: Schema) -> Schema:
    """A rule that holds where all of `properties` are there and match."""
    return {"if": where(properties), "then": then}


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
