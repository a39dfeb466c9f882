"""Layouts as TOML: key paths, the line on which each stands, and the text of given values.

What `tomllib` reads from a written text equals what was given: numbers keep every digit.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime, time
from math import isinf, isnan
from typing import Any

from beltpath.errors import Problem
from beltpath.layout.characters import escaped, shown, unseen

#: Longer names are cut in key paths, so that a sentence stays one.
LONGEST_PART = 60

_PART = r"""(?:[A-Za-z0-9_-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')"""
_PATH = rf"{_PART}(?:[ \t]*\.[ \t]*{_PART})*"
_HEADER = re.compile(rf"[ \t]*(\[\[?)[ \t]*({_PATH})[ \t]*\]")
_KEY = re.compile(rf"[ \t]*({_PATH})[ \t]*=")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
#: What may hide a line end or a bracket: long strings, short strings, comments; then those two.
_TOKEN = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}'
    r"|'''.*?'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'"
    r"|\#[^\n]*"
    r"|[\[\]{}\n]",
    re.DOTALL,
)
#: A key of more parts than any layout has; tomllib's time grows with the square of their number.
_CHAIN = re.compile(rf"(?<![A-Za-z0-9_\\-])(?:{_PART}[ \t]*\.[ \t]*){{32}}")
#: The order of the top keys and tables; others follow as they come.
_TOP = ("title", "units", "crank_turns", "driver", "accuracy", "notes", "route")
_TABLES = ("belt", "pulleys", "tensioner", "running")
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def dotted(parts: Iterable[str]) -> str:
    """A key path as it is written in TOML: parts that are not bare words stand in quotes."""
    return ".".join(part if _BARE.fullmatch(part) else quoted(part) for part in map(_cut, parts))


def quoted(text: str) -> str:
    """Text in double quotes, with everything in it that does not print shown as an escape."""
    text = text.replace("\\", "\\\\").replace('"', '\\"')
    # What prints for Python may still be nothing to the eye.
    return '"' + "".join(c if c.isprintable() and not unseen(c) else escaped(c) for c in text) + '"'


def split_key(text: str) -> tuple[list[str], str]:
    """The parts of the key and the value's text of ``a."b c".d = 5``; no parts if it is not one."""
    key = _KEY.match(text)
    if key is None or has_long_chain(text[: key.end()]):
        return [], ""
    return _parts(key[1]), text[key.end() :].strip()


def has_long_chain(text: str) -> bool:
    """Whether the text holds a dotted key of very many parts."""
    return _CHAIN.search(text) is not None


def comments(text: str) -> Iterator[tuple[int, str]]:
    """Every comment of a valid TOML text, with its line."""
    number = 1
    for token in _TOKEN.finditer(text):
        if token[0].startswith("#"):
            yield number, token[0].rstrip("\r")
        number += token[0].count("\n")


class LineIndex:
    """The line of every key that starts a line, and of every table header, of a valid TOML text.

    Keys inside an inline table stand on the line of the key that holds it. The tables of an array
    are counted from 1: a key of the third ``[[tape]]`` is ``tape.3.key``.
    """

    def __init__(self, text: str) -> None:
        self._lines: dict[str, int] = {}
        table: list[str] = []
        counted: Counter[str] = Counter()
        for number, start in _statements(text):
            if header := _HEADER.match(text, start):
                table = _parts(header[2])
                if header[1] == "[[":
                    counted[header[2]] += 1
                    table.append(str(counted[header[2]]))
                self._note(table, number)
            elif key := _KEY.match(text, start):
                self._note([*table, *_parts(key[1])], number)

    def _note(self, parts: list[str], number: int) -> None:
        for depth in range(1, len(parts) + 1):
            self._lines.setdefault(dotted(parts[:depth]), number)

    def line(self, path: str) -> int | None:
        """The line of the key path or of the nearest key that holds it; None at the top."""
        while path:
            if path in self._lines:
                return self._lines[path]
            path = path.rpartition(".")[0]
        return None

    def holds(self, path: str) -> bool:
        """Whether the file has this very key at the start of a line."""
        return path in self._lines

    def placed(self, problem: Problem) -> Problem:
        """The problem with its line filled in."""
        return replace(problem, line=self._line_of(problem))

    def in_order(self, problems: Iterable[Problem]) -> list[Problem]:
        """The problems in file order, each told once."""
        return sorted(dict.fromkeys(problems), key=lambda p: self._line_of(p) or 0)

    def _line_of(self, problem: Problem) -> int | None:
        return self.line(problem.path) if problem.line is None else problem.line


def _statements(text: str) -> Iterator[tuple[int, int]]:
    """Line number and offset of every line that does not lie inside a value."""
    yield 1, 0
    number, depth = 1, 0
    for token in _TOKEN.finditer(text):
        found = token[0]
        number += found.count("\n")
        if found in ("[", "{"):
            depth += 1
        elif found in ("]", "}"):
            depth -= 1
        elif found == "\n" and depth == 0:
            yield number, token.end()


def _parts(path: str) -> list[str]:
    """The parts of a dotted key, unquoted: read by tomllib, so that escapes mean what they say."""
    parts: list[str] = []
    inner = tomllib.loads(f"{path} = 0")
    while isinstance(inner, dict):
        ((part, inner),) = inner.items()
        parts.append(part)
    return parts


def _cut(part: str) -> str:
    return part if len(part) <= LONGEST_PART else f"{part[:LONGEST_PART]}..."


# --- writing --------------------------------------------------------------------------------------


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
