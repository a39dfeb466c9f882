"""Checks slip and speed: a sound drive passes, each seeded fault is found by its check alone."""

from __future__ import annotations

from collections.abc import Iterable
from math import log, pi

import pytest

from beltpath.checks import names, run
from beltpath.checks.findings import Finding
from beltpath.layout.reader import parse
from beltpath.solve.path import trace
from tests.forces.scenes import CIDER_MILL, LATHE, WASHER, drive_of, forces_of

Edit = tuple[str, str]


def findings_of(text: str, *edits: Edit) -> list[Finding]:
    return list(run(drive_of(text, *edits)))


def told(found: Iterable[Finding]) -> set[tuple[str, str, tuple[str, ...]]]:
    return {(finding.check, finding.level, finding.pulleys) for finding in found}


def added(text: str, *edits: Edit) -> list[Finding]:
    """What the edits add to the findings of a scene."""
    before = told(findings_of(text))
    return [f for f in findings_of(text, *edits) if (f.check, f.level, f.pulleys) not in before]


def test_both_are_registered() -> None:
    assert {"slip", "speed"} <= set(names())


def test_a_sound_drive_passes_every_check() -> None:
    assert findings_of(CIDER_MILL) == []


def test_without_running_neither_speaks() -> None:
    edits = ("[running]\ncrank_rpm = [800, 3000, 6000]\n", "")
    assert findings_of(CIDER_MILL, edits) == []


def test_a_belt_that_does_not_close_is_not_judged() -> None:
    edits = (
        ('role = "other"', 'role = "other", side = "back", max_rpm = 1'),
        ("torque_nm = 10.4", "torque_nm = 900"),
    )
    assert "missed" in {f.check for f in findings_of(LATHE, *edits)}
    assert not {"slip", "speed"} & {f.check for f in findings_of(LATHE, *edits)}


class TestSlip:
    def test_a_heavy_load_slips(self) -> None:
        """7.5 kW at 6.45 m/s pulls 1163 N, the pump 179 N, against a slack side of 415 N.

        Crank: 0.5·2.71 over ln(1757/415) is 0.94; alternator: 0.5·3.25 over ln(1578/415), 1.22.
        """
        found = added(CIDER_MILL, ("power_kw = 2.2", "power_kw = 7.5"))
        assert told(found) == {
            ("slip", "fault", ("crank",)),
            ("slip", "caution", ("alternator",)),
            ("load", "caution", ("pump", "crank")),
        }
        crank = next(f for f in found if f.pulleys == ("crank",))
        assert "slips when the crank turns at 800 rpm" in crank.message
        assert "friction 0.5, from memory: guide value" in crank.source
        assert crank.source.startswith("computed: the capstan relation")
        assert crank.where == ((0.0, 0.0),)

    def test_the_tension_that_the_message_asks_for_is_right(self) -> None:
        """Measured 400 N, friction 0.2: give it what it says it lacks, and the caution goes."""
        (first, _) = slipping = added(LATHE, ("[running]", "[running]\nfriction_ribs = 0.2"))
        assert told(slipping) == {
            ("slip", "caution", ("crank",)),
            ("slip", "caution", ("spindle",)),
        }
        assert first.source.startswith("from memory: guide value; friction 0.2, the layout's own")
        lacking = int(first.message.split("About ")[1].split(" N")[0])
        for extra, count in ((lacking - 1, 2), (lacking + 1, 0)):
            edit = ("tension = 400", f"friction_ribs = 0.2\ntension = {400 + extra}")
            assert len(added(LATHE, edit)) == count

    @pytest.mark.parametrize(
        ("times", "levels"),
        [
            (1.3 * 1.000001, []),
            (1.3 * 0.999999, ["caution", "caution"]),
            (1.000001, ["caution", "caution"]),
            (0.999999, ["fault", "fault"]),
        ],
    )
    def test_just_above_and_just_below_its_limits(self, times: float, levels: list[str]) -> None:
        """Friction that gives the reserve wanted, from the grip tensions of 300 and 500 N."""
        inertia = 4 * 0.0235 * (2.0 * pi * 0.052 * 20.0) ** 2
        friction = times * log((500.0 - inertia) / (300.0 - inertia)) / pi
        found = added(LATHE, ("[running]", f"[running]\nfriction_ribs = {friction!r}"))
        assert [finding.level for finding in found] == levels

    def test_a_slack_span_is_a_fault_of_its_own(self) -> None:
        """A pull of 1000 N on a mean of 400 N: the slack side would have to push 100 N."""
        found = added(LATHE, ("torque_nm = 10.4", "torque_nm = 52"), ("ribs = 4", "ribs = 6"))
        assert told(found) == {("slip", "fault", ("crank", "spindle"))}
        assert "goes slack when the crank turns at 1200 rpm" in found[0].message
        assert "lacks 106 N" in found[0].message
        assert len(found[0].where) == 2

    @pytest.mark.parametrize(("torque", "count"), [(41.3, 0), (41.5, 1)])
    def test_slack_begins_where_the_grip_ends(self, torque: float, count: int) -> None:
        """400 N less half the pull less 4.01 N of m·v² is nought at 792 N, 41.2 N·m."""
        limit = 2.0 * (400.0 - 4.0134) * 0.052
        assert limit == pytest.approx(41.18, abs=0.01)
        shifted = torque - 41.4 + limit
        found = added(LATHE, ("torque_nm = 10.4", f"torque_nm = {shifted}"))
        assert len([f for f in found if f.pulleys == ("crank", "spindle")]) == count

    def test_a_contact_without_wrap_cannot_be_helped_by_tension(self) -> None:
        """The idler just touches a straight span: its back is at 50 mm, as is the belt's line."""
        idler = (
            'idler = { at = [-102.2, 150], diameter = 100, face = "smooth", role = "idler", '
            "load = { torque_nm = 1 } }"
        )
        touching = ("spindle = { at = [0, 300]", f"{idler}\nspindle = {{ at = [0, 300]")
        edits = (touching, ('["crank", "spindle"]', '["crank", "idler", "spindle"]'))
        found = [f for f in added(LATHE, *edits) if f.check == "slip"]
        assert told(found) == {("slip", "fault", ("idler",))}
        assert "It needs wrap" in found[0].message

    def test_no_tension_is_asked_for_that_the_belt_cannot_carry(self) -> None:
        """What no belt of so many ribs holds is no advice: less load is."""
        found = added(LATHE, ("torque_nm = 10.4", "torque_nm = 39"))
        messages = [f.message for f in found if f.check == "slip"]
        assert len(messages) == 2
        for message in messages:
            assert "No tension that the belt can carry would give it" in message
            assert " N more belt tension" not in message
        (slack,) = added(LATHE, ("torque_nm = 10.4", "torque_nm = 52"))[:1]
        assert "Lower the loads" in slack.message
        assert "lacks" not in slack.message

    def test_unknown_forces_are_a_note_that_says_why(self) -> None:
        found = added(LATHE, ("tension = 400\n", ""))
        assert told(found) == {("slip", "note", ())}
        assert "give running.tension in N" in found[0].message


