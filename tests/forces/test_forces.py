"""Forces of whole drives, against numbers worked out by hand and against equilibrium."""

from __future__ import annotations

from dataclasses import replace
from math import isinf, pi, radians, sin, sqrt, tan

import pytest

from beltpath.data.sections import section
from beltpath.data.tables import read_table
from beltpath.errors import LayoutError
from beltpath.layout.layout import stand_in
from beltpath.layout.reader import parse
from beltpath.layout.records import Measured
from beltpath.solve.drive import Drive, solve
from beltpath.solve.forces import (
    ContactForce,
    Forces,
    contact_friction,
    forces,
    forces_or_reason,
    guides_for,
)
from tests.forces.scenes import (
    CIDER_MILL,
    LATHE,
    SAW,
    WASHER,
    drive_of,
    edited,
    forces_of,
    reason_of,
)


def contact(found: Forces, pulley: str, at: int = 0) -> ContactForce:
    return next(c for c in found.low[at].contacts if c.pulley == pulley)


class TestSpeeds:
    """Speeds follow the pitch radii: 75 + 2 mm on the crank, 30 + 2 on the alternator."""

    def test_belt_speed_is_that_of_the_cranks_pitch_line(self) -> None:
        (slow, *_) = forces_of(CIDER_MILL).low
        assert slow.belt_speed == pytest.approx(2.0 * pi * 0.077 * 800.0 / 60.0, rel=1e-12)

    def test_pulley_rpm(self) -> None:
        found = forces_of(CIDER_MILL)
        assert contact(found, "crank").rpm == 800.0
        assert contact(found, "alternator").rpm == pytest.approx(800.0 * 77.0 / 32.0)
        # The back runs on the tensioner: its cord is at 47.5 + 2.2 - 2 mm.
        assert contact(found, "tensioner").rpm == pytest.approx(800.0 * 77.0 / 47.7)


class TestTorques:
    def test_a_power_gives_a_torque_that_falls_with_speed(self) -> None:
        found = forces_of(CIDER_MILL)
        for at in range(3):
            driven = contact(found, "alternator", at)
            assert driven.torque * driven.rpm * 2.0 * pi / 60.0 == pytest.approx(2200.0)

    def test_a_torque_is_the_same_at_every_speed(self) -> None:
        found = forces_of(CIDER_MILL)
        assert [contact(found, "pump", at).torque for at in range(3)] == pytest.approx([12.0] * 3)

    def test_idlers_and_the_tensioner_carry_none(self) -> None:
        found = forces_of(CIDER_MILL)
        for name in ("idler", "tensioner"):
            assert contact(found, name).torque == 0.0
            assert isinf(contact(found, name).slip_reserve)

    def test_each_driven_pulley_raises_the_tension_by_its_pull(self) -> None:
        """Crank, tensioner, alternator, idler, pump: 2200 W at 6.4507 m/s, and 12 N·m at 67 mm."""
        spans = forces_of(CIDER_MILL).low[0].spans
        first, second, third, fourth, last = (span.tension for span in spans)
        assert first == second
        assert third - second == pytest.approx(2200.0 / (2.0 * pi * 0.077 * 800.0 / 60.0))
        assert fourth == third
        assert last - fourth == pytest.approx(12.0 / 0.067)


