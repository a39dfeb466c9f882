"""find_routes: the likeliest way first, each with its study and with what tells it apart."""

from __future__ import annotations

from dataclasses import replace
from math import degrees
from pathlib import Path

import pytest
from hypothesis import given, settings

import beltpath
from beltpath.checks.findings import Finding
from beltpath.errors import UsageError
from beltpath.layout.layout import Layout
from beltpath.layout.records import Tensioner
from beltpath.ranking.find import Search, find_routes
from beltpath.ranking.rank import Judge, RankedRoute
from tests.routes.drives import layout_of, pulley, tensioned, walled_in

LAYOUTS = Path(__file__).parents[2] / "layouts"
PRESS = beltpath.read(LAYOUTS / "found/hay-press.toml")
SPARE = beltpath.read(LAYOUTS / "found/spare-belt.toml")
TILLER = beltpath.read(LAYOUTS / "found-tiller.toml")


def bare(layout: Layout) -> Layout:
    """The layout with no belt in hand."""
    return replace(layout, belt=replace(layout.belt, length=None, tolerance=None))


def faults(findings: tuple[Finding, ...]) -> list[str]:
    """The checks that found faults."""
    return [finding.check for finding in findings if finding.level == "fault"]


def only(search: Search, **sides: str) -> RankedRoute:
    """The one route that has these sides."""
    (one,) = (
        c
        for c in search.ranked
        if all(c.found.side_of[name.replace("_", "-")] == side for name, side in sides.items())
    )
    return one


class TestWithABelt:
    """The number on the belt picks the way: those it fits are studied, the others listed."""

    def test_the_press(self) -> None:
        search = find_routes(PRESS)
        assert search.complete
        assert search.found == 16
        assert search.summary == "16 ways found."
        best = search.ranked[0]
        assert best.route == (
            *("crank", "tensioner", "compressor", "water-pump"),
            *("alternator", "steering", "idler"),
        )
        assert best.sides == ("ribs", "back", "ribs", "back", "ribs", "ribs", "back")
        assert best.senses[:2] == ("clockwise", "counterclockwise")
        assert best.length == pytest.approx(2045.0)
        assert best.fit.fits is True
        assert best.fit.in_window is True
        assert best.fit.tightens is True
        assert best.fit.position == best.study.stand.position if best.study.stand else False
        assert best.verdict == "caution"
        assert faults(best.findings) == []

    def test_those_out_of_reach_are_not_studied(self) -> None:
        search = find_routes(PRESS)
        reach = 2045.0 + 9.0 + 15.0
        for way in search.others:
            lengths = [opening.length for opening in way.openings]
            assert min(lengths) > reach or max(lengths) < 2045.0 - 9.0 - 15.0
        assert {c.route for c in search.ranked} == {search.ranked[0].route}

    def test_what_tells_them_apart(self) -> None:
        search = find_routes(PRESS)
        best = search.ranked[0]
        stands = "the tensioner then stands at 33.5°, inside its window."
        fits = f"The belt in hand (2045 mm) fits: {stands}"
        slack_side, grip = (
            "The tensioner is on the slack side.",
            "Its least wrap is 118°, on Crank.",
        )
        assert best.reasons == (fits, slack_side, grip)
        idler = only(search, idler="ribs", tensioner="back").reasons
        assert (
            "The ribs run on the smooth face of Idler, where the belt's back usually runs." in idler
        )
        assert "It turns Idler the other way than the first does." in idler
        slack = only(search, idler="back", tensioner="ribs").reasons
        assert (
            "The tensioner would slacken the belt: towards its free stop this way gets shorter."
            in slack
        )
        short = only(search, idler="ribs", tensioner="ribs").reasons
        assert short[0] == (
            "The belt in hand (2045 mm) is 1 mm too short: this way takes 2046 to 2089 mm."
        )

    def test_an_optional_pulley_left_out(self) -> None:
        without = find_routes(SPARE)
        assert all(c.fit.fits is False for c in without.ranked)
        search = find_routes(SPARE, ["idler"])
        best = search.ranked[0]
        assert best.fit.fits is True
        assert best.left_out == ("idler",)
        assert best.reasons[1] == "It leaves out Idler."
        assert len(search.ranked[0].route) == 6

    def test_a_belt_that_fits_nothing_is_told_by_how_much(self) -> None:
        search = find_routes(SPARE)
        assert len(search.ranked) == 8
        off = [abs(c.fit.off or 0.0) for c in search.ranked]
        assert off == sorted(off)
        assert off[0] == pytest.approx(1880.0 - 1790.0, abs=1.0)

    def test_a_wrong_sense_comes_after(self) -> None:
        search = find_routes(TILLER)
        right, wrong = search.ranked[:2]
        assert right.found.side_of["water-pump"] == "back"
        assert wrong.found.side_of["water-pump"] == "ribs"
        assert faults(wrong.findings) == ["rotation"]
        assert wrong.verdict == "fail"
        assert wrong.reasons[1:3] == (
            "It carries faults: rotation.",
            "It turns Water pump clockwise, against what the layout declares.",
        )

    def test_without_a_tensioner_it_must_be_right_or_stretch(self) -> None:
        crank = pulley("crank", (0.0, 0.0), 100.0, role="crank")
        other = pulley("other", (300.0, 0.0), 100.0)
        (hit,) = find_routes(layout_of(crank, other, length=915.0, tolerance=5.0)).ranked
        assert hit.fit.fits is True
        assert hit.fit.position is None
        assert hit.reasons[0] == "The belt in hand (915 mm) fits: this way takes 909 to 919 mm."
        (miss,) = find_routes(layout_of(crank, other, length=930.0, tolerance=5.0)).ranked
        assert miss.reasons[0] == (
            "The belt in hand (930 mm) is 11 mm too long: this way takes 909 to 919 mm."
        )
        (stretched,) = find_routes(layout_of(crank, other, length=895.0, elastic=True)).ranked
        assert stretched.fit.fits is True


