"""How fast routes are found: run `python -m tests.bench.routes`. Reports; never fails on a time.

The drives are made at random from fixed seeds: pulleys strewn over a square, the inner ones smooth,
the innermost on an arm tensioner. The yardstick is what a plain program would do: try every order
of the pulleys and every choice of sides with the same path solver, at one place of the tensioner.
Its whole time at nine pulleys is reckoned from a random sample of what it would have to try.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from math import cos, factorial, hypot, radians, sin, sqrt
from os import times
from pathlib import Path
from random import Random
from statistics import median
from time import process_time
from typing import NamedTuple

from beltpath.data.sections import section
from beltpath.errors import PathError
from beltpath.layout.keys import Side
from beltpath.layout.layout import Layout
from beltpath.layout.records import Belt, Measured, Pulley, Tensioner
from beltpath.ranking.find import MOST_STUDIED, find_routes
from beltpath.routing.search import SearchResult, search_routes
from beltpath.solve.path import crossings, discs_of, is_proper, loop_sense, ring

SEEDS = range(7)
RUNS = 5
SAMPLE = 2000
LAYOUT = Path(__file__).parents[2] / "layouts" / "found-tiller.toml"


class Row(NamedTuple):
    """One thing measured: what, how much, and what was hoped for."""

    what: str
    value: str
    wanted: str


def drive(count: int, smooth: int, seed: int) -> Layout:
    """A drive of `count` pulleys, so many of them smooth, the last of those on an arm."""
    random = Random(seed)
    points = _strewn(count, random)
    x, y = (sum(values) / count for values in zip(*points, strict=True))
    points.sort(key=lambda p: -hypot(p[0] - x, p[1] - y))
    names = [f"p{i}" for i in range(count)]
    pulleys = {
        name: Pulley(
            name=name,
            at=at,
            measured=Measured("diameter", random.uniform(60.0, 110.0)),
            face="smooth" if i >= count - smooth else "grooved",
            role="crank" if i == 0 else "tensioner" if i == count - 1 else "pump",
        )
        for i, (name, at) in enumerate(zip(names, points, strict=True))
    }
    angle = random.uniform(0.0, 360.0)
    last = points[-1]
    pivot = (last[0] - 70.0 * cos(radians(angle)), last[1] - 70.0 * sin(radians(angle)))
    pk = section("PK")
    return Layout(
        title=f"{count} pulleys, seed {seed}",
        belt=Belt(section=pk, ribs=6, back=pk.back, height=pk.height),
        pulleys=pulleys,
        route=None,
        tensioner=Tensioner(
            pulley=names[-1], kind="arm", pivot=pivot, free=angle - 20.0, load=angle + 20.0
        ),
    )


def search(layout: Layout) -> SearchResult:
    """The search alone: graph, closed belts, and their lengths at every place of the tensioner."""
    return search_routes(layout, list(layout.pulleys))


def with_belt(layout: Layout) -> Layout:
    """The layout with a belt in hand that fits one of its ways; as it is when there is none."""
    found = search(layout).found
    if not found:
        return layout
    lengths = [opening.length for opening in found[len(found) // 2].openings]
    belt = replace(layout.belt, length=sum(lengths) / len(lengths), tolerance=8.0)
    return replace(layout, belt=belt)


def seconds(function: Callable[[], object]) -> float:
    """The least processor time of some calls: what other work on the machine disturbs least."""
    taken = []
    for _ in range(RUNS):
        start = process_time()
        function()
        taken.append(process_time() - start)
    return min(taken)


def trying_everything(layout: Layout, random: Random) -> float:
    """Seconds that all orders and sides would take, reckoned from a sample of them."""
    crank, *others = layout.pulleys
    free = [name for name, p in layout.pulleys.items() if p.face == "smooth"]
    tries = factorial(len(others)) * (1 << len(free))
    chosen = [
        ((crank, *random.sample(others, len(others))), _sides(layout, free, random))
        for _ in range(SAMPLE)
    ]
    start = process_time()
    for route, sides in chosen:
        _is_way(layout, route, sides)
    return (process_time() - start) / SAMPLE * tries


def rows() -> list[Row]:
    """Everything that is measured."""
    told = [row for count, smooth, most in SIZES for row in _sizes(count, smooth, most)]
    return [*told, _against_trying(), *_limit(), *_processes()]


#: Pulleys, how many of them smooth, and the milliseconds hoped for.
SIZES = ((8, 3, "-"), (12, 5, "at most 50 ms"), (16, 6, "under 1000 ms"))


def _sizes(count: int, smooth: int, wanted: str) -> list[Row]:
    drives = [drive(count, smooth, seed) for seed in SEEDS]
    found = sorted(len(search(layout).found) for layout in drives)
    alone = [1e3 * seconds(partial(search, layout)) for layout in drives]
    belted = [with_belt(layout) for layout in drives]
    known = [1e3 * seconds(partial(find_routes, layout)) for layout in belted]
    name = f"{count} pulleys, {smooth} smooth"
    return [
        Row(f"{name}: ways found, least to most", f"{found[0]} to {found[-1]}", "-"),
        Row(f"{name}: search alone", _spread(alone), wanted),
        Row(f"{name}: and the studies of at most {MOST_STUDIED}", _spread(known), "-"),
    ]


def _against_trying() -> Row:
    ratios = []
    for seed in SEEDS:
        layout = replace(drive(9, 4, seed), tensioner=None)
        slow = trying_everything(layout, Random(seed))
        ratios.append(slow / seconds(partial(search, layout)))
    value = f"{median(ratios):.0f} times (least {min(ratios):.0f})"
    return Row("9 pulleys, 4 smooth: faster than trying everything", value, "1000 times or more")


def _limit() -> list[Row]:
    layout = drive(24, 16, 1)
    start = process_time()
    ways = search(layout)
    took = process_time() - start
    end = "complete" if ways.complete else f"stopped after {ways.work} steps"
    return [Row(f"24 pulleys, 16 smooth: {end}, {len(ways.found)} ways", f"{took:.2f} s", "-")]


def _processes() -> list[Row]:
    bare = _process("import typer, shapely, pydantic, networkx")
    checked = _process(
        "import beltpath, beltpath.checks.look_alike, typer\n"
        f"beltpath.study(beltpath.read({str(LAYOUT)!r}))"
    )
    value = f"{checked / bare:.2f} times ({checked:.2f} s)"
    return [Row("a study with look-alike over the bare imports, processes", value, "1.5 times")]


def _process(program: str) -> float:
    """The least processor time of some runs of a program."""
    used = []
    for _ in range(RUNS):
        before = times()
        subprocess.run([sys.executable, "-c", program], check=True)
        after = times()
        spent_by_it = after.children_user + after.children_system
        used.append(spent_by_it - before.children_user - before.children_system)
    return min(used)


def _strewn(count: int, random: Random) -> list[tuple[float, float]]:
    """Points in a square, no two nearer than 125, the square growing when it is too full."""
    side, points, tries = 120.0 * sqrt(count), list[tuple[float, float]](), 0
    while len(points) < count:
        at = (random.uniform(0.0, side), random.uniform(0.0, side))
        tries += 1
        if all(hypot(at[0] - p[0], at[1] - p[1]) > 125.0 for p in points):
            points.append(at)
        elif tries % 2000 == 0:
            side, points = side * 1.1, []
    return points


def _sides(layout: Layout, free: Sequence[str], random: Random) -> dict[str, Side]:
    sides: dict[str, Side] = dict.fromkeys(layout.pulleys, "ribs")
    sides.update({name: "back" for name in free if random.random() < 0.5})
    return sides


def _is_way(layout: Layout, route: Sequence[str], sides: dict[str, Side]) -> bool:
    """The quickest tests first; clearance, which few come to, is left out in its favour."""
    try:
        laid = ring(discs_of(layout, route, sides))
    except PathError:
        return False
    once = is_proper(laid.contacts, laid.turning, loop_sense(layout, sides))
    return once and not crossings(laid.spans)


def _spread(times: Sequence[float]) -> str:
    return f"{median(times):.0f} ms (worst {max(times):.0f})"


def main() -> None:
    """Print what was measured."""
    for row in rows():
        print(f"{row.what:<62} {row.value:<26} wanted: {row.wanted}")


if __name__ == "__main__":
    main()
