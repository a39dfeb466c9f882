"""Laws of a wide travel: its parts and extrema are those of a dense scan, and none is left out."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from beltpath.layout.keys import TensionerKind
from beltpath.layout.layout import Layout
from beltpath.layout.reader import parse
from beltpath.layout.records import Tensioner
from beltpath.solve.many import Sweep, positions_for, sweep
from beltpath.solve.path import trace
from beltpath.solve.tensioner import Stand, Travel, stand
from tests.drives import arm, drive, grooved, smooth
from tests.strategies import drives, law, layout_of

#: Places of a scan. What lies between two of them is not seen by it.
MANY = 4001
#: Two crossings nearer than this (deg or mm) may be taken for one or none.
NEAR = 1e-5

#: Three pulleys under a fourth that swings right round over them: three parts of its travel.
ISLANDS = drive(
    {
        "crank": grooved(0, 0, 120, "crank"),
        "fan": grooved(300, 0, 120, "fan"),
        "t": grooved(150, 200, 60, "tensioner"),
    },
    tensioner=arm("t", (150, 20), free=-80, load=260),
    crank_turns="counterclockwise",
    title="Islands",
    ribs=None,
)

#: A smooth pulley that touches the belt's back only while it dips a little into the upper run.
NARROW = drive(
    {
        "crank": grooved(0, 0, 120, "crank"),
        "fan": grooved(300, 0, 120, "fan"),
        "t": smooth(150, 92, 60, "tensioner"),
    },
    tensioner=arm("t", (150, 290), free=97, load=437),
    crank_turns="counterclockwise",
    title="Narrow",
    ribs=None,
)


@st.composite
def wide(draw: DrawFn) -> Layout:
    """A sound drive, any pulley of which but the crank moves through a wide travel."""
    layout = layout_of(draw(drives()).data)
    names = [name for name in layout.pulleys if layout.pulleys[name].role != "crank"]
    name = draw(st.sampled_from(names))
    kind: TensionerKind = draw(st.sampled_from(("swing", "slide")))
    reach = draw(st.floats(20.0, 175.0)) * (1.0 if kind == "swing" else 3.0)
    free, load = draw(st.permutations((-reach, draw(st.floats(0.1, 0.9)) * reach)))
    at = layout.pulleys[name].at
    turned = draw(st.floats(0.0, 360.0))
    if kind == "slide":
        t = Tensioner(pulley=name, kind=kind, along=turned, free=free, load=load)
        return replace(layout, tensioner=t)
    arm = draw(st.floats(20.0, 300.0))
    pivot = (at[0] - arm * cos(radians(turned)), at[1] - arm * sin(radians(turned)))
    t = Tensioner(pulley=name, kind=kind, pivot=pivot, free=turned + free, load=turned + load)
    return replace(layout, tensioner=t)


def travel_of(layout: Layout) -> Travel:
    assert layout.tensioner is not None
    return Travel(layout.tensioner, trace(layout), layout.pulleys[layout.tensioner.pulley].at)


def scan(travel: Travel, ends: tuple[float, float]) -> Sweep:
    return sweep(travel, np.linspace(*ends, MANY))


def standing(layout: Layout) -> Stand:
    found = stand(layout, trace(layout))
    assert found is not None
    return found


class TestParts:
    """A position lies in a part of the travel if and only if a belt can be laid there."""

    @law
    @given(wide())
    def test_the_parts_are_where_a_belt_can_be_laid(self, layout: Layout) -> None:
        travel = travel_of(layout)
        parts = travel.parts()
        swept = scan(travel, (travel.tensioner.free, travel.tensioner.load))
        for at, ok in zip(swept.positions.tolist(), swept.ok.tolist(), strict=True):
            outside = min((max(min(p) - at, at - max(p)) for p in parts), default=1.0)
            assert abs(outside) < NEAR or ok == (outside < 0.0), at

    @law
    @given(wide())
    def test_a_belt_can_be_laid_at_the_very_ends_of_a_part_and_not_beyond(
        self, layout: Layout
    ) -> None:
        travel = travel_of(layout)
        t = travel.tensioner
        towards = 1.0 if t.load > t.free else -1.0
        for free_end, load_end in travel.parts():
            assert (load_end - free_end) * towards >= 0.0
            for end, stop, way in ((free_end, t.free, -towards), (load_end, t.load, towards)):
                assert travel.laid(end) is not None
                assert end == stop or travel.laid(end + way * NEAR) is None

    @law
    @given(wide())
    def test_the_part_that_holds_the_measured_position_is_used(self, layout: Layout) -> None:
        travel = travel_of(layout)
        measured, usable = travel.measured_position(), travel.usable()
        assert min(usable) - NEAR <= measured <= max(usable) + NEAR


class TestExtrema:
    """Between the ends of a part the length rises and falls from one extremum to the next."""

    @law
    @given(wide())
    def test_shortest_and_longest_are_those_of_the_scan(self, layout: Layout) -> None:
        found, swept = standing(layout), scan(travel_of(layout), standing(layout).usable)
        assert found.shortest <= np.nanmin(swept.lengths) + 1e-5
        assert found.longest >= np.nanmax(swept.lengths) - 1e-5

    @law
    @given(wide())
    def test_every_change_of_sign_of_the_rate_is_found(self, layout: Layout) -> None:
        travel, found = travel_of(layout), standing(layout)
        swept = scan(travel, found.usable)
        turns = np.array([at for at, _ in found.turns])
        signs = np.where(np.abs(swept.rates) > 1e-4, np.sign(swept.rates), 0.0)
        told = next(filter(None, signs), 0.0)
        for at, sign in zip(swept.positions, signs, strict=True):
            if sign and np.abs(turns - at).min(initial=1.0) > NEAR:
                passed = int(np.sum((turns - found.usable[0]) * (at - turns) > 0.0))
                assert sign == told * (-1.0) ** passed

    @law
    @given(wide())
    def test_at_each_the_rate_is_nothing(self, layout: Layout) -> None:
        travel = travel_of(layout)
        for at, length in standing(layout).turns:
            assert travel.rate_here(at) == pytest.approx(0.0, abs=2e-6)
            assert travel.path_at(at).length == length


class TestPositions:
    """Whatever belt can be laid in the part has a position there."""

    @law
    @given(wide(), st.floats(0.0, 1.0))
    def test_no_belt_that_fits_is_left_out(self, layout: Layout, share: float) -> None:
        travel, found = travel_of(layout), standing(layout)
        ends = sorted(found.usable)
        at = min(ends[0] + share * (ends[1] - ends[0]), ends[1])
        length = travel.path_at(at).length
        there = travel.position_for(length, found.usable)
        assert there is not None
        assert travel.path_at(there).length == pytest.approx(length, abs=1e-7)
        (swept,) = positions_for(travel, length, found.usable)
        assert travel.path_at(float(swept)).length == pytest.approx(length, abs=1e-7)

    @law
    @given(wide())
    def test_the_measured_length_is_at_the_measured_position(self, layout: Layout) -> None:
        """On its own side of every over-centre point."""
        travel = travel_of(layout)
        measured = travel.measured_position()
        there = travel.position_for(travel.path.length, travel.usable())
        slope = abs(travel.rate(travel.path, measured))
        assert there is not None
        assert slope < 1e-3 or there == pytest.approx(measured, abs=1e-5)


class TestIslands:
    """An arm that swings right round: parts apart, several extrema, one part that is narrow."""

    def test_every_part_is_found(self) -> None:
        """The belt runs round the swung pulley above; a little of it shows beside either end."""
        parts = travel_of(parse(ISLANDS)).parts()
        assert len(parts) == 3
        assert parts[1] == standing(parse(ISLANDS)).usable
        # The drive is the same in a mirror that stands at 90°.
        mirrored = [(180.0 - b, 180.0 - a) for a, b in reversed(parts)]
        assert np.array(parts) == pytest.approx(np.array(mirrored))

    def test_two_extrema_in_one_part(self) -> None:
        """Swung about [150, 200], the pulley is nearest at -90° and farthest at 90°."""
        text = ISLANDS.replace("pivot = [150, 20]", "pivot = [150, 120]")
        layout = parse(text.replace("free = -80", "free = -150").replace("= 260", "= 150"))
        found, travel = standing(layout), travel_of(layout)
        assert [at for at, _ in found.turns] == pytest.approx([-90.0, 90.0])
        assert found.shortest == travel.path_at(-90.0).length < found.at_free
        assert found.longest == travel.path_at(90.0).length > found.at_load
        # A belt that only the stretch between the two can take up.
        between = (max(found.at_free, found.at_load) + found.longest) / 2.0
        belt = replace(layout.belt, length=between)
        assert standing(replace(layout, belt=belt)).reached == "reached"

    def test_a_belt_in_a_narrow_part_that_a_grid_steps_over_is_found(self) -> None:
        """A travel of 340° in 48 steps has one every 7°; the part is less than one step wide."""
        layout = parse(NARROW)
        found = standing(layout)
        travel = travel_of(layout)
        assert abs(found.usable[1] - found.usable[0]) < 340.0 / 48.0
        swept = scan(travel, found.usable)
        assert swept.ok[1:-1].all()
        assert found.reached == "measured"
        belt = replace(layout.belt, length=found.path.length)
        assert standing(replace(layout, belt=belt)).reached == "reached"
