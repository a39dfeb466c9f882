"""Drives without a route, and the slow way to find every way: try all orders and all sides."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import permutations, product
from math import cos, hypot, radians, sin, sqrt

from hypothesis import strategies as st

from beltpath.data.sections import section
from beltpath.errors import PathError
from beltpath.layout.keys import Face, Role, Sense, Side
from beltpath.layout.layout import Layout
from beltpath.layout.records import Belt, Measured, Pulley, Tensioner
from beltpath.routing.places import TensionerPlace
from beltpath.solve.clearance import span_clearances
from beltpath.solve.path import (
    MISSED_WRAP,
    BeltPath,
    Ring,
    crossings,
    discs_of,
    is_proper,
    loop_sense,
    ring,
)

#: Cells of a grid in which pulleys stand, one each, so that they never overlap.
CELL = 150.0
PK = section("PK")
#: Nearer than this to a limit (mm, rad) a way hangs on rounding, and two programs may differ.
HAIR = 1e-6

Found = tuple[tuple[str, ...], tuple[Side, ...]]


def pulley(
    name: str,
    at: tuple[float, float],
    diameter: float,
    *,
    face: Face = "grooved",
    role: Role = "pump",
    side: Side | None = None,
    turns: Sense | None = None,
) -> Pulley:
    """A pulley by the few things that matter to a search."""
    measured = Measured("diameter", diameter)
    return Pulley(name=name, at=at, measured=measured, face=face, role=role, side=side, turns=turns)


def layout_of(
    *pulleys: Pulley,
    route: tuple[str, ...] | None = None,
    tensioner: Tensioner | None = None,
    crank_turns: Sense = "clockwise",
    length: float | None = None,
    tolerance: float | None = None,
    double_sided: bool = False,
    elastic: bool = False,
) -> Layout:
    """A layout with a six-rib PK belt."""
    return Layout(
        title="A drive",
        belt=Belt(
            section=PK,
            ribs=6,
            back=PK.back,
            height=PK.height,
            length=length,
            tolerance=tolerance,
            double_sided=double_sided,
            elastic=elastic,
        ),
        pulleys={p.name: p for p in pulleys},
        route=route,
        crank_turns=crank_turns,
        tensioner=tensioner,
    )


def walled_in() -> Layout:
    """A pulley in a ring of others so near each other that no span can get in to it."""
    wall = [
        pulley(f"w{i}", (120.0 * cos(radians(60 * i)), 120.0 * sin(radians(60 * i))), 118.0)
        for i in range(6)
    ]
    crank = pulley("crank", (400.0, 0.0), 80.0, role="crank")
    return layout_of(crank, *wall, pulley("walled", (0.0, 0.0), 40.0))


@st.composite
def crews(
    draw: st.DrawFn, *, least: int, most: int, smooth: int, double_sided: bool = False
) -> Layout:
    """Drives of `least` to `most` pulleys, no two overlapping, at most so many of them smooth.

    Mostly it is those in the midst that are smooth: with ribs on all sides of it a belt cannot get
    there, and a drive without a way proves little.
    """
    count = draw(st.integers(least, most))
    cells = draw(st.permutations(range(12)))[:count]
    centres = [_in_cell(cell, i, draw(_JITTER), draw(_JITTER)) for i, cell in enumerate(cells)]
    order = _from_the_midst(centres) if draw(st.integers(0, 3)) else list(range(count))
    backs = [i for i in order if i > 0][:smooth]
    made = [
        pulley(
            f"p{i}",
            centre,
            draw(st.integers(50, 84)) + 0.377 * i,
            face="smooth" if i in backs else "grooved",
            role="crank" if i == 0 else "pump",
        )
        for i, centre in enumerate(centres)
    ]
    turns: Sense = draw(st.sampled_from(["clockwise", "counterclockwise"]))
    return layout_of(*made, crank_turns=turns, double_sided=double_sided)


@st.composite
def tensioned(draw: st.DrawFn, *, least: int, most: int, smooth: int) -> Layout:
    """Such drives in which the last pulley swings on an arm, its middle where it was measured."""
    layout = draw(crews(least=least, most=most, smooth=smooth))
    carried = list(layout.pulleys.values())[-1]
    angle, arm = draw(st.integers(0, 359)) + 0.23, draw(st.integers(30, 90))
    travel = draw(st.sampled_from([-30.0, -10.0, 10.0, 30.0]))
    pivot = (
        carried.at[0] - arm * cos(radians(angle)),
        carried.at[1] - arm * sin(radians(angle)),
    )
    return replace(
        layout,
        tensioner=Tensioner(
            pulley=carried.name, kind="arm", pivot=pivot, free=angle - travel, load=angle + travel
        ),
    )


def brute_force(layout: Layout, names: Sequence[str]) -> set[Found]:
    """Every way round `names` with all pulleys where the layout has them, by trying everything."""
    return {(path_route(path), path.sides) for path in _tried(layout, names) if _goes(layout, path)}


def on_edge(layout: Layout, names: Sequence[str]) -> bool:
    """Whether any belt that can be laid at all hangs on rounding: a touch, a rim just grazed."""
    return any(_hangs(layout, path) for path in _tried(layout, names))


def path_route(path: BeltPath) -> tuple[str, ...]:
    """The pulleys of a path, in its order."""
    return tuple(contact.pulley for contact in path.contacts)


def standing_at(layout: Layout, place: TensionerPlace) -> Layout:
    """The layout with its tensioner's pulley at a place."""
    assert layout.tensioner is not None
    name = layout.tensioner.pulley
    moved = replace(layout.pulleys[name], at=place.centre)
    return replace(layout, pulleys={**layout.pulleys, name: moved})


