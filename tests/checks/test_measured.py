"""stops and agreement: the tensioner as measured, against its stops and the belt in hand."""

from __future__ import annotations

from math import cos, hypot, radians, sin
from typing import Any

import pytest

import beltpath
from beltpath import checks
from beltpath.cards.facts import fact_rows
from beltpath.layout.reader import parse
from beltpath.output.check_text import report
from beltpath.sizing.fit import wanted
from beltpath.solve.drive import solve
from beltpath.solve.reliance import travel_of
from beltpath.solve.uncertainty import length_uncertainty
from beltpath.words import mm
from tests.checks.drives import PAIR, SLIDE, SPRUNG, changed, drive_of, findings_of, found, run
from tests.checks.test_tension import NO_BELT, NO_WINDOW
from tests.demos.test_demos import LAYOUTS

ORCHARD = (LAYOUTS / "orchard-sprayer.toml").read_text(encoding="utf-8")
#: Two pulleys, the second swung under the line of centres on an arm whose pivot lies below it.
SWING = PAIR.replace(
    'kind = "slide"\nalong = 0\nfree = 20\nload = -20',
    'kind = "swing"\npivot = [400, -150]\nfree = 80\nload = 100',
)


def stops(free: float, load: float) -> tuple[tuple[str, str], ...]:
    return (("free = 20", f"free = {free}"), ("load = -35", f"load = {load}"), NO_BELT, NO_WINDOW)


class TestStops:
    """The measured place, 3.18°, must lie between the stops, which are really 20° and -35°."""

    @pytest.mark.parametrize(
        ("free", "load", "words"),
        [
            (70.0, 125.0, "clockwise from 12 o'clock"),
            (-70.0, -125.0, "counterclockwise from 12 o'clock"),
            (160.0, 215.0, "clockwise from 9 o'clock, as it looks from behind"),
            (200.0, 145.0, "from the pulley to the pivot"),
            (-110.0, -55.0, "clockwise from 6 o'clock"),
            (110.0, 55.0, "counterclockwise from 6 o'clock"),
        ],
    )
    def test_another_convention_is_named(self, free: float, load: float, words: str) -> None:
        (finding,) = findings_of(SPRUNG, *stops(free, load))
        assert (finding.check, finding.level) == ("stops", "fault")
        assert "measured at 3.2°" in finding.message
        assert "counterclockwise from 3 o'clock" in finding.message
        assert f"read {words}, the stops are 20° (free) and -35° (load)" in finding.message

    def test_clockwise_from_3_is_named(self) -> None:
        """Seen in a drive that stands far enough from 0° for the two to differ."""
        turned = SPRUNG
        for name, x, y in PLACES:
            angle = radians(60.0)
            there = (x * cos(angle) - y * sin(angle), x * sin(angle) + y * cos(angle))
            turned = turned.replace(f"[{x}, {y}]", f"[{there[0]!r}, {there[1]!r}]")
            assert name in turned
        (finding,) = findings_of(turned, *stops(-80.0, -25.0))
        assert "read clockwise from 3 o'clock, the stops are 80° (free) and 25°" in finding.message

    def test_stops_that_no_convention_explains(self) -> None:
        (finding,) = findings_of(SPRUNG, *stops(8.0, 6.0))
        assert finding.check == "stops"
        assert "If they were read" not in finding.message

    def test_the_same_stops_a_whole_turn_on_are_the_same(self) -> None:
        assert findings_of(SPRUNG, *stops(380.0, 325.0)) == findings_of(SPRUNG, *stops(20.0, -35.0))

    def test_it_is_asked_with_a_belt_in_hand_too(self) -> None:
        """The drive is then solved with that belt, and the measured place was ignored."""
        text = ORCHARD.replace("free = -5", "free = 95").replace("load = -67", "load = 157")
        text = text.replace("window = [-42, -10]", "")
        findings = run(solve(parse(text)))
        told = next(f for f in findings if f.check == "stops")
        assert told.level == "fault"
        assert "read clockwise from 12 o'clock, the stops are -5° (free) and -67°" in told.message
        assert not {f.check for f in findings} & {"travel", "length", "fit-on", "release"}

    def test_a_swing(self) -> None:
        assert "stops" not in {f.check for f in findings_of(SWING)}
        text = SWING.replace("free = 80\nload = 100", "free = 10\nload = -10")
        (fault,) = [f for f in findings_of(text) if f.check == "stops"]
        assert "clockwise from 12 o'clock, the stops are 80° (free) and 100°" in fault.message

    def test_a_spring_far_away_is_a_fault_and_sets_no_tension(self) -> None:
        far = ("window = [-25, 35]", "spring = { force = 600, at = 250, rate = -2 }")
        (fault,) = findings_of(SLIDE, far)
        assert (fault.check, fault.level) == ("stops", "fault")
        assert "No tension is told from a spring measured so far away" in fault.message

    def test_where_a_spring_that_does_not_change_was_measured_hardly_matters(self) -> None:
        near = ("window = [-25, 35]", "spring = { force = 300, at = 55 }")
        assert findings_of(SLIDE, near) == ()


