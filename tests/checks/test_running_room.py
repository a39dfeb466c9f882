"""crossing, overlap, clearance and alignment: no cause told twice, none hidden."""

from __future__ import annotations

from itertools import permutations
from math import atan2, ceil, cos, hypot, sin

import pytest
import shapely

from beltpath import checks
from beltpath.solve.path import BeltPath
from tests.checks.drives import (
    FIXED,
    SPRUNG,
    drive_of,
    findings_of,
    found,
    layout,
    only,
    pair,
    pulley,
    with_post,
)


def in_order(*names: str) -> tuple[str, str]:
    """A change of the route of `SPRUNG` behind the crank."""
    old = '"tensioner", "alternator", "pump", "idler", "compressor"'
    return old, ", ".join(f'"{name}"' for name in names)


class TestCrossing:
    def test_crossings_are_one_fault_with_every_place_marked(self) -> None:
        order = in_order("compressor", "tensioner", "alternator", "idler", "pump")
        findings = [f for f in findings_of(SPRUNG, order) if f.check == "crossing"]
        assert len(findings) == 1
        assert len(findings[0].where) == 6
        assert "and so in 3 more places" in findings[0].message
        assert findings[0].message.count(" meets ") == 3

    def test_length_and_tensioner_of_a_crossed_belt_are_not_judged(self) -> None:
        """It turns once all the same, and no number would be wrong enough to be seen."""
        order = in_order("tensioner", "pump", "idler", "alternator", "compressor")
        drive = drive_of(SPRUNG, order)
        assert drive.path.proper
        assert {f.check for f in findings_of(SPRUNG, order)} == {"crossing", "clearance"}

    def test_one_place_more_is_told_in_the_singular(self) -> None:
        order = in_order("pump", "idler", "tensioner", "alternator", "compressor")
        (finding,) = [f for f in findings_of(SPRUNG, order) if f.check == "crossing"]
        assert len(finding.where) == 4
        assert "and so in 1 more place." in finding.message

    @pytest.mark.parametrize(
        ("up", "check"),
        [
            (9.9, None),
            (9.1, ("clearance", "caution")),
            (4.7, ("clearance", "caution")),
            (4.5, ("crossing", "fault")),
            (0.1, ("crossing", "fault")),
            (-0.1, ("clearance", "fault")),
        ],
    )
    def test_a_span_beside_the_belt_on_a_pulley(
        self, up: float, check: tuple[str, str] | None
    ) -> None:
        """The rim of the idler of `FIXED` is `up` above the back of the crank's lower span.

        The belt on the rim is 4.6 mm thick: below that the belt rubs on itself, and 5 mm more are
        wanted. The span falls from (0, −75 − 2.2) with the tangent to the fan; its ribbed face is
        turned to the idler. Its height at the foot is worked out from that tangent.
        """
        drive = drive_of(FIXED)
        span = drive.path.spans[0]
        (ax, ay), (ux, uy) = span.leave, span.direction
        foot = (ax + 150.0 * ux, ay + 150.0 * uy)
        # The ribs stand 2.4 mm off the effective line to the left of travel, the rim 50 mm further.
        away = 2.4 + up + 50.0
        at = f"[{foot[0] - away * uy!r}, {foot[1] + away * ux!r}]"
        assert found(FIXED, ("[20, 150]", at)) == (set() if check is None else {check})

    def test_the_belt_on_two_pulleys_may_rub(self) -> None:
        """Tensioner and idler of `SPRUNG` with their rims 8 mm apart, both with 4.6 mm of belt."""
        drive = drive_of(SPRUNG)
        x, y = drive.centre("tensioner")
        beside = ("[80, 150]", f"[{x + 108.0!r}, {y!r}]")
        no_belt = ("length = 1880\ntolerance = 5\n", "")
        finding = only(SPRUNG, beside, no_belt, ("[-70, 165]", f"[{x!r}, {y!r}]"))
        assert (finding.check, finding.level) == ("crossing", "fault")
        assert finding.pulleys == ("tensioner", "idler")
        assert "the belt on tensioner and the belt on idler leave no room" in finding.message

    def test_the_belt_on_two_pulleys_may_come_near(self) -> None:
        drive = drive_of(SPRUNG)
        x, y = drive.centre("tensioner")
        no_belt = ("length = 1880\ntolerance = 5\n", "")
        there = ("[-70, 165]", f"[{x!r}, {y!r}]")
        near = ("[80, 150]", f"[{x + 100.0 + 2 * 4.6 + 2.9!r}, {y!r}]")
        finding = only(SPRUNG, near, no_belt, there)
        assert (finding.check, finding.level) == ("clearance", "caution")
        assert "comes within 2.9 mm of the belt on idler; 3 mm is wanted" in finding.message
        further = ("[80, 150]", f"[{x + 100.0 + 2 * 4.6 + 3.1!r}, {y!r}]")
        assert found(SPRUNG, further, no_belt, there) == set()

    def test_two_runs_pressed_together_rub(self) -> None:
        """Told once, although the spans beside the idlers come as near as the belt on them."""
        assert found(waist(3.1)) == set()
        assert only(waist(2.9)).check == "clearance"
        finding = only(waist(-0.1))
        assert (finding.check, finding.level) == ("crossing", "fault")
        assert finding.pulleys == ("lower", "upper")

    def test_spans_that_run_together_again_beyond_a_pulley_are_found(self) -> None:
        """A wrap of more than 180° round the crank; the spans meet where an idler ends one."""
        finding = only(pinched(0.5))
        assert (finding.check, finding.level) == ("clearance", "caution")
        assert only(pinched(-0.1)).check == "crossing"


