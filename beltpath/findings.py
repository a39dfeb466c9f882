"""Findings: what a check has to say, and the table of limits that checks compare with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from beltpath.sections import Sourced, read_table

Level = Literal["fault", "caution", "note"]
Verdict = Literal["pass", "caution", "fail"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One result of a check: what is found on which pulleys, in a sentence that says what to do.

    `source` names where the limit comes from; `where` are the points (mm) to mark on a drawing.
    """

    check: str
    level: Level
    pulleys: tuple[str, ...]
    message: str
    source: str
    where: tuple[tuple[float, float], ...] = ()


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


def verdict(findings: Iterable[Finding]) -> Verdict:
    """Fail with any fault, caution with any caution, else pass."""
    levels = {finding.level for finding in findings}
    return "fail" if "fault" in levels else "caution" if "caution" in levels else "pass"
