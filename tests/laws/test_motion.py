"""Moving, turning, mirroring and scaling a drive."""

from __future__ import annotations

import re
from math import cos, radians, sin
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from beltpath.errors import PathError
from beltpath.geometry import Point
from beltpath.layout.keys import Side
from beltpath.layout.records import SIGN
from beltpath.solve.path import BeltPath, Disc, trace
from beltpath.solve.path import ring as lay
from beltpath.solve.tensioner import Stand, stand
from tests.strategies import Data, Made, discs, law, layout_of, tensioned

ANGLES = st.floats(-360.0, 360.0)
SHIFTS = st.floats(-5_000.0, 5_000.0)


def _moved(data: Data, angle: float, dx: float, dy: float) -> Data:
    """The drive turned about the origin by an angle in degrees, then shifted."""
    c, s = cos(radians(angle)), sin(radians(angle))

    def there(at: list[float]) -> list[float]:
        return [c * at[0] - s * at[1] + dx, s * at[0] + c * at[1] + dy]

    return _placed(data, there, lambda position: position + angle)


def _mirrored(data: Data) -> Data:
    """The drive as seen from behind: left and right changed, and with them every sense."""
    other = {"clockwise": "counterclockwise", "counterclockwise": "clockwise"}
    placed = _placed(data, lambda at: [-at[0], at[1]], lambda position: 180.0 - position)
    return {**placed, "crank_turns": other[data["crank_turns"]]}


def _placed(data: Data, there: Any, turned: Any) -> Data:
    pulleys = {name: {**p, "at": there(p["at"])} for name, p in data["pulleys"].items()}
    t = dict(data["tensioner"])
    if t["kind"] == "slide":
        # The direction is kept within what the reader takes.
        t["along"] = turned(t["along"]) % 360.0
    else:
        t["pivot"] = there(t["pivot"])
        whole = 360.0 * round(turned(t["free"]) / 360.0)
        t |= {key: turned(t[key]) - whole for key in ("free", "load")}
        t["spring"] = {**t["spring"], "at": turned(t["spring"]["at"]) - whole}
    return {**data, "pulleys": pulleys, "tensioner": t}


def _stand(data: Data) -> Stand:
    layout = layout_of(data)
    found = stand(layout, trace(layout))
    assert found is not None
    return found


def _same_shape(one: Stand, other: Stand) -> None:
    assert other.path.length == pytest.approx(one.path.length, rel=1e-9)
    assert [c.wrap for c in other.path.contacts] == pytest.approx(
        [c.wrap for c in one.path.contacts], abs=1e-7
    )
    assert [s.length for s in other.path.spans] == pytest.approx(
        [s.length for s in one.path.spans], abs=1e-6
    )
    assert other.path.sides == one.path.sides
    assert other.travel_used == pytest.approx(one.travel_used, abs=1e-9)
    assert other.take_up == pytest.approx(one.take_up, abs=1e-6)
    assert other.longest == pytest.approx(one.longest, rel=1e-9)
    assert other.tension == pytest.approx(one.tension, rel=1e-5)


class TestRigidMotion:
    """Moving and turning a drive leaves lengths, wraps, sides, travel, tension and senses."""

    @law
    @given(tensioned(), ANGLES, SHIFTS, SHIFTS)
    def test_drive(self, made: Made, angle: float, dx: float, dy: float) -> None:
        one, other = _stand(made.data), _stand(_moved(made.data, angle, dx, dy))
        _same_shape(one, other)
        assert other.rate == pytest.approx(one.rate, rel=1e-6)
        if isinstance(one.release, float) and isinstance(other.release, float):
            off = (other.release - one.release - angle) % 360.0
            assert min(off, 360.0 - off) == pytest.approx(0.0, abs=1e-6)
        else:
            assert other.release == one.release


class TestMirror:
    """Mirroring a drive leaves lengths, wraps, sides, travel and tension, and changes senses."""

    @law
    @given(tensioned())
    def test_drive(self, made: Made) -> None:
        one, other = _stand(made.data), _stand(_mirrored(made.data))
        _same_shape(one, other)
        for before, after in zip(one.path.contacts, other.path.contacts, strict=True):
            assert before.turns != after.turns
        if isinstance(one.release, float) and isinstance(other.release, float):
            off = (other.release + one.release - 180.0) % 360.0
            assert min(off, 360.0 - off) == pytest.approx(0.0, abs=1e-6)
        else:
            assert {one.release, other.release} == set(SIGN)


class TestScale:
    """Scaling everything scales lengths and leaves wraps, for any loop, sound or not."""

    @law
    @given(discs(), st.floats(1e-3, 1e3))
    def test_ring(self, made: list[Disc], scale: float) -> None:
        scaled = [
            d._replace(centre=(d.centre[0] * scale, d.centre[1] * scale), radius=d.radius * scale)
            for d in made
        ]
        one, other = lay(made), lay(scaled)
        assert other.length == pytest.approx(one.length * scale, rel=1e-9)
        assert [c.wrap for c in other.contacts] == pytest.approx(
            [c.wrap for c in one.contacts], abs=1e-7
        )
        assert other.turning == pytest.approx(one.turning, abs=1e-6)


def _path(made: list[Disc]) -> BeltPath:
    """A belt round any discs, as a path."""
    laid = lay(made)
    sides: list[Side] = ["ribs" for _ in made]
    return BeltPath(
        contacts=laid.contacts,
        spans=laid.spans,
        sides=tuple(sides),
        loop=1,
        length=laid.length,
        turning=laid.turning,
        b_e=2.0,
        inferred=(),
    )


class TestOnePulleyMoved:
    """A path with one pulley moved is the path round the discs as they then are, to the last bit.

    Where those have no tangent, both ways of laying it say so in the same words.
    """

    @law
    @given(discs(), st.integers(0, 5), SHIFTS, SHIFTS)
    def test_equal(self, made: list[Disc], at: int, dx: float, dy: float) -> None:
        name, (x, y), *_ = made[at % len(made)]
        self._same(made, name, (x + dx / 50.0, y + dy / 50.0))

    @law
    @given(discs(), st.integers(1, 5), SHIFTS, SHIFTS)
    def test_equal_for_a_pulley_met_twice(
        self, made: list[Disc], at: int, dx: float, dy: float
    ) -> None:
        twice = [*made, made[at % len(made)]]
        try:
            lay(twice)
        except PathError:
            return
        name, (x, y), *_ = twice[-1]
        self._same(twice, name, (x + dx / 50.0, y + dy / 50.0))

    def _same(self, made: list[Disc], name: str, centre: Point) -> None:
        path = _path(made)
        there = [d._replace(centre=centre) if d.name == name else d for d in made]
        try:
            expected = _path(there)
        except PathError as error:
            with pytest.raises(PathError, match=f"^{re.escape(str(error))}$"):
                path.moved(name, centre)
            return
        assert path.moved(name, centre) == expected
