"""wrap, grooves, diameter and length: the cases that the seeds and limits do not show."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, floor, pi

import pytest

from beltpath.checks.judged import take_up
from beltpath.layout.reader import parse
from beltpath.solve.drive import solve
from beltpath.solve.uncertainty import length_uncertainty
from tests.checks.drives import (
    FIXED,
    SPRUNG,
    drive_of,
    findings_of,
    found,
    layout,
    only,
    pair,
    run,
)

#: The path round two pulleys of 100 mm, 400 mm apart.
PATH = 800.0 + 100.0 * pi
#: What an ordinary belt's own stretch makes up of it: 0.2 %.
MAKES_UP = 0.002 * PATH


def belt(length: float, more: str = "") -> str:
    """Two pulleys on fixed centres with a belt in hand."""
    return layout(pair(400.0), route="crank far", belt=f"ribs = 1\nlength = {length!r}\n{more}")


class TestWrap:
    def test_the_layout_s_own_limit_takes_the_place_of_the_guide(self) -> None:
        assert found(FIXED, ('role = "crank"', 'role = "crank", min_wrap = 161')) == set()
        finding = only(FIXED, ('role = "crank"', 'role = "crank", min_wrap = 162'))
        assert finding.check == "wrap"
        assert finding.source == "the layout's own `min_wrap`"

    def test_hardly_any_wrap_is_told_as_a_doubt_whatever_the_guide(self) -> None:
        """The idler 0.2 mm inside the straight run from pump to crank."""
        little = ('role = "crank"', 'role = "crank", min_wrap = 100')
        grazing = ("[20, 150]", GRAZING)
        finding = only(FIXED, grazing, little)
        assert "barely touches idler: a wrap of 0" in finding.message
        assert finding.source.startswith("computed: a pulley 2 mm off its place")
        stricter = ('role = "idler"', 'role = "idler", min_wrap = 60')
        assert only(FIXED, grazing, little, stricter).source == finding.source

    def test_a_tensioner_drawn_at_an_end_has_no_wrap_of_its_own_to_judge(self) -> None:
        """The belt does not put it there, and `length` says so."""
        wide = ('role = "tensioner" }', 'role = "tensioner", min_wrap = 200 }')
        assert found(SPRUNG, wide) == {("wrap", "caution")}
        assert found(SPRUNG, wide, ("length = 1880", "length = 1800")) == {
            ("length", "fault"),
            ("agreement", "caution"),
        }
        assert found(SPRUNG, wide, ("length = 1880", "length = 2000")) == {
            ("length", "fault"),
            ("agreement", "caution"),
        }


class TestGrooves:
    @pytest.mark.parametrize(("grooves", "told"), [(4, True), (5, False), (6, False)])
    def test_as_many_grooves_as_ribs_are_enough(self, grooves: int, told: bool) -> None:
        findings = findings_of(FIXED, ('role = "fan"', f'role = "fan", grooves = {grooves}'))
        assert [f.check for f in findings] == (["grooves"] if told else [])

    def test_one_is_one(self) -> None:
        finding = only(FIXED, ('role = "fan"', 'role = "fan", grooves = 1'))
        assert "1 groove for a belt of 5 ribs. Fit a belt of at most 1 rib," in finding.message

    def test_the_back_of_a_double_sided_belt_needs_grooves_too(self) -> None:
        double = ("ribs = 5", "ribs = 5\ndouble_sided = true\nheight = 8.8")
        narrow = (
            'face = "smooth", role = "idler"',
            'face = "grooved", grooves = 4, role = "idler"',
        )
        assert only(FIXED, double, narrow).pulleys == ("idler",)

    def test_the_plain_back_needs_none(self) -> None:
        """That it runs on grooves is the fault, and `side` tells of it."""
        narrow = (
            'face = "smooth", role = "idler"',
            'face = "grooved", grooves = 4, role = "idler"',
        )
        assert found(FIXED, narrow) == {("side", "fault")}


class TestDiameter:
    @pytest.mark.parametrize(("diameter", "told"), [(44.9, True), (45.0, False)])
    def test_the_smallest_of_the_section(self, diameter: float, told: bool) -> None:
        findings = findings_of(FIXED, ("diameter = 110", f"diameter = {diameter}"))
        assert [f.check for f in findings] == (["diameter"] if told else [])

    @pytest.mark.parametrize(("diameter", "told"), [(40.1, True), (40.3, False)])
    def test_ribs_on_a_smooth_pulley_bend_like_a_grooved_one(
        self, diameter: float, told: bool
    ) -> None:
        """The effective line runs h − t = 2.4 mm outside the smooth face: 45 − 4.8 = 40.2 mm."""
        smooth = (
            'diameter = 110, face = "grooved"',
            f'diameter = {diameter}, face = "smooth", side = "ribs"',
        )
        findings = findings_of(FIXED, smooth)
        assert [f.check for f in findings] == (["diameter"] if told else [])
        assert all("bends the belt like a grooved pulley of 44.9 mm" in f.message for f in findings)

    def test_the_back_of_a_double_sided_belt_bends_like_its_front(self) -> None:
        """Its grooves are judged by the section's smallest, not as a back bend."""
        double = ("ribs = 5", "ribs = 5\ndouble_sided = true\nheight = 8.8")
        grooved = (
            'diameter = 100, face = "smooth", role = "idler"',
            'diameter = 80, face = "grooved", role = "idler"',
        )
        assert found(FIXED, double, grooved) == set()

    @pytest.mark.parametrize(("diameter", "told"), [(74.9, True), (75.0, False)])
    def test_other_sections_bend_back_over_no_less_than_their_smallest(
        self, diameter: float, told: bool
    ) -> None:
        """No guidance on back bends is known for them; a bend below the smallest is too tight."""
        text = FIXED.replace('"PK"', '"PL"').replace("diameter = 100", f"diameter = {diameter}")
        findings = findings_of(text)
        assert [f.check for f in findings] == (["diameter"] if told else [])


