"""load: what each rib carries, at rest and on the tight side; plausibility: absurd values."""

from __future__ import annotations

import pytest

from beltpath.checks.findings import Finding
from beltpath.data.sections import SECTION_NAMES
from beltpath.data.tables import limits
from tests.checks.drives import FIXED, SPRUNG, drive_of, findings_of
from tests.forces.scenes import CIDER_MILL, LATHE, SAW, WASHER, forces_of
from tests.sizing.drives import ORCHARD

#: A spring in the sound drive with an arm, of that torque in N·m.
RELEASE = 'release = "clockwise"'


def sprung(torque: float) -> tuple[str, str]:
    return (RELEASE, f"{RELEASE}\nspring = {{ torque = {torque}, at = 0 }}")


def about(check: str, text: str, *changes: tuple[str, str]) -> list[Finding]:
    """What one check finds."""
    return [f for f in findings_of(text, *changes) if f.check == check]


class TestLoad:
    def test_a_belt_of_one_rib_does_not_carry_what_six_do(self) -> None:
        """448 N at rest and 954 N running on one rib had no finding before."""
        assert about("load", ORCHARD) == []
        (finding,) = about("load", ORCHARD, ("ribs = 6", "ribs = 1"))
        assert finding.level == "fault"
        assert finding.message.startswith("The belt carries 946 N between pump and crank when the")
        assert "Fit a belt of 5 ribs or more" in finding.message
        assert finding.source.startswith("from memory: guide value")

    def test_an_absurd_spring_is_a_fault(self) -> None:
        (finding,) = about("load", ORCHARD, ("torque = 50,", "torque = 5000,"))
        assert finding.level == "fault"
        assert "Look at the loads, the spring and the tension again" in finding.message

    @pytest.mark.parametrize(("per_rib", "level"), [(155, None), (157, "caution"), (601, "fault")])
    def test_a_spring_alone_loads_the_belt_at_rest(self, per_rib: float, level: str | None) -> None:
        """No crank speed is given: the tension at rest is judged all the same."""
        unit = SPRUNG_TENSION_PER_NM
        findings = about("load", SPRUNG, sprung(6 * per_rib / unit))
        assert [f.level for f in findings] == ([] if level is None else [level])
        for finding in findings:
            assert f"carries {per_rib} N at rest" in finding.message
            assert finding.pulleys == ("tensioner",)

    def test_a_belt_that_the_travel_does_not_take_has_no_tension_to_judge(self) -> None:
        absurd = sprung(5000)
        for length in (1700, 2000):
            assert about("load", SPRUNG, absurd, ("length = 1880", f"length = {length}")) == []

    def test_a_tension_is_judged_where_the_other_forces_are_not_known(self) -> None:
        """The mass of a double-sided belt is not known; how tight it was measured is."""
        double = ("ribs = 4", "ribs = 4\ndouble_sided = true\nheight = 8.8")
        (finding,) = about("load", LATHE, double, ("tension = 400", "tension = 4000"))
        assert finding.level == "fault"
        assert "carries 1000 N at rest" in finding.message

    def test_without_any_tension_known_nothing_is_judged(self) -> None:
        assert about("load", FIXED) == []
        assert about("load", LATHE, ("tension = 400\n", "")) == []

    def test_a_belt_that_does_not_close_is_not_judged(self) -> None:
        edits = (
            ('role = "other"', 'role = "other", side = "back"'),
            ("tension = 400", "tension = 4000"),
        )
        assert about("load", LATHE, *edits) == []

    def test_the_tightest_span_counts_at_the_worst_speed(self) -> None:
        """A constant power pulls hardest at the lowest speed."""
        heavy = ("power_kw = 2.2", "power_kw = 5")
        (finding,) = about("load", CIDER_MILL, heavy)
        worst = max(
            (span.tension, at.crank_rpm)
            for at in forces_of(CIDER_MILL, heavy).high
            for span in at.spans
        )
        assert worst[1] == 800.0
        assert f"carries {worst[0] / 6:.0f} N between pump and crank" in finding.message
        assert "when the crank turns at 800 rpm; 200 N is the guide for PK" in finding.message
        assert len(finding.where) == 2

    def test_the_high_end_of_an_interval_counts_and_is_called_so(self) -> None:
        grips = ("[running]", "[running]\nfriction_ribs = 2")
        (finding,) = about("load", WASHER, ("torque_nm = 6", "torque_nm = 45"), grips)
        assert finding.level == "caution"
        assert "carries up to " in finding.message
        # Every further rib is stretched as much as the others: more of them are no help.
        assert "Fit a belt of" not in finding.message
        assert "a longer belt is stretched less" in finding.message

    def test_a_stretch_fit_belt_at_rest_is_judged_as_a_running_one(self) -> None:
        """Nobody sets it to an installed tension: 170 N a rib is no finding, 201 N is."""
        light = ("torque_nm = 6", "torque_nm = 0.1")
        for stiffness, count in ((9_000, 0), (14_000, 1)):
            own = ("[running]", f"[running]\nstiffness_per_rib = {stiffness}")
            per_rib = forces_of(WASHER, light, own).held.high / 3
            assert (per_rib > 156.0, per_rib > 200.0) == (True, count == 1)
            assert len(about("load", WASHER, light, own)) == count

    def test_a_slide_s_spring_is_judged_too(self) -> None:
        (finding,) = about("load", SAW, ("force = 1200", "force = 9000"))
        assert finding.level == "fault"

    def test_a_v_belt_has_no_ribs_to_add(self) -> None:
        text = LATHE.replace('"PK"\nribs = 4', '"AV10"').replace("tension = 400", "tension = 700")
        (finding,) = about("load", text)
        assert finding.message == (
            "The belt carries 700 N at rest; 623 N is the guide for AV10. Look at the loads, the "
            "spring and the tension again."
        )
        assert "TM 9-2320-312-24-2" in finding.source

    def test_every_section_has_its_guides_in_order(self) -> None:
        for name in SECTION_NAMES:
            installed, tight, most = (
                limits()[f"load.{kind}.{name}"].value for kind in ("installed", "tight", "most")
            )
            assert installed < tight < most / 2.0


