"""Primitives know the box they cover; arrows turn and point the way they are told."""

from __future__ import annotations

from math import cos, hypot, pi, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from beltpath.cards.paper import Box
from beltpath.cards.scene import (
    Arc,
    Curve,
    Disc,
    Group,
    Pen,
    Stamp,
    To,
    Words,
    angle_of,
    around,
    arrow_head,
    line,
    rectangle,
    sampled,
    turning_arrow,
    union,
)
from beltpath.cards.text import width
from beltpath.geometry import TAU
from tests.card.scenes import head_direction, points, turn_on_paper
from tests.strategies import law

ANGLES = st.floats(-TAU, TAU)
CENTRES = st.tuples(st.floats(-100.0, 100.0), st.floats(-100.0, 100.0))


def edges(box: Box) -> tuple[float, float, float, float]:
    return (box.x, box.y, box.right, box.bottom)


class TestBoxes:
    def test_a_line_covers_its_stroke(self) -> None:
        assert edges(line((1.0, 2.0), (5.0, 2.0), Pen(width=0.5)).box) == (0.75, 1.75, 5.25, 2.25)

    def test_a_disc_covers_its_stroke(self) -> None:
        disc = Disc(centre=(10.0, 10.0), radius=3.0, pen=Pen(width=1.0))
        assert edges(disc.box) == (6.5, 6.5, 13.5, 13.5)

    @law
    @given(CENTRES, st.floats(0.5, 50.0), ANGLES, ANGLES)
    def test_an_arc_stays_in_its_box(
        self, centre: tuple[float, float], radius: float, start: float, sweep: float
    ) -> None:
        arc = Arc(centre, radius, start, sweep)
        curve = Curve(start=arc.at(0.0), pieces=(arc,), pen=Pen(width=0.2))
        # Sampling in steps of 5.6 degrees leaves a sagitta of 0.12 % of the radius.
        slack = 0.0013 * radius
        for x, y in points(curve):
            assert curve.box.x - slack <= x <= curve.box.right + slack
            assert curve.box.y - slack <= y <= curve.box.bottom + slack

    @pytest.mark.parametrize(
        ("anchor", "left"), [("start", 50.0), ("middle", 50.0 - 0.5), ("end", 50.0 - 1.0)]
    )
    def test_words_start_where_their_anchor_says(self, anchor: str, left: float) -> None:
        length = width("pump", 3.2)
        share = 50.0 - left
        words = Words(text="pump", at=(50.0, 60.0), size=3.2, anchor=anchor)  # type: ignore[arg-type]
        assert words.length == length
        assert words.box.x == pytest.approx(50.0 - share * length)
        assert words.box.y < 60.0 - 0.73 * 3.2
        assert words.box.bottom > 60.0

    def test_a_code_covers_all_its_squares(self) -> None:
        stamp = Stamp(at=(1.0, 2.0), module=0.5, rows=("101", "010"))
        assert edges(stamp.box) == (1.0, 2.0, 2.5, 3.0)

    def test_a_group_covers_its_items_or_its_clip(self) -> None:
        items = (line((0.0, 0.0), (4.0, 0.0), Pen(width=0.2)), line((2.0, 0.0), (2.0, 9.0), Pen()))
        assert edges(Group(name="g", items=items).box) == pytest.approx((-0.1, -0.125, 4.1, 9.125))
        clip = Box(x=0.0, y=0.0, width=1.0, height=1.0)
        assert Group(name="g", items=items, clip=clip).box == clip

    def test_around_and_union(self) -> None:
        box = around([(1.0, 5.0), (3.0, 2.0)], 1.0)
        assert edges(box) == (0.0, 1.0, 4.0, 6.0)
        assert edges(union([box, Box(x=2.0, y=0.0, width=9.0, height=1.0)])) == (
            0.0,
            0.0,
            11.0,
            6.0,
        )

    def test_a_rectangle_goes_round_its_box(self) -> None:
        box = Box(x=1.0, y=2.0, width=3.0, height=4.0)
        curve = rectangle(box, Pen(width=0.0))
        assert curve.closed
        assert curve.box == box


class TestCurves:
    @law
    @given(CENTRES, st.floats(0.5, 50.0), ANGLES, ANGLES)
    def test_samples_lie_on_the_arc_and_end_at_its_end(
        self, centre: tuple[float, float], radius: float, start: float, sweep: float
    ) -> None:
        arc = Arc(centre, radius, start, sweep)
        found = sampled(arc.at(0.0), (arc,))
        assert found[-1] == arc.end
        for x, y in found:
            assert hypot(x - centre[0], y - centre[1]) == pytest.approx(radius)

    def test_straight_pieces_are_their_ends(self) -> None:
        assert sampled((0.0, 0.0), (To((1.0, 0.0)), To((1.0, 1.0)))) == [
            (0.0, 0.0),
            (1.0, 0.0),
            (1.0, 1.0),
        ]

    def test_angles_on_paper_run_clockwise(self) -> None:
        assert angle_of((0.0, 0.0), (0.0, 5.0)) == pytest.approx(pi / 2.0)
        assert angle_of((1.0, 1.0), (3.0, 1.0)) == 0.0


class TestArrows:
    @law
    @given(CENTRES, ANGLES, st.floats(0.5, 5.0))
    def test_a_head_points_along_its_direction(
        self, tip: tuple[float, float], angle: float, length: float
    ) -> None:
        way = (cos(angle), sin(angle))
        found_tip, found = head_direction(arrow_head(tip, way, length, "accent"))
        assert found_tip == pytest.approx(tip, abs=1e-6)
        assert found == pytest.approx(way, abs=1e-6)

    def test_an_edged_head_has_a_white_edge(self) -> None:
        assert arrow_head((0.0, 0.0), (1.0, 0.0), 2.0, "ink", edged=True).pen.stroke == "paper"
        assert arrow_head((0.0, 0.0), (1.0, 0.0), 2.0, "ink").pen.stroke is None

    @law
    @given(
        CENTRES,
        st.floats(2.0, 30.0),
        st.sampled_from([-1, 1]),
        ANGLES,
        st.floats(150.0, 300.0),
        st.floats(0.3, 1.2),
    )
    def test_a_turning_arrow_turns_as_told(
        self,
        centre: tuple[float, float],
        radius: float,
        sign: int,
        middle: float,
        sweep: float,
        head: float,
    ) -> None:
        shaft, tip = turning_arrow(
            centre, radius, sign, middle=middle, sweep=radians(sweep), pen=Pen(), head=head
        )
        at, way = head_direction(tip)
        assert turn_on_paper(centre, at, way) == sign
        assert hypot(at[0] - centre[0], at[1] - centre[1]) == pytest.approx(radius)
        [arc] = shaft.pieces
        assert isinstance(arc, Arc)
        # Paper has y down: a positive sweep looks clockwise. The shaft stops under the head.
        assert (arc.sweep < 0.0) == (sign > 0)
        assert abs(arc.sweep) < radians(sweep)
        assert hypot(arc.end[0] - at[0], arc.end[1] - at[1]) < head
