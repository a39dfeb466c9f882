"""Where the tensioner stands: arms, slides, swings, ends, unusable travel, over-centre, release."""

from __future__ import annotations

from dataclasses import replace
from math import pi, sqrt

import pytest

from beltpath.layout.layout import Layout
from beltpath.layout.reader import parse
from beltpath.layout.records import Spring, Tensioner
from beltpath.solve.path import trace
from beltpath.solve.tensioner import Stand, Travel, stand, static_tension

#: Two equal pulleys 400 apart, and a smooth one that slides up between them and lifts the run.
#: The belt lies on it by its ribs, so its line has a radius of 27.6 + 2.4 = 30, like the others.
SLIDE = """title = "Sawhorse"
route = ["crank", "t", "b"]
[belt]
section = "PK"
[pulleys]
crank = { at = [-200, 0], diameter = 60, face = "grooved", role = "crank" }
t = { at = [0, 50], diameter = 55.2, face = "smooth", role = "tensioner", side = "ribs" }
b = { at = [200, 0], diameter = 60, face = "grooved", role = "pump" }
[tensioner]
pulley = "t"
kind = "slide"
along = 90
free = 70
load = -40
spring = { force = 120, at = 0, rate = -0.5 }
"""
#: The same with the pulley on an arm whose pivot lies 100 to the right of it.
ARM = SLIDE.replace(
    '"slide"\nalong = 90\nfree = 70\nload = -40', '"arm"\npivot = [100, 50]'
).replace(
    "spring = { force = 120, at = 0, rate = -0.5 }",
    "free = 150\nload = 200\nspring = { torque = 12, at = 180, rate = 0.1 }",
)


def _stand(text: str) -> Stand:
    layout = parse(text)
    found = stand(layout, trace(layout))
    assert found is not None
    return found


def _length(height: float) -> float:
    """The loop round three discs of radius 30: a triangle's sides and one turn."""
    return 400 + 2 * sqrt(200**2 + height**2) + 60 * pi


def _with_belt(text: str, length: float) -> str:
    return text.replace('section = "PK"', f'section = "PK"\nlength = {length!r}')


def _travel(layout: Layout) -> Travel:
    assert layout.tensioner is not None
    path = trace(layout)
    return Travel(layout.tensioner, path, layout.pulleys[layout.tensioner.pulley].at)


class TestSlide:
    """A slide: position, ends and rate as the triangle tells them."""

    def test_as_measured(self) -> None:
        found = _stand(SLIDE)
        assert (found.reached, found.position, found.at) == ("measured", 0.0, (0.0, 50.0))
        assert found.path.length == pytest.approx(_length(50))
        assert found.rate == pytest.approx(2 * 50 / sqrt(200**2 + 50**2))
        assert found.usable == (70, -40)
        assert found.longest == found.at_free == pytest.approx(_length(120))
        assert found.shortest == found.at_load == pytest.approx(_length(10))
        assert found.take_up == pytest.approx(_length(120) - _length(50))
        assert found.travel_used == pytest.approx(70 / 110)
        assert found.over_centre is None
        assert found.release == 270.0
        assert found.tension == pytest.approx(120 / found.rate)

    def test_reached_by_a_belt(self) -> None:
        found = _stand(_with_belt(SLIDE, _length(80)))
        assert found.reached == "reached"
        assert found.position == pytest.approx(30.0, abs=1e-6)
        assert found.at == pytest.approx((0.0, 80.0), abs=1e-6)
        assert found.tension == pytest.approx((120 - 0.5 * 30) / found.rate)

    def test_too_long(self) -> None:
        found = _stand(_with_belt(SLIDE, _length(120) + 5))
        assert (found.reached, found.position) == ("too long", 70)
        assert found.travel_used == 0.0

    def test_too_short(self) -> None:
        found = _stand(_with_belt(SLIDE, _length(10) - 5))
        assert (found.reached, found.position) == ("too short", -40)
        assert found.travel_used == 1.0

    def test_release_along_the_slide(self) -> None:
        """Written the other way round, the slide has the same release."""
        turned = SLIDE.replace(
            "along = 90\nfree = 70\nload = -40", "along = -90\nfree = -70\nload = 40"
        )
        assert _stand(turned).release == 270.0
        assert _stand(turned).rate < 0.0


