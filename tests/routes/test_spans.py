"""The arrays of the graph agree with the plain formulas that everything else is computed by."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from beltpath.errors import UsageError
from beltpath.geometry import Point, crossing_point, tangent, turn
from beltpath.layout.keys import Side
from beltpath.routing import graph as graph_module
from beltpath.routing.graph import Touch, span_graph
from beltpath.routing.places import places_of
from beltpath.routing.search import search_routes
from beltpath.routing.tangents import Tangents, crossing, gaps, tangents, turns
from tests.routes.drives import layout_of, pulley

numbers = st.floats(-300.0, 300.0, allow_nan=False)
points = st.tuples(numbers, numbers)
radii = st.floats(-90.0, 90.0, allow_nan=False)


def one(c1: Point, q1: float, c2: Point, q2: float) -> Tangents:
    """One tangent, laid by the arrays."""
    return tangents(np.array([[c1]]), np.array([q1]), np.array([[c2]]), np.array([q2]))


class TestAsPlainFormulas:
    """Every array formula gives what its plain counterpart gives."""

    @given(points, radii, points, radii)
    def test_tangents(self, c1: Point, q1: float, c2: Point, q2: float) -> None:
        assume(c1 != c2)
        plain, laid = tangent(c1, q1, c2, q2), one(c1, q1, c2, q2)
        assert np.isnan(laid.length[0, 0]) == (plain is None)
        if plain is not None:
            assert laid.length[0, 0] == pytest.approx(plain.length, abs=1e-9)
            assert laid.leave[0, 0] == pytest.approx(plain.start, abs=1e-9)
            assert laid.enter[0, 0] == pytest.approx(plain.end, abs=1e-9)
            assert laid.direction[0, 0] == pytest.approx(plain.direction, abs=1e-12)

    @given(st.floats(0, 7), st.floats(0, 7), st.sampled_from([1, -1]))
    def test_turns(self, before: float, after: float, sign: int) -> None:
        a, b = ((float(np.cos(angle)), float(np.sin(angle))) for angle in (before, after))
        got = turns(np.array([[a]]), np.array([[b]]), np.array([sign]))[0, 0]
        assert got == pytest.approx(turn(a, b, sign), abs=1e-12)

    @given(points, points, points, points)
    def test_crossing(self, a: Point, b: Point, c: Point, d: Point) -> None:
        got = crossing(segment(a, b), segment(c, d))[0, 0, 0]
        assert got == (crossing_point(a, b, c, d) is not None)

    @settings(max_examples=60)
    @given(points, points, points, st.floats(1, 80), st.sampled_from([(-2.2, 2.4), (-2.4, 2.2)]))
    def test_gaps(
        self, a: Point, b: Point, at: Point, rim: float, band: tuple[float, float]
    ) -> None:
        assume(np.hypot(b[0] - a[0], b[1] - a[1]) > 1.0)
        line = segment(a, b)
        ux, uy = line.direction[0, 0]
        corners = [
            (x - off * uy, y + off * ux)
            for (x, y), off in ((a, band[0]), (b, band[0]), (b, band[1]), (a, band[1]))
        ]
        true = shapely.Polygon(corners).distance(shapely.Point(at)) - rim
        got = gaps(line, band, np.array([[at]]), np.array([rim]))[0, 0, 0]
        assert got == pytest.approx(true, abs=1e-9)


def segment(a: Point, b: Point) -> Tangents:
    """A straight run from a to b as an array."""
    start, end = np.array([[a]]), np.array([[b]])
    length = np.hypot(*(end - start)[0, 0])
    direction = (end - start) / (length or 1.0)
    return Tangents(start, end, direction, np.array([[length]]))


class TestGraph:
    """The graph joins contacts by the tangents that no rim, belt thickness included, blocks."""

    def test_a_rim_in_the_way_takes_its_spans_out(self) -> None:
        crank = pulley("crank", (0.0, 0.0), 100.0, role="crank")
        far = pulley("far", (400.0, 0.0), 100.0)
        touches = [Touch("crank", "ribs"), Touch("far", "ribs")]
        free = layout_of(crank, far)
        assert len(span_graph(free, touches, -1, places_of(free)).spans) == 2
        # The upper span runs at y = +50 with its ribs 2.4 mm below that line.
        for y, spans in ((50.0 - 2.4 - 20.0 - 0.1, 2), (50.0 - 2.4 - 20.0 + 0.1, 1)):
            rock = pulley("rock", (200.0, y), 40.0, face="smooth")
            blocked = layout_of(crank, far, rock)
            assert len(span_graph(blocked, touches, -1, places_of(blocked)).spans) == spans

    def test_too_many_spans_are_refused(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(graph_module, "MOST_SPANS", 1)
        layout = layout_of(
            pulley("crank", (0.0, 0.0), 100.0, role="crank"), pulley("far", (400.0, 0.0), 100.0)
        )
        touches = [Touch("crank", "ribs"), Touch("far", "ribs")]
        with pytest.raises(UsageError, match="run along 2 spans here, more than can be searched"):
            span_graph(layout, touches, -1, places_of(layout))

    def test_the_refusal_says_what_makes_the_search_smaller(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """`side` where a pulley has two to choose from; else it would change nothing."""
        monkeypatch.setattr(graph_module, "MOST_SPANS", 1)
        names = ("a", "b", "c", "d", "e", "f")
        cases: tuple[tuple[int, Side | None, str], ...] = (
            (6, None, "(1); say `side` for a, b, c, d and 2 more pulleys, or leave pulleys out"),
            (2, None, "(1); say `side` for a, b, or leave pulleys out"),
            (6, "back", "(1); leave pulleys out"),
        )
        for count, side, remedy in cases:
            layout = layout_of(
                pulley("crank", (0.0, 0.0), 100.0, role="crank"),
                *(
                    pulley(name, (200.0 * i, 300.0), 100.0, face="smooth", side=side)
                    for i, name in enumerate(names[:count])
                ),
            )
            with pytest.raises(UsageError) as refused:
                search_routes(layout, list(layout.pulleys))
            assert str(refused.value).endswith(remedy)