#: The places of `SPRUNG`.
PLACES = (
    ("crank", 0, 0),
    ("tensioner", -70, 165),
    ("alternator", -180, 220),
    ("pump", -20, 300),
    ("idler", 80, 150),
    ("compressor", 210, 210),
    ("pivot", -160, 160),
)


class TestAgreement:
    """As measured `SPRUNG` is 1885.4 mm long; with the ± of its places and its belt ± 9.9 mm."""

    def test_the_limit_is_the_expanded_uncertainty_of_both(self) -> None:
        drive = drive_of(SPRUNG)
        sigma = length_uncertainty(drive.layout, drive.as_measured).sigma
        sure = 1.96 * (sigma**2 + 5.0**2 / 3.0) ** 0.5
        for by, told in ((sure - 0.01, False), (sure + 0.01, True)):
            length = ("length = 1880", f"length = {drive.as_measured.length - by!r}")
            assert ("agreement" in {f.check for f in findings_of(SPRUNG, length)}) == told

    def test_an_alternator_of_twice_its_size(self) -> None:
        """The path is 72 mm longer than the belt: no reason by itself to fit a longer one."""
        text = ORCHARD.replace("over_balls = 57.0", "over_balls = 114.0")
        findings = run(solve(parse(text)))
        told = next(f for f in findings if f.check == "agreement")
        assert told.level == "caution"
        assert "72.3 mm less" in told.message
        assert "another belt on, or a measurement is wrong" in told.message
        assert "the size of alternator (half of what is written)" in told.message
        longer = [f.message for f in findings if "fit a longer one" in f.message]
        assert longer
        assert all("or a measurement is wrong, see `agreement`" in message for message in longer)

    def test_the_changes_told_make_the_lengths_agree_to_first_order(self) -> None:
        drive = drive_of(SPRUNG, ("length = 1880", "length = 1865"))
        (told,) = [f.message for f in run(drive) if f.check == "agreement"]
        i = drive.as_measured.index("idler")
        gx, gy = drive.as_measured.centre_gradient(i)
        off = drive.as_measured.length - 1865.0
        assert f"the place of idler (by {mm(off / hypot(gx, gy))} mm)" in told
        wrap = max(contact.wrap for contact in drive.as_measured.contacts)
        assert f"({mm(2.0 * off / wrap)} mm smaller)" in told

    def test_a_belt_out_of_reach_is_told_of_too(self) -> None:
        findings = findings_of(SPRUNG, ("length = 1880", "length = 1950"))
        assert {f.check for f in findings} >= {"length", "agreement"}
        (short,) = [f.message for f in findings if f.check == "length"]
        assert short.endswith("Or a measurement is wrong, see `agreement`.")

    @pytest.mark.parametrize("text", [SLIDE, SWING, PAIR])
    def test_slides_and_swings(self, text: str) -> None:
        length = solve(parse(text)).path.length
        for by, told in ((0.0, False), (20.0, True)):
            belt = ("ribs = 4", f"ribs = 4\nlength = {length + by}")
            assert ("agreement" in {f.check for f in findings_of(text, belt)}) == told

    def test_without_a_belt_or_a_tensioner_nothing_is_asked(self) -> None:
        assert found(SPRUNG, NO_BELT, ("diameter = 60", "diameter = 72")) == set()

    def test_a_lever_that_goes_the_other_way_is_a_fault(self) -> None:
        """Measured 30 mm below over-centre; the belt is so long that it stands far above it."""
        changes = (("along = 0", "along = 90"), ("free = 40", "free = 110"))
        drive = drive_of(SLIDE, *changes)
        assert drive.stand is not None
        length = travel_of(drive, drive.stand).path_at(100.0).length
        findings = findings_of(SLIDE, *changes, ("ribs = 4", f"ribs = 4\nlength = {length}"))
        (told,) = [f for f in findings if f.check == "agreement"]
        assert told.level == "fault"
        assert "this belt would put it at 100 mm" in told.message
        assert "do not move the lever before this is clear" in told.message

    def test_size_asks_about_other_belts(self) -> None:
        text = changed(SPRUNG, ("length = 1880", "length = 1850"))
        assert "agreement" in {f.check for f in checks.run(solve(parse(text)))}
        assert "agreement" not in {f.check for f in wanted(parse(text)).study.findings}


