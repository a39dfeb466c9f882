"""Timing two things fairly: turn about, so that a busy minute falls on both."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable
from statistics import median
from typing import NamedTuple

Call = Callable[[], object]


class Timing(NamedTuple):
    """Medians in seconds, and the median of the ratios of neighbouring runs."""

    ours: float
    theirs: float
    ratio: float


def interleaved(
    ours: Call,
    theirs: Call,
    *,
    rounds: int,
    loops: int = 1,
    clock: Callable[[], float] = time.process_time,
) -> Timing:
    """Time both, one after the other, `rounds` times with `loops` calls each.

    The processor time of this process by default, which other work on the machine disturbs least.
    """
    ours()
    theirs()
    pairs = [(_once(ours, loops, clock), _once(theirs, loops, clock)) for _ in range(rounds)]
    return Timing(
        median(one for one, _ in pairs),
        median(other for _, other in pairs),
        median(one / other for one, other in pairs),
    )


def _once(call: Call, loops: int, clock: Callable[[], float]) -> float:
    gc.collect()
    gc.disable()
    try:
        start = clock()
        for _ in range(loops):
            call()
        return (clock() - start) / loops
    finally:
        gc.enable()