class TestLengthOnFixedCentres:
    """No ordinary belt is sure to fit: the tolerance and the ± of the path are risk, never room."""

    @pytest.mark.parametrize(
        ("off", "level", "says"),
        [
            (-MAKES_UP - 0.06, "fault", "2.3 mm too short"),
            (-MAKES_UP + 0.01, "caution", "is not sure to fit the path of 1114.2 mm"),
            (0.0, "caution", "nothing tensions it"),
            (MAKES_UP - 0.01, "caution", "is not sure to fit the path of 1114.2 mm"),
            (MAKES_UP + 0.06, "fault", "2.3 mm too long"),
        ],
    )
    def test_a_belt_never_passes(self, off: float, level: str, says: str) -> None:
        finding = only(belt(PATH + off))
        assert (finding.check, finding.level) == ("length", level)
        assert says in finding.message

    @pytest.mark.parametrize("off", [0.0, 3.0, 7.8])
    def test_a_sloppy_tolerance_or_measurement_improves_nothing(self, off: float) -> None:
        """What 20 mm of tolerance, or a tape read to 20 mm, forgave before."""
        levels = set()
        for tolerance in (0, 3, 20, 30):
            for accuracy in (0, 1, 10, 20):
                text = belt(PATH + off, f"tolerance = {tolerance}")
                text = f"accuracy = {accuracy}\n{text}"
                levels.add(next(f.level for f in findings_of(text) if f.check == "length"))
        assert levels == {"caution" if off == 0.0 else "fault"}

    def test_it_says_what_take_up_the_drive_needs(self) -> None:
        """± 6 mm, U of the path, rims of 100 mm that the belt's ribs must clear; 1 % of stretch."""
        message = only(belt(PATH)).message
        drive = drive_of(belt(PATH))
        sure = length_uncertainty(drive.layout, drive.path).expanded
        # Half a turn round a rim that lifts the line by h − t less half the tip excess.
        assert take_up(drive, 6.0).slip_on == pytest.approx(pi * 2.4 + pi * -0.4425, abs=0.1)
        longer = 6.0 + sure + 0.01 * (PATH + 6.0)
        assert f"and {longer:.1f} mm longer to tension it" in message
        assert f"± 6 mm (from memory, low confidence), the path is known to ± {sure:.1f} mm" in (
            message
        )
        assert "an adjustable centre, a tensioner or a stretch-fit belt" in message

    def test_the_word_for_the_tolerance_is_true(self) -> None:
        assert "± 3 mm (given)" in only(belt(PATH, "tolerance = 3")).message
        assert "± 6 mm (given)" in only(belt(PATH, "tolerance = 6")).message
        assert "a table for PK, not known to hold for PL" in next(
            f.message
            for f in findings_of(belt(PATH).replace('"PK"', '"PL"'))
            if f.check == "length"
        )

    def test_a_belt_without_a_tolerance_has_the_table_s(self) -> None:
        """A layout made in code may leave it out."""
        read = parse(belt(PATH))
        drive = solve(replace(read, belt=replace(read.belt, tolerance=None)))
        (finding,) = run(drive)
        assert "± 6 mm (from memory, low confidence)" in finding.message

    def test_a_doubtful_case_is_called_so(self) -> None:
        """1 mm on each centre makes the length sure to ± 4 mm or so."""
        doubt = "The computed length itself is sure to ±"
        assert doubt in only(belt(PATH + 3.0)).message
        assert doubt not in only(belt(PATH + 26.0)).message

    def test_no_belt_in_hand_is_no_fault(self) -> None:
        assert findings_of(layout(pair(400.0), route="crank far")) == ()

    def test_the_length_of_a_belt_that_does_not_close_is_not_judged(self) -> None:
        far_off = ("ribs = 5", "ribs = 5\nlength = 3000")
        assert found(FIXED, far_off, ("[20, 150]", "[-60, 180]")) == {("missed", "fault")}