class TestSpring:
    def test_the_tensioners_spans_carry_what_the_spring_sets_and_their_inertia(self) -> None:
        drive = drive_of(CIDER_MILL)
        found = forces(drive)
        assert found is not None and drive.stand is not None and drive.stand.tension is not None
        assert found.held.basis == "spring"
        for at in found.low:
            inertia = 6 * 0.0235 * at.belt_speed**2
            for span in at.spans[:2]:
                assert span.grip == pytest.approx(drive.stand.tension)
                assert span.tension == pytest.approx(drive.stand.tension + inertia)

    def test_the_springs_moment_is_in_balance_with_the_running_belt(self) -> None:
        """34 N·m at -80°, less 0.2 N·m for each degree beyond: no drive code, only moments."""
        drive = drive_of(CIDER_MILL)
        found = forces(drive)
        assert found is not None and drive.stand is not None
        moment = 34.0 - 0.2 * (drive.stand.position + 80.0)
        for at in found.low:
            assert abs(about_pivot(drive, at.contacts[1])) == pytest.approx(moment, rel=1e-9)

    def test_a_loaded_pulley_on_an_arm(self) -> None:
        """The arm carries the accessory's housing, so moments about its pivot leave the spring."""
        drive = drive_of(CIDER_MILL, LOADED_TENSIONER)
        found = forces(drive)
        assert found is not None and drive.stand is not None
        moment = 34.0 - 0.2 * (drive.stand.position + 80.0)
        tensioner = found.low[0].contacts[1]
        assert tensioner.torque == pytest.approx(3.0)
        assert tensioner.leaving - tensioner.entering == pytest.approx(3.0 / 0.0477)
        assert about_pivot(drive, tensioner) == pytest.approx(-moment, rel=1e-9)

    def test_a_loaded_pulley_on_a_slide(self) -> None:
        """The slide's guide takes the torque; along it the hub load is the spring's 1200 N."""
        found = forces_of(SAW)
        x, y = contact(found, "blade").hub
        along = (x * sin(radians(80.0)), y * sin(radians(10.0)))
        assert sum(along) == pytest.approx(-1200.0, rel=1e-9)

    def test_the_spring_in_balance_of_an_unloaded_slide(self) -> None:
        found = forces_of(SAW, (", load = { torque_nm = 9 }", ""))
        x, y = contact(found, "blade").hub
        assert x * sin(radians(80.0)) + y * sin(radians(10.0)) == pytest.approx(-1200.0)
        assert contact(found, "crank").torque == 0.0


LOADED_TENSIONER = ('role = "tensioner"', 'role = "tensioner", load = { torque_nm = 3 }')


def about_pivot(drive: Drive, c: ContactForce) -> float:
    """Moment (N·m) about the arm's pivot of the two spans, each along its own line on the cord.

    The cord runs b_e further out than the effective line, so both points move along the normal.
    """
    assert drive.stand is not None and drive.stand.tensioner.pivot is not None
    i = drive.path.index(c.pulley)
    on_path = drive.path.contacts[i]
    scale = drive.path.pitch_radius(i) / on_path.radius
    px, py = drive.stand.tensioner.pivot
    cx, cy = on_path.centre
    total = 0.0
    for point, span, pull in (
        (on_path.enter, drive.path.spans[i - 1], -c.entering),
        (on_path.leave, drive.path.spans[i], c.leaving),
    ):
        x, y = cx + (point[0] - cx) * scale - px, cy + (point[1] - cy) * scale - py
        total += pull * (x * span.direction[1] - y * span.direction[0]) / 1000.0
    return total


class TestFixedCentres:
    def test_by_hand(self) -> None:
        """10.4 N·m on a pitch radius of 52 mm pulls 200 N; the mean stays at 400 N: 300 and 500."""
        found = forces_of(LATHE)
        (at,) = found.low
        assert found.held.basis == "given" and not found.held.sprung
        assert [span.tension for span in at.spans] == pytest.approx([300.0, 500.0])
        inertia = 4 * 0.0235 * (2.0 * pi * 0.052 * 20.0) ** 2
        assert [s.grip for s in at.spans] == pytest.approx([300.0 - inertia, 500.0 - inertia])

    def test_a_bolted_slide_keeps_its_length_too(self) -> None:
        """The mean of T over spans and arcs is what was set."""
        found = forces_of(SAW, BOLTED_SAW)
        drive = drive_of(SAW, BOLTED_SAW)
        (at,) = found.low
        t = [span.tension for span in at.spans]
        total = sum(span.length * here for span, here in zip(drive.path.spans, t, strict=True))
        for i, c in enumerate(drive.path.contacts):
            total += c.wrap * (c.radius + 2.0) * (t[i - 1] + t[i]) / 2.0
        assert total / drive.path.pitch_length == pytest.approx(500.0)

    def test_a_measured_tension_on_an_arm_is_held_by_its_spring(self) -> None:
        found = forces_of(CIDER_MILL, ("crank_rpm", "tension = 300\ncrank_rpm"))
        assert found.held == ("given", 300.0, 300.0, True, 300.0)
        assert [at.spans[0].grip for at in found.low] == pytest.approx([300.0] * 3)

    @pytest.mark.parametrize(
        ("scene", "edits"),
        [
            (CIDER_MILL, [("spring = { torque = 34, at = -80, rate = -0.2 }\n", "")]),
            (CIDER_MILL, []),
            (SAW, []),
        ],
    )
    def test_an_arm_is_sprung_without_its_spring_told_and_so_is_a_sprung_slide(
        self, scene: str, edits: list[tuple[str, str]]
    ) -> None:
        found = forces_of(scene, ("[running]", "[running]\ntension = 350"), *edits)
        assert found.held == ("given", 350.0, 350.0, True, 350.0)

    def test_a_bolted_slide_is_not(self) -> None:
        assert forces_of(SAW, BOLTED_SAW).held == ("given", 500.0, 500.0, False, 500.0)


