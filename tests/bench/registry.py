"""What a benchmark is: a named function that yields results."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

Unit = Literal["µs", "ms", "MB"]
#: One of a unit in seconds; megabytes are kept as they are.
SCALE: dict[Unit, float] = {"µs": 1e-6, "ms": 1e-3, "MB": 1.0}


class SkipError(Exception):
    """A benchmark cannot run here; its text is the reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """One line of the table. `ours` and `theirs` are in seconds or MB, medians over the rounds.

    `theirs` and `ratio` are None where there is no reference, `limit` where there is no target.
    The target is `ratio` (without a reference: `ours`) of at most `limit`, or of at least that.
    """

    what: str
    reference: str
    unit: Unit
    ours: float
    theirs: float | None = None
    ratio: float | None = None
    limit: float | None = None
    at_least: bool = False

    @property
    def met(self) -> bool | None:
        """Whether the target is met; None without one."""
        if self.limit is None:
            return None
        value = self.ours if self.ratio is None else self.ratio
        return value >= self.limit if self.at_least else value <= self.limit


Benchmark = Callable[[int], Iterator[Result]]

BENCHMARKS: dict[str, Benchmark] = {}


def benchmark(name: str) -> Callable[[Benchmark], Benchmark]:
    """Register a benchmark under its name. It is called with a number of rounds."""

    def register(function: Benchmark) -> Benchmark:
        BENCHMARKS[name] = function
        return function

    return register