class TestWhatIsNotTold:
    """What a fault leaves in doubt is told nowhere: not in words, not in JSON, not on the card."""

    SPRING = (
        "window = [-25, 35]",
        "spring = { force = 300, at = 0 }\n[running]\ncrank_rpm = [900]",
    )
    OVER = (("along = 0", "along = 90"), SPRING)
    MISPLACED = (("free = 40", "free = 110"), ("load = -30", "load = 40"), SPRING)
    EXCHANGED = (("free = 40", "free = -30"), ("load = -30", "load = 40"), SPRING)

    @pytest.mark.parametrize("changes", [OVER, MISPLACED, EXCHANGED])
    def test_numbers_that_rest_on_the_fault(self, changes: tuple[tuple[str, str], ...]) -> None:
        study = beltpath.study(parse(changed(SLIDE, *changes)))
        told: Any = beltpath.answer(study)
        assert study.verdict == "fail"
        for key in ("travel_used", "shortest_mm", "longest_mm", "take_up_mm", "release"):
            assert told["tensioner"][key] is None, key
        assert told["tensioner"]["tension_n"] is None
        assert told["forces"] is None
        words = report(study)
        for name in ("static tension", "take-up left", "belts it can take", "to slacken"):
            assert f"\n{name}" not in words
        assert "\nnot told" in words
        facts = dict(fact_rows(study))
        assert facts["Tensioner"].startswith("not known where it stands: ")
        assert "Travel takes" not in facts

    def test_all_of_a_sound_drive_is_told(self) -> None:
        told: Any = beltpath.answer(beltpath.study(parse(changed(SLIDE, self.SPRING))))["tensioner"]
        assert None not in told.values()

    def test_the_range_of_a_travel_holds_where_the_belt_does_not(self) -> None:
        text = changed(SPRUNG, ("length = 1880", "length = 1950"))
        told: Any = beltpath.answer(beltpath.study(parse(text)))["tensioner"]
        assert told["longest_mm"] == pytest.approx(1913.25, abs=0.05)
        assert told["take_up_mm"] is told["tension_n"] is told["rate_mm_per_unit"] is None

    def test_a_belt_that_crosses_itself_has_no_forces(self) -> None:
        order = ('"tensioner", "alternator", "pump"', '"tensioner", "pump", "alternator"')
        text = changed(SPRUNG, order) + "[running]\ncrank_rpm = [900]\ntension = 300\n"
        assert beltpath.study(parse(text)).forces is None

    def test_a_spring_far_away_sets_no_tension(self) -> None:
        far = "spring = { force = 300, at = 250, rate = -2 }\n[running]\ncrank_rpm = [900]"
        study = beltpath.study(parse(changed(SLIDE, ("window = [-25, 35]", far))))
        told: Any = beltpath.answer(study)["tensioner"]
        assert told["tension_n"] is None
        assert told["position"] == 0.0
        assert study.forces is None
        assert "static tension" not in report(study)
