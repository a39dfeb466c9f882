"""How an answer is declared, and the JSON Schema that comes from the declaration.

An answer is plain values, ready for JSON. Its tables are typed dicts: type and meaning of a field
stand once, there. Only the schema needs pydantic, which no answer loads.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Generic, TypeVar

from typing_extensions import TypedDict

Schema = dict[str, Any]
T = TypeVar("T")
DRAFT = "https://json-schema.org/draft/2020-12/schema"


class Doc:
    """What a field means; `rules` are further keywords of its schema, such as ``minimum``."""

    def __init__(self, meaning: str, **rules: Any) -> None:
        self.meaning, self.rules = meaning, rules

    def __get_pydantic_json_schema__(self, core: Any, build: Callable[[Any], Schema]) -> Schema:
        return {**build(core), "description": self.meaning, **self.rules}


Point = Annotated[list[float], Doc("[x, y] in mm.", minItems=2, maxItems=2)]
Ribs = Annotated[int, Doc("Its ribs.", minimum=1)]


class BeforeAfter(TypedDict, Generic[T]):
    """One thing before and after."""

    before: T
    after: T


def schema_of(title: str, answer: Any) -> Schema:
    """The JSON Schema of a type; what it describes may have more fields than it names."""
    from pydantic import TypeAdapter

    built = TypeAdapter(answer).json_schema(mode="serialization")
    return {"$schema": DRAFT, "title": title, **untitled(built)}


def untitled(node: Any) -> Any:
    """A generated schema without the titles that repeat the keys."""
    if isinstance(node, list):
        return [untitled(inner) for inner in node]
    if not isinstance(node, dict):
        return node
    return {
        key: untitled(inner)
        for key, inner in node.items()
        if not (key == "title" and isinstance(inner, str))
    }
