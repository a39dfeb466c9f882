"""docs/layout-file.md names every key of the reader's own schema, with its default and limits."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from beltpath import LayoutError, parse
from beltpath.layout.reader import schema
from tests.docs.pages import DOCS, code, tables

SCHEMA: dict[str, Any] = dict(schema())
#: Heading of the page -> where the schema describes that table.
PLACES: dict[str, dict[str, Any]] = {
    "The top of the file": SCHEMA,
    "[belt]": SCHEMA["$defs"]["BeltModel"],
    "[pulleys]": SCHEMA["$defs"]["PulleyModel"],
    "load": SCHEMA["$defs"]["LoadModel"],
    "[tensioner]": SCHEMA["$defs"]["TensionerModel"],
    "spring": SCHEMA["$defs"]["SpringModel"],
    "[running]": SCHEMA["$defs"]["RunningModel"],
}
PAGE = (DOCS / "layout-file.md").read_text(encoding="utf-8")
ROWS = {(table.heading, code(row["key"])[0]): row for table in tables(PAGE) for row in table.rows}
KEYS = [(heading, key) for heading, place in PLACES.items() for key in place["properties"]]


def described(heading: str, key: str) -> dict[str, Any]:
    """What the schema says of a key, `null` left out."""
    entry: dict[str, Any] = PLACES[heading]["properties"][key]
    options = [option for option in entry.get("anyOf", []) if option.get("type") != "null"]
    return {**entry, **(options[0] if options else {})}


def test_the_page_and_the_schema_name_the_same_keys() -> None:
    assert sorted(ROWS) == sorted(KEYS)


@pytest.mark.parametrize(("heading", "key"), KEYS)
def test_choices_are_all_named(heading: str, key: str) -> None:
    choices = described(heading, key).get("enum")
    named = [text.strip('"') for text in code(ROWS[heading, key]["value"])]
    assert named == (choices or [])


@pytest.mark.parametrize(("heading", "key"), KEYS)
def test_the_default_is_the_readers(heading: str, key: str) -> None:
    told = ROWS[heading, key]["default"]
    if key in PLACES[heading].get("required", []):
        assert told == "required"
        return
    assert told != "required"
    default = described(heading, key).get("default")
    if default is not None:
        assert json.loads(code(told)[0]) == default


#: A drive in which every key can stand; the values are changed one by one.
BASE: dict[str, Any] = {
    "title": "t",
    "route": ["a", "b"],
    "belt": {"section": "PK", "ribs": 6, "back": 2.2, "height": 4.6},
    "pulleys": {
        "a": {"at": [0, 0], "diameter": 100, "face": "grooved", "role": "crank"},
        "b": {"at": [0, 400], "diameter": 100, "face": "grooved", "role": "other"},
    },
    "running": {"crank_rpm": [1000]},
}
ARM = {"pulley": "b", "kind": "arm", "pivot": [0, 300], "free": 10, "load": 20}
SLIDE = {"pulley": "b", "kind": "slide", "along": 90, "free": 10, "load": -10}
RANGE = re.compile(r"(-?[\d.]+) to (-?[\d.]+)(?: (mm|degrees))?$")
RANGED = re.compile(r"outside what|must be (at|more|less)")
ABOVE = re.compile(r"above 0, at most ([\d.]+)$")


def ranges() -> list[tuple[str, str, float | None, float]]:
    """Every numeric limit of the page: heading, key, least (None: above nothing), most."""
    found: list[tuple[str, str, float | None, float]] = []
    for (heading, key), row in ROWS.items():
        for limit in row["limits"].split(";"):
            between, above = RANGE.match(limit.strip()), ABOVE.match(limit.strip())
            if between and not (key in ("free", "load") and between[3] == "mm"):
                found.append((heading, key, float(between[1]), float(between[2])))
            elif above:
                found.append((heading, key, None, float(above[1])))
    return found


@pytest.mark.parametrize(("heading", "key", "least", "most"), ranges())
def test_numbers_outside_the_limits_are_refused(
    heading: str, key: str, least: float | None, most: float
) -> None:
    """Just beyond is refused, with the key named; the limit itself is not refused as too far."""
    integer = described(heading, key).get("type") == "integer"
    step = 1.0 if integer else max(abs(most) * 1e-3, 1e-9)
    low = 0.0 if least is None else least
    below = 0.0 if least is None else low - (1.0 if integer else max(abs(low) * 0.01, 1e-9))
    limits = [(most, False), (most + step, True), (below, True), (low, least is None)]
    for value, refused in limits:
        told = complaints(heading, key, int(value) if integer else value)
        if refused:
            assert told, value
        else:
            assert not any(RANGED.search(message) for message in told), value


def test_the_limits_were_found() -> None:
    assert len(ranges()) >= 30


def complaints(heading: str, key: str, value: float) -> list[str]:
    """What the reader says about this key when it has this value."""
    document = json.loads(json.dumps(BASE))
    value_here: Any = [0, value] if key in ("at", "pivot") and heading != "spring" else value
    match heading:
        case "The top of the file":
            document[key] = value_here
        case "[belt]":
            document["belt"][key] = value_here
        case "[pulleys]":
            place = document["pulleys"]["b"]
            if key in ("outside", "over_balls", "around"):
                del place["diameter"]
            place[key] = value_here
        case "load":
            document["pulleys"]["b"]["load"] = {key: value_here}
        case "[running]":
            document["running"][key] = value_here
        case "[tensioner]":
            document["tensioner"] = {**(SLIDE if key == "along" else ARM), key: value_here}
        case "spring":
            slide = key == "force"
            spring = {"force" if slide else "torque": 5, "at": 15, "rate": 0} | {key: value_here}
            document["tensioner"] = {**(SLIDE if slide else ARM), "spring": spring}
    try:
        parse(toml(document))
    except LayoutError as error:
        return [p.message for p in error.problems if p.path.split(".")[-1] == key]
    return []


def toml(document: dict[str, Any]) -> str:
    return "\n".join(f"{key} = {inline(value)}" for key, value in document.items())


def inline(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {inline(v)}" for k, v in value.items()) + " }"
    return json.dumps(value)
