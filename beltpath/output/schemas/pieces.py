"""The pieces that schemas are put together from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

Schema = dict[str, Any]
DRAFT = "https://json-schema.org/draft/2020-12/schema"


def band(description: str) -> Schema:
    """Two numbers, low and high."""
    number = {"type": "number"}
    return {**list_of(number, description), "minItems": 2, "maxItems": 2}


def whole(description: str, *, least: int = 1) -> Schema:
    """A whole number, no less than `least`."""
    return {"type": "integer", "minimum": least, "description": description}


def table(description: str, fields: Schema) -> Schema:
    """A table that has all of these fields; more may be added."""
    return {
        "type": "object",
        "description": description,
        "properties": fields,
        "required": list(fields),
    }


def list_of(items: Schema, description: str) -> Schema:
    """A list of items of one kind."""
    return {"type": "array", "description": description, "items": items}


def number(description: str) -> Schema:
    """Any finite number."""
    return {"type": "number", "description": description}


def text(description: str) -> Schema:
    """Any text."""
    return {"type": "string", "description": description}


def one_of(words: Sequence[str], description: str) -> Schema:
    """One of a few words."""
    return {"enum": list(words), "description": description}


def or_null(kind: Schema) -> Schema:
    """That kind, or null."""
    return {"anyOf": [kind, {"type": "null"}]}


def where(properties: Schema) -> Schema:
    """Where all of these properties are there and match."""
    return {"properties": properties, "required": list(properties)}


def when(properties: Schema, then: Schema) -> Schema:
    """A rule that holds where all of `properties` are there and match."""
    return {"if": where(properties), "then": then}


def yes_no(description: str) -> Schema:
    """True or false."""
    return {"type": "boolean", "description": description}