class TestWithoutABelt:
    """With no number on the belt all ways are told by the rest, with the lengths that they need."""

    def test_lengths_are_shown(self) -> None:
        search = find_routes(bare(PRESS))
        assert len(search.ranked) == 8
        best = search.ranked[0]
        assert best.fit.fits is None
        assert best.fit.off is None
        assert best.reasons[0] == (
            "It needs a belt of 2031 mm with the tensioner where it was measured; its travel takes "
            "2024 to 2059 mm."
        )
        assert all(c.fit.tightens for c in search.ranked)
        other = search.ranked[1]
        assert (
            "Unlike the first way it goes from Compressor to Alternator, not Water pump."
            in other.reasons
        )

    def test_a_way_closed_where_the_tensioner_was_measured(self) -> None:
        crank = pulley("crank", (0.0, 0.0), 100.0, role="crank")
        carried = pulley("t", (10.0, 0.0), 60.0, face="smooth", role="tensioner")
        slide = Tensioner(pulley="t", kind="slide", along=0.0, free=250.0, load=170.0)
        (one,) = find_routes(layout_of(crank, carried, tensioner=slide)).ranked
        assert one.fit.as_measured is False
        assert one.reasons[0] == (
            "It needs a belt of 621 mm with the tensioner at 170.0 mm, for where it was measured "
            "the belt cannot go this way; its travel takes 621 to 780 mm."
        )
        layout = layout_of(crank, carried, tensioner=slide)
        (held,) = find_routes(
            replace(layout, belt=replace(layout.belt, length=700.0, tolerance=2.0))
        ).ranked
        assert held.fit.fits
        assert held.reasons[1] == (
            "Where the tensioner's pulley was measured the belt cannot go this way: lay it so, "
            "then measure that pulley and its stops again."
        )

    def test_no_tensioner(self) -> None:
        crank = pulley("crank", (0.0, 0.0), 100.0, role="crank")
        search = find_routes(layout_of(crank, pulley("other", (300.0, 0.0), 100.0)))
        assert search.summary == "1 way found."
        assert search.ranked[0].reasons == (
            "It needs a belt of 914 mm.",
            "Its least wrap is 180°, on crank.",
        )

    def test_a_route_in_the_layout_names_the_pulleys(self) -> None:
        route = tuple(name for name in PRESS.pulleys if name != "idler")
        layout = replace(bare(PRESS), route=route)
        search = find_routes(layout)
        assert {tuple(sorted(c.route)) for c in search.ranked} == {tuple(sorted(route))}
        taken_in = find_routes(layout, ["idler", "idler"], most_studied=30)
        assert {len(c.route) for c in taken_in.ranked} == {6, 7}
        assert taken_in.ranked[0].left_out == ()


class TestSlackSide:
    """A tensioner that stands before every driven pulley, from the crank on, comes first."""

    def test_it_counts(self) -> None:
        search = find_routes(bare(PRESS), most_studied=30)
        first = [c.route.index("tensioner") == 1 for c in search.ranked]
        late = next(c for c in search.ranked if c.route[1] == "water-pump")
        assert any(
            "not on the slack side: the belt drives Water pump between" in reason
            for reason in late.reasons
        )
        assert first[0]