BOLTED_SAW = (
    "spring = { force = 1200, at = 0, rate = -5 }\n\n[running]",
    "[running]\ntension = 500",
)


class TestStretch:
    def test_the_interval(self) -> None:
        """Low: softest cord, longest belt; high: stiffest cord, shortest belt. Three ribs."""
        drive = drive_of(WASHER)
        found = forces(drive)
        assert found is not None and found.interval
        path = drive.path.length
        assert found.held.low == pytest.approx(3 * 2200.0 * (path - 1164.0) / 1164.0)
        assert found.held.high == pytest.approx(3 * 6300.0 * (path - 1156.0) / 1156.0)
        assert found.held.most == pytest.approx(3 * 6300.0 * (path - 1160.0) / 1160.0)
        assert found.held.basis == "stretch" and not found.held.sprung
        assert found.low[1].spans[0].tension < found.high[1].spans[0].tension

    def test_a_known_stiffness_and_length_give_one_number(self) -> None:
        drive = drive_of(WASHER, *MEASURED_WASHER)
        found = forces(drive)
        assert found is not None and not found.interval
        assert found.high is found.low
        assert found.held.low == pytest.approx(3 * 4000.0 * (drive.path.length - 1160.0) / 1160.0)

    def test_a_belt_that_may_be_too_long_has_no_tension_at_the_low_end(self) -> None:
        found = forces_of(WASHER, ("length = 1160", "length = 1180"))
        assert found.held.low == 0.0 < found.held.high
        assert found.low[0].spans[0].slack and found.low[0].spans[0].standing_frequency == 0.0


MEASURED_WASHER = (
    ("tolerance = 4", "tolerance = 0"),
    ("[running]", "[running]\nstiffness_per_rib = 4000"),
)


class TestUnknown:
    """No force is invented: the reason says what is missing."""

    @pytest.mark.parametrize(
        ("scene", "edits", "phrase"),
        [
            (LATHE, [("[running]\ncrank_rpm = [1200]\ntension = 400\n", "")], "no [running]"),
            (LATHE, [("tension = 400\n", "")], "(swing) has no spring"),
            (CIDER_MILL, [("spring = { torque = 34, at = -80, rate = -0.2 }\n", "")], "(arm) has"),
            (WASHER, [("elastic = true\n", "")], "no tensioner, so its tension is not known"),
            (WASHER, [("length = 1160\n", "")], "give belt.length"),
            (WASHER, [("length = 1160", "length = 1200")], "longer than its path"),
            (WASHER, [('"PK"', '"PJ"')], "running.stiffness_per_rib"),
            (CIDER_MILL, [("free = -55", "free = -110"), ("load = -110", "load = -55")], "free"),
            (CIDER_MILL, [("free = -55", "free = -110"), ("load = -110", "load = -55"),
                          ("[running]", "[running]\ntension = 300")], "does not tighten"),
            (CIDER_MILL, [("rate = -0.2", "rate = 8")], "no force left"),
            (CIDER_MILL, [("ribs = 6", "ribs = 6\nlength = 1000")], "too short"),
            (CIDER_MILL, [("ribs = 6", "ribs = 6\nlength = 1900")], "too long"),
            (LATHE, [('role = "crank"', 'role = "crank", load = { torque_nm = 1 }')], "crank is"),
            (LATHE, [("ribs = 4", "ribs = 4\ndouble_sided = true")], "running.mass_per_rib"),
            (LATHE, [('["crank", "spindle"]', '["spindle", "crank"]'),
                     ('role = "other"', 'role = "other", side = "back"')], "path has a fault"),
        ],
    )  # fmt: skip
    def test_reason(self, scene: str, edits: list[tuple[str, str]], phrase: str) -> None:
        assert phrase in reason_of(scene, *edits)
        assert forces(drive_of(scene, *edits)) is None

    def test_a_pulley_smaller_than_the_depth_of_the_cord(self) -> None:
        """A V-belt's cord runs 2.62 mm inside the effective line: none round a 5 mm pulley."""
        layout = parse(edited(LATHE, ("ribs = 4\n", ""), ('"PK"', '"AV13"')))
        tiny = replace(layout.pulleys["spindle"], measured=Measured("diameter", 5.0))
        drive = solve(stand_in(layout, pulleys={**layout.pulleys, "spindle": tiny}))
        assert "spindle is so small" in str(forces_or_reason(drive))

    def test_on_centre_no_tension_balances_the_spring(self) -> None:
        """An arm in line with the pull of both spans, its tension measured, or told as None."""
        edits = (
            ('kind = "swing"\npivot = [200, 300]', 'kind = "arm"\npivot = [0, 200]'),
            ("free = 170\nload = 190", "free = 100\nload = 80"),
        )
        assert "does not tighten" in reason_of(LATHE, *edits)
        drive = drive_of(CIDER_MILL)
        assert drive.stand is not None
        on_centre = replace(drive, stand=replace(drive.stand, tension=None))
        assert "does not tighten" in str(forces_or_reason(on_centre))

    def test_what_is_asked_for_is_enough(self) -> None:
        """Following the sentence brings the forces."""
        no_spring = ("spring = { torque = 34, at = -80, rate = -0.2 }\n", "")
        assert "give running.tension" in reason_of(CIDER_MILL, no_spring)
        assert forces_of(CIDER_MILL, no_spring, ("[running]", "[running]\ntension = 350"))
        double = ("ribs = 4", "ribs = 4\ndouble_sided = true")
        found = forces_of(LATHE, double, ("[running]", "[running]\nmass_per_rib = 0.04"))
        assert found.mass == pytest.approx(0.16)


