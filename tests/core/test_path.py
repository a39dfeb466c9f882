"""Tracing a belt: sides that nobody declared, routes that do not close, and what is asked of it."""

from __future__ import annotations

from math import pi

import pytest

from beltpath.errors import PathError
from beltpath.layout.reader import parse
from beltpath.solve.path import MOST_FREE_SIDES, Disc, crossings, ring, trace

#: A square of four grooved pulleys, run round clockwise, with room for others.
SQUARE = """title = "Square"
route = ["crank", "b", "c", "d"]
[belt]
section = "PK"
[pulleys]
crank = { at = [0, 0], diameter = 100, face = "grooved", role = "crank" }
b = { at = [0, 400], diameter = 100, face = "grooved", role = "pump" }
c = { at = [400, 400], diameter = 100, face = "grooved", role = "pump" }
d = { at = [400, 0], diameter = 100, face = "grooved", role = "pump" }
"""


def _with(route: str, *pulleys: str, belt: str = "") -> str:
    names = ", ".join(f'"{name}"' for name in route.split())
    text = SQUARE.replace('["crank", "b", "c", "d"]', f"[{names}]")
    text = text.replace('section = "PK"', f'section = "PK"\n{belt}')
    return text + "\n".join(pulleys) + "\n"


class TestSquare:
    """A square whose length can be said at once."""

    def test_length_and_order(self) -> None:
        path = trace(parse(SQUARE))
        assert path.length == pytest.approx(4 * 400 + 100 * pi)
        assert path.pitch_length == pytest.approx(4 * 400 + 104 * pi)
        assert [c.pulley for c in path.contacts] == ["crank", "b", "c", "d"]
        assert [(s.start, s.end) for s in path.spans] == [
            ("crank", "b"),
            ("b", "c"),
            ("c", "d"),
            ("d", "crank"),
        ]
        assert path.proper
        assert path.loop == -1
        assert {c.turns for c in path.contacts} == {"clockwise"}
        assert path.contacts[1].enter == pytest.approx((-50.0, 400.0))
        assert path.contacts[1].leave == pytest.approx((0.0, 450.0))
        assert path.contacts[1].arc == pytest.approx(25 * pi)
        assert path.speed_ratio(2) == pytest.approx(1.0)

    def test_index_of_a_pulley_that_the_belt_does_not_meet(self) -> None:
        path = trace(parse(SQUARE))
        assert path.index("c") == 2
        with pytest.raises(ValueError, match="nobody"):
            path.index("nobody")

    def test_moved(self) -> None:
        path = trace(parse(SQUARE))
        wider = path.moved("c", (400.0, 500.0)).moved("b", (0.0, 500.0))
        assert wider.length == pytest.approx(path.length + 200.0)
        assert wider.sides == path.sides

    def test_against_the_travel_it_does_not_close(self) -> None:
        layout = parse(SQUARE.replace("title", 'crank_turns = "counterclockwise"\ntitle'))
        path = trace(layout)
        assert not path.proper
        assert path.turning != pytest.approx(2 * pi)

    def test_crossing_spans_are_found(self) -> None:
        path = trace(parse(_with("crank c b d")))
        met = {(one.start, other.start): point for one, other, point in crossings(path.spans)}
        # The two diagonals of the square, each run 50 to the left of its line of centres.
        assert met["crank", "b"] == pytest.approx((200.0, 200.0 + 50.0 * 2**0.5))
        assert not path.proper


