"""travel, over-centre, slack-side and release: every position that a belt can take."""

from __future__ import annotations

from dataclasses import replace
from math import cos, degrees, hypot, radians, sin

import pytest

from beltpath.checks.findings import Finding
from beltpath.layout.keys import Sense
from beltpath.layout.layout import stand_in
from beltpath.layout.reader import parse
from beltpath.solve.drive import solve
from tests.checks.drives import (
    SLIDE,
    SPRUNG,
    changed,
    drive_of,
    findings_of,
    found,
    only,
    run,
    with_post,
)

#: `SPRUNG` stands at 0.07°; the belt's ± 5 mm puts it at −2.75° or 2.95°, and 1 % of
#: stretch on the longer at 14.18°.
NOW, SHORT, LONG, WORN = 0.07, -2.75, 2.95, 14.18
NO_BELT = ("length = 1880\ntolerance = 5\n", "")
#: A window that is cut out, so that the stops alone are judged.
NO_WINDOW = ("window = [-20, 18]\n", "")


def window(low: float, high: float) -> tuple[str, str]:
    return ("window = [-20, 18]", f"window = [{low}, {high}]")


def travel_of(*changes: tuple[str, str]) -> list[str]:
    """What `travel` says of `SPRUNG`, some of it changed; only `fit-on` and `stops` may speak."""
    findings = findings_of(SPRUNG, *changes)
    assert {f.check for f in findings} <= {"travel", "fit-on", "stops"}
    return [f.message for f in findings if f.check == "travel"]


class TestPositions:
    @pytest.mark.parametrize(
        ("length", "position"),
        [(1880.0, NOW), (1875.0, SHORT), (1885.0, LONG), (1885.0 * 1.01, WORN)],
    )
    def test_the_positions_that_these_tests_rest_on(self, length: float, position: float) -> None:
        """Found by the solver, and the path there is as long as the belt."""
        stand = drive_of(SPRUNG, ("length = 1880", f"length = {length}")).stand
        assert stand is not None
        assert stand.position == pytest.approx(position, abs=0.01)
        assert stand.path.length == pytest.approx(length)


class TestNow:
    @pytest.mark.parametrize(
        ("low", "high", "reads", "says"),
        [
            (
                -20.0,
                NOW - 0.01,
                "0.1°",
                "towards the free stop. The belt is too long or has stretched",
            ),
            (
                NOW + 0.01,
                18.0,
                "0°",
                "towards the load stop. The belt is too short and pulls too hard",
            ),
        ],
    )
    def test_outside_the_window_is_a_caution(
        self, low: float, high: float, reads: str, says: str
    ) -> None:
        (finding,) = findings_of(SPRUNG, window(low, high))
        assert (finding.check, finding.level) == ("travel", "caution")
        assert finding.message.startswith(f"The tensioner stands at {reads}, outside its")
        assert says in finding.message
        assert finding.source == "the layout's own `window`"

    @pytest.mark.parametrize(
        ("stop", "says"),
        [
            (
                ("free = 20", "free = 1"),
                "measured at 3.2°, which does not lie between its stops, 1°",
            ),
            (("load = -35", "load = 5.5"), "stops, 20° (free) and 5.5° (load)"),
        ],
    )
    def test_measured_outside_the_stops_is_a_fault(self, stop: tuple[str, str], says: str) -> None:
        """Without a belt in hand the measured position is judged, 3.18°."""
        finding = only(SPRUNG, NO_BELT, stop, NO_WINDOW)
        assert (finding.check, finding.level) == ("stops", "fault")
        assert says in finding.message
        assert finding.source == "the layout's own stops, `free` and `load`"

    @pytest.mark.parametrize(("free", "level"), [(1.45, "caution"), (1.4, "fault")])
    def test_beyond_a_stop_by_no_more_than_it_can_be_measured(
        self, free: float, level: str
    ) -> None:
        """1.96·√2·1 mm on an arm of 90.1 mm is 1.76°: 3.18° may be 1.42°, and no less."""
        stand = drive_of(SPRUNG, NO_BELT, NO_WINDOW).stand
        assert stand is not None
        assert stand.position - degrees(1.96 * hypot(1.0, 1.0) / hypot(90.0, 5.0)) == pytest.approx(
            1.42, abs=0.01
        )
        found = findings_of(SPRUNG, NO_BELT, ("free = 20", f"free = {free}"), NO_WINDOW)
        (beyond,) = [f for f in found if "free" in f.message]
        assert (beyond.check, beyond.level) == (
            ("travel", level) if level == "caution" else ("stops", level)
        )
        assert ("it may stand at the stop itself" in beyond.message) == (level == "caution")

    def test_a_slide_beyond_its_stop_by_no_more_than_it_can_be_measured(self) -> None:
        """± 1.96·√2·1 mm = 2.77 mm where the places are known to 1 mm."""
        for free, level in ((-2.7, "caution"), (-2.8, "fault")):
            found = findings_of(
                SLIDE,
                ("free = 40", f"free = {free}"),
                ("window = [-25, 35]", "window = [-25, -5]"),
            )
            assert [f.level for f in found if "free" in f.message] == [level]

    @pytest.mark.parametrize("stop", [("free = 20", "free = 3.2"), ("load = -35", "load = 3.1")])
    def test_measured_inside_the_stops_is_no_fault(self, stop: tuple[str, str]) -> None:
        findings = findings_of(SPRUNG, NO_BELT, stop, NO_WINDOW)
        # Without travel from there on the belt cannot be got on; `fit-on` tells that.
        assert all(f.level != "fault" for f in findings if f.check != "fit-on")

    def test_a_slide_measured_at_its_stop_is_at_it(self) -> None:
        """Nothing is beyond the stop, but there is nothing left to take up either."""
        finding = only(
            SLIDE, ("free = 40", "free = 0"), ("window = [-25, 35]", "window = [-25, 0]")
        )
        assert finding.level == "caution"
        assert finding.message.startswith("This belt after 1 % of stretch in service (1344.3 mm)")
        assert "is not kept taut: 1331 mm is the longest" in finding.message