class TestSlack:
    def test_a_span_without_grip_is_slack(self) -> None:
        """A pull of 1000 N on a mean of 400 N asks the slack side to push."""
        (at,) = forces_of(LATHE, ("torque_nm = 10.4", "torque_nm = 52")).low
        assert [span.slack for span in at.spans] == [True, False]
        assert at.spans[0].frequency == 0.0
        assert [c.slip_reserve for c in at.contacts] == [0.0, 0.0]
        assert all(c.slack for c in at.contacts)

    def test_a_belt_between_fixed_centres_is_flung_off_at_speed(self) -> None:
        """v = sqrt(T/m) = 65 m/s takes all of 400 N; the crank reaches that at 12 000 rpm."""
        speed = sqrt(400.0 / (4 * 0.0235))
        rpm = speed / (2.0 * pi * 0.052) * 60.0
        no_load = (", load = { torque_nm = 10.4 }", "")
        for factor, slack in ((0.999, False), (1.001, True)):
            (at,) = forces_of(LATHE, no_load, ("[1200]", f"[{rpm * factor}]")).low
            assert [span.slack for span in at.spans] == [slack, slack]


class TestFriction:
    def test_by_face_and_side(self) -> None:
        found = forces_of(CIDER_MILL)
        assert contact(found, "pump").friction == 0.5
        assert contact(found, "idler").friction == 0.3

    @pytest.mark.parametrize(
        ("edits", "friction"),
        [
            ([('diameter = 100, face = "grooved", role = "other"',
               'diameter = 100, face = "smooth", side = "ribs", role = "other"')], 0.3),
            ([], 0.5),
        ],
    )  # fmt: skip
    def test_ribs_on_a_smooth_face_grip_like_a_smooth_face(
        self, edits: list[tuple[str, str]], friction: float
    ) -> None:
        assert contact(forces_of(LATHE, *edits), "spindle").friction == friction

    def test_a_double_sided_belt_grips_grooves_with_its_back(self) -> None:
        drive = drive_of(CIDER_MILL, GROOVED_IDLER, ("ribs = 6", "ribs = 6\ndouble_sided = true"))
        i = drive.path.index("idler")
        assert contact_friction(drive.layout, drive.path, i, guides_for(drive.layout)).value == 0.5

    def test_the_back_on_groove_tips_grips_like_a_smooth_face(self) -> None:
        drive = drive_of(CIDER_MILL, GROOVED_IDLER)
        i = drive.path.index("idler")
        assert contact_friction(drive.layout, drive.path, i, guides_for(drive.layout)).value == 0.3


GROOVED_IDLER = (
    'face = "smooth", role = "idler"',
    'face = "grooved", side = "back", role = "idler"',
)


