"""Findings: what a check has to say."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

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


def verdict(findings: Iterable[Finding]) -> Verdict:
    """Fail with any fault, caution with any caution, else pass."""
    levels = {finding.level for finding in findings}
    return "fail" if "fault" in levels else "caution" if "caution" in levels else "pass"