class TestOtherBelts:
    @pytest.mark.parametrize(
        ("changes", "says"),
        [
            ((window(SHORT - 0.01, 18),), []),
            (
                (window(SHORT + 0.01, 18),),
                ["short end of its tolerance (1875 mm) puts the tensioner at -2.8°, outside"],
            ),
            (
                (("load = -35", f"load = {SHORT + 0.01}"), window(-2.0, 18)),
                [],  # `fit-on` tells, as a fault
            ),
            ((window(-20, WORN + 0.01),), []),
            (
                (window(-20, WORN - 0.01),),
                ["after 1 % of stretch in service (1903.9 mm) puts the tensioner at 14.2°"],
            ),
            (
                (("free = 20", "free = 11"), window(-20, 10)),
                ["its tolerance after 1 % of stretch in service (1903.8 mm) is not kept taut"],
            ),
            (
                (window(-20, LONG - 0.01),),
                ["long end of its tolerance (1885 mm) puts the tensioner at 3°, outside"],
            ),
            (
                (("free = 20", "free = 2.5"), window(-20, 2)),
                ["long end of its tolerance (1885 mm) is not kept taut: 1884.2 mm is the longest"],
            ),
            (
                (("free = 20", "free = 11"), window(-20, 2)),
                [
                    "long end of its tolerance (1885 mm) puts",
                    "1 % of stretch in service (1903.8 mm)",
                ],
            ),
            (
                (window(-2, 2),),
                [
                    "short end of its tolerance (1875 mm) puts",
                    "long end of its tolerance (1885 mm)",
                ],
            ),
            (
                (window(1, 10),),
                ["The tensioner stands at 0.1°", "1 % of stretch in service (1903.9 mm) puts"],
            ),
        ],
    )
    def test_what_is_worse_than_now_is_told_once(
        self, changes: tuple[tuple[str, str], ...], says: list[str]
    ) -> None:
        told = travel_of(*changes)
        assert len(told) == len(says)
        for message, words in zip(told, says, strict=True):
            assert words in message

    def test_without_a_belt_in_hand_there_is_no_tolerance(self) -> None:
        """Measured at 3.18°, 1885.4 mm; 1 % more stands at 14.43°."""
        (message,) = travel_of(NO_BELT, window(3.1, 14))
        assert message.startswith("This belt after 1 % of stretch in service (1904.3 mm)")

    def test_a_belt_without_a_tolerance_is_judged_by_the_table(self) -> None:
        """9 mm on such a length, from the table, and not 5."""
        read = parse(changed(SPRUNG, window(-4, 18)))
        assert run(solve(read)) == ()
        (finding,) = run(solve(replace(read, belt=replace(read.belt, tolerance=None))))
        assert "short end of its tolerance (1871 mm)" in finding.message

    def test_a_belt_that_cannot_be_reached_is_told_by_length_alone(self) -> None:
        assert found(SPRUNG, ("length = 1880", "length = 1800"), window(17, 18)) == {
            ("agreement", "caution"),
            ("length", "fault"),
        }

    def test_a_travel_that_is_written_the_other_way_says_the_same(self) -> None:
        """The slide's direction turned round, and with it the signs of all its positions."""
        changes = (
            ("free = 40", "free = 18"),
            ("window = [-25, 35]", "window = [3, 10]"),
        )
        mirrored = (
            ("along = 0", "along = 180"),
            ("free = 40", "free = -18"),
            ("load = -30", "load = 30"),
            ("window = [-25, 35]", "window = [-10, -3]"),
        )
        told = [f.message for f in findings_of(SLIDE, *changes)]
        assert len(told) == 2
        turned = [f.message for f in findings_of(SLIDE, *mirrored)]
        assert turned[0] == told[0].replace("3 to 10 mm", "-10 to -3 mm")
        assert "at 15.2 mm, outside its window (3 to 10 mm)" in told[1]
        assert "at -15.2 mm, outside its window (-10 to -3 mm)" in turned[1]


