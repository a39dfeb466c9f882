"""The search: every closed belt that can be made of the possible spans.

Each pulley of a closed belt has one span into it and one out of it. The search decides first the
pulley end that has the fewest spans left, strikes out every span that the chosen one excludes
(bits worked out beforehand), and turns back as soon as some end has none left. Struck out
too is the span that would close a ring before all pulleys are in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from beltpath.routing.graph import SpanGraph


class Tour(NamedTuple):
    """A closed belt as indices of spans, in no order, and the places (bits) where it is open."""

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


def tours(graph: SpanGraph, pulleys: Sequence[str], budget: Budget) -> list[Tour]:
    """Every tour of the graph that meets each of the pulleys once and no other.

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
        self.found: list[Tour] = []
        number = {name: i for i, name in enumerate(pulleys)}
        self.ends: dict[int, tuple[int, int]] = {}
        self.between = [[0] * self.count for _ in pulleys]
        for i, span in enumerate(graph.spans):
            start, end = span.start.pulley, span.end.pulley
            if start in number and end in number:
                tail, head = self.ends[i] = number[start], number[end]
                self.between[tail][head] |= 1 << i

    def run(self) -> None:
        """Find all tours."""
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
            self.found.append(Tour(chosen, places))
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
