"""The register of checks: each is one function from a solved drive to findings, under its name."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator

from beltpath.drive import Drive
from beltpath.findings import Finding

Check = Callable[[Drive], Iterable[Finding]]
_CHECKS: dict[str, Check] = {}


def check(name: str) -> Callable[[Check], Check]:
    """Register a function as the check of that name."""

    def register(function: Check) -> Check:
        if name in _CHECKS:
            raise ValueError(f"two checks are called {name}")
        _CHECKS[name] = function
        return function

    return register


def names() -> tuple[str, ...]:
    """The names of all checks in the order in which they run."""
    return tuple(_CHECKS)


def run(drive: Drive, *, without: Collection[str] = ()) -> tuple[Finding, ...]:
    """The findings of every check, but those left out: faults first, then cautions, then notes."""
    order = {"fault": 0, "caution": 1, "note": 2}
    return tuple(sorted(_all(drive, without), key=lambda finding: order[finding.level]))


def _all(drive: Drive, without: Collection[str]) -> Iterator[Finding]:
    for name, function in _CHECKS.items():
        for finding in () if name in without else function(drive):
            if finding.check != name:
                raise ValueError(f"check {name} gave a finding called {finding.check}")
            yield finding