class TestStops:
    def test_exchanged_stops_are_one_fault(self) -> None:
        """Other belts are not judged until they are right."""
        finding = only(
            SPRUNG, ("free = 20", "free = -35"), ("load = -35", "load = 20"), window(-1, 1)
        )
        assert finding.level == "fault"
        assert "at its load stop (20°)" in finding.message
        assert "1913.3 mm long; at its free stop (-35°) only 1812.3 mm" in finding.message

    def test_a_stop_that_the_pulley_cannot_reach_is_a_caution(self) -> None:
        finding = only(
            SPRUNG,
            ("[-70, 165]", "[-65, 150]"),
            ("pivot = [-160, 160]", "pivot = [-150, 130]"),
            ("free = 20", "free = 45"),
            window(0, 40),
            ("load = -35", "load = -30"),
            NO_BELT,
        )
        assert (finding.check, finding.level) == ("travel", "caution")
        assert finding.message.startswith("Between -9.4° and its load stop (-30°)")
        assert "closes up on its neighbours" in finding.message

    def test_a_lever_that_lifts_the_pulley_off_the_belt_is_a_note(self) -> None:
        """There dL/dposition is 0, which is no over-centre."""
        drive = drive_of(SLIDE, ("load = -30", "load = -90"))
        assert drive.stand is not None
        finding = only(SLIDE, ("load = -30", "load = -90"))
        assert (finding.check, finding.level) == ("travel", "note")
        assert finding.message.startswith("Between -72.2 mm and its load stop (-90 mm)")
        assert "leaves the belt" in finding.message

    def test_a_free_stop_off_the_belt_is_a_caution(self) -> None:
        """Stops exchanged and too far apart: both are said."""
        findings = findings_of(
            SLIDE,
            ("free = 40", "free = -90"),
            ("load = -30", "load = 40"),
        )
        assert [(f.check, f.level) for f in findings] == [
            ("travel", "fault"),
            ("travel", "caution"),
        ]
        assert (
            "its free stop (-90 mm) the tensioner's pulley leaves the belt" in findings[1].message
        )


class TestBlocked:
    POST = "[-150, 60]"

    def test_a_rim_in_the_way_of_the_lever_is_a_caution(self) -> None:
        """35 mm of post and 50 mm of pulley meet where the centres are 85 mm apart."""
        finding = only(SPRUNG, with_post(self.POST, 70))
        assert (finding.check, finding.level) == ("travel", "caution")
        assert finding.pulleys == ("tensioner", "post")
        assert finding.message.startswith(
            "On its way to the load stop (-35°) the tensioner's pulley would run into the rim of "
            "post, at about -32.1°."
        )
        # By hand: the arm is 90.14 mm long and turns about (−160, 160). A step is 0.6°.
        angle = radians(-32.1)
        apart = hypot(-160 + 90.14 * cos(angle) + 150, 160 + 90.14 * sin(angle) - 60)
        assert 84.0 < apart <= 85.0

    def test_a_rim_beside_the_way_is_none(self) -> None:
        assert found(SPRUNG, with_post(self.POST, 58)) == set()

    def test_a_rim_that_overlaps_already_is_told_by_overlap(self) -> None:
        assert found(SPRUNG, with_post("[-125, 135]", 30)) == {("overlap", "fault")}

    def test_a_rim_in_another_plane_is_a_doubt(self) -> None:
        finding = only(SPRUNG, with_post(self.POST, 70, ", offset = 40"))
        assert finding.message.endswith("look whether they meet at all.")


