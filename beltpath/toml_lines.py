"""On which line of a TOML text a key path stands (tomllib does not tell)."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from beltpath.errors import Problem

_PART = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')"""
_PATH = rf"{_PART}(?:\s*\.\s*{_PART})*"
_HEADER = re.compile(rf"\s*\[\[?\s*({_PATH})\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(rf"\s*({_PATH})\s*=")
_EACH = re.compile(_PART)


class LineIndex:
    """The line of every key that starts a line, and of every table header.

    Keys inside an inline table stand on the line of the key that holds it.
    """

    def __init__(self, text: str) -> None:
        self._lines: dict[str, int] = {}
        table = ""
        for number, line in enumerate(text.splitlines(), start=1):
            if header := _HEADER.match(line):
                table = _dotted(header[1])
                self._lines.setdefault(table, number)
            elif key := _KEY.match(line):
                path = _dotted(key[1])
                self._lines.setdefault(f"{table}.{path}" if table else path, number)

    def line(self, path: str) -> int | None:
        """The line of the key path or of the nearest key that holds it; None at the top."""
        while path:
            if path in self._lines:
                return self._lines[path]
            path = path.rpartition(".")[0]
        return None

    def placed(self, problem: Problem) -> Problem:
        """The problem with its line filled in."""
        return replace(problem, line=self.line(problem.path))

    def in_order(self, problems: Iterable[Problem]) -> list[Problem]:
        """The problems in file order, each told once."""
        return sorted(dict.fromkeys(problems), key=lambda p: self.line(p.path) or 0)


def _dotted(path: str) -> str:
    return ".".join(part.strip("\"'") for part in _EACH.findall(path))