class TestArm:
    """An arm: its angle, its rate in mm per degree, and which way the lever goes."""

    def test_as_measured(self) -> None:
        found = _stand(ARM)
        assert found.position == pytest.approx(180.0)
        assert found.at == pytest.approx((0.0, 50.0))
        # Anticlockwise at 180° is straight down: the belt slackens by 2·sin of its slope.
        slope = 50 / sqrt(200**2 + 50**2)
        assert found.rate == pytest.approx(-100 * (pi / 180) * 2 * slope)
        assert found.release == "counterclockwise"
        assert found.tension == pytest.approx(12_000 / (100 * 2 * slope))

    def test_reached_by_a_belt(self) -> None:
        wanted = _travel(parse(ARM)).path_at(160.0).length
        found = _stand(_with_belt(ARM, wanted))
        assert found.reached == "reached"
        assert found.position == pytest.approx(160.0, abs=1e-7)

    def test_turned_over_it_slackens_clockwise(self) -> None:
        text = ARM.replace("pivot = [100, 50]", "pivot = [-100, 50]")
        text = text.replace("free = 150\nload = 200", "free = 30\nload = -20").replace("180", "0")
        assert _stand(text).release == "clockwise"

    @pytest.mark.parametrize("whole", [-360, 0, 360])
    def test_written_through_a_whole_turn(self, whole: int) -> None:
        text = ARM.replace("150", str(150 + whole)).replace("load = 200", f"load = {200 + whole}")
        found = _stand(text.replace("at = 180", f"at = {180 + whole}"))
        assert found.position == pytest.approx(180.0 + whole)
        assert found.tension == pytest.approx(_stand(ARM).tension)

    def test_swing_is_bolted_and_has_no_tension(self) -> None:
        text = ARM.replace('"arm"', '"swing"').replace("spring", "# spring")
        found = _stand(text)
        assert found.position == pytest.approx(180.0)
        assert found.rate == pytest.approx(_stand(ARM).rate)
        assert found.tension is None


def test_no_tensioner() -> None:
    layout = parse(SLIDE.partition("[tensioner]")[0])
    assert stand(layout, trace(layout)) is None


class TestUnusableTravel:
    """The belt can be laid in a part of the travel only, or nowhere."""

    def test_ends_where_the_pulley_leaves_the_belt(self) -> None:
        # Below the line of the two others the belt does not touch the slide's pulley.
        found = _stand(SLIDE.replace("load = -40", "load = -90"))
        assert found.usable[0] == 70
        assert found.usable[1] == pytest.approx(-50.0, abs=1e-6)
        assert found.at_load == pytest.approx(_length(0))
        assert found.travel_used == pytest.approx(70 / 160)

    def test_free_end(self) -> None:
        found = _stand(SLIDE.replace("free = 70\nload = -40", "free = -90\nload = 70"))
        assert found.usable[0] == pytest.approx(-50.0, abs=1e-6)
        assert found.usable[1] == 70
        assert found.shortest == found.at_free

    def test_nowhere_because_another_pulley_is_there(self) -> None:
        text = SLIDE.replace(
            "along = 90\nfree = 70\nload = -40", "along = 0\nfree = 198\nload = 202"
        )
        text = text.replace("diameter = 60, face", "diameter = 120, face")
        found = _stand(text.replace("[0, 50]", "[0, 1]"))
        assert (found.usable, found.reached) == ((0.0, 0.0), "measured")
        assert found.at_free == found.at_load == found.path.length

    def test_nowhere_because_the_belt_would_miss_it(self) -> None:
        found = _stand(SLIDE.replace("free = 70\nload = -40", "free = -80\nload = -120"))
        assert (found.usable, found.position, found.reached) == ((0.0, 0.0), 0.0, "measured")

    def test_a_belt_in_hand_moves_nothing_where_it_cannot_be_laid(self) -> None:
        text = SLIDE.replace("free = 70\nload = -40", "free = -80\nload = -120")
        found = _stand(text.replace("[belt]", "[belt]\nlength = 700"))
        assert (found.position, found.reached) == (0.0, "measured")

    def test_a_drive_that_is_wrong_as_measured_still_has_a_stand(self) -> None:
        """Its faults are told by the checks; the numbers are those of the drive as it is."""
        text = SLIDE.replace("title", 'crank_turns = "counterclockwise"\ntitle')
        found = _stand(text)
        assert not found.path.proper
        assert found.usable == (70, -40)


class TestOverCentre:
    """dL/dposition changes sign where the pulley stands on the line of symmetry."""

    TEXT = SLIDE.replace("along = 90\nfree = 70\nload = -40", "along = 0\nfree = 80\nload = -150")

    def test_found(self) -> None:
        layout = parse(self.TEXT)
        found = stand(layout, trace(layout))
        assert found is not None
        assert found.over_centre == pytest.approx(0.0, abs=1e-6)

    def test_on_centre_no_tension_is_invented(self) -> None:
        found = _stand(self.TEXT)
        assert found.rate == pytest.approx(0.0, abs=1e-9)
        assert found.tension is None

    def test_a_length_between_the_ends_is_still_met(self) -> None:
        travel = _travel(parse(self.TEXT))
        ends = [travel.path_at(end).length for end in (80.0, -150.0)]
        for share in (0.01, 0.3, 0.9, 0.999):
            wanted = ends[0] + share * (ends[1] - ends[0])
            found = travel.position_for(wanted, (80.0, -150.0))
            assert found is not None
            assert travel.path_at(found).length == pytest.approx(wanted, abs=1e-8)

    def test_newton_started_on_centre_falls_back_on_halving(self) -> None:
        """The secant's first guess is the point where the derivative vanishes."""
        travel = _travel(parse(self.TEXT))
        low, high = -150.0, 60.0
        at_low, at_high, on = (travel.path_at(p).length for p in (low, high, 0.0))
        assert on < at_high < at_low
        wanted = at_low + (0.0 - low) / (high - low) * (at_high - at_low)
        found = travel.position_for(wanted, (low, high))
        assert found is not None
        assert travel.path_at(found).length == pytest.approx(wanted, abs=1e-8)

    def test_equal_ends_hold_their_own_length(self) -> None:
        travel = _travel(parse(self.TEXT))
        assert travel.position_for(travel.path_at(60.0).length, (60.0, 60.0)) == 60.0


