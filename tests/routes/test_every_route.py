"""The search finds every route, and no other: held against trying all orders and all sides."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from math import cos, radians, sin

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from beltpath.layout.keys import Sense, Side
from beltpath.layout.layout import Layout
from beltpath.routing.places import places_of
from beltpath.routing.search import search_routes
from beltpath.solve.path import discs_of, ring
from tests.routes.drives import (
    Found,
    brute_force,
    crews,
    layout_of,
    on_edge,
    pulley,
    standing_at,
    tensioned,
    walled_in,
)


def found(layout: Layout, names: list[str] | None = None) -> set[Found]:
    """The routes that the search finds, each told once."""
    result = search_routes(layout, names or list(layout.pulleys))
    assert result.complete
    told = [(one.route, one.sides) for one in result.found]
    assert len(told) == len(set(told))
    return set(told)


class TestComplete:
    """On every drive the search finds exactly what trying all orders and all sides finds."""

    @settings(max_examples=40)
    @given(crews(least=2, most=5, smooth=3))
    def test_small_drives(self, layout: Layout) -> None:
        names = list(layout.pulleys)
        assume(not on_edge(layout, names))
        assert found(layout) == brute_force(layout, names)

    @settings(max_examples=6)
    @given(crews(least=6, most=6, smooth=3))
    def test_six_pulleys(self, layout: Layout) -> None:
        assert found(layout) == brute_force(layout, list(layout.pulleys))

    @settings(max_examples=3)
    @given(crews(least=7, most=7, smooth=2))
    def test_seven_pulleys(self, layout: Layout) -> None:
        assert found(layout) == brute_force(layout, list(layout.pulleys))

    @settings(max_examples=2)
    @given(crews(least=8, most=8, smooth=2))
    def test_eight_pulleys(self, layout: Layout) -> None:
        # One of the two smooth pulleys is declared, which halves what must be tried.
        smooth = next(p for p in layout.pulleys.values() if p.face == "smooth")
        pulleys = {**layout.pulleys, smooth.name: replace(smooth, side="back")}
        layout = replace(layout, pulleys=pulleys)
        assert found(layout) == brute_force(layout, list(layout.pulleys))

    @settings(max_examples=10)
    @given(crews(least=3, most=5, smooth=1, double_sided=True))
    def test_belts_with_ribs_on_both_sides(self, layout: Layout) -> None:
        names = list(layout.pulleys)
        assume(not on_edge(layout, names))
        assert found(layout) == brute_force(layout, names)

    @settings(max_examples=10)
    @given(crews(least=4, most=5, smooth=2), st.sampled_from(["ribs", "back"]))
    def test_a_declared_side_and_a_pulley_left_standing(self, layout: Layout, side: Side) -> None:
        *names, left = layout.pulleys
        pulleys = {**layout.pulleys, names[1]: replace(layout.pulleys[names[1]], side=side)}
        layout = replace(layout, pulleys=pulleys)
        assume(not on_edge(layout, names))
        assert found(layout, names) == brute_force(layout, names)
        assert all(left not in route for route, _ in found(layout, names))

    @settings(max_examples=10)
    @given(crews(least=5, most=5, smooth=2))
    def test_optional_pulleys_may_each_be_left_out(self, layout: Layout) -> None:
        names, optional = list(layout.pulleys)[:3], list(layout.pulleys)[3:]
        expected: set[Found] = set()
        for count in range(3):
            for some in combinations(optional, count):
                assume(not on_edge(layout, [*names, *some]))
                expected |= brute_force(layout, [*names, *some])
        result = search_routes(layout, names, optional=optional)
        assert {(one.route, one.sides) for one in result.found} == expected

    @settings(max_examples=10)
    @given(tensioned(least=3, most=5, smooth=2))
    def test_a_tensioner_at_every_place(self, layout: Layout) -> None:
        names = list(layout.pulleys)
        routes = search_routes(layout, names).found
        for place in places_of(layout)[::5]:
            there = standing_at(layout, place)
            assume(not on_edge(there, names))
            open_here = {
                (one.route, one.sides)
                for one in routes
                if any(opening.place == place for opening in one.openings)
            }
            assert open_here == brute_force(there, names)


class TestLengths:
    """A route's length and wraps at a place are those of the ring laid round its pulleys there."""

    @settings(max_examples=25)
    @given(tensioned(least=3, most=7, smooth=3))
    def test_as_the_ring(self, layout: Layout) -> None:
        for one in search_routes(layout, list(layout.pulleys)).found:
            for opening in one.openings:
                there = standing_at(layout, opening.place)
                laid = ring(discs_of(there, one.route, one.side_of))
                assert abs(laid.length - opening.length) < 1e-8
                if opening == one.openings[len(one.openings) // 2]:
                    assert [c.wrap for c in laid.contacts] == pytest.approx(one.wraps, abs=1e-9)
                assert [c.turns for c in laid.contacts] == list(one.turns_of.values())


class TestMovedAndMirrored:
    """Turning or moving a drive leaves its routes; mirroring it leaves them with senses swapped."""

    @settings(max_examples=15)
    @given(tensioned(least=8, most=10, smooth=4), st.integers(0, 359))
    def test_turned_and_moved(self, layout: Layout, angle: int) -> None:
        here, turned = _lengths(layout), _lengths(_turned(layout, angle))
        assert turned.keys() == here.keys()
        assert all(turned[one] == pytest.approx(here[one], abs=1e-6) for one in here)

    @settings(max_examples=15)
    @given(crews(least=8, most=10, smooth=4))
    def test_mirrored(self, layout: Layout) -> None:
        pulleys = {name: replace(p, at=(-p.at[0], p.at[1])) for name, p in layout.pulleys.items()}
        other: Sense = (
            "clockwise" if layout.crank_turns == "counterclockwise" else "counterclockwise"
        )
        mirrored = replace(layout, pulleys=pulleys, crank_turns=other)
        assert found(mirrored) == found(layout)


def _lengths(layout: Layout) -> dict[Found, list[float]]:
    routes = search_routes(layout, list(layout.pulleys)).found
    return {(one.route, one.sides): [opening.length for opening in one.openings] for one in routes}


def _turned(layout: Layout, angle: int) -> Layout:
    c, s = cos(radians(angle)), sin(radians(angle))

    def put(at: tuple[float, float]) -> tuple[float, float]:
        return (c * at[0] - s * at[1] + 411.0, s * at[0] + c * at[1] - 97.0)

    t = layout.tensioner
    assert t is not None
    assert t.pivot is not None
    return replace(
        layout,
        pulleys={name: replace(p, at=put(p.at)) for name, p in layout.pulleys.items()},
        tensioner=replace(t, pivot=put(t.pivot), free=t.free + angle, load=t.load + angle),
    )


class TestNoWay:
    """When there is no route the search says so, and which pulley cannot be reached."""

    def test_only_ribs_inside_a_hull_cannot_be_met(self) -> None:
        corners = [(0.0, 0.0), (300.0, 0.0), (150.0, 300.0)]
        hull = [
            pulley(f"h{i}", at, 80.0, role="crank" if i == 0 else "pump")
            for i, at in enumerate(corners)
        ]
        inside = pulley("inside", (150.0, 110.0), 40.0)
        result = search_routes(layout_of(*hull, inside), ["h0", "h1", "h2", "inside"])
        assert (result.found, result.complete) == ((), True)

    def test_a_pulley_walled_in_is_named(self) -> None:
        layout = walled_in()
        assert search_routes(layout, list(layout.pulleys)).unreachable == ("walled",)
        assert search_routes(layout, ["crank", "walled"]).unreachable == ("walled",)

    def test_a_crank_alone_needs_a_partner(self) -> None:
        crank = pulley("crank", (0.0, 0.0), 80.0, role="crank")
        other = pulley("other", (200.0, 0.0), 80.0)
        result = search_routes(layout_of(crank, other), ["crank"], optional=["other"])
        assert [one.route for one in result.found] == [("crank", "other")]
