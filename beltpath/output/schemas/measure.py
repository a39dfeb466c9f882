"""The schemas of a survey file, and of the answer of ``measure --json``.

Both are generated from the models that the file is read with and the answer is written with.
"""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from beltpath.output.schemas.layout import layout_schema, pruned
from beltpath.output.schemas.pieces import DRAFT, Schema, text
from beltpath.survey.answer import Answer
from beltpath.survey.problems import FOUND_KEYS, OWN_KEYS
from beltpath.survey.survey import SurveyKeys


def measure_schema() -> Schema:
    """The schema of a survey file, read as TOML: a layout's, less what is to be found."""
    built = layout_schema()
    own: Schema = pruned(deepcopy(SurveyKeys.model_json_schema()))
    pulley = built["$defs"]["PulleyModel"]
    for key in FOUND_KEYS:
        del pulley["properties"][key]
    pulley["required"].remove("at")
    pulley["properties"] |= own["$defs"].pop("PlacingKeys")["properties"]
    built["properties"] |= {key: own["properties"][key] for key in OWN_KEYS}
    built["$defs"] |= own["$defs"]
    tensioner = built["$defs"]["TensionerModel"]["properties"]
    named = text("The name of one of the [points], to be found.")
    tensioner["pivot"] = {"anyOf": [tensioner["pivot"], named]}
    built["required"] = [*built["required"], "level"]
    built["anyOf"] = [{"required": ["tape"]}, {"required": ["photo"]}]
    return {**built, "title": "beltpath file of measurements"}


def measured_schema() -> Schema:
    """The schema of what ``measure --json`` prints."""
    built: Schema = _untitled(Answer.model_json_schema(mode="serialization"))
    return {"$schema": DRAFT, "title": "beltpath measure --json", **built}


def _untitled(node: Any) -> Any:
    """A generated schema without the titles that repeat the keys."""
    if isinstance(node, list):
        return [_untitled(inner) for inner in node]
    if not isinstance(node, dict):
        return node
    return {
        key: _untitled(inner)
        for key, inner in node.items()
        if not (key == "title" and isinstance(inner, str))
    }
