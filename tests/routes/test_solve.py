"""A route solved with its tensioner moving: where it stands, and what belts it takes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from beltpath.layout.layout import Layout
from beltpath.layout.records import Spring, Tensioner
from beltpath.routing.search import FoundRoute, search_routes
from beltpath.routing.solve import (
    may_take,
    misses,
    possible,
    sides_to_write,
    solve_route,
    takes,
    tightens,
    with_route,
)
from beltpath.solve.drive import solve
from beltpath.solve.path import trace
from beltpath.solve.tensioner import Stand
from tests.routes.drives import layout_of, path_route, pulley, standing_at, tensioned


def routes_of(layout: Layout) -> tuple[FoundRoute, ...]:
    """Every route round all pulleys."""
    return search_routes(layout, list(layout.pulleys)).found


def in_hand(layout: Layout, length: float) -> Layout:
    """The layout with a belt of that length, exact."""
    return replace(layout, belt=replace(layout.belt, length=length, tolerance=0.0))


def stand_of(layout: Layout, found: FoundRoute) -> Stand:
    """Where the tensioner stands on a found."""
    stand = solve_route(layout, found).stand
    assert stand is not None
    return stand


class TestStanding:
    """A belt as long as a route is at a place puts the tensioner at that place."""

    @settings(max_examples=15)
    @given(tensioned(least=3, most=6, smooth=3), st.data())
    def test_back_to_the_place(self, layout: Layout, data: st.DataObject) -> None:
        for found in routes_of(layout)[:4]:
            opening = data.draw(st.sampled_from(found.openings))
            belted = in_hand(layout, opening.length)
            drive = solve_route(belted, found)
            assert drive.stand is not None
            assert path_route(drive.path) == found.route
            assert drive.path.sides == found.sides
            if drive.stand.over_centre is None:
                assert drive.path.length == pytest.approx(opening.length, abs=1e-6)
                assert drive.stand.position == pytest.approx(opening.place.position, abs=1e-4)
                assert misses(drive) == pytest.approx(0.0, abs=1e-6)
                assert possible(drive)

    @settings(max_examples=15)
    @given(tensioned(least=3, most=6, smooth=3), st.data())
    def test_wherever_it_was_measured(self, layout: Layout, data: st.DataObject) -> None:
        for found in routes_of(layout)[:4]:
            belted = in_hand(layout, found.openings[0].length)
            measured = data.draw(st.sampled_from(found.openings)).place
            here, there = stand_of(belted, found), stand_of(standing_at(belted, measured), found)
            if here.over_centre is None and here.usable == pytest.approx(there.usable):
                assert here.position == pytest.approx(there.position, abs=1e-5)

    @settings(max_examples=15)
    @given(tensioned(least=3, most=6, smooth=3), st.floats(0.0, 1.0), st.floats(-9.0, 9.0))
    def test_no_belt_that_fits_is_refused_beforehand(
        self, layout: Layout, share: float, off: float
    ) -> None:
        for found in routes_of(layout)[:3]:
            stand = stand_of(layout, found)
            inside = stand.usable[0] + share * (stand.usable[1] - stand.usable[0])
            near = min(found.openings, key=lambda o: abs(o.place.position - inside))
            belted = in_hand(layout, near.length + off)
            drive = solve_route(belted, found)
            if misses(drive) == 0.0:
                assert may_take(belted, found)
            miss = abs(misses(drive) or 0.0)
            assert may_take(belted, found, margin=miss)


class TestSidesToWrite:
    """With only the sides told to be written, a layout lays its route like the one found."""

    @settings(max_examples=15)
    @given(tensioned(least=3, most=6, smooth=3))
    def test_enough(self, layout: Layout) -> None:
        for found in routes_of(layout):
            path = trace(with_route(layout, found), route=None)
            assert (path_route(path), path.sides) == (found.route, found.sides)

    def test_none_where_the_faces_tell(self) -> None:
        layout = layout_of(
            pulley("crank", (0.0, 0.0), 100.0, role="crank"),
            pulley("a", (-150.0, 200.0), 100.0),
            pulley("b", (150.0, 200.0), 100.0),
            pulley("i", (0.0, 130.0), 60.0, face="smooth", role="idler"),
        )
        routes = {found.route: found for found in routes_of(layout)}
        inward = routes["crank", "a", "i", "b"]
        assert inward.side_of["i"] == "back"
        assert sides_to_write(layout, inward) == {}

    def test_told_where_both_sides_close(self) -> None:
        # An idler that the straight run almost touches: it may lie on either side of it.
        layout = layout_of(
            pulley("crank", (0.0, 0.0), 100.0, role="crank"),
            pulley("a", (0.0, 300.0), 100.0),
            pulley("i", (-60.0, 150.0), 60.0, face="smooth", role="idler"),
        )
        for found in routes_of(layout):
            told = sides_to_write(layout, found)
            assert told == ({} if found.side_of["i"] == "back" else {"i": "ribs"})
        assert len(routes_of(layout)) == 2

    def test_all_where_the_plain_choice_cannot_be_laid(self) -> None:
        # As measured the tensioner's pulley lies across the crank: there is no tangent to infer by.
        crank = pulley("crank", (0.0, 0.0), 100.0, role="crank")
        carried = pulley("t", (10.0, 0.0), 60.0, face="smooth", role="tensioner")
        slide = Tensioner(pulley="t", kind="slide", along=0.0, free=200.0, load=100.0)
        layout = layout_of(crank, carried, tensioner=slide)
        (found,) = routes_of(layout)
        assert sides_to_write(layout, found) == {"crank": "ribs", "t": "ribs"}


def sliding(at: float, *, length: float | None = None) -> Layout:
    """A crank and a sliding pulley on the ribs whose place is told by where it was measured."""
    return layout_of(
        pulley("crank", (0.0, 0.0), 100.0, role="crank"),
        pulley("t", (at, 0.0), 60.0, face="smooth", role="tensioner"),
        tensioner=Tensioner(
            pulley="t",
            kind="slide",
            along=0.0,
            free=260.0 - at,
            load=180.0 - at,
            window=(200.0 - at, 240.0 - at),
            spring=Spring(effort=300.0, at=220.0 - at, rate=2.0),
        ),
        length=length,
        tolerance=None if length is None else 5.0,
    )


class TestMeasuredWhereTheWayIsClosed:
    """A route that is closed where the tensioner was measured is solved from where it is open."""

    def test_a_slide_is_told_in_the_files_own_positions(self) -> None:
        open_, closed = sliding(220.0, length=700.0), sliding(10.0, length=700.0)
        here, there = (stand_of(layout, routes_of(layout)[0]) for layout in (open_, closed))
        assert here.reached == there.reached == "reached"
        assert here.at == pytest.approx(there.at)
        assert here.position + 220.0 == pytest.approx(there.position + 10.0)
        assert [end + 220.0 for end in here.usable] == pytest.approx(
            [end + 10.0 for end in there.usable]
        )
        assert there.tensioner == closed.tensioner
        assert there.tension == pytest.approx(here.tension)
        assert there.travel_used == pytest.approx(here.travel_used)

    def test_without_a_belt_it_stands_at_the_nearest_open_place(self) -> None:
        closed = sliding(10.0)
        drive = solve_route(closed, routes_of(closed)[0])
        assert drive.stand is not None
        assert drive.stand.position == pytest.approx(170.0)
        assert drive.layout == with_route(closed, routes_of(closed)[0])

    def test_over_centre_is_told_in_the_files_own_positions(self) -> None:
        # The pulley slides along above two others: half-way its path is shortest. A rock stands in
        # the belt's way only where the pulley was measured the second time.
        def layout(at: float) -> Layout:
            slide = Tensioner(pulley="t", kind="slide", along=0.0, free=300.0 - at, load=120.0 - at)
            return layout_of(
                pulley("crank", (0.0, 0.0), 60.0, role="crank"),
                pulley("a", (400.0, 0.0), 60.0),
                pulley("t", (at, 150.0), 60.0, face="smooth", role="tensioner", side="ribs"),
                pulley("rock", (-110.0, 90.0), 40.0),
                tensioner=slide,
            )

        names = ["crank", "a", "t"]
        (found,), (other,) = (search_routes(layout(at), names).found for at in (250.0, -150.0))
        assert all(opening.place.position > 0.0 for opening in other.openings)
        here, there = stand_of(layout(250.0), found), stand_of(layout(-150.0), other)
        assert here.over_centre is not None
        assert there.over_centre is not None
        assert here.over_centre + 250.0 == pytest.approx(200.0, abs=1e-6)
        assert there.over_centre - 150.0 == pytest.approx(200.0, abs=1e-6)


class TestTakes:
    """Which belts a drive takes, and by how much the one in hand misses."""

    CRANK = pulley("crank", (0.0, 0.0), 100.0, role="crank")
    OTHER = pulley("other", (300.0, 0.0), 100.0)
    NEED = 600.0 + 314.159265

    def test_without_a_tensioner_within_its_tolerance(self) -> None:
        drive = solve(
            layout_of(self.CRANK, self.OTHER, route=("crank", "other"), length=920.0, tolerance=4.0)
        )
        assert takes(drive) == pytest.approx((self.NEED - 4.0, self.NEED + 4.0))
        assert misses(drive) == pytest.approx(920.0 - self.NEED - 4.0)

    def test_a_stretch_fit_belt_by_its_stretch(self) -> None:
        drive = solve(
            layout_of(
                self.CRANK,
                self.OTHER,
                route=("crank", "other"),
                length=870.0,
                tolerance=4.0,
                elastic=True,
            )
        )
        assert takes(drive) == pytest.approx((self.NEED / 1.04, self.NEED / 1.005))
        assert misses(drive) == pytest.approx(870.0 - self.NEED / 1.04)

    def test_no_belt_misses_nothing(self) -> None:
        drive = solve(layout_of(self.CRANK, self.OTHER, route=("crank", "other")))
        assert takes(drive) == pytest.approx((self.NEED, self.NEED))
        assert misses(drive) is None

    def test_a_spring_may_push_the_wrong_way(self) -> None:
        layout = sliding(220.0)
        t = layout.tensioner
        assert t is not None
        found = routes_of(layout)[0]
        assert tightens(stand_of(layout, found)) is True
        turned = replace(layout, tensioner=replace(t, free=t.load, load=t.free))
        assert tightens(stand_of(turned, found)) is False
        swing = Tensioner(pulley="t", kind="swing", pivot=(220.0, 80.0), free=255.0, load=285.0)
        swung = replace(layout, tensioner=swing)
        assert tightens(stand_of(swung, routes_of(swung)[0])) is None