class TestStaticTension:
    """T = M/|dL/dθ|, F/|dL/ds|; nothing where it cannot be known."""

    ARM = Tensioner(pulley="t", kind="arm", free=0, load=10, pivot=(0, 0))
    SLIDE = Tensioner(pulley="t", kind="slide", free=0, load=10, along=0)

    def test_arm(self) -> None:
        # 20 N·m at a lever of 0.1 m on a doubled belt: dL/dθ = 0.2 m a radian, so 100 N.
        spring = Spring(effort=20.0, at=5.0)
        assert static_tension(self.ARM, spring, 5.0, 200.0 * pi / 180.0) == pytest.approx(100.0)
        assert static_tension(self.ARM, spring, 5.0, -200.0 * pi / 180.0) == pytest.approx(100.0)

    def test_rate_of_the_spring(self) -> None:
        spring = Spring(effort=100.0, at=2.0, rate=-5.0)
        assert static_tension(self.SLIDE, spring, 6.0, 2.0) == pytest.approx(40.0)

    def test_a_spent_spring_pulls_no_belt(self) -> None:
        spring = Spring(effort=100.0, at=2.0, rate=-5.0)
        assert static_tension(self.SLIDE, spring, 30.0, 2.0) == 0.0

    @pytest.mark.parametrize("rate", [0.0, 1e-9, -1e-7])
    def test_on_centre(self, rate: float) -> None:
        assert static_tension(self.SLIDE, Spring(effort=100.0, at=0.0), 0.0, rate) is None


def test_velocity_is_the_motion_of_the_centre() -> None:
    travel = _travel(parse(ARM))
    assert travel.velocity(180.0) == pytest.approx((0.0, -100 * pi / 180))
    assert travel.velocity(90.0) == pytest.approx((-100 * pi / 180, 0.0))
    assert _travel(parse(SLIDE)).velocity(12.0) == pytest.approx((0.0, 1.0))


def test_measured_position_outside_the_travel_is_kept() -> None:
    """The layout's centre counts where no belt is given, stops or not: the checks tell of it."""
    found = _stand(ARM.replace("free = 150\nload = 200", "free = 150\nload = 170"))
    assert found.position == pytest.approx(180.0)
    assert found.travel_used == pytest.approx(1.5)
    layout = parse(ARM)
    assert layout.tensioner is not None
    far = replace(layout.tensioner, free=30.0, load=10.0)
    away = Travel(far, trace(layout), (0.0, 50.0)).measured_position()
    assert away == pytest.approx(180.0)


class TestAngles:
    """An angle is the same after a whole turn: all of a tensioner's are read by one rule."""

    @pytest.mark.parametrize("turns", [-2, -1, 0, 1, 3])
    def test_the_springs_place_is_taken_round(self, turns: int) -> None:
        text = ARM.replace("at = 180", f"at = {178 + 360 * turns}")
        assert _stand(text).tension == pytest.approx(
            _stand(ARM.replace("at = 180", "at = 178")).tension
        )

    @pytest.mark.parametrize("turns", [-1, 0, 1])
    def test_so_is_the_window(self, turns: int) -> None:
        text = f"{ARM}\n".replace("free = 150", f"window = [{190 + 360 * turns}, 160]\nfree = 150")
        assert _stand(text).tensioner.window == (160.0, 190.0)

    def test_so_is_a_record_made_in_python(self) -> None:
        t = Tensioner(
            pulley="t",
            kind="arm",
            free=-30,
            load=-95,
            pivot=(0, 0),
            window=(300, -40),
            spring=Spring(effort=20.0, at=331.0, rate=0.5),
        )
        assert t.window == (-60.0, -40.0)
        assert t.spring == Spring(effort=20.0, at=-29.0, rate=0.5)

    def test_a_slides_places_are_no_angles(self) -> None:
        spring = Spring(effort=20.0, at=331.0)
        t = Tensioner(pulley="t", kind="slide", free=400, load=300, along=0, spring=spring)
        assert t.spring == spring
