"""The limits and guide values that checks compare with, from a table with a source on every row."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from beltpath.data.sections import Sourced, read_table


@cache
def limits() -> Mapping[str, Sourced]:
    """Every limit and guide value by its key, e.g. ``wrap.crank``."""
    return {
        row["key"]: Sourced(
            value=float(row["value"]), unit=row["unit"], status=row["status"], source=row["source"]
        )
        for row in read_table("limits.csv")
    }


def cite(limit: Sourced) -> str:
    """How a finding names the source of its limit; that of what is given names itself."""
    plain = limit.status in ("published", "given")
    return limit.source if plain else f"{limit.status}: {limit.source}"