def _tried(layout: Layout, names: Sequence[str]) -> Iterator[BeltPath]:
    crank = layout.crank.name
    for order in permutations(name for name in names if name != crank):
        route = (crank, *order)
        for sides in product(*(_sides(layout, name) for name in route)):
            chosen = dict(zip(route, sides, strict=True))
            try:
                laid = ring(discs_of(layout, route, chosen))
            except PathError:
                continue
            yield _path(layout, laid, sides, loop_sense(layout, chosen))


def _sides(layout: Layout, name: str) -> tuple[Side, ...]:
    one = layout.pulleys[name]
    if one.side is not None:
        return (one.side,)
    return ("ribs", "back") if one.face == "smooth" or layout.belt.double_sided else ("ribs",)


def _path(layout: Layout, laid: Ring, sides: tuple[Side, ...], loop: int) -> BeltPath:
    return BeltPath(
        contacts=laid.contacts,
        spans=laid.spans,
        sides=sides,
        loop=loop,
        length=laid.length,
        turning=laid.turning,
        b_e=layout.belt.section.b_e,
        inferred=(),
    )


def _goes(layout: Layout, path: BeltPath) -> bool:
    """The full test of a way, by the functions that check a drive."""
    if not is_proper(path.contacts, path.turning, path.loop) or crossings(path.spans):
        return False
    return all(near.gap is None or near.gap >= 0.0 for near in span_clearances(layout, path))


def _hangs(layout: Layout, path: BeltPath) -> bool:
    wraps = [contact.wrap for contact in path.contacts]
    if any(wrap < HAIR or abs(wrap - MISSED_WRAP) < HAIR for wrap in wraps):
        return True
    if not is_proper(path.contacts, path.turning, path.loop):
        return False
    gaps = [near.gap for near in span_clearances(layout, path) if near.gap is not None]
    return any(abs(gap) < HAIR for gap in gaps)


_JITTER = st.integers(-30, 30)


def _from_the_midst(points: Sequence[tuple[float, float]]) -> list[int]:
    """The numbers of the points, those nearest to the midst of all first."""
    x, y = (sum(values) / len(points) for values in zip(*points, strict=True))
    return sorted(range(len(points)), key=lambda i: hypot(points[i][0] - x, points[i][1] - y))


def _in_cell(cell: int, i: int, dx: int, dy: int) -> tuple[float, float]:
    """A point in a cell of the grid; the odd fractions keep pulleys from standing in line."""
    column, row = cell % 4, cell // 4
    return (
        CELL * column + dx + 0.1 * sqrt(i + 2.0),
        CELL * row + dy + 0.07 * sqrt(i + 3.0),
    )
