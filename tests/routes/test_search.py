"""The search itself: closed belts are single rings, its steps are counted, what it strikes out."""

from __future__ import annotations

from math import degrees

import pytest
from hypothesis import given, settings

from beltpath.layout.layout import Layout
from beltpath.layout.records import SIGN
from beltpath.routing.graph import SpanGraph, Touch, span_graph
from beltpath.routing.places import places_of
from beltpath.routing.search import Budget, ClosedBelt, closed_belts, search_routes
from beltpath.solve.path import discs_of, ring
from tests.routes.drives import crews, layout_of, pulley


def graph_of(layout: Layout) -> SpanGraph:
    """The graph of all contacts of a drive whose crank runs on the ribs."""
    touches = [
        Touch(name, side)
        for name, p in layout.pulleys.items()
        for side in (("ribs", "back") if p.face == "smooth" else ("ribs",))
    ]
    return span_graph(layout, touches, SIGN[layout.crank_turns], places_of(layout))


def round_trip(graph: SpanGraph, ring_: ClosedBelt) -> int:
    """How many spans one passes from the first span's start until one is back there."""
    leaving = {graph.spans[i].start: graph.spans[i].end for i in ring_.spans}
    first = graph.spans[ring_.spans[0]].start
    at, count = leaving[first], 1
    while at != first:
        at, count = leaving[at], count + 1
    return count


class TestClosedBelts:
    """A closed belt is one ring of spans that are open together, through each pulley once."""

    @settings(max_examples=30)
    @given(crews(least=4, most=8, smooth=4))
    def test_one_ring(self, layout: Layout) -> None:
        graph = graph_of(layout)
        for ring_ in closed_belts(graph, list(layout.pulleys), Budget(100_000)):
            assert len(ring_.spans) == len(layout.pulleys)
            assert round_trip(graph, ring_) == len(ring_.spans)
            assert all(graph.keep[i] >> j & 1 for i in ring_.spans for j in ring_.spans if i != j)

    def test_steps_are_counted(self) -> None:
        layout = layout_of(
            pulley("crank", (0.0, 0.0), 100.0, role="crank"),
            pulley("a", (300.0, 0.0), 100.0),
            pulley("b", (150.0, 250.0), 100.0),
        )
        budget = Budget(4)
        assert len(closed_belts(graph_of(layout), list(layout.pulleys), budget)) == 1
        assert (budget.spent, budget.over) == (4, False)
        short = Budget(3)
        assert closed_belts(graph_of(layout), list(layout.pulleys), short) == []
        assert (short.spent, short.over) == (3, True)

    def test_a_belt_nearly_all_round_one_pulley_misses_it(self) -> None:
        # Computed: the crank's circle of radius 100 is left at ±65° below the level; two circles of
        # radius 6 stand inside those lines and above the level 105 below its centre.
        layout = layout_of(
            pulley("crank", (0.0, 0.0), 200.0, role="crank"),
            pulley("a", (-10.13, -99.0), 12.0),
            pulley("b", (10.13, -99.0), 12.0),
            crank_turns="counterclockwise",
        )
        route = ("crank", "a", "b")
        laid = ring(discs_of(layout, route, dict.fromkeys(route, "ribs")))
        assert degrees(laid.turning) == pytest.approx(360.0)
        assert degrees(laid.contacts[0].wrap) == pytest.approx(310.0, abs=0.2)
        assert search_routes(layout, route).found == ()
        graph = graph_of(layout)
        numbers = {(s.start.pulley, s.end.pulley): i for i, s in enumerate(graph.spans)}
        into, out = numbers["b", "crank"], numbers["crank", "a"]
        assert not graph.keep[into] >> out & 1
        assert not graph.keep[out] >> into & 1