def pinched(gap: float) -> str:
    """The lower run as a straight line, and an idler that presses the upper run down to it.

    The lower run's ribbed face is 52.6 mm below the crank's centre less 5, the idler's belt 54.6
    mm from its centre.
    """
    lines = [
        pulley("crank", (0.0, 0.0), 200.0, 'role = "crank"'),
        pulley("far", (500.0, 0.0), 200.0),
        pulley(
            "upper", (250.0, -100.0 + 2.4 + 54.6 + gap), 100.0, 'face = "smooth", role = "idler"'
        ),
    ]
    return layout("\n".join(lines), route="crank far upper")


def waist(gap: float) -> str:
    """A loop with a waist: two idlers on its back, with that gap between the belt on them.

    The belt's ribbed face is 50 + 4.6 mm from the idlers' centres.
    """
    out = gap / 2.0 + 54.6
    lines = [
        pulley("crank", (0.0, 0.0), 200.0, 'role = "crank"'),
        pulley("lower", (200.0, -out), 100.0, 'face = "smooth", role = "idler"'),
        pulley("far", (420.0, 0.0), 200.0),
        pulley("upper", (200.0, out), 100.0, 'face = "smooth", role = "idler"'),
    ]
    return layout("\n".join(lines), route="crank lower far upper")


class TestOverlap:
    @pytest.mark.parametrize(("gap", "told"), [(0.01, False), (-0.01, True)])
    def test_rims_that_touch_pass(self, gap: float, told: bool) -> None:
        """A post to the right of `FIXED`'s fan, whose rim is 120 mm less 0.885 of groove tips."""
        apart = (120.0 - 0.885) / 2.0 + 10.0 + gap
        findings = findings_of(FIXED, with_post(f"[{300.0 - apart!r}, 20]", 20))
        assert [f.check for f in findings] == (["overlap"] if told else [])

    def test_a_flange_counts(self) -> None:
        finding = only(SPRUNG, ('role = "compressor" }', 'role = "compressor", rim = 200 }'))
        assert finding.pulleys == ("idler", "compressor")
        # 50 and 100 mm of rim, centres (80, 150) and (210, 210).
        assert f"overlap by {150.0 - hypot(130.0, 60.0):.1f} mm" in finding.message

    def test_the_tensioner_s_pulley_counts_where_the_belt_puts_it(self) -> None:
        """A post at the measured place is no longer in the way; one where it stands is."""
        stands = drive_of(SPRUNG, with_post("[900, 900]", 20)).centre("tensioner")
        clear = with_post("[-100, 150]", 20)
        at_measured = {(f.check, f.pulleys) for f in findings_of(SPRUNG, clear)}
        assert ("overlap", ("post", "tensioner")) in at_measured
        there = with_post(f"[{stands[0]!r}, {stands[1]!r}]", 20)
        assert ("overlap", ("post", "tensioner")) in {
            (f.check, f.pulleys) for f in findings_of(SPRUNG, there)
        }

    @pytest.mark.parametrize(("offset", "level"), [(21.36, "fault"), (21.37, "caution")])
    def test_in_another_plane_it_is_a_doubt(self, offset: float, level: str) -> None:
        """Six ribs of 3.56 mm are 21.36 mm wide; nothing tells how wide the rims are."""
        finding = only(SPRUNG, with_post("[165, 215]", 20, f", offset = {offset}"))
        assert (finding.check, finding.level) == ("overlap", level)
        assert ("look whether they meet at all" in finding.message) == (level == "caution")


