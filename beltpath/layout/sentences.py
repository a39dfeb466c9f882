"""What the keys refuse, in sentences: pydantic's complaints with a key path and what to do."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError

from beltpath.errors import Problem
from beltpath.layout.keys import meanings as meanings_of
from beltpath.layout.slips import number_hint, pair_hint
from beltpath.layout.toml import dotted, quoted

#: What people write that lies nearer to another word than to the one that they mean.
_MEANT = {
    "ccw": "counterclockwise",
    "acw": "counterclockwise",
    "anticlockwise": "counterclockwise",
    "cw": "clockwise",
    "motor": "crank",
    "engine": "crank",
    "driver": "crank",
    "spindle": "other",
    "spring": "arm",
    "sprung": "arm",
    "dia": "diameter",
}
#: From the place of a table to the keys that it knows, each with what it means.
Meanings = Callable[[Sequence[str]], Mapping[str, str]]


def problems_of(error: ValidationError, meanings: Meanings = meanings_of) -> Iterator[Problem]:
    """Pydantic's complaints in plain sentences; the keys are a layout's unless told otherwise."""
    for detail in error.errors(include_url=False):
        loc = list(detail["loc"])
        if loc[-1] == "[key]" and detail["type"].startswith("string_too"):
            del loc[-1]
        item = ""
        if isinstance(loc[-1], int):
            item = f"value {int(loc.pop()) + 1} "
        keys = [str(part + 1) if isinstance(part, int) else part for part in loc]
        yield Problem(dotted(keys), item + _sentence(detail, keys, meanings))


def nearest(word: str, known: Iterable[str]) -> str:
    """`; did you mean ...?` for the nearest known word, or nothing. Upper and lower case count."""
    words = {name.lower(): name for name in known}
    plain = "".join(c for c in word.lower() if c.isalnum())
    meant = _MEANT.get(plain)
    if meant is not None and meant in words:
        return f"; did you mean {quoted(meant)}?"
    # The wrong one of the two senses is never guessed at.
    cutoff = 0.85 if "counterclockwise" in words else 0.6
    close = get_close_matches(word.lower(), list(words), n=1, cutoff=cutoff)
    return f"; did you mean {quoted(words[close[0]])}?" if close else ""


def _sentence(detail: Any, keys: list[str], meanings: Meanings) -> str:
    """One of pydantic's error records as a sentence."""
    kind, context = detail["type"], detail.get("ctx", {})
    found = shown(detail["input"])
    match kind:
        case "missing":
            return f"is missing{_describe(keys, meanings)}"
        case "extra_forbidden":
            near = nearest(keys[-1], meanings(keys[:-1])) or _home(keys, detail["input"], meanings)
            return f"is not a key here{near}"
        case "literal_error":
            known = str(context["expected"]).replace("'", '"')
            words = [word.strip('" ') for word in known.replace(" or ", ", ").split(",")]
            return f"must be {known}; found {found}{nearest(str(detail['input']), words)}"
        case "greater_than" | "greater_than_equal" | "less_than_equal":
            return f"must be {_BOUNDS[kind]} {_bound(context):g}; found {found}"
        case "too_short" | "too_long":
            hint = pair_hint(detail["input"]) if context.get("max_length") == 2 else ""
            return (
                f"must have {_count(kind, context)}{_describe(keys, meanings)}; found {found}{hint}"
            )
        case "string_too_short":
            return "is empty; write something"
        case "string_too_long":
            return f"must be no longer than {context['max_length']} characters; found {found}"
    hint = ""
    if kind in ("float_type", "int_type") and isinstance(detail["input"], str):
        hint = number_hint(detail["input"])
    return f"must be {_KINDS.get(kind, 'of another kind')}; found {found}{hint}"


_KINDS = {
    "float_type": "a number",
    "finite_number": "a finite number",
    "int_type": "a whole number",
    "string_type": "text in quotes",
    "string_unicode": "text that UTF-8 can hold",
    "bool_type": "true or false",
    "list_type": "a list in square brackets",
    "dict_type": "a table, { key = value, ... }",
    "model_type": "a table, { key = value, ... }",
}
_BOUNDS = {
    "greater_than": "more than",
    "greater_than_equal": "at least",
    "less_than_equal": "at most",
}


def _bound(context: Mapping[str, Any]) -> float:
    return float(next(context[key] for key in ("gt", "ge", "le") if key in context))


def _count(kind: str, context: Mapping[str, Any]) -> str:
    least = kind == "too_short"
    number = context["min_length" if least else "max_length"]
    return f"at {'least' if least else 'most'} {number} value{'s' if number != 1 else ''}"


def shown(value: object) -> str:
    """A value as the file would write it, on one line and not too long."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value if len(value) <= 40 else f"{value[:37]}...")
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"[{', '.join(map(shown, value[:4]))}{', ...' if len(value) > 4 else ''}]"
    if isinstance(value, int) and value.bit_length() > 100:
        return "one of very many digits"
    return quoted(str(value)[:40])[1:-1]


def _home(keys: Sequence[str], value: object, meanings: Meanings) -> str:
    """Where in the file a key that stands in the wrong table belongs, or nothing."""
    key, top = keys[-1], meanings([])
    if len(keys) > 1 and key in top:
        return "; it belongs at the top of the file, above the first [table]"
    for table in ("belt", "tensioner", "running"):
        if table in top and key in meanings([table]):
            return f"; it belongs in [{table}]"
    of_pulley = meanings(["pulleys", ""]) if "pulleys" in top else {}
    if key in of_pulley:
        return f"; it belongs to a pulley, under [pulleys]: NAME = {{ {key} = ..., ... }}"
    if isinstance(value, dict) and value.keys() & of_pulley.keys():
        return "; a pulley stands under [pulleys]"
    return ""


def _describe(keys: list[str], meanings: Meanings) -> str:
    """What the key at this place means, in brackets; nothing for a name that a person chose."""
    text = meanings(keys[:-1]).get(keys[-1], "")
    return f" ({text[:1].lower()}{text[1:].rstrip('.')})" if text else ""
