"""The search: every route that the belt can take, and at which places of the tensioner.

A route is built of the possible spans. Each of its pulleys has one span into it and one out of it.
The search decides first the pulley end that has the fewest spans left. It strikes out every span
that the chosen one excludes (see `SpanGraph.keep`), and every span that would close a ring before
all pulleys are in it. It turns back as soon as some end has no span left.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

import numpy as np

from beltpath.geometry import TAU
from beltpath.layout.keys import Sense, Side
from beltpath.layout.layout import Layout
from beltpath.layout.records import SIGN, Belt, Pulley, sense_of
from beltpath.routing.graph import SpanGraph, Touch, span_graph
from beltpath.routing.places import TensionerPlace, places_of

#: Steps of the search before it gives up; on the order of a second.
MOST_WORK = 100_000
#: Routes are laid as arrays of at most so many.
AT_ONCE = 1000


class Opening(NamedTuple):
    """A place of the tensioner at which a route is open, and its effective length there, mm."""

    place: TensionerPlace
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundRoute:
    """A route that the belt can take, as the search finds it: not solved and not checked yet.

    `route` starts at the crank, in the belt's travel; `sides` goes with it. `loop` is +1 for a belt
    that runs round counterclockwise. `lengths` (mm) goes with the `places` that were tried, free
    end first. `open` has a bit for each place at which the belt can lie on this route; at least one
    of them is between the stops. A length at any other place means nothing. `wraps` are the
    contacts' wraps, in radians, at the middle one of the open places.
    """

    route: tuple[str, ...]
    sides: tuple[Side, ...]
    loop: int
    places: tuple[TensionerPlace, ...]
    lengths: tuple[float, ...]
    open: int
    wraps: tuple[float, ...]

    @property
    def openings(self) -> list[Opening]:
        """The places at which the belt can lie on this route."""
        both = zip(self.places, self.lengths, strict=True)
        return [Opening(*one) for i, one in enumerate(both) if self.open >> i & 1]

    @property
    def span_of_lengths(self) -> tuple[float, float]:
        """The shortest and the longest effective length at the open places, mm."""
        lengths = [length for i, length in enumerate(self.lengths) if self.open >> i & 1]
        return min(lengths), max(lengths)

    def misses(self, length: float) -> float:
        """By how many mm a belt of this length is outside the lengths at the open places."""
        shortest, longest = self.span_of_lengths
        return max(shortest - length, length - longest, 0.0)

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
class SearchResult:
    """What a search found. `complete` is False when it stopped at its limit after `work` steps.

    `asked` are the pulleys that every route must meet, the `crank` among them. `graphs` are the
    graphs that were searched, one for each sense in which the belt may run round.
    """

    found: tuple[FoundRoute, ...]
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


def search_routes(
    layout: Layout,
    pulleys: Sequence[str],
    *,
    optional: Sequence[str] = (),
    declared: bool = True,
    most_work: int = MOST_WORK,
    most_pairs: int | None = None,
) -> SearchResult:
    """Find every route round `pulleys`, with or without each of `optional`.

    A route is a closed belt that meets each pulley once, does not cross itself, turns once in the
    sense that the crank gives it, and keeps clear of every rim of the layout, at one or more of the
    tensioner's places (`places_of`). Sides are those that the faces allow and, if `declared`, that
    the layout does not rule out. Both the crank and the tensioner must be among `pulleys`.

    Raises TooManySpansError when there are too many possible spans to search (see `span_graph`).
    """
    places, budget = places_of(layout), Budget(most_work)
    found: list[FoundRoute] = []
    graphs = [
        span_graph(layout, touches, loop, places, most_pairs=most_pairs)
        for loop, touches in _loops(layout, (*pulleys, *optional), declared=declared)
    ]
    for graph in graphs:
        for names in _choices(pulleys, optional):
            if budget.over:
                break
            rings = closed_belts(graph, names, budget)
            for i in range(0, len(rings), AT_ONCE):
                found += _laid(graph, rings[i : i + AT_ONCE], layout.crank.name, places)
    return SearchResult(
        found=tuple(found),
        complete=not budget.over,
        work=budget.spent,
        asked=tuple(pulleys),
        crank=layout.crank.name,
        graphs=tuple(graphs),
    )


# --- what may touch what --------------------------------------------------------------------------


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


def _choices(pulleys: Sequence[str], optional: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """The pulleys with every choice of optional ones, the largest choice first."""
    for count in range(len(optional), -1, -1):
        for some in combinations(optional, count):
            if len(pulleys) + count > 1:
                yield (*pulleys, *some)


# --- closed belts of possible spans ---------------------------------------------------------------


class ClosedBelt(NamedTuple):
    """A ring of spans as their indices, in no order, and the places (bits) where it is open.

    It becomes a route if it turns once.
    """

    spans: tuple[int, ...]
    open: int


@dataclass(slots=True)
class Budget:
    """How many steps of search may be made (`most`) and are made (`spent`).

    `over` when a search was cut short for want of steps.
    """

    most: int
    spent: int = 0
    over: bool = False

    def spend(self) -> bool:
        """Take one step, if there is one left."""
        self.over = self.spent >= self.most
        self.spent += not self.over
        return not self.over


def closed_belts(graph: SpanGraph, pulleys: Sequence[str], budget: Budget) -> list[ClosedBelt]:
    """Every ring of the graph's spans that meets each of the pulleys once and no other.

    When the budget runs out the list holds what had been found by then.
    """
    search = _Search(graph, pulleys, budget)
    search.run()
    return search.found


class _Search:
    """One search; what does not change while it runs lies in its attributes."""

    def __init__(self, graph: SpanGraph, pulleys: Sequence[str], budget: Budget) -> None:
        self.keep, self.conflicts = graph.keep, graph.conflicts
        self.open = [span.open for span in graph.spans]
        self.everywhere = graph.everywhere
        self.budget = budget
        self.count = len(pulleys)
        self.found: list[ClosedBelt] = []
        number = {name: i for i, name in enumerate(pulleys)}
        self.ends: dict[int, tuple[int, int]] = {}
        self.between = [[0] * self.count for _ in pulleys]
        for i, span in enumerate(graph.spans):
            start, end = span.start.pulley, span.end.pulley
            if start in number and end in number:
                tail, head = self.ends[i] = number[start], number[end]
                self.between[tail][head] |= 1 << i

    def run(self) -> None:
        """Find all rings."""
        out = [_union(row) for row in self.between]
        into = [_union(column) for column in zip(*self.between, strict=True)]
        ends = list(range(self.count))
        self._extend(_union(out), self.everywhere, out + into, ends + ends, (), ())

    def _extend(
        self,
        live: int,
        places: int,
        undecided: list[int],
        chains: list[int],
        chosen: tuple[int, ...],
        swung: tuple[int, ...],
    ) -> None:
        """Decide one more pulley end.

        `live` are the spans that the `chosen` ones leave; those of them that meet the tensioner are
        `swung`. `chains` holds for every pulley that starts a chain of spans the one that ends it,
        and then for every pulley that ends one the pulley that starts it.
        """
        count, budget = self.count, self.budget
        if not undecided:
            self.found.append(ClosedBelt(chosen, places))
            return
        options = _fewest(live, undecided)
        while options and budget.spend():
            bit = options & -options
            options ^= bit
            span = bit.bit_length() - 1
            still = self._places(places, span, chosen, swung)
            if not still:
                continue
            tail, head = self.ends[span]
            first, last = chains[count + tail], chains[head]
            left = live & self.keep[span]
            if len(undecided) > 4:
                left &= ~self.between[last][first]
            longer = chains.copy()
            longer[first], longer[count + last] = last, first
            rest = [end for end in undecided if not end & bit]
            moving = (*swung, span) if span in self.conflicts else swung
            self._extend(left, still, rest, longer, (*chosen, span), moving)

    def _places(self, places: int, span: int, chosen: Iterable[int], swung: Iterable[int]) -> int:
        """At which of these places the span can be together with the chosen ones."""
        places &= self.open[span]
        own = self.conflicts.get(span)
        if own is None:
            for other in swung:
                places &= ~self.conflicts[other][span]
        else:
            for other in chosen:
                places &= ~own[other]
        return places


def _fewest(live: int, undecided: Iterable[int]) -> int:
    """The spans left for the pulley end that has the fewest; 0 when one has none."""
    best, least = 0, -1
    for group in undecided:
        left = live & group
        count = left.bit_count()
        if count < least or least < 0:
            best, least = left, count
            if count <= 1:
                break
    return best


def _union(masks: Iterable[int]) -> int:
    total = 0
    for mask in masks:
        total |= mask
    return total


# --- routes ---------------------------------------------------------------------------------------


def _laid(
    graph: SpanGraph, rings: Sequence[ClosedBelt], crank: str, places: tuple[TensionerPlace, ...]
) -> Iterator[FoundRoute]:
    """The closed belts that turn once, as routes, each with the places at which it does."""
    starts = [span.start.pulley for span in graph.spans]
    ends = [span.end.pulley for span in graph.spans]
    met = [span.start.side for span in graph.spans]
    rows = np.array([_in_order(ring.spans, starts, ends, crank) for ring in rings])
    shapes, numbers = graph.shapes, np.arange(len(places))
    sign = shapes.sign[rows]
    wraps = shapes.wrap[:, shapes.pair[np.roll(rows, 1, axis=1), rows]]
    lengths = (shapes.length[:, rows] + shapes.radius[rows] * wraps).sum(axis=2)
    open_ = (np.array([ring.open for ring in rings]) >> numbers[:, None]) & 1 == 1
    open_ &= np.abs((sign * wraps).sum(axis=2) - graph.loop * TAU) < 1e-6
    counts = open_.sum(axis=0)
    middle = (open_.cumsum(axis=0) > counts // 2).argmax(axis=0)
    within = (open_ & np.array([[place.within] for place in places])).any(axis=0)
    for row, mask, length, wrap, some in zip(
        rows.tolist(),
        (open_ << numbers[:, None]).sum(axis=0).tolist(),
        lengths.T.tolist(),
        wraps[middle, np.arange(len(rings))].tolist(),
        within.tolist(),
        strict=True,
    ):
        if some:
            yield FoundRoute(
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
    """The spans of a ring in the belt's travel, the one that leaves the crank first."""
    leaving = {starts[span]: span for span in spans}
    row = [leaving[crank]]
    while len(row) < len(spans):
        row.append(leaving[ends[row[-1]]])
    return row
