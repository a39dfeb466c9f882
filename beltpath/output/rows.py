"""Flat rows of an answer: a list of dictionaries of plain values, as a data frame takes them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from html import escape
from typing import Any

#: Pairs that are a point; of any other list of numbers the parts are counted from 1.
_POINTS = frozenset({"at", "enter", "leave"})


class Rows(list[dict[str, Any]]):
    """A list of flat rows. A notebook shows it as a table."""

    def _repr_html_(self) -> str:
        """The rows as a table; a column for each key that any row has."""
        names = list(dict.fromkeys(name for row in self for name in row))
        lines = [_line("th", names), *(_line("td", map(row.get, names)) for row in self)]
        return f"<table>{''.join(lines)}</table>"


def tables(answer: Mapping[str, Any]) -> tuple[str, ...]:
    """The keys of an answer under which there may be rows."""
    return tuple(key for key, value in answer.items() if isinstance(value, list | Mapping | None))


def rows_under(answer: Mapping[str, Any], key: str) -> Rows:
    """The rows under a key of an answer: a list's items, the entries of a table by `name`."""
    found = answer[key]
    if found is None:
        return Rows()
    if not isinstance(found, Mapping):
        return rows_of(found)
    if _of_tables(found):
        return rows_of({"name": name, **entry} for name, entry in found.items())
    return rows_of([found])


def rows_of(records: Iterable[Mapping[str, Any]]) -> Rows:
    """A flat row for each record, all of them with the same keys; None where one has no value.

    Nested names are joined by ``_``; the words of a list stand in one text. A list of two numbers
    under a point's name becomes ``_x`` and ``_y``, any other ``_1``, ``_2`` and so on. Lists of
    tables are left out.
    """
    found = [dict(_flat(record, "")) for record in records]
    names = dict.fromkeys(name for row in found for name in row)
    return Rows({name: row.get(name) for name in names} for row in found)


def _flat(record: Mapping[str, Any], prefix: str) -> Iterator[tuple[str, Any]]:
    for key, value in record.items():
        name = f"{prefix}{key}"
        if not isinstance(value, list | tuple | Mapping):
            yield name, value
        elif not value or _of_tables(value):
            continue
        elif isinstance(value, Mapping):
            yield from _flat(value, f"{name}_")
        elif all(isinstance(one, int | float) for one in value):
            point = key in _POINTS and len(value) == 2
            yield from zip(_parts(name, len(value), point=point), value, strict=True)
        else:
            words = [str(one) for one in value]
            yield name, (" " if words[0].endswith(".") else ", ").join(words)


def _parts(name: str, count: int, *, point: bool) -> list[str]:
    return [f"{name}_{part}" for part in ("xy" if point else range(1, count + 1))]


def _of_tables(value: Any) -> bool:
    """Whether all that a list or table holds are lists or tables again."""
    items = value.values() if isinstance(value, Mapping) else value
    return bool(value) and all(isinstance(item, list | tuple | Mapping) for item in items)


def _line(tag: str, cells: Iterable[Any]) -> str:
    shown = ("" if cell is None else escape(str(cell)) for cell in cells)
    return f"<tr>{''.join(f'<{tag}>{cell}</{tag}>' for cell in shown)}</tr>"