class TestOverCentre:
    #: The slide moves along the run, over its middle: the path is shortest there, at 30 mm.
    ALONG = ("along = 0", "along = 90")

    def lengths(self) -> tuple[float, float, float]:
        """The path at the free stop, at the load stop, and where it goes over centre."""
        drive = drive_of(SLIDE, self.ALONG)
        assert drive.stand is not None
        assert drive.stand.over_centre is not None
        middle = drive_of(SLIDE, ("[-60, 170]", "[-60, 200]"))
        return drive.stand.at_free, drive.stand.at_load, middle.path.length

    def test_a_belt_between_an_end_and_the_middle_is_reached(self) -> None:
        """At two positions, which is what is wrong; its length is not."""
        free, _, middle = self.lengths()
        belt = ("ribs = 4", f"ribs = 4\nlength = {(free + middle) / 2.0!r}")
        assert found(SLIDE, self.ALONG, belt) == {("over-centre", "fault")}

    def test_a_belt_beyond_the_middle_is_not(self) -> None:
        _, _, middle = self.lengths()
        belt = ("ribs = 4", f"ribs = 4\nlength = {middle - 0.1!r}")
        findings = findings_of(SLIDE, self.ALONG, belt)
        assert [f.check for f in findings] == ["length", "over-centre"]
        assert "What belts the travel takes is in doubt" in findings[0].message
        assert "look for one between" not in findings[0].message

    def test_the_window_is_judged_all_the_same(self) -> None:
        narrow = ("window = [-25, 35]", "window = [5, 35]")
        assert found(SLIDE, self.ALONG, narrow) == {("over-centre", "fault"), ("travel", "caution")}


class TestSlackSide:
    #: Another pulley drives, so that the crank of `SPRUNG` is driven, or idles.
    DRIVEN = (
        ('role = "crank" }', 'role = "other" }'),
        ('role = "compressor" }', 'role = "crank" }'),
    )
    IDLE = (('role = "crank" }', 'role = "idler" }'), ('role = "compressor" }', 'role = "crank" }'))
    #: The whole drive run the other way round.
    BACKWARDS = (
        (
            '"tensioner", "alternator", "pump", "idler", "compressor"',
            '"compressor", "idler", "pump", "alternator", "tensioner"',
        ),
        ('crank_turns = "clockwise"', 'crank_turns = "counterclockwise"'),
    )

    def test_behind_a_driven_pulley_is_a_caution(self) -> None:
        finding = only(SPRUNG, *self.DRIVEN)
        assert (finding.check, finding.level) == ("slack-side", "caution")
        assert "behind crank, which already pulls the belt tight there" in finding.message

    def test_idlers_before_it_take_nothing(self) -> None:
        assert found(SPRUNG, *self.IDLE) == set()

    def test_an_accessory_that_is_swung_and_bolted_may_stand_anywhere(self) -> None:
        assert found(SPRUNG, *self.BACKWARDS) == {("slack-side", "caution")}
        assert found(SPRUNG, *self.BACKWARDS, ('kind = "arm"', 'kind = "swing"')) == set()


class TestRelease:
    @pytest.mark.parametrize(
        ("release", "told"),
        [(None, False), (180.0, False), (91.0, False), (-91.0, False), (89.0, True), (0.0, True)],
    )
    def test_the_direction_of_a_slide(self, release: float | None, told: bool) -> None:
        """Layout files cannot declare it; a layout made in code can. It slackens towards 180°."""
        findings = self.declared(release)
        assert [f.check for f in findings] == (["release"] if told else [])
        assert all("it must go towards 180°" in f.message for f in findings)

    def test_a_sense_is_no_direction(self) -> None:
        (finding,) = self.declared("clockwise")
        assert "says that the lever goes clockwise" in finding.message

    def declared(self, release: Sense | float | None) -> tuple[Finding, ...]:
        read = parse(SLIDE)
        assert read.tensioner is not None
        return run(solve(stand_in(read, tensioner=replace(read.tensioner, release=release))))


def test_stops_that_no_belt_reaches_are_one_fault() -> None:
    """The drive can be laid where it was measured, and nowhere between the stops that are given."""
    stops = (("free = 20", "free = 200"), ("load = -35", "load = 172"))
    (fault,) = findings_of(SPRUNG, *stops, ("window = [-20, 18]\n", ""))
    assert (fault.check, fault.level) == ("stops", "fault")
    assert "does not lie between its stops, 200° (free) and 172° (load)" in fault.message
