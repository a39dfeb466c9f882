"""The text of a layout file from its keys and values, in the order that the documentation uses.

What `tomllib` reads from the written text equals what was given: numbers keep every digit.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date, datetime, time
from math import isinf, isnan
from typing import Any

from beltpath.layout.characters import escaped, shown, unseen

#: The order of the top keys and tables; others follow as they come.
_TOP = ("title", "units", "crank_turns", "driver", "accuracy", "notes", "route")
_TABLES = ("belt", "pulleys", "tensioner", "running")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def write(data: Mapping[str, Any], *, comments: Mapping[str, str] | None = None) -> str:
    """The TOML text of a layout, `data` as `tomllib` would read it (lengths in its `units`).

    `comments` holds remarks by key path (``pulleys.idler``, ``pulleys``, or empty for the top of
    the file); each is put above its key, a line of the remark a line of comment.
    """
    remarks = comments or {}
    lines = [*_remark(remarks, "")]
    tables = [key for key in _ordered(data, _TABLES) if isinstance(data[key], dict)]
    for key in _ordered(data, _TOP):
        if key not in tables:
            lines += [*_remark(remarks, key), f"{_key(key)} = {_value(data[key])}"]
    for key in tables:
        lines += ["", *_remark(remarks, key), f"[{_key(key)}]", *_table(key, data[key], remarks)]
    return "\n".join(lines).lstrip("\n") + "\n"


def spare(data: Mapping[str, Any]) -> str:
    """The TOML text of the same values with nothing in it that says nothing: no blanks, no remarks.

    Every table stands inline, so that a value's line ends with the value.
    """
    return "".join(f"{_key(key)}={_tight(value)}\n" for key, value in data.items())


def _tight(value: object) -> str:
    if isinstance(value, list | tuple):
        return f"[{','.join(map(_tight, value))}]"
    if isinstance(value, Mapping):
        return f"{{{','.join(f'{_key(key)}={_tight(item)}' for key, item in value.items())}}}"
    return _value(value)


def _ordered(data: Mapping[str, Any], first: tuple[str, ...]) -> list[str]:
    return [key for key in first if key in data] + [key for key in data if key not in first]


def _table(path: str, table: Mapping[str, Any], remarks: Mapping[str, str]) -> Iterator[str]:
    """The lines of one table; tables inside it are written inline, their keys in a column."""
    width = max((len(_key(key)) for key in table), default=0)
    for key, value in table.items():
        yield from _remark(remarks, f"{path}.{key}")
        yield f"{_key(key):{width}} = {_value(value)}"


def _remark(remarks: Mapping[str, str], path: str) -> Iterator[str]:
    # A control character would end the comment or make the file unreadable.
    for line in remarks.get(path, "").splitlines():
        yield f"# {shown(line, '?')}".rstrip()


def _key(key: str) -> str:
    return key if _BARE.fullmatch(key) else _text(key)


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, float):
        return _number(value)
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_value, value))}]"
    if isinstance(value, Mapping):
        inner = ", ".join(f"{_key(key)} = {_value(item)}" for key, item in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return str(value)


def _number(value: float) -> str:
    if isnan(value):
        return "nan"
    if isinf(value):
        return "inf" if value > 0 else "-inf"
    return repr(value)


def _text(text: str) -> str:
    """A basic string; what TOML does not allow in one as it stands is escaped."""
    return '"' + "".join(_ESCAPES.get(c) or _character(c) for c in text) + '"'


def _character(c: str) -> str:
    return escaped(c) if unseen(c) else c