class TestStretchFit:
    def test_a_slack_belt_hangs_loose(self) -> None:
        finding = only(belt(PATH + 1.0, "elastic = true"))
        assert "would hang loose" in finding.message
        low, high = PATH / 1.04, PATH / 1.005
        assert f"Look for a belt of {ceil(low)} to {floor(high)} mm" in finding.message

    def test_too_much_stretch_is_told_in_per_cent(self) -> None:
        finding = only(belt(PATH / 1.05, "elastic = true"))
        assert "would be stretched by 5.0 %" in finding.message

    def test_a_tolerance_that_may_take_it_outside_the_guide_is_a_caution(self) -> None:
        """1.6 % as nominal: ± 6 mm and ± 4.1 mm of the path leave 0.7 to 2.5 %; ± 9, not 0.5."""
        length = PATH / 1.016
        assert findings_of(belt(length, "elastic = true")) == ()
        finding = only(belt(length, "elastic = true\ntolerance = 9"))
        assert (finding.check, finding.level) == ("length", "caution")
        assert "may be stretched by 0.4 to 2.8 %" in finding.message
        assert finding.source.startswith("from memory: guide value: stretch at which a stretch-fit")
        finding = only(belt(PATH / 1.035, "elastic = true"))
        assert "may be stretched by 2.6 to 4.5 %" in finding.message


class TestLengthWithATensioner:
    def test_the_two_ends_are_told(self) -> None:
        drive = drive_of(SPRUNG)
        assert drive.stand is not None
        low, high = drive.stand.shortest, drive.stand.longest
        assert (low, high) == pytest.approx((1812.3, 1913.25), abs=0.05)
        for length, says in (
            (low - 0.2, "0.2 mm too short for the tensioner's travel and cannot be got on"),
            (high + 0.2, "0.2 mm too long: the tensioner's travel cannot keep it taut"),
        ):
            findings = findings_of(SPRUNG, ("length = 1880", f"length = {length!r}"))
            (finding,) = [f for f in findings if f.check == "length"]
            assert says in finding.message
            assert "1812.3 mm (shortest) to 1913.3 mm (longest)" in finding.message

    def test_a_belt_at_either_end_is_reached(self) -> None:
        drive = drive_of(SPRUNG)
        assert drive.stand is not None
        for length in (drive.stand.shortest + 1e-6, drive.stand.longest - 1e-6):
            told = {f.check for f in findings_of(SPRUNG, ("length = 1880", f"length = {length!r}"))}
            assert "length" not in told


#: Where the idler of `FIXED` just touches the belt's straight run from pump to crank.
def _grazing() -> str:
    without = FIXED.replace(', "idler"]', "]")
    run = drive_of(without).path.spans[-1]
    (x, y), (ux, uy) = run.leave, run.direction
    along, off = 130.0, 50.0 + 2.2 - 0.2
    # The belt runs counterclockwise: its back is to the right of travel.
    return f"[{x + along * ux + off * uy!r}, {y + along * uy - off * ux!r}]"


GRAZING = _grazing()


class TestThickness:
    def test_a_given_height_is_not_doubted(self) -> None:
        assert found(FIXED, ("ribs = 5", "ribs = 5\ndouble_sided = true\nheight = 9.1")) == set()

    def test_a_back_alone_does_not_tell_the_height(self) -> None:
        given = ("ribs = 5", "ribs = 5\ndouble_sided = true\nback = 6.4")
        assert found(FIXED, given) == {("thickness", "caution")}

    def test_a_single_sided_belt_s_height_comes_from_its_section(self) -> None:
        assert found(FIXED) == set()