class TestClearance:
    def test_a_rim_across_a_span_and_the_belt_beside_it_is_told_once(self) -> None:
        """A post below the end of a span is in the way of the span and of the belt before it."""
        post = pulley("post", (2.0, -66.0), 30.0, 'face = "smooth"')
        text = layout(f"{pair(400.0)}\n{post}", route="crank far")
        drive = drive_of(text)
        assert drive.span_clearances[0].gap == pytest.approx(13.8 - 15.0)
        assert drive.wrap_clearances[0].gap == pytest.approx(hypot(2.0, 13.8) - 15.0)
        finding = only(text)
        assert finding.message.startswith("The span from crank to far runs 1.2 mm deep")

    @pytest.mark.parametrize(
        ("gap", "level"), [(5.01, None), (4.99, "caution"), (0.01, "caution"), (-0.01, "fault")]
    )
    def test_a_rim_beside_a_span(self, gap: float, level: str | None) -> None:
        """The lower run's back lies at −52.2, the post's top 10 mm above its centre."""
        post = pulley("post", (200.0, -52.2 - gap - 10.0), 20.0, 'face = "smooth"')
        findings = found(layout(f"{pair(400.0)}\n{post}", route="crank far"))
        assert findings == (set() if level is None else {("clearance", level)})

    def test_two_spans_through_one_rim_are_told_each(self) -> None:
        """A post as large as the loop is wide cuts both runs, which do not follow each other."""
        post = pulley("post", (200.0, 0.0), 140.0, 'face = "smooth"')
        findings = findings_of(layout(f"{pair(400.0)}\n{post}", route="crank far"))
        assert [(f.check, f.pulleys) for f in findings] == [
            ("clearance", ("crank", "far", "post")),
            ("clearance", ("far", "crank", "post")),
        ]
        # The post's rim stands 70 mm out, the belt's ribbed face 50 − 2.4 mm: inside the loop.
        assert all("runs 70 mm deep" in f.message or "22.4 mm" in f.message for f in findings)

    def test_both_rims_beside_one_span_are_told(self) -> None:
        """The nearest is not the only one."""
        one = pulley("one", (120.0, -66.0), 20.0, 'face = "smooth"')
        two = pulley("two", (280.0, -65.0), 20.0, 'face = "smooth"')
        findings = findings_of(layout(f"{pair(400.0)}\n{one}\n{two}", route="crank far"))
        assert [f.pulleys[-1] for f in findings] == ["two", "one"]
        assert [f.message.split(" mm from")[0][-3:] for f in findings] == ["2.8", "3.8"]

    def test_a_rim_through_the_belt_on_a_pulley_is_a_fault(self) -> None:
        """Between the back of the belt (52.2 mm from the centre) and the groove tips (49.6 mm)."""
        post = pulley("post", (-61.0, 0.0), 20.0, 'face = "smooth"')
        finding = only(layout(f"{pair(400.0)}\n{post}", route="crank far"))
        assert (finding.check, finding.level) == ("clearance", "fault")
        assert finding.message.startswith(
            "The belt on crank runs 1.2 mm deep through the rim of post"
        )

    def test_rims_that_overlap_are_not_told_again_as_belt(self) -> None:
        post = pulley("post", (-58.0, 0.0), 20.0, 'face = "smooth"')
        assert only(layout(f"{pair(400.0)}\n{post}", route="crank far")).check == "overlap"

    def test_the_belt_near_a_rim_in_another_plane_is_a_doubt(self) -> None:
        far = with_post("[190, 95]", 30, ", offset = 60")
        finding = only(SPRUNG, far)
        assert finding.level == "caution"
        assert "60 mm apart, more than the belt's width of 21 mm" in finding.message
        near = only(SPRUNG, with_post("[165, 95]", 30, ", offset = -60"))
        assert near.message.endswith("look whether they meet at all.")

    def test_a_slanting_span_meets_what_lies_between_its_planes(self) -> None:
        """From plane 0 to plane 50, a post in plane 30 lies in the way for sure."""
        slanting = ('role = "compressor"', 'role = "compressor", offset = 50')
        findings = findings_of(SPRUNG, slanting, with_post("[190, 95]", 30, ", offset = 30"))
        assert [(f.level, f.pulleys) for f in findings if f.check == "clearance"] == [
            ("fault", ("compressor", "crank", "post"))
        ]

    def test_a_v_belt_is_as_wide_as_its_top(self) -> None:
        post = pulley("post", (200.0, -50.0), 20.0, 'face = "smooth", offset = {0}')
        text = layout(f"{pair(400.0)}\n{post}", route="crank far").replace('"PK"', '"AV10"')
        assert only(text.replace("{0}", "9.7")).level == "fault"
        assert only(text.replace("{0}", "9.8")).level == "caution"

    def test_the_marked_place_is_where_the_belt_is_nearest(self) -> None:
        post = pulley("post", (120.0, -66.0), 20.0, 'face = "smooth"')
        assert only(layout(f"{pair(400.0)}\n{post}", route="crank far")).where == ((120.0, -50.0),)
        beside = pulley("post", (-61.0, 0.0), 20.0, 'face = "smooth"')
        assert only(layout(f"{pair(400.0)}\n{beside}", route="crank far")).where == ((-50.0, 0.0),)


