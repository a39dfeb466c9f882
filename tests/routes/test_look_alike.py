"""Check look-alike: another way that the same belt fits is told, with what not to do."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from math import cos, sin
from pathlib import Path

import pytest

import beltpath
from beltpath import checks
from beltpath.checks.findings import Finding
from beltpath.checks.look_alike import OtherWay, look_alike
from beltpath.errors import PathError
from beltpath.geometry import TAU
from beltpath.layout.layout import Layout
from beltpath.layout.records import Tensioner
from beltpath.routing import look_alikes as search
from beltpath.routing.look_alikes import look_alikes
from beltpath.routing.search import search_routes
from beltpath.routing.solve import may_take, misses, solve_route
from beltpath.routing.tangents import Bools, Tangents, crossing
from beltpath.solve.drive import Drive, solve
from beltpath.solve.path import crossings
from beltpath.solve.tensioner import laid_nowhere
from tests.checks.drives import SLIDE, drive_of
from tests.checks.test_facing import OFF_THE_BELT
from tests.routes.drives import layout_of, pulley

LAYOUTS = Path(__file__).parents[2] / "layouts"
TILLER = beltpath.read(LAYOUTS / "found-tiller.toml")


def found(layout: Layout) -> list[Finding]:
    """What the check says about a layout."""
    return list(look_alike(solve(layout)))


def belted(layout: Layout, length: float | None) -> Layout:
    """The layout with another belt in hand."""
    return replace(layout, belt=replace(layout.belt, length=length))


class TestTold:
    """A belt that fits another way too is a caution that says what not to do."""

    def test_a_pump_turned_backwards(self) -> None:
        (finding,) = found(TILLER)
        assert finding.level == "caution"
        assert finding.pulleys == ("water-pump",)
        assert finding.where == (TILLER.pulleys["water-pump"].at,)
        assert finding.message == (
            "This belt also fits in the same order with its ribs on Water pump. It would turn "
            "Water pump the wrong way. Do not lay the ribs of the belt on Water pump: its back "
            "belongs there."
        )

    def test_only_this_check_finds_it(self) -> None:
        others = [f for f in checks.run(solve(TILLER)) if f.check != "look-alike"]
        assert not any("water-pump" in f.pulleys and f.level == "fault" for f in others)
        assert "look-alike" in checks.names()

    def test_the_other_way_can_be_drawn(self) -> None:
        (alike,) = look_alikes(solve(TILLER)).found
        assert alike.wrong == ("water-pump",)
        assert alike.drive.path.length == pytest.approx(1172.0)
        assert alike.drive.path.sides[-1] == "ribs"

    def test_a_finding_carries_the_way_that_it_tells_of(self) -> None:
        told = [finding for finding in found(three_idlers()) if finding.level == "caution"]
        alikes = look_alikes(solve(three_idlers())).found
        assert len(alikes) == 7
        for finding, alike in zip(told, alikes, strict=False):
            assert isinstance(finding, OtherWay)
            assert finding.alike.drive.path == alike.drive.path
            assert finding.alike.wrong == alike.wrong == finding.pulleys
            assert finding.many == 7
            # For everyone else it is the finding it always was.
            assert finding == replace(finding, alike=alikes[-1], many=0, off=9.0)
            assert "alike" not in repr(finding).replace("look-alike", "")

    def test_a_declared_side_does_not_keep_a_hand_from_it(self) -> None:
        pump = replace(TILLER.pulleys["water-pump"], side="back")
        told = replace(TILLER, pulleys={**TILLER.pulleys, "water-pump": pump})
        assert [f.pulleys for f in found(told)] == [("water-pump",)]

    def test_several_pulleys_and_a_belt_that_may_fit(self) -> None:
        (finding,) = found(two_idlers())
        assert finding.pulleys == ("i", "j")
        assert finding.message == (
            "This belt may also fit in the same order with its back on i and j. It would turn i "
            "and j the wrong way. Do not lay the back of the belt on i and j: its ribs belong "
            "there."
        )

    @pytest.mark.parametrize(
        ("length", "opening"),
        [
            (1140.0, "This belt is too short for this way, but may fit"),
            (1150.0, "This belt is too short for this way, but fits"),
            (1160.0, "This belt also fits"),
            (1190.0, "This belt may also fit"),
            (1195.0, "This belt is too long for this way, but may fit"),
        ],
    )
    def test_a_belt_that_does_not_fit_its_own_way(self, length: float, opening: str) -> None:
        drive = solve(belted(TILLER, length))
        assert drive.stand is not None
        (finding,) = look_alike(drive)
        assert isinstance(finding, OtherWay)
        assert finding.message == (
            f"{opening} in the same order with its ribs on Water pump. It would turn Water pump "
            "the wrong way. Do not lay the ribs of the belt on Water pump: its back belongs there."
        )
        # The travel takes `shortest` to `longest`; the check `length` says so of the same belts.
        short, long = length - drive.stand.shortest, length - drive.stand.longest
        assert finding.off == pytest.approx(min(short, 0.0) + max(long, 0.0))
        faults = {f.check for f in checks.run(drive) if f.level == "fault"}
        assert ("length" in faults) == (finding.off != 0.0) == ("for this way" in opening)

    def test_an_order_only(self) -> None:
        (finding,) = found(mirror_twins())
        assert finding.message == (
            "This belt also fits another way: crank, i, a, j, b and back to crank. Do not lead the "
            "belt from crank to i: after crank it goes to a."
        )
        assert finding.pulleys == ("crank", "i", "a")

    def test_an_order_and_a_side(self) -> None:
        """The belt's other side on the crank turns all others, though it touches the same sides."""
        (finding,) = found(inside_out())
        assert finding.message == (
            "This belt may also fit another way: crank, c, a, b and back to crank, with its back "
            "on crank. It would turn c, a and b the wrong way. Do not lay the back of the belt on "
            "crank: its ribs belong there. Do not lead the belt from crank to c: after crank it "
            "goes to b."
        )
        assert isinstance(finding, OtherWay)
        assert finding.alike.sided == ("crank",)
        assert finding.pulleys == finding.alike.wrong == ("c", "a", "b")

    def test_a_belt_too_long_for_its_own_order_fits_a_wrong_one(self) -> None:
        wrong = beltpath.read(LAYOUTS / "orchard-sprayer-wrong-belt.toml")
        first, second = (finding.message for finding in found(wrong))
        assert first == (
            "This belt is too long for this way, but fits a wrong one: crank, tensioner, right "
            "idler, alternator, fan, pump and back to crank, with its ribs on tensioner. It would "
            "turn tensioner the wrong way. Do not lay the ribs of the belt on tensioner: its back "
            "belongs there. Do not lead the belt from tensioner to right idler: after tensioner it "
            "goes to alternator."
        )
        assert second.startswith(
            "This belt is too long for this way, but may fit a wrong one: crank, alternator, "
        )
        assert second.endswith(
            " Do not lead the belt from crank to alternator: after crank it goes to tensioner."
        )

    def test_no_two_are_told_alike(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Seven ways in the same order: no list of pulleys, but the sides that tell them apart."""
        monkeypatch.setattr("beltpath.checks.look_alike.MOST_TOLD", 10)
        told = [finding.message for finding in found(three_idlers())]
        assert len(set(told)) == len(told) == 7
        for message in told:
            assert " in the same order with its " in message
            assert "another way" not in message
            assert "back to crank" not in message

    def test_many_are_counted(self) -> None:
        told = found(three_idlers())
        assert [f.level for f in told] == ["caution"] * 3 + ["note"]
        assert told[-1].message == (
            "This belt fits 4 further ways besides. Follow the routing pulley by pulley."
        )
        assert [len(f.pulleys) for f in told] == [3, 2, 2, 0]

    def test_a_search_cut_short_says_so(self, monkeypatch: pytest.MonkeyPatch) -> None:
        def short(drive: Drive) -> search.LookAlikes:
            return look_alikes(drive, most_steps=50)

        monkeypatch.setattr(search, "look_alikes", short)
        (note,) = found(TILLER)
        assert note.level == "note"
        assert note.message == (
            "Other ways that this belt fits were not searched to the end: there may be more than "
            "are told here. Follow the routing pulley by pulley."
        )


class TestPassed:
    """A belt that fits one way only, or none that is known, gives no caution."""

    @pytest.mark.parametrize("length", [1160.0 - 8.0, 1192.0, 1300.0])
    def test_out_of_the_other_ways_reach(self, length: float) -> None:
        layout = replace(TILLER, accuracy=0.1)
        layout = replace(layout, belt=replace(layout.belt, length=length, tolerance=1.0))
        expected = ["water-pump"] if length == 1152.0 else []
        assert [name for f in found(layout) for name in f.pulleys] == expected

    def test_no_belt_is_known(self) -> None:
        drive = solve(belted(TILLER, None))
        assert list(look_alike(drive)) == []
        assert look_alikes(drive).found == ()

    def test_a_tensioner_that_would_slacken_is_no_look_alike(self) -> None:
        t = TILLER.tensioner
        assert t is not None
        wrong = replace(TILLER, tensioner=replace(t, free=t.load, load=t.free))
        assert all("tensioner" in f.pulleys for f in found(wrong))

    def test_a_way_open_for_less_than_a_step(self) -> None:
        layout = layout_of(
            pulley("crank", (300.0, 0.0), 100.0, role="crank"),
            pulley("a", (-200.0, 0.0), 100.0),
            pulley("b", (100.0, 3.0), 100.0),
            pulley("t", (0.0, 112.0), 95.2, face="smooth", role="tensioner"),
            route=("crank", "a", "t", "b"),
            tensioner=Tensioner(
                pulley="t", kind="slide", along=90.0, free=-110.5, load=60.0, window=(-109.0, 0.0)
            ),
            length=1320.0,
            tolerance=8.0,
        )
        drive = solve(layout)
        assert drive.path.sides == ("ribs", "ribs", "back", "ribs")
        ways = search_routes(layout, list(layout.pulleys)).found
        (hair,) = (way for way in ways if set(way.sides) == {"ribs"})
        # However narrow, the part of the travel that holds it is found: less than a step long.
        stand = solve_route(layout, hair).stand
        assert stand is not None
        assert 0.0 < abs(stand.usable[1] - stand.usable[0]) < 170.5 / 48.0


class TestBudget:
    """The search has a budget of its own: it never stops a check, and says that it stopped."""

    @pytest.mark.parametrize(
        ("count", "smooth", "double_sided"),
        [(40, 20, False), (60, 0, False), (100, 0, False), (100, 50, False), (100, 0, True)],
    )
    def test_too_many_spans_are_a_note(
        self, count: int, smooth: int, *, double_sided: bool
    ) -> None:
        layout = ring_of(count, smooth=smooth, double_sided=double_sided)
        drive = solve(layout)
        assert misses(drive) == pytest.approx(0.0, abs=0.1)
        (note,) = look_alike(drive)
        assert note.level == "note"
        assert note.message.startswith(
            "Other ways that this belt fits were not searched to the end"
        )
        assert look_alikes(drive) == search.LookAlikes(found=(), off=0.0, complete=False, work=0)

    def test_the_pairs_that_are_compared_are_counted(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """No table is made for more pairs than the budget has."""
        looked_at: list[int] = []

        def counted(one: Tangents, other: Tangents) -> Bools:
            looked_at.append(one.length.size * other.length.shape[1])
            return crossing(one, other)

        monkeypatch.setattr("beltpath.routing.graph.crossing", counted)
        for layout in (ring_of(30, smooth=10), TILLER, ring_of(40, smooth=20)):
            looked_at.clear()
            look_alikes(solve(layout))
            assert sum(looked_at) <= search.MOST_PAIRS
        assert looked_at == []

    def test_a_declared_side_makes_a_search_possible(self) -> None:
        free, declared = (ring_of(32, smooth=12, declared=one) for one in (False, True))
        assert look_alikes(solve(free)).work == 0
        told = look_alikes(solve(declared))
        assert (told.work > 0, told.complete) == (True, False)
        assert [f.level for f in found(declared)] == ["note"]

    def test_steps_and_solved_ways_are_counted(self) -> None:
        drive = solve(ring_of(12, double_sided=True, tolerance=100.0))
        first, second = look_alikes(drive), look_alikes(drive)
        assert not first.complete
        assert 0 < len(first.found) <= search.MOST_SOLVED // 12
        assert first.work <= search.MOST_STEPS // 12
        told = [(alike.wrong, alike.sided, alike.off) for alike in first.found]
        assert told == [(alike.wrong, alike.sided, alike.off) for alike in second.found]
        assert first.work == second.work
        assert found(drive.layout)[-1].message.startswith("Other ways that this belt fits were not")

    def test_those_that_turn_most_wrongly_are_solved_first(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(search, "MOST_SOLVED", 0)
        monkeypatch.setattr(search, "FEWEST_SOLVED", 4)
        alikes = look_alikes(solve(three_idlers()))
        assert [len(alike.wrong) for alike in alikes.found] == [3, 2, 2, 2]
        assert not alikes.complete

    def test_smooth_pulleys_cost_no_inference(self) -> None:
        """A way has all its sides: none is tried out again when it is solved."""
        alike = look_alikes(solve(three_idlers())).found[0]
        assert alike.drive.path.inferred == ()


class TestLaziness:
    """A check never loads networkx, and loads the search only where a belt is known."""

    @pytest.mark.parametrize(("length", "loaded"), [(None, False), (1172.0, True)])
    def test_search(self, length: float | None, *, loaded: bool) -> None:
        program = (
            "import json, sys, dataclasses, beltpath, beltpath.checks.look_alike\n"
            f"layout = beltpath.read({str(LAYOUTS / 'found-tiller.toml')!r})\n"
            f"belt = dataclasses.replace(layout.belt, length={length})\n"
            "study = beltpath.study(dataclasses.replace(layout, belt=belt))\n"
            "told = [f.check for f in study.findings]\n"
            "search = 'beltpath.routing.graph' in sys.modules\n"
            "print(json.dumps(['networkx' in sys.modules, search, 'look-alike' in told]))\n"
        )
        out = subprocess.run([sys.executable, "-c", program], capture_output=True, check=True)
        assert json.loads(out.stdout) == [False, loaded, loaded]


def ring_of(
    count: int,
    *,
    smooth: int = 0,
    double_sided: bool = False,
    declared: bool = False,
    tolerance: float = 8.0,
) -> Layout:
    """So many pulleys in a ring; of every two one is smooth and on the back, until `smooth` are."""
    radius = 23.0 * count + 100.0
    made = []
    for i in range(count):
        back = i % 2 == 1 and i // 2 < smooth
        angle, out = TAU * i / count, radius * (0.93 if back else 1.0)
        made.append(
            pulley(
                f"p{i}",
                (out * cos(angle), out * sin(angle)),
                70.0 if back else 80.0,
                face="smooth" if back else "grooved",
                role="idler" if back else "other" if i else "crank",
                side="back" if back and declared else None,
            )
        )
    layout = layout_of(
        *made,
        route=tuple(pulley.name for pulley in made),
        crank_turns="counterclockwise",
        tolerance=tolerance,
        double_sided=double_sided,
    )
    return belted(layout, round(solve(layout).path.length, 1))


def inside_out() -> Layout:
    """A double-sided belt that also goes round with its back on the crank, the other way round."""
    return layout_of(
        pulley("crank", (170.0, 170.0), 60.0, role="crank"),
        pulley("a", (320.0, 0.0), 50.0),
        pulley("b", (320.0, 320.0), 50.0),
        pulley("c", (20.0, -20.0), 50.0),
        route=("crank", "b", "a", "c"),
        length=1233.0,
        tolerance=3.0,
        double_sided=True,
    )


def two_idlers() -> Layout:
    """Two idlers that a straight run just touches: inside it or outside, nearly the same length."""
    layout = layout_of(
        pulley("crank", (0.0, 0.0), 100.0, role="crank"),
        pulley("a", (0.0, 300.0), 100.0),
        pulley("i", (-62.0, 100.0), 60.0, face="smooth", role="idler", side="ribs"),
        pulley("j", (-62.0, 200.0), 60.0, face="smooth", role="idler", side="ribs"),
        route=("crank", "i", "j", "a"),
        length=928.0,
        tolerance=5.0,
    )
    crank = replace(layout.crank, accuracy=1.0)
    return replace(layout, pulleys={**layout.pulleys, "crank": crank})


def three_idlers() -> Layout:
    """Three such idlers, and a belt of loose tolerance."""
    layout = two_idlers()
    far = pulley("k", (62.0, 150.0), 60.0, face="smooth", role="idler", side="ribs")
    return replace(
        layout,
        pulleys={**layout.pulleys, "k": far},
        route=("crank", "i", "j", "a", "k"),
        belt=replace(layout.belt, length=940.0, tolerance=40.0),
    )


def mirror_twins() -> Layout:
    """A drive that is its own mirror image, and a way that is not: the belt fits both."""
    return layout_of(
        pulley("crank", (0.0, 0.0), 100.0, role="crank"),
        pulley("a", (-250.0, 300.0), 100.0),
        pulley("b", (250.0, 300.0), 100.0),
        pulley("i", (-60.0, 180.0), 60.0, face="smooth", role="idler"),
        pulley("j", (60.0, 180.0), 60.0, face="smooth", role="idler"),
        route=("crank", "a", "i", "b", "j"),
        length=1868.0,
        tolerance=5.0,
    )


#: Every pulley on the back, so that no belt can be laid the way that the layout says; the same
#: order with other sides would take this belt.
ALL_ON_THE_BACK = """
title = "every pulley on the back"
route = ["d", "a", "b", "c"]
belt = { section = "PK", length = 2110 }
[pulleys]
a = { at = [225, 50], diameter = 150, face = "smooth", role = "crank" }
b = { at = [-225, 50], diameter = 150, face = "smooth", role = "other", side = "back" }
c = { at = [-225, -25], diameter = 40, face = "grooved", role = "other", side = "back" }
d = { at = [-25, 75], diameter = 40, face = "smooth", role = "other" }
[tensioner]
pulley = "b"
kind = "arm"
pivot = [242, 20]
free = 135
load = -60
"""


def test_a_way_that_no_belt_can_take_has_none() -> None:
    drive = solve(beltpath.parse(ALL_ON_THE_BACK))
    assert not drive.path.proper
    assert look_alikes(drive).found == ()
    assert list(look_alike(drive)) == []


class TestNothingToBeLike:
    """Where the layout's own way must be put right first, its length means nothing: none is told.

    `work` counts the steps of the search: it is not begun.
    """

    def test_a_way_that_crosses_itself(self) -> None:
        sprayer = beltpath.read(LAYOUTS / "orchard-sprayer.toml")
        assert sprayer.route is not None
        less = replace(
            sprayer,
            pulleys={name: p for name, p in sprayer.pulleys.items() if name != "fan"},
            route=tuple(name for name in sprayer.route if name != "fan"),
        )
        drive = solve(less)
        assert drive.path.proper
        assert crossings(drive.path.spans)
        # The belt misses the travel and fits other ways, which are found when they are asked for.
        assert misses(drive) != 0.0
        assert any(may_take(less, way) for way in search_routes(less, list(less.route or ())).found)
        assert look_alikes(drive) == search.LookAlikes(found=(), off=0.0, complete=True, work=0)
        assert list(look_alike(drive)) == []

    def test_stops_between_which_no_belt_can_be_laid(self) -> None:
        t = TILLER.tensioner
        assert t is not None
        stops = replace(t, free=240.0, load=260.0, window=None)
        drive = solve(belted(replace(TILLER, tensioner=stops), 1195.0))
        assert drive.stand is not None
        assert laid_nowhere(drive.stand)
        assert misses(drive) == pytest.approx(32.9, abs=0.1)
        assert look_alikes(drive).work == 0
        assert list(look_alike(drive)) == []

    @pytest.mark.parametrize(("length", "begun"), [(1290.0, False), (1350.0, True)])
    def test_a_drive_that_does_not_close_as_measured(self, length: float, *, begun: bool) -> None:
        """A belt that the tensioner reaches is looked after all the same."""
        drive = drive_of(SLIDE, *OFF_THE_BELT)
        drive = solve(belted(drive.layout, length))
        assert drive.path.proper
        assert not drive.as_measured.proper
        assert (misses(drive) == 0.0) == begun
        assert (look_alikes(drive).work > 0) == begun


def test_a_route_that_rounding_closes_is_no_look_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    drive = solve(two_idlers())
    assert look_alikes(drive).found

    def closed(*args: object) -> Drive:
        raise PathError("no belt can be laid")

    monkeypatch.setattr("beltpath.routing.look_alikes.solve_route", closed)
    assert look_alikes(solve(two_idlers())).found == ()