class TestRanking:
    """The order of the routes is the order of their merits, nothing else."""

    def test_each_merit_counts_before_the_next(self) -> None:
        search = find_routes(PRESS)
        fits = [(c.fit.fits, c.fit.tightens) for c in search.ranked]
        assert fits == [(True, True), (True, True), (True, False), (False, False)]

    @settings(max_examples=8)
    @given(tensioned(least=4, most=6, smooth=3))
    def test_sorted_by_merit(self, layout: Layout) -> None:
        search = find_routes(layout, most_studied=100)
        assert search.others == ()
        told = [Judge(layout).merits(route) for route in search.ranked]
        assert told == sorted(told)

    def test_wrap_is_wanted_by_the_layout_or_by_the_role(self) -> None:
        steering = replace(PRESS.pulleys["steering"], min_wrap=170.0)
        judge = Judge(replace(PRESS, pulleys={**PRESS.pulleys, "steering": steering}))
        assert judge.guides["steering"] == 170.0
        assert judge.guides["alternator"] == 120.0
        assert judge.guides["idler"] == 0.0
        best = find_routes(PRESS).ranked[0].found
        missing = Judge(PRESS).promise(best, best.route).shortfall
        wrap = degrees(best.wraps[best.route.index("steering")])
        assert judge.promise(best, best.route).shortfall == pytest.approx(missing + 170.0 - wrap)

    def test_outside_the_window_comes_after_inside(self) -> None:
        t = PRESS.tensioner
        assert t is not None
        narrow = replace(PRESS, tensioner=replace(t, window=(8.0, 12.0)))
        search = find_routes(narrow)
        assert [c.fit.in_window for c in search.ranked[:2]] == [True, False]
        assert search.ranked[0].found.side_of["idler"] == "ribs"
        assert search.ranked[1].reasons[0].endswith("outside its window.")


class TestLimits:
    """A search stops at its limit and says so; what cannot be searched is refused in a sentence."""

    def test_stopped(self) -> None:
        search = find_routes(PRESS, most_work=60)
        assert not search.complete
        assert search.work == 60
        assert search.summary.startswith("The search stopped after 60 steps with ")
        optional = [name for name in PRESS.pulleys if name in ("idler", "compressor")]
        assert find_routes(PRESS, optional, most_work=60).work == 60
        whole = find_routes(PRESS, most_work=find_routes(PRESS).work)
        assert whole.complete

    def test_no_way(self) -> None:
        hull = [
            pulley("crank", (0.0, 0.0), 80.0, role="crank"),
            pulley("a", (300.0, 0.0), 80.0),
            pulley("b", (150.0, 300.0), 80.0),
            pulley("inside", (150.0, 110.0), 40.0),
        ]
        search = find_routes(layout_of(*hull))
        assert search.ranked == ()
        assert search.summary.startswith("No belt can go round all of these pulleys without")

    def test_out_of_reach(self) -> None:
        search = find_routes(walled_in())
        assert search.unreachable == ("walled",)
        assert "no clear span leads to and from walled." in search.summary

    def test_a_route_open_for_a_small_part_of_the_travel_is_studied(self) -> None:
        search = find_routes(hair_open())
        assert [found.sides for found in search.ranked] == [("ribs", "ribs", "ribs", "ribs")]
        assert search.others == ()

    def test_a_route_that_rounding_closes_is_listed_only(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("beltpath.routing.solve.laid_nowhere", lambda stand: True)
        search = find_routes(hair_open())
        assert search.ranked == ()
        assert len(search.others) == 1

    @pytest.mark.parametrize(
        ("name", "message"),
        [
            ("ider", '"ider" is not a pulley of this layout; did you mean "idler"?'),
            ("crank", "is the crank, which drives the belt"),
            ("tensioner", "carries the tensioner"),
        ],
    )
    def test_what_cannot_be_optional(self, name: str, message: str) -> None:
        with pytest.raises(UsageError, match=message.replace("?", r"\?")):
            find_routes(PRESS, [name])


def hair_open() -> Layout:
    """Four equal circles nearly in line: the belt touches all of them for 2.5 mm of the slide."""
    return layout_of(
        pulley("crank", (300.0, 0.0), 100.0, role="crank"),
        pulley("a", (-200.0, 0.0), 100.0),
        pulley("b", (100.0, 3.0), 100.0),
        pulley("t", (0.0, 3.0), 95.2, face="smooth", role="tensioner", side="ribs"),
        tensioner=Tensioner(pulley="t", kind="slide", along=90.0, free=253.0, load=-2.0),
    )