class TestAlignment:
    def test_both_spans_of_a_pulley_out_of_line_are_told(self) -> None:
        findings = findings_of(FIXED, ('role = "fan"', 'role = "fan", offset = 3'))
        assert [(f.check, f.pulleys) for f in findings] == [
            ("alignment", ("crank", "fan")),
            ("alignment", ("fan", "pump")),
        ]

    def test_spans_to_a_missed_pulley_are_not_judged(self) -> None:
        findings = found(
            FIXED, ("[20, 150]", "[-60, 180]"), ('role = "idler"', 'role = "idler", offset = 30')
        )
        assert findings == {("missed", "fault")}

    def test_pulleys_that_stand_out_together_are_in_line(self) -> None:
        text = layout(pair(400.0, "offset = 12"), route="crank far")
        assert found(text) == {("alignment", "caution")}
        assert found(text.replace('role = "crank"', 'role = "crank", offset = 12')) == set()


class TestEveryOrder:
    """A law: whatever the order of the route, a belt that is no plain loop is a fault.

    Checked on the belt's fine polygon by shapely, which has no part in finding crossings.
    """

    def test_a_belt_that_is_no_plain_loop_is_found(self) -> None:
        plain = 0
        for order in permutations(("tensioner", "alternator", "pump", "idler", "compressor")):
            layout_text = (*NO_TENSIONER, in_order(*order))
            drive = drive_of(SPRUNG.partition("[tensioner]")[0], *layout_text)
            faults = {f.check for f in checks.run(drive) if f.level == "fault"}
            if polyline(drive.path).is_simple and drive.path.proper:
                plain += 1
                assert not faults & {"missed", "crossing"}
            else:
                # A span that crosses the belt on a pulley goes through that pulley's rim.
                assert faults & {"missed", "crossing", "clearance"}
        assert 1 < plain < 60


#: `SPRUNG` with neither belt nor tensioner.
NO_TENSIONER = (("length = 1880\ntolerance = 5\n", ""),)


def polyline(path: BeltPath) -> shapely.LinearRing:
    """The effective line as a ring of straight pieces, no more than 2° of arc each."""
    points: list[tuple[float, float]] = []
    for contact in path.contacts:
        (x, y), count = contact.centre, ceil(contact.wrap / 0.035) + 1
        first = atan2(contact.enter[1] - y, contact.enter[0] - x)
        for k in range(count + 1):
            angle = first + contact.sign * contact.wrap * k / count
            points.append((x + contact.radius * cos(angle), y + contact.radius * sin(angle)))
    return shapely.LinearRing(points)
