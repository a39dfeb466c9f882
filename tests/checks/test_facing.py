"""side, rotation and missed: what they say in the cases that the seeds do not show."""

from __future__ import annotations

from typing import NoReturn

import pytest

from beltpath.checks import judged
from beltpath.checks.judged import against_travel
from beltpath.errors import PathError
from tests.checks.drives import FIXED, SLIDE, SPRUNG, drive_of, findings_of, found, only, pulley

DOUBLE = ("ribs = 5", "ribs = 5\ndouble_sided = true\nheight = 8.8")
#: The idler of `FIXED` as a grooved pulley.
GROOVED_IDLER = (
    'face = "smooth", role = "idler"',
    'face = "grooved", role = "idler"',
)
#: The route with a pulley at a place where the belt has to cross itself.
SWAPPED = ('"alternator", "pump"', '"pump", "alternator"')
#: The slide's pulley measured off the belt, on the wrong side of it.
OFF_THE_BELT = (
    ("[-60, 170]", "[-150, 170]"),
    ('"smooth", role = "tensioner"', '"smooth", side = "back", role = "tensioner"'),
    ("free = 40", "free = 120"),
    ("[-25, 35]", "[-15, 110]"),
    ("ribs = 4", "ribs = 4\nlength = 1350"),
)


class TestSide:
    def test_the_ribbed_back_of_a_double_sided_belt_may_run_in_grooves(self) -> None:
        assert findings_of(FIXED, DOUBLE, GROOVED_IDLER) == ()

    def test_ribs_on_a_smooth_face_pass_when_the_layout_says_so(self) -> None:
        assert (
            findings_of(
                FIXED,
                (
                    'diameter = 110, face = "grooved"',
                    'diameter = 110, face = "smooth", side = "ribs"',
                ),
            )
            == ()
        )


class TestRotation:
    @pytest.mark.parametrize("turns", ["clockwise", "counterclockwise"])
    def test_the_declared_sense_passes_and_the_other_is_a_fault(self, turns: str) -> None:
        findings = found(FIXED, ('role = "idler"', f'role = "idler", turns = "{turns}"'))
        assert findings == (set() if turns == "clockwise" else {("rotation", "fault")})

    def test_a_back_side_pulley_can_be_passed_on_its_other_side(self) -> None:
        finding = only(FIXED, ('role = "idler"', 'role = "idler", turns = "counterclockwise"'))
        assert finding.message.endswith("Route the belt round its other side.")

    def test_a_grooved_pulley_of_a_double_sided_belt_can_too(self) -> None:
        finding = only(FIXED, DOUBLE, ('role = "fan"', 'role = "fan", turns = "clockwise"'))
        assert finding.message.endswith("Route the belt round its other side.")

    def test_a_grooved_pulley_of_a_plain_belt_cannot(self) -> None:
        finding = only(FIXED, ('role = "fan"', 'role = "fan", turns = "clockwise"'))
        assert "no routing can change that" in finding.message

    def test_a_crank_that_contradicts_crank_turns_is_told_so(self) -> None:
        finding = only(FIXED, ('role = "crank"', 'role = "crank", turns = "clockwise"'))
        assert finding.message.startswith(
            "crank is the crank and turns counterclockwise by crank_turns"
        )


class TestMissed:
    def test_a_route_against_the_belt_s_travel_is_one_fault(self) -> None:
        drive = drive_of(FIXED, ('"counterclockwise"', '"clockwise"'))
        assert against_travel(drive)
        finding, cause = findings_of(FIXED, ('"counterclockwise"', '"clockwise"'))
        assert cause.check == "mirrored"
        assert (finding.check, finding.level) == ("missed", "fault")
        assert "Turn its order round, or correct crank_turns" in finding.message

    def test_a_belt_that_turns_wrongly_says_so_and_where_it_crosses(self) -> None:
        findings = findings_of(SPRUNG, SWAPPED)
        assert [(f.check, f.level) for f in findings] == [
            ("missed", "fault"),
            ("crossing", "fault"),
        ]
        assert "add up to 720°" in findings[0].message
        assert len(findings[1].where) == 3

    def test_two_missed_pulleys_are_told_together(self) -> None:
        far = pulley(
            "other", (330.0, 190.0), 100.0, 'face = "smooth", role = "idler", side = "back"'
        )
        finding = only(
            FIXED,
            ("[20, 150]", "[-60, 180]"),
            ('"fan", "pump"', '"fan", "other", "pump"'),
            ("[pulleys]", f"[pulleys]\n{far}"),
        )
        assert finding.pulleys == ("other", "idler")
        assert "does not really touch other, idler" in finding.message
        assert "their places" in finding.message

    def test_what_rests_on_a_false_path_is_not_judged(self) -> None:
        """Length, tensioner, wraps and clearances of such a path would be wrong numbers."""
        wrong = (
            ("length = 1880", "length = 1500"),
            ('release = "clockwise"', 'release = "counterclockwise"'),
            ('role = "alternator"', 'role = "alternator", min_wrap = 300'),
        )
        assert {"length", "release", "wrap"} <= {check for check, _ in found(SPRUNG, *wrong)}
        assert found(SPRUNG, SWAPPED, *wrong) == {("missed", "fault"), ("crossing", "fault")}

    def test_a_route_that_cannot_be_laid_the_other_way_is_not_against_the_travel(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The sides that are tried are limited, so that one way round may have no tangent."""

        def refuse(*_: object, **__: object) -> NoReturn:
            raise PathError("no straight run of belt fits")

        drive = drive_of(FIXED, ('"counterclockwise"', '"clockwise"'))
        monkeypatch.setattr(judged, "trace", refuse)
        assert not against_travel(drive)

    def test_a_tensioner_measured_where_the_belt_misses_it_is_a_fault(self) -> None:
        """The belt in hand puts it on the belt, but the ends of its travel mean nothing then."""
        drive = drive_of(SLIDE, *OFF_THE_BELT)
        assert drive.path.proper
        assert not drive.as_measured.proper
        finding = only(SLIDE, *OFF_THE_BELT)
        assert (finding.check, finding.level) == ("missed", "fault")
        assert finding.pulleys == ("tensioner",)
        assert "Measure the place of that pulley" in finding.message