class TestSides:
    """Nobody declared a side: ribs on grooves, back on smooth, unless only else it closes."""

    BACK = 'i = { at = [-60, 200], diameter = 60, face = "smooth", role = "idler" }'
    OUT = 'i = { at = [-60, 200], diameter = 60, face = "smooth", role = "idler", side = "ribs" }'
    INSIDE = 'i = { at = [40, 200], diameter = 60, face = "smooth", role = "idler" }'

    def test_smooth_pulley_pressing_in_takes_the_back(self) -> None:
        path = trace(parse(_with("crank i b c d", self.BACK)))
        assert path.sides == ("ribs", "back", "ribs", "ribs", "ribs")
        assert path.inferred == ()
        assert path.contacts[1].turns == "counterclockwise"

    def test_smooth_pulley_that_can_only_be_passed_on_the_ribs(self) -> None:
        far = self.BACK.replace("-60", "-150")
        path = trace(parse(_with("crank i b c d", far)))
        assert path.sides == ("ribs", "ribs", "ribs", "ribs", "ribs")
        assert path.inferred == ("i",)
        assert path.proper

    def test_declared_ribs_are_not_inferred(self) -> None:
        path = trace(parse(_with("crank i b c d", self.OUT)))
        assert path.sides[1] == "ribs"
        assert path.inferred == ()

    def test_sides_may_be_fixed_by_the_caller(self) -> None:
        layout = parse(_with("crank i b c d", self.BACK))
        path = trace(layout, sides={"i": "ribs"})
        assert path.sides[1] == "ribs"
        assert path.inferred == ("i",)

    def test_double_sided_belt_takes_the_outside_of_a_grooved_pulley(self) -> None:
        grooved = 'i = { at = [40, 200], diameter = 60, face = "grooved", role = "pump" }'
        path = trace(parse(_with("crank i b c d", grooved, belt="double_sided = true")))
        assert path.sides == ("ribs", "back", "ribs", "ribs", "ribs")
        assert path.contacts[1].radius == pytest.approx(34.0)
        assert path.proper

    def test_single_sided_belt_keeps_its_ribs_in_the_grooves(self) -> None:
        grooved = 'i = { at = [40, 200], diameter = 60, face = "grooved", role = "pump" }'
        path = trace(parse(_with("crank i b c d", grooved)))
        assert set(path.sides) == {"ribs"}
        assert not path.proper

    def test_smooth_crank_on_the_back_turns_the_loop_round(self) -> None:
        text = SQUARE.replace('face = "grooved", role = "crank"', 'face = "smooth", role = "crank"')
        text = text.replace("at = [0, 0], diameter = 100", "at = [-30, 200], diameter = 80")
        text = text.replace("title", 'crank_turns = "counterclockwise"\ntitle')
        extra = 'e = { at = [0, 0], diameter = 100, face = "grooved", role = "pump" }\n'
        path = trace(parse(text.replace('"d"]', '"d", "e"]') + extra))
        assert path.sides[0] == "back"
        assert path.loop == -1
        assert path.proper
        assert path.contacts[0].turns == "counterclockwise"
        assert path.speed_ratio(1) == pytest.approx((40 + 2.2 - 2.0) / (50 + 2.0))

    def test_more_undeclared_sides_than_are_tried(self) -> None:
        count = MOST_FREE_SIDES + 1
        near = [
            f's{i} = {{ at = [{x}, 460], diameter = 30, face = "smooth", role = "idler" }}'
            for i, x in enumerate(range(40, 40 * count + 40, 40))
        ]
        # All but one lie on the line of the back; the last, far out, needs the ribs.
        near[-1] = near[-1].replace("460", "520")
        names = " ".join(f"s{i}" for i in range(count))
        text = _with(f"crank b {names} c d", *near)
        path = trace(parse(text))
        assert set(path.sides[2:-2]) == {"back"}
        assert not path.proper
        told = text.replace("520]", '520], side = "ribs"')
        assert trace(parse(told)).sides[-3] == "ribs"

    def test_a_choice_that_crosses_itself_is_passed_over(self) -> None:
        """Both idlers on the back turn the belt once as well, but through itself."""
        text = """title = "Crossed"
route = ["crank", "low", "b", "high"]
[belt]
section = "PK"
[pulleys]
crank = { at = [322, 0], diameter = 50, face = "grooved", role = "crank" }
low = { at = [0, -22], diameter = 50, face = "smooth", role = "idler" }
b = { at = [-322, 0], diameter = 50, face = "grooved", role = "pump" }
high = { at = [0, 32], diameter = 50, face = "smooth", role = "idler" }
"""
        path = trace(parse(text))
        assert crossings(path.spans) == []
        assert path.proper
        assert len(path.inferred) == 1
        both = trace(parse(text), sides={"low": "back", "high": "back"})
        assert both.proper
        assert crossings(both.spans)

    def test_two_pulleys_side_by_side_can_only_be_passed_on_one_side(self) -> None:
        """The line of each lies across the other's, so that no belt passes between them."""
        i = 'i = { at = [-95, 200], diameter = 90, face = "smooth", role = "idler" }'
        text = _with("crank i b c d", i).replace("at = [0, 400]", "at = [-90, 285]")
        path = trace(parse(text))
        assert path.inferred == ("i",)
        assert path.proper


class TestNoPath:
    """Where no belt can be laid there is an error; where one can but is wrong there is a path."""

    def test_one_inside_the_other(self) -> None:
        text = SQUARE.replace("at = [0, 400], diameter = 100", "at = [0, 20], diameter = 60")
        with pytest.raises(PathError) as caught:
            trace(parse(text))
        assert str(caught.value) == (
            "no straight run of belt fits between crank and b: one lies inside or across the "
            "other; check their positions, diameters and sides"
        )

    def test_the_plain_choice_has_the_word(self) -> None:
        """A stray choice of sides without a tangent does not hide the plain one's faults."""
        pair = [
            f'{name} = {{ at = [{x}, 200], diameter = 80, face = "smooth", role = "idler" }}'
            for name, x in (("i", 150), ("j", 220))
        ]
        layout = parse(_with("crank i j d c b", *pair))
        path = trace(layout)
        assert path.sides == ("ribs", "back", "back", "ribs", "ribs", "ribs")
        assert not path.proper
        with pytest.raises(PathError, match="between i and j"):
            trace(layout, sides={"i": "ribs"})

    def test_the_plain_error_has_the_word(self) -> None:
        """The plain choice has no tangent, another is laid but does not close: the error stands."""
        i = 'i = { at = [60, 0], diameter = 60, face = "smooth", role = "idler" }'
        layout = parse(_with("crank i d c b", i))
        with pytest.raises(PathError, match="between crank and i"):
            trace(layout)
        assert not trace(layout, sides={"i": "ribs"}).proper

    def test_no_route(self) -> None:
        layout = parse(SQUARE.replace('route = ["crank", "b", "c", "d"]\n', ""))
        with pytest.raises(PathError) as caught:
            trace(layout)
        assert str(caught.value) == (
            "this layout has no route from the crank; write one, or find it with routes"
        )
        assert trace(layout, route=["c", "d", "crank", "b"]) == trace(parse(SQUARE))


def test_a_disc_that_is_just_touched_has_no_wrap() -> None:
    discs = [
        Disc("a", (0, 0), 10, 1),
        Disc("on the line", (50, 0), 10, 1),
        Disc("b", (100, 0), 10, 1),
    ]
    laid = ring(discs)
    assert laid.contacts[1].wrap == 0.0
    assert laid.length == pytest.approx(200 + 20 * pi)