def _tension_per_nm() -> float:
    """What 1 N·m of the spring makes of static tension in `SPRUNG`, N."""
    stand = drive_of(SPRUNG, sprung(10)).stand
    assert stand is not None
    assert stand.tension is not None
    return stand.tension / 10.0


SPRUNG_TENSION_PER_NM = _tension_per_nm()


class TestPlausibility:
    def test_values_far_outside_the_trade_are_told_once(self) -> None:
        found = about(
            "plausibility",
            ORCHARD,
            ("power_kw = 1.2", "power_kw = 2000"),
            ("torque = 50,", "torque = 5000,"),
        )
        (finding,) = found
        assert finding.level == "caution"
        assert "the load of alternator, 2000 kW (over 200 kW)" in finding.message
        assert "the tensioner's spring, 5000 N·m (over 500 N·m)" in finding.message
        assert "Look for a slip of the unit or of the decimal point" in finding.message
        assert set(finding.pulleys) == {"alternator", "tensioner"}

    def test_no_advice_is_given_that_rests_on_them(self) -> None:
        """About 176583 N more belt tension would have given it."""
        found = findings_of(ORCHARD, ("power_kw = 1.2", "power_kw = 2000"))
        assert "more belt tension would give it" not in " ".join(f.message for f in found)

    @pytest.mark.parametrize(
        ("edit", "says"),
        [
            (("tension = 400", "tension = 400\nfriction_ribs = 5"), "running.friction_ribs, 5 ("),
            (("[1200]", "[1200, 20000]"), "the crank's speed, 20000 rpm (over 15000 rpm)"),
            (('role = "other"', 'role = "other", accuracy = 30'), "the accuracy of spindle, 30 mm"),
            (('role = "other"', 'role = "other", offset = -600'), "the offset of spindle, 600 mm"),
        ],
    )
    def test_each_is_told_with_its_limit(self, edit: tuple[str, str], says: str) -> None:
        (finding,) = about("plausibility", LATHE, edit)
        assert says in finding.message

    def test_a_usual_tolerance_is_none(self) -> None:
        text = LATHE.replace("ribs = 4", "ribs = 4\nlength = 910\ntolerance = @")
        assert about("plausibility", text.replace("@", "20")) == []
        (finding,) = about("plausibility", text.replace("@", "40"))
        assert "the tolerance on the belt's length, 4.4 % (over 3 %)" in finding.message

    def test_a_circumference_is_no_diameter(self) -> None:
        text = LATHE.replace("at = [0, 300], diameter = 100", "at = [0, 900], around = 3000")
        assert about("plausibility", text) == []