class TestGuides:
    def test_every_row_has_a_unit_a_status_and_a_source(self) -> None:
        rows = read_table("guides.csv")
        assert len(rows) == len({row["key"] for row in rows}) == 12
        for row in rows:
            assert row["status"] in ("published", "computed", "common practice", "from memory")
            assert row["unit"] and row["source"] and float(row["value"]) > 0.0

    def test_the_wedge_row_is_that_of_the_groove(self) -> None:
        rows = {row["key"]: float(row["value"]) for row in read_table("guides.csv")}
        angle = section("PK").number("groove_angle")
        assert angle == 40.0
        assert rows["wedge.40deg"] == pytest.approx(1.0 / sin(radians(angle / 2.0)), abs=5e-4)

    @pytest.mark.parametrize("name", ["AV10", "AV13"])
    def test_v_belts_weigh_what_their_trapezoid_does(self, name: str) -> None:
        rows = {row["key"]: float(row["value"]) for row in read_table("guides.csv")}
        sect = section("AV10" if name == "AV10" else "AV13")
        width, angle = sect.number("top_width"), sect.number("groove_angle")
        assert width is not None and angle is not None
        area = (width - sect.height * tan(radians(angle / 2.0))) * sect.height * 1e-6
        assert rows[f"mass.{name}"] == pytest.approx(1250.0 * area, abs=5e-4)

    def test_the_stiffness_rows_follow_from_their_source(self) -> None:
        rows = {row["key"]: float(row["value"]) for row in read_table("guides.csv")}
        assert rows["stiffness.elastic_low"] == pytest.approx(65.0 / 0.03, rel=0.02)
        assert rows["stiffness.elastic_high"] == pytest.approx(95.0 / 0.015, rel=0.02)

    @pytest.mark.parametrize("name", ["PH", "PJ", "PK", "PL", "PM"])
    def test_every_ribbed_section_has_a_mass(self, name: str) -> None:
        guides = guides_for(parse(edited(CIDER_MILL, ('"PK"', f'"{name}"'))))
        assert guides.mass is not None and guides.mass.unit == "kg/m"

    def test_a_layouts_own_values_take_their_place(self) -> None:
        own = (
            "[running]\nfriction_ribs = 0.42\nfriction_back = 0.21\nmass_per_rib = 0.02\n"
            "stiffness_per_rib = 5000"
        )
        found = forces_of(CIDER_MILL, ("[running]", own))
        assert contact(found, "pump").friction == 0.42
        assert contact(found, "idler").friction == 0.21
        assert found.mass == pytest.approx(0.12)
        assert found.guides.stiffness is not None
        assert [row.value for row in found.guides.stiffness] == [5000.0, 5000.0]
        assert found.guides.friction_ribs.source == "the layout's own running.friction_ribs"


class TestReading:
    def test_tension_is_read(self) -> None:
        running = parse(LATHE).running
        assert running is not None and running.tension == 400.0

    @pytest.mark.parametrize(
        ("old", "new", "path"),
        [
            ("tension = 400", "tension = 0", "running.tension"),
            ("tension = 400", "tension = 1e300", "running.tension"),
            ("[1200]", "[1e-300]", "running.crank_rpm"),
            ("[1200]", "[1e300]", "running.crank_rpm"),
            ("torque_nm = 10.4", "torque_nm = 1e300", "pulleys.spindle.load.torque_nm"),
            ("torque_nm = 10.4", "power_kw = 1e300", "pulleys.spindle.load.power_kw"),
            ("tension = 400", "mass_per_rib = 1e300", "running.mass_per_rib"),
            ("tension = 400", "friction_ribs = 1e300", "running.friction_ribs"),
            ("tension = 400", "friction_back = 1e300", "running.friction_back"),
            ("tension = 400", "stiffness_per_rib = 1e300", "running.stiffness_per_rib"),
        ],
    )
    def test_absurd_values_are_refused(self, old: str, new: str, path: str) -> None:
        """They would come out as NaN or infinity otherwise."""
        with pytest.raises(LayoutError) as caught:
            parse(edited(LATHE, (old, new)))
        (problem,) = caught.value.problems
        assert problem.path.startswith(path)


def test_a_drive_without_running_says_so() -> None:
    drive = drive_of(LATHE, ("[running]\ncrank_rpm = [1200]\ntension = 400\n", ""))
    assert forces(drive) is None
    assert "no [running]" in str(forces_or_reason(drive))