class TestSlipOnAnInterval:
    """What fails at a belt's nominal length is a fault; what the low end alone shows a caution."""

    @pytest.mark.parametrize("tolerance", [0, 4, 8, 12])
    def test_a_sloppier_belt_makes_no_fault_a_caution(self, tolerance: float) -> None:
        """A short belt of a wide tolerance pulls harder; that is no room."""
        edits = (("torque_nm = 6", "torque_nm = 60"), ("tolerance = 4", f"tolerance = {tolerance}"))
        assert ("slip", "fault", ("crank", "drum")) in told(findings_of(WASHER, *edits))

    def test_the_scene_is_one(self) -> None:
        assert forces_of(WASHER).interval

    @pytest.mark.parametrize(
        ("torque", "expected"),
        [
            (2.0, set()),
            (6.0, set()),
            (12.0, {("caution", ("crank",)), ("caution", ("drum",))}),
            (25.0, {("caution", ("crank", "drum"))}),
            (50.0, {("caution", ("crank", "drum")), ("fault", ("crank",)), ("fault", ("drum",))}),
            (90.0, {("fault", ("crank", "drum"))}),
        ],
    )
    def test_by_load(self, torque: float, expected: set[tuple[str, tuple[str, ...]]]) -> None:
        found = findings_of(WASHER, ("torque_nm = 6", f"torque_nm = {torque}"))
        assert {(f.level, f.pulleys) for f in found if f.check == "slip"} == expected

    def test_what_may_be_is_told_as_such(self) -> None:
        found = findings_of(WASHER, ("torque_nm = 6", "torque_nm = 12"))
        messages = [f.message for f in found if f.check == "slip"]
        assert messages and all("may slip" in m for m in messages)
        found = findings_of(WASHER, ("torque_nm = 6", "torque_nm = 25"))
        assert "may go slack" in next(f.message for f in found if len(f.pulleys) == 2)

    def test_a_fault_is_told_with_the_numbers_of_the_high_case(self) -> None:
        """What the belt lacks even at its tightest."""
        heavy = (
            ("torque_nm = 6", "torque_nm = 42"),
            ("[running]", "[running]\nstiffness_per_rib = 4000"),
        )
        (found,) = (f for f in findings_of(WASHER, *heavy) if f.check == "slip")
        least = min(at.spans[0].grip for at in forces_of(WASHER, *heavy).most)
        assert f"lacks {-least:.0f} N" in found.message


class TestSpeed:
    def test_a_pulley_above_its_limit(self) -> None:
        """6000·77/32 is 14 437.5 rpm."""
        found = added(CIDER_MILL, ("max_rpm = 18000", "max_rpm = 14000"))
        assert told(found) == {("speed", "fault", ("alternator",))}
        assert "turns at 14438 rpm when the crank turns at 6000" in found[0].message
        assert "below 5818 rpm" in found[0].message

    @pytest.mark.parametrize(("limit", "count"), [("14437.4", 1), ("14437.6", 0)])
    def test_just_at_its_limit(self, limit: str, count: int) -> None:
        assert len(added(CIDER_MILL, ("max_rpm = 18000", f"max_rpm = {limit}"))) == count

    @pytest.mark.parametrize(("rpm", "count"), [(6200.7, 0), (6201.0, 1)])
    def test_the_belts_speed(self, rpm: float, count: int) -> None:
        """50 m/s over 2π·77 mm is 6200.84 rpm of the crank."""
        radius = trace(parse(CIDER_MILL)).pitch_radius(0)
        assert 50.0 / (2.0 * pi * radius / 1000.0) * 60.0 == pytest.approx(6200.84, abs=0.005)
        found = added(CIDER_MILL, ("6000]", f"{rpm}]"))
        assert told(found) == ({("speed", "caution", ("crank",))} if count else set())
        assert all("below 6200 rpm" in f.message for f in found)

    def test_speed_needs_no_tension(self) -> None:
        found = findings_of(LATHE, ("tension = 400\n", ""), ("[1200]", "[9600]"))
        assert ("speed", "caution", ("crank",)) in told(found)
