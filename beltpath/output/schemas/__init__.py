"""The JSON Schemas that ship in docs/: of the files that beltpath reads, and of its answers.

``python -m beltpath.output.schemas`` writes all anew (in their places, or into a folder named);
tests compare what ships with what is built here. A JSON Schema never refuses what the reader
accepts. The reader sees more (references, stops, sizes): a schema cannot compare two keys.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from copy import deepcopy
from pathlib import Path
from typing import Any

from beltpath.files.writing import write_whole
from beltpath.output.check_answer import CheckReply
from beltpath.output.compare_answer import CompareAnswer
from beltpath.output.records import Schema, schema_of
from beltpath.output.routes_answer import RoutesAnswer
from beltpath.output.schemas.layout import layout_schema, pruned
from beltpath.output.size_answer import SizeAnswer
from beltpath.survey.answer import Answer as MeasureAnswer
from beltpath.survey.problems import FOUND_KEYS, OWN_KEYS
from beltpath.survey.survey import SurveyKeys

__all__ = ["layout_schema", "measure_schema", "text_of", "write", "written"]


def written() -> Mapping[str, Schema]:
    """Every schema in docs/ by its name: NAME.schema.json."""
    return {
        "layout": layout_schema(),
        "measure": measure_schema(),
        "check": schema_of("beltpath check --json", CheckReply),
        "size": schema_of("beltpath size --json", SizeAnswer),
        "compare": schema_of("beltpath compare --json", CompareAnswer),
        "routes": schema_of("beltpath routes --json", RoutesAnswer),
        "measured": schema_of("beltpath measure --json", MeasureAnswer),
    }


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
    named = {"type": "string", "description": "The name of one of the [points], to be found."}
    tensioner["pivot"] = {"anyOf": [tensioner["pivot"], named]}
    built["required"] = [*built["required"], "level"]
    built["anyOf"] = [{"required": ["tape"]}, {"required": ["photo"]}]
    return {**built, "title": "beltpath file of measurements"}


def write(docs: Path) -> None:
    """Write the JSON Schemas into their folder, over those that are there."""
    for name, built in written().items():
        write_whole(docs / f"{name}.schema.json", text_of(built).encode(), force=True)


def text_of(built: Mapping[str, Any]) -> str:
    """A schema as it stands in its file."""
    return json.dumps(built, indent=2, ensure_ascii=False) + "\n"
