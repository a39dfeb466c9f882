"""How often a belt turns, and that it does not matter where or which way it is told."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from beltpath.layout.records import SIGN
from beltpath.solve.path import Disc, crossings, ring, trace
from tests.strategies import Data, Made, discs, drives, law, layout_of

OTHER = {"clockwise": "counterclockwise", "counterclockwise": "clockwise"}


class TestTurning:
    """Signed wraps of a proper loop sum to one turn in its sense; of any loop, to whole turns."""

    @law
    @given(drives())
    def test_drive_with_back_bends(self, made: Made) -> None:
        path = trace(layout_of(made.data))
        signed = sum(c.sign * c.wrap for c in path.contacts)
        assert signed == pytest.approx(2 * pi * SIGN[made.data["crank_turns"]], abs=1e-9)
        assert path.turning == pytest.approx(signed, abs=1e-12)
        assert path.proper
        assert crossings(path.spans) == []
        for bend in made.bends:
            assert path.sides[path.index(bend.name)] == "back"

    @law
    @given(drives(double_sided=True))
    def test_double_sided(self, made: Made) -> None:
        path = trace(layout_of(made.data))
        assert sum(c.sign * c.wrap for c in path.contacts) == pytest.approx(
            2 * pi * SIGN[made.data["crank_turns"]], abs=1e-9
        )

    @law
    @given(discs())
    def test_any_loop_turns_a_whole_number_of_times(self, made: list[Disc]) -> None:
        turns = ring(made).turning / (2 * pi)
        assert turns == pytest.approx(round(turns), abs=1e-7)

    @law
    @given(discs())
    def test_spans_touch_their_circles_squarely(self, made: list[Disc]) -> None:
        laid = ring(made)
        for i, contact in enumerate(laid.contacts):
            for point, span in ((contact.enter, laid.spans[i - 1]), (contact.leave, laid.spans[i])):
                out = (point[0] - contact.centre[0], point[1] - contact.centre[1])
                along = out[0] * span.direction[0] + out[1] * span.direction[1]
                left = span.direction[0] * out[1] - span.direction[1] * out[0]
                assert along == pytest.approx(0.0, abs=1e-9)
                # A circle run round anticlockwise lies to the left, so the belt to its right.
                assert left == pytest.approx(-contact.sign * contact.radius, rel=1e-9)
        assert laid.length == pytest.approx(
            sum(c.arc for c in laid.contacts) + sum(s.length for s in laid.spans), rel=1e-12
        )


class TestRoute:
    """A route may start anywhere, and be told from either side: the belt is the same."""

    @law
    @given(drives(), st.integers(1, 20))
    def test_starts_anywhere(self, made: Made, by: int) -> None:
        route = made.data["route"]
        by %= len(route)
        other: Data = {**made.data, "route": route[by:] + route[:by]}
        assert trace(layout_of(other)) == trace(layout_of(made.data))

    @law
    @given(drives())
    def test_crank_comes_first(self, made: Made) -> None:
        layout = layout_of(made.data)
        path = trace(layout)
        assert path.contacts[0].pulley == layout.crank.name
        assert path.contacts[0].turns == layout.crank_turns

    @law
    @given(drives())
    def test_either_sense_of_the_crank(self, made: Made) -> None:
        back: Data = {
            **made.data,
            "crank_turns": OTHER[made.data["crank_turns"]],
            "route": made.data["route"][::-1],
        }
        one, other = trace(layout_of(made.data)), trace(layout_of(back))
        assert other.length == pytest.approx(one.length, rel=1e-12)
        wraps = {c.pulley: c.wrap for c in other.contacts}
        for contact in one.contacts:
            assert wraps[contact.pulley] == pytest.approx(contact.wrap, abs=1e-9)
        assert {c.turns for c in one.contacts} == {OTHER[c.turns] for c in other.contacts}
