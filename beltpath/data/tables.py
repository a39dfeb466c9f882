"""The package's own data files, and the one reader of rows that carry a source.

The files lie beside this one. They are part of the program, not of the user's input.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

#: The folder of the package's own data files.
DATA = Path(__file__).parent


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourced:
    """A number of the data files with its unit, its status and where it comes from.

    `status` is one of ``published``, ``computed``, ``common practice``, ``from memory``, and
    ``given`` for what the caller said (a layout's own value).
    """

    value: float
    unit: str
    status: str
    source: str


def read_data(name: str) -> str:
    """The text of one of the package's own data files."""
    return (DATA / name).read_text(encoding="utf-8")


def read_table(name: str) -> list[dict[str, str]]:
    """The rows of one of the package's own CSV data files, as they stand."""
    return list(csv.DictReader(read_data(name).splitlines()))


@cache
def sourced(table: str) -> Mapping[str, Sourced]:
    """The numbers of ``TABLE.csv``, in its order, by their keys (``wrap.crank``, ``PK.back``).

    The last four columns are value, unit, status and source; those before them make the key.
    """
    _, *rows = csv.reader(read_data(f"{table}.csv").splitlines())
    return {
        ".".join(key): Sourced(value=float(value), unit=unit, status=status, source=source)
        for *key, value, unit, status, source in rows
    }


def limits() -> Mapping[str, Sourced]:
    """Every limit and guide value that checks compare with, by its key, e.g. ``wrap.crank``."""
    return sourced("limits")


def cite(limit: Sourced) -> str:
    """How a finding names the source of its limit; that of what is given names itself."""
    plain = limit.status in ("published", "given")
    return limit.source if plain else f"{limit.status}: {limit.source}"
