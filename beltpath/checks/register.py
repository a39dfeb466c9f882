"""The register of checks: each is one function from a solved drive to findings, under its name."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence

from beltpath.checks.findings import Finding
from beltpath.solve.drive import Drive

Check = Callable[[Drive], Iterable[Finding]]
#: A check that looks at what the others found, too.
Afterthought = Callable[[Drive, Sequence[Finding]], Iterable[Finding]]
_CHECKS: dict[str, Check] = {}
#: The order in which checks run and are told.
ORDER = (
    *("side", "rotation", "missed", "fit-on", "load", "look-alike", "stops", "agreement"),
    *("plausibility", "slip", "speed", "crossing", "overlap", "clearance", "alignment", "wrap"),
    *("grooves", "thickness", "diameter", "length", "travel", "over-centre", "slack-side"),
    "release",
)
_AFTERTHOUGHTS: dict[str, Afterthought] = {}
#: Checks that find no fault and may take long.
_NO_FAULTS = ("look-alike",)


def check(name: str) -> Callable[[Check], Check]:
    """Register a function as the check of that name."""

    def register(function: Check) -> Check:
        if name in _CHECKS:
            raise ValueError(f"two checks are called {name}")
        _CHECKS[name] = function
        return function

    return register


def afterthought(name: str) -> Callable[[Afterthought], Afterthought]:
    """Register a function as the check of that name, which runs when all others have."""

    def register(function: Afterthought) -> Afterthought:
        _AFTERTHOUGHTS[name] = function
        return function

    return register


def names() -> tuple[str, ...]:
    """The names of all checks in the order in which they run."""
    return (*ORDER, *_AFTERTHOUGHTS)


def run(drive: Drive, *, without: Collection[str] = ()) -> tuple[Finding, ...]:
    """The findings of every check, but those left out: faults first, then cautions, then notes."""
    order = {"fault": 0, "caution": 1, "note": 2}
    found = list(_all(drive, without))
    for name, function in _AFTERTHOUGHTS.items():
        found += () if name in without else function(drive, tuple(found))
    return tuple(sorted(found, key=lambda finding: order[finding.level]))


def faults(drive: Drive) -> Iterator[Finding]:
    """The faults of a drive, one by one: whoever wants to know of any takes the first."""
    return (finding for finding in _all(drive, _NO_FAULTS) if finding.level == "fault")


def _all(drive: Drive, without: Collection[str]) -> Iterator[Finding]:
    for name in ORDER:
        function = _CHECKS[name]
        for finding in () if name in without else function(drive):
            if finding.check != name:
                raise ValueError(f"check {name} gave a finding called {finding.check}")
            yield finding
