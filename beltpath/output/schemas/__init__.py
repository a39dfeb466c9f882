"""The JSON Schemas that ship in docs/: of the files that beltpath reads, and of its answers.

``python -m beltpath.output.schemas`` writes all anew (in their places, or into a folder named);
tests compare what ships with what is built here. A JSON Schema never refuses what the reader
accepts. The reader sees more (references, stops, sizes): a schema cannot compare two keys.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from beltpath.files.writing import write_whole
from beltpath.output.schemas.check import check_schema
from beltpath.output.schemas.compare import compare_schema
from beltpath.output.schemas.layout import layout_schema
from beltpath.output.schemas.measure import measure_schema, measured_schema
from beltpath.output.schemas.pieces import Schema
from beltpath.output.schemas.routes import routes_schema
from beltpath.output.schemas.size import size_schema

__all__ = [
    "check_schema",
    "compare_schema",
    "layout_schema",
    "measure_schema",
    "measured_schema",
    "routes_schema",
    "size_schema",
    "text_of",
    "written",
]


def written() -> Mapping[str, Schema]:
    """Every schema in docs/ by its name: NAME.schema.json."""
    return {
        "layout": layout_schema(),
        "check": check_schema(),
        "size": size_schema(),
        "compare": compare_schema(),
        "routes": routes_schema(),
        "measure": measure_schema(),
        "measured": measured_schema(),
    }


def write(docs: Path) -> None:
    """Write the JSON Schemas into their folder, over those that are there."""
    for name, built in written().items():
        write_whole(docs / f"{name}.schema.json", text_of(built).encode(), force=True)


def text_of(built: Mapping[str, Any]) -> str:
    """A schema as it stands in its file."""
    return json.dumps(built, indent=2, ensure_ascii=False) + "\n"
