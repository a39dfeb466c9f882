"""Every way the belt can go: which pulleys, in which order, on which side, and where it is open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

import numpy as np

from beltpath.geometry import TAU
from beltpath.layout import SIGN, Belt, Layout, Pulley, Sense, Side, sense_of
from beltpath.routing.graph import SpanGraph, Touch, span_graph
from beltpath.routing.places import Place, places_of
from beltpath.routing.tours import Budget, Tour, tours

#: Steps of the search before it gives up; on the order of a second.
MOST_WORK = 100_000
#: Tours are laid as arrays of at most so many.
AT_ONCE = 1000


class Opening(NamedTuple):
    """One place of the tensioner at which a way is open, and its effective length there, mm."""

    place: Place
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way the belt can go. `route` starts at the crank, in the belt's travel; `sides` with it.

    `loop` is +1 for a belt that runs round counterclockwise. `lengths` (mm) goes with the `places`
    that were tried, free end first; `open` has a bit for each of them at which the belt can go
    this way (where it cannot, the length means nothing). `wraps` are the contacts' wraps, in
    radians, at the middle one of the open places.
    """

    route: tuple[str, ...]
    sides: tuple[Side, ...]
    loop: int
    places: tuple[Place, ...]
    lengths: tuple[float, ...]
    open: int
    wraps: tuple[float, ...]

    @property
    def openings(self) -> list[Opening]:
        """The places at which the belt can go this way; at least one between the stops."""
        both = zip(self.places, self.lengths, strict=True)
        return [Opening(*one) for i, one in enumerate(both) if self.open >> i & 1]

    @property
    def side_of(self) -> Mapping[str, Side]:
        """The side of the belt on each pulley."""
        return dict(zip(self.route, self.sides, strict=True))

    @property
    def turns_of(self) -> Mapping[str, Sense]:
        """The sense in which each pulley turns."""
        return {
            name: sense_of(self.loop if side == "ribs" else -self.loop)
            for name, side in self.side_of.items()
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """What a search found. Not `complete` when it stopped at its limit after `work` steps.

    `asked` are the pulleys that every way must meet, the `crank` among them; `graphs` are the
    graphs searched, one for each sense in which the belt may run round.
    """

    found: tuple[Way, ...]
    complete: bool
    work: int
    asked: tuple[str, ...]
    crank: str
    graphs: tuple[SpanGraph, ...]

    @property
    def unreachable(self) -> tuple[str, ...]:
        """The pulleys that no span of belt can lead to and away from again. Loads networkx."""
        reached: set[str] = set().union(*(graph.reached(self.crank) for graph in self.graphs))
        return tuple(name for name in self.asked if name not in reached)


def find_ways(
    layout: Layout,
    pulleys: Sequence[str],
    *,
    optional: Sequence[str] = (),
    declared: bool = True,
    most_work: int = MOST_WORK,
    most_pairs: int | None = None,
) -> Ways:
    """Every way the belt can go round `pulleys`, with or without each of `optional`.

    A way is a closed belt that meets each pulley once, does not cross itself, turns once in the
    sense that the crank gives it, and keeps clear of every rim of the layout, at one or more of the
    tensioner's places (`places_of`). Sides are those that the faces allow and, if `declared`, that
    the layout does not rule out. Both the crank and the tensioner must be among `pulleys`.

    Raises TooManySpansError when there are too many possible spans to search (see `span_graph`).
    """
    places, budget = places_of(layout), Budget(most_work)
    found: list[Way] = []
    graphs = [
        span_graph(layout, touches, loop, places, most_pairs=most_pairs)
        for loop, touches in _loops(layout, (*pulleys, *optional), declared=declared)
    ]
    for graph in graphs:
        for names in _crews(pulleys, optional):
            if budget.over:
                break
            tried = tours(graph, names, budget)
            for i in range(0, len(tried), AT_ONCE):
                found += _laid(graph, tried[i : i + AT_ONCE], layout.crank.name, places)
    return Ways(
        found=tuple(found),
        complete=not budget.over,
        work=budget.spent,
        asked=tuple(pulleys),
        crank=layout.crank.name,
        graphs=tuple(graphs),
    )


def possible_sides(belt: Belt, pulley: Pulley, *, declared: bool = True) -> tuple[Side, ...]:
    """The sides of the belt that may touch a pulley: by its face, and by what is declared."""
    if declared and pulley.side is not None:
        return (pulley.side,)
    if pulley.face == "smooth":
        return ("back", "ribs")
    return ("ribs", "back") if belt.double_sided else ("ribs",)


def _loops(
    layout: Layout, names: Sequence[str], *, declared: bool
) -> Iterator[tuple[int, list[Touch]]]:
    """Each sense in which the belt may run round, with the contacts that it may then make."""
    crank = layout.crank
    others = [
        Touch(name, side)
        for name in names
        if name != crank.name
        for side in possible_sides(layout.belt, layout.pulleys[name], declared=declared)
    ]
    for side in possible_sides(layout.belt, crank, declared=declared):
        loop = SIGN[layout.crank_turns] * (1 if side == "ribs" else -1)
        yield loop, [Touch(crank.name, side), *others]


def _crews(pulleys: Sequence[str], optional: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """The pulleys with every choice of optional ones, the fullest first."""
    for count in range(len(optional), -1, -1):
        for some in combinations(optional, count):
            if len(pulleys) + count > 1:
                yield (*pulleys, *some)


def _laid(
    graph: SpanGraph, tried: Sequence[Tour], crank: str, places: tuple[Place, ...]
) -> Iterator[Way]:
    """The tours that turn once, as ways, each with the places at which it does."""
    starts = [span.start.pulley for span in graph.spans]
    ends = [span.end.pulley for span in graph.spans]
    met = [span.start.side for span in graph.spans]
    rows = np.array([_in_order(tour.spans, starts, ends, crank) for tour in tried])
    shapes, numbers = graph.shapes, np.arange(len(places))
    sign = shapes.sign[rows]
    wraps = shapes.wrap[:, shapes.pair[np.roll(rows, 1, axis=1), rows]]
    lengths = (shapes.length[:, rows] + shapes.radius[rows] * wraps).sum(axis=2)
    open_ = (np.array([tour.open for tour in tried]) >> numbers[:, None]) & 1 == 1
    open_ &= np.abs((sign * wraps).sum(axis=2) - graph.loop * TAU) < 1e-6
    counts = open_.sum(axis=0)
    middle = (open_.cumsum(axis=0) > counts // 2).argmax(axis=0)
    within = (open_ & np.array([[place.within] for place in places])).any(axis=0)
    for row, mask, length, wrap, some in zip(
        rows.tolist(),
        (open_ << numbers[:, None]).sum(axis=0).tolist(),
        lengths.T.tolist(),
        wraps[middle, np.arange(len(tried))].tolist(),
        within.tolist(),
        strict=True,
    ):
        if some:
            yield Way(
                route=tuple([starts[span] for span in row]),
                sides=tuple([met[span] for span in row]),
                loop=graph.loop,
                places=places,
                lengths=tuple(length),
                open=mask,
                wraps=tuple(wrap),
            )


def _in_order(
    spans: Sequence[int], starts: Sequence[str], ends: Sequence[str], crank: str
) -> list[int]:
    """The spans of a tour in the belt's travel, the one that leaves the crank first."""
    leaving = {starts[span]: span for span in spans}
    row = [leaving[crank]]
    while len(row) < len(spans):
        row.append(leaving[ends[row[-1]]])
    return row
