"""The scalar solver, result objects and all, against tight loops of the same arithmetic."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import atan2, pi, sqrt
from typing import Any

from beltpath.layout.records import outside_diameter
from beltpath.solve.path import ring, trace
from tests.bench.eight import eight
from tests.bench.registry import Result, benchmark
from tests.bench.timing import interleaved

LOOPS = 100


def plain_ring(xs: list[float], ys: list[float], qs: list[float]) -> tuple[Any, ...]:
    """A belt round circles of signed radii, in one function and with lists for results."""
    starts, ends, directions, spans, wraps = [], [], [], [], []
    total = turning = 0.0
    x1, y1, q1 = xs[-1], ys[-1], qs[-1]
    for x2, y2, q2 in zip(xs, ys, qs, strict=True):
        dx, dy, rise = x2 - x1, y2 - y1, q2 - q1
        square = dx * dx + dy * dy
        left = square - rise * rise
        if left <= 0.0:
            raise ValueError("no tangent")
        span = sqrt(left)
        ux, uy = (span * dx + rise * dy) / square, (span * dy - rise * dx) / square
        starts.append((x1 + uy * q1, y1 - ux * q1))
        ends.append((x2 + uy * q2, y2 - ux * q2))
        directions.append((ux, uy))
        spans.append(span)
        x1, y1, q1 = x2, y2, q2
    ax, ay = directions[0]
    for i, q in enumerate(qs):
        bx, by = directions[i + 1 - len(qs)]
        sign = 1 if q > 0.0 else -1
        wrap = sign * atan2(ax * by - ay * bx, ax * bx + ay * by)
        if wrap < 0.0:
            wrap = 0.0 if wrap > -1e-9 else wrap + 2.0 * pi
        wraps.append(wrap)
        total += sign * q * wrap + spans[i]
        turning += sign * wrap
        ax, ay = bx, by
    return total, turning, wraps, spans, starts, ends


def plain_trace(
    xs: list[float], ys: list[float], diameters: list[float], extra: list[float], signs: list[int]
) -> tuple[Any, ...]:
    """Radii from diameters, the ring round them, and whether any two of its spans cross."""
    qs = [
        sign * (diameter / 2.0 + more)
        for diameter, more, sign in zip(diameters, extra, signs, strict=True)
    ]
    found = plain_ring(xs, ys, qs)
    crossed = []
    for ((ax, ay), (bx, by)), ((cx, cy), (dx, dy)) in combinations(
        zip(found[4], found[5], strict=True), 2
    ):
        rx, ry, sx, sy = bx - ax, by - ay, dx - cx, dy - cy
        across = rx * sy - ry * sx
        if across:
            along = ((cx - ax) * sy - (cy - ay) * sx) / across
            other = ((cx - ax) * ry - (cy - ay) * rx) / across
            if 1e-9 < along < 1.0 - 1e-9 and 1e-9 < other < 1.0 - 1e-9:
                crossed.append((ax + along * rx, ay + along * ry))
    return (*found, crossed)


@benchmark("ring")
def bench_ring(rounds: int) -> Iterator[Result]:
    """`path.ring`: eight discs to contacts, spans, length and turning."""
    discs = trace(eight()).discs
    xs, ys = ([disc.centre[axis] for disc in discs] for axis in (0, 1))
    qs = [disc.sign * disc.radius for disc in discs]
    _same(plain_ring(xs, ys, qs)[0], ring(discs).length)
    timing = interleaved(
        lambda: ring(discs), lambda: plain_ring(xs, ys, qs), rounds=rounds, loops=LOOPS
    )
    yield Result(
        what="ring, eight pulleys, all result objects",
        reference="plain Python loop, same arithmetic",
        unit="µs",
        **timing._asdict(),
        limit=3.0,
    )


@benchmark("trace")
def bench_trace(rounds: int) -> Iterator[Result]:
    """`path.trace`: an eight-pulley layout to its belt path, sides settled and crossings sought."""
    layout = eight()
    path = trace(layout)
    discs, section = path.discs, layout.belt.section
    diameters = [outside_diameter(layout.pulleys[disc.name], section) for disc in discs]
    extra = [disc.radius - d / 2.0 for disc, d in zip(discs, diameters, strict=True)]
    numbers = (
        [disc.centre[0] for disc in discs],
        [disc.centre[1] for disc in discs],
        diameters,
        extra,
        [disc.sign for disc in discs],
    )
    _same(plain_trace(*numbers)[0], path.length)
    timing = interleaved(
        lambda: trace(layout), lambda: plain_trace(*numbers), rounds=rounds, loops=LOOPS
    )
    yield Result(
        what="trace, eight-pulley layout to BeltPath",
        reference="plain Python loop, same arithmetic, crossings included",
        unit="µs",
        **timing._asdict(),
        limit=3.0,
    )


def _same(one: float, other: float) -> None:
    if abs(one - other) > 1e-9 * abs(other):
        raise AssertionError(f"the reference is another computation: {one} against {other}")
