"""Laws of the tensioner: one equation in one unknown, and virtual work."""

from __future__ import annotations

from math import radians
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from beltpath.files.reading import read
from beltpath.layout.layout import Layout
from beltpath.solve.path import trace
from beltpath.solve.tensioner import Travel, stand
from tests.strategies import Made, law, layout_of, tensioned

SHARES = st.floats(0.001, 0.999)


def _travel(layout: Layout) -> Travel:
    assert layout.tensioner is not None
    path = trace(layout)
    return Travel(layout.tensioner, path, layout.pulleys[layout.tensioner.pulley].at)


class TestPosition:
    """position_for is the root of L(position) = length, as a bracketing root finder finds it."""

    @law
    @given(tensioned(kinds=("arm", "slide", "swing")), SHARES)
    def test_agrees_with_a_bracketing_root_finder(self, made: Made, share: float) -> None:
        travel = _travel(layout_of(made.data))
        free, load = travel.usable()
        ends = [travel.path_at(end).length for end in (free, load)]
        wanted = ends[0] + share * (ends[1] - ends[0])
        found = travel.position_for(wanted, (free, load))
        low, high = sorted((free, load))
        root = float(brentq(lambda p: travel.path_at(p).length - wanted, low, high, xtol=1e-12))
        assert found is not None
        # Both meet the length to 1e-9 mm; the position is that over the rate.
        slack = 1e-7 + 2e-9 / abs(travel.rate_here(found))
        assert found == pytest.approx(root, abs=slack)
        assert travel.path_at(found).length == pytest.approx(wanted, abs=2e-9)

    @law
    @given(tensioned(kinds=("arm", "slide", "swing")))
    def test_the_ends_are_reached(self, made: Made) -> None:
        travel = _travel(layout_of(made.data))
        usable = travel.usable()
        for end in usable:
            found = travel.position_for(travel.path_at(end).length, usable)
            assert found == pytest.approx(end, abs=1e-6)

    @law
    @given(tensioned(), st.floats(0.1, 500.0))
    def test_a_belt_beyond_the_travel_has_no_position(self, made: Made, beyond: float) -> None:
        travel = _travel(layout_of(made.data))
        usable = travel.usable()
        ends = [travel.path_at(end).length for end in usable]
        assert travel.position_for(max(ends) + beyond, usable) is None
        assert travel.position_for(min(ends) - beyond, usable) is None

    @law
    @given(tensioned(kinds=("arm", "slide", "swing")))
    def test_free_to_load_and_back_returns_the_same_length(self, made: Made) -> None:
        layout = layout_of(made.data)
        travel = _travel(layout)
        assert layout.tensioner is not None
        name, measured = layout.tensioner.pulley, travel.measured_at
        free, load = travel.usable()
        there = travel.path.moved(name, travel.centre(free)).moved(name, travel.centre(load))
        assert there.moved(name, measured) == travel.path
        back = travel.position_for(travel.path.length, (free, load))
        assert back == pytest.approx(travel.measured_position(), abs=1e-5)

    @law
    @given(tensioned(kinds=("arm", "slide", "swing")))
    def test_the_measured_position_is_the_measured_place(self, made: Made) -> None:
        travel = _travel(layout_of(made.data))
        assert travel.centre(travel.measured_position()) == pytest.approx(
            travel.measured_at, abs=1e-9
        )

    @law
    @given(tensioned())
    def test_the_whole_travel_is_usable_and_holds_no_over_centre(self, made: Made) -> None:
        layout = layout_of(made.data)
        found = stand(layout, trace(layout))
        assert found is not None
        assert layout.tensioner is not None
        assert found.usable == (layout.tensioner.free, layout.tensioner.load)
        assert found.over_centre is None
        assert found.longest == found.at_free > found.path.length > found.at_load == found.shortest
        assert 0.0 < found.travel_used < 1.0
        assert found.take_up > 0.0


DEMOS = [
    path
    for path in sorted((Path(__file__).parents[2] / "layouts").glob("*.toml"))
    if "[tensioner]" in path.read_text(encoding="utf-8")
]


class TestDemos:
    """On every demo layout with a tensioner the position is the bracketing root finder's."""

    def test_there_are_demos(self) -> None:
        assert len(DEMOS) >= 4

    @pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
    def test_position(self, path: Path) -> None:
        travel = _travel(read(path))
        usable = travel.usable()
        ends = [travel.path_at(end).length for end in usable]
        for share in (0.05, 0.5, 0.95):
            wanted = ends[0] + share * (ends[1] - ends[0])
            found = travel.position_for(wanted, usable)
            assert found is not None
            assert travel.path_at(found).length == pytest.approx(wanted, abs=1e-8)
            if travel.over_centre(usable) is None:
                low, high = sorted(usable)
                root = brentq(lambda p, w=wanted: travel.path_at(p).length - w, low, high)
                assert found == pytest.approx(root, abs=1e-6)


class TestRate:
    """dL/dposition is the slope of L; the release slackens the belt."""

    @law
    @given(tensioned(), SHARES)
    def test_against_finite_differences(self, made: Made, share: float) -> None:
        travel = _travel(layout_of(made.data))
        free, load = travel.usable()
        here = free + share * (load - free)
        step = 1e-4
        slope = (travel.path_at(here + step).length - travel.path_at(here - step).length) / (
            2 * step
        )
        assert travel.rate_here(here) == pytest.approx(slope, abs=1e-6)
        ahead, behind = travel.centre(here + step), travel.centre(here - step)
        assert travel.velocity(here) == pytest.approx(
            [(a - b) / (2 * step) for a, b in zip(ahead, behind, strict=True)], abs=1e-6
        )

    @law
    @given(tensioned())
    def test_release_shortens_the_path(self, made: Made) -> None:
        layout = layout_of(made.data)
        path = trace(layout)
        found = stand(layout, path)
        assert found is not None
        travel = _travel(layout)
        step = 1e-3
        if found.release == "clockwise":
            moved = travel.path_at(found.position - step)
        elif found.release == "counterclockwise":
            moved = travel.path_at(found.position + step)
        else:
            assert isinstance(found.release, float)
            same = abs((found.release - (found.tensioner.along or 0.0) + 180) % 360 - 180) < 90
            moved = travel.path_at(found.position + (step if same else -step))
        assert moved.length < path.length


class TestVirtualWork:
    """M·dθ = T·dL for an arm, F·ds = T·dL for a slide: the spring's work goes into the belt."""

    @law
    @given(tensioned())
    def test_spring_work_is_belt_work(self, made: Made) -> None:
        layout = layout_of(made.data)
        found = stand(layout, trace(layout))
        assert found is not None
        assert found.tension is not None
        t, spring = made.data["tensioner"], made.data["tensioner"]["spring"]
        travel = _travel(layout)
        step = 1e-4
        before, after = (travel.path_at(found.position + by).length for by in (-step, step))
        if t["kind"] == "arm":
            moment = spring["torque"] + spring["rate"] * (found.position - spring["at"])
            work = moment * 1000.0 * radians(2 * step)
        else:
            work = (spring["force"] + spring["rate"] * (found.position - spring["at"])) * 2 * step
        assert found.tension * abs(after - before) == pytest.approx(work, rel=1e-5)
