"""Clearances against geometry that does not come from the code under test.

Two independent ways: whole numbers worked out by hand, and the distance between points sampled all
over the belt's outline and circles. Sampling at 0.05 mm and 0.02° finds a distance that is at most
2·10⁻³ mm too great for gaps above 1 mm, and never too small.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, ceil, cos, hypot, sin

import hypothesis.strategies as st
import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import assume, example, given, settings

from beltpath.geometry import Point
from beltpath.layout.records import rim_diameter
from beltpath.solve.clearance import bands, self_gaps, span_clearances, wrap_clearances
from beltpath.solve.drive import Drive
from beltpath.solve.path import Contact, Span
from tests.checks.drives import FIXED, SPRUNG, drive_of, layout, pair, pulley, with_post

Points = npt.NDArray[np.float64]
CLOSE = 2e-3
#: Where the pulleys of `FIXED` are; a layout may not have two in one place.
CENTRES = ((0.0, 0.0), (300.0, 20.0), (150.0, 220.0), (20.0, 150.0))


def span_outline(drive: Drive, span: Span) -> Points:
    """Points on the two faces of a span and across its ends, 0.05 mm apart along the faces."""
    belt = drive.layout.belt
    # Left of travel lies the inside of a loop that runs counterclockwise, and there the ribs.
    left, right = belt.height - belt.back, belt.back
    if drive.path.loop < 0:
        left, right = right, left
    (ax, ay), (bx, by) = span.leave, span.enter
    along = np.linspace(0.0, 1.0, ceil(span.length / 0.05))
    nx, ny = -(by - ay) / span.length, (bx - ax) / span.length
    faces = [
        np.column_stack((ax + along * (bx - ax) + off * nx, ay + along * (by - ay) + off * ny))
        for off in (left, -right)
    ]
    across = np.linspace(-right, left, 93)
    ends = [np.column_stack((x + across * nx, y + across * ny)) for x, y in ((ax, ay), (bx, by))]
    return np.concatenate(faces + ends)


def outer_face(drive: Drive, contact: Contact, on: str) -> Points:
    """Points on the outer face of the belt on a pulley, 0.02° apart."""
    belt = drive.layout.belt
    radius = contact.radius + (belt.back if on == "ribs" else belt.height - belt.back)
    x, y = contact.centre
    first = atan2(contact.enter[1] - y, contact.enter[0] - x)
    turned = first + contact.sign * np.linspace(0.0, contact.wrap, ceil(contact.wrap / 3.5e-4) + 2)
    return np.column_stack((x + radius * np.cos(turned), y + radius * np.sin(turned)))


def from_points(points: Points, centre: Point) -> float:
    """The distance from a centre to the nearest of many points."""
    return float(np.hypot(points[:, 0] - centre[0], points[:, 1] - centre[1]).min())


def between(one: Points, other: Points) -> float:
    """The distance between two clouds of points."""
    nearest = (from_points(one, (float(x), float(y))) for x, y in other[::40])
    rough = int(np.argmin(np.fromiter(nearest, dtype=float)))
    part = other[max(0, 40 * rough - 60) : 40 * rough + 60]
    return min(from_points(one, (float(x), float(y))) for x, y in part)


def sampled(drive: Drive, joined: bool) -> Iterator[tuple[float, float]]:
    """Every gap between belt and foreign rim with the same gap found by sampling.

    Spans with pulleys not their own, or belt on pulleys with those it does not run to (`joined`).
    """
    path, section = drive.path, drive.layout.belt.section
    names = [contact.pulley for contact in path.contacts]
    if joined:
        found = [
            (clearance, span_outline(drive, span))
            for clearance, span in zip(drive.span_clearances, path.spans, strict=True)
        ]
    else:
        found = [
            (clearance, outer_face(drive, contact, on))
            for clearance, contact, on in zip(
                drive.wrap_clearances, path.contacts, path.sides, strict=True
            )
        ]
    for i, (clearance, points) in enumerate(found):
        own = {names[i], names[(i + 1) % len(names)]} if joined else set()
        own = own or {names[i - 1], names[i], names[(i + 1) % len(names)]}
        assert {gap.pulley for gap in clearance.gaps} == set(drive.layout.pulleys) - own
        for gap in clearance.gaps:
            rim = rim_diameter(drive.layout.pulleys[gap.pulley], section) / 2.0
            yield gap.gap, from_points(points, drive.centre(gap.pulley)) - rim


class TestAgainstSampling:
    @pytest.mark.parametrize("text", [SPRUNG, FIXED], ids=["clockwise", "counterclockwise"])
    @pytest.mark.parametrize("joined", [True, False], ids=["spans", "wraps"])
    def test_the_rims_of_sound_drives(self, text: str, joined: bool) -> None:
        pairs = list(sampled(drive_of(text), joined))
        assert len(pairs) >= (8 if joined else 4)
        for gap, same in pairs:
            assert gap == pytest.approx(same, abs=CLOSE)

    @settings(max_examples=25)
    @given(x=st.floats(-350.0, 450.0), y=st.floats(-200.0, 420.0))
    @example(x=100.0, y=-76.0)
    def test_a_post_anywhere_outside_the_belt_itself(self, x: float, y: float) -> None:
        """Law: the gap to a post's rim is the distance of its centre less the radius."""
        centre = (x, y)
        assume(all(hypot(x - cx, y - cy) > 1.0 for cx, cy in CENTRES))
        drive = drive_of(FIXED, with_post(f"[{x!r}, {y!r}]", 20))
        for clearance, span in zip(drive.span_clearances, drive.path.spans, strict=True):
            (gap,) = [g.gap for g in clearance.gaps if g.pulley == "post"]
            away = from_points(span_outline(drive, span), centre) - 10.0
            # Inside the belt's thickness the distance is 0, and the outline is up to 2.4 mm away.
            assert gap == pytest.approx(away, abs=CLOSE) or (gap == -10.0 and away < -10.0 + 2.5)
        everywhere = zip(drive.wrap_clearances, drive.path.contacts, drive.path.sides, strict=True)
        for clearance, contact, on in everywhere:
            (gap,) = [g.gap for g in clearance.gaps if g.pulley == "post"]
            if hypot(x - contact.centre[0], y - contact.centre[1]) > contact.radius + 5.0:
                away = from_points(outer_face(drive, contact, on), centre) - 10.0
                assert gap == pytest.approx(away, abs=CLOSE)

    def test_the_belt_s_gap_to_itself(self) -> None:
        """Span and belt on a pulley, in a drive pinched so that they come near."""
        drive = drive_of(FIXED, ("[20, 150]", "[150, 4]"))
        outlines: list[Points] = []
        for contact, span, on in zip(
            drive.path.contacts, drive.path.spans, drive.path.sides, strict=True
        ):
            outlines += (outer_face(drive, contact, on), span_outline(drive, span))
        assert {(near.one, near.other) for near in drive.self_gaps} >= {(1, 6)}
        for near in drive.self_gaps:
            same = between(outlines[near.one], outlines[near.other])
            # The belt on a pulley is a polyline of 1° here: 0.002 mm inside a radius of 54.6 mm.
            assert near.gap == pytest.approx(same, abs=0.02)


class TestByHand:
    def test_a_rim_below_a_span(self) -> None:
        """The lower run's back lies at −50 − 2.2; the post's top at −80 + 10."""
        post = pulley("post", (200.0, -80.0), 20.0, 'face = "smooth"')
        drive = drive_of(layout(f"{pair(400.0)}\n{post}", route="crank far"))
        assert drive.span_clearances[0].gap == pytest.approx(70.0 - 52.2)
        assert drive.span_clearances[0].nearest == "post"
        # The upper run's ribs are turned to it: 50 − 2.4 above the middle.
        assert drive.span_clearances[1].gap == pytest.approx(70.0 + 47.6)

    def test_a_rim_beyond_the_end_of_a_span(self) -> None:
        """From the corner (0, −52.2) of the lower run to (−30, −92.2): 50 mm, less 10."""
        post = pulley("post", (-30.0, -92.2), 20.0, 'face = "smooth"')
        drive = drive_of(layout(f"{pair(400.0)}\n{post}", route="crank far"))
        assert drive.span_clearances[0].gap == pytest.approx(40.0)

    def test_a_rim_beside_the_belt_on_a_pulley(self) -> None:
        """The back of the belt is 52.2 mm from the crank's centre, on its left half only."""
        left = pulley("post", (-60.0, -80.0), 20.0, 'face = "smooth"')
        drive = drive_of(layout(f"{pair(400.0)}\n{left}", route="crank far"))
        assert drive.wrap_clearances[0].gap == pytest.approx(100.0 - 52.2 - 10.0)
        right = pulley("post", (30.0, -92.2), 20.0, 'face = "smooth"')
        drive = drive_of(layout(f"{pair(400.0)}\n{right}", route="crank far"))
        assert drive.wrap_clearances[0].gap == pytest.approx(50.0 - 10.0)

    def test_the_outer_face_on_a_back_side_pulley_is_the_ribs(self) -> None:
        """Rim 50, belt 4.6 thick: 54.6 mm from the idler's centre, towards its belt."""
        x, y = 20.0, 150.0
        drive = drive_of(FIXED)
        contact = drive.path.contacts[3]
        middle = (
            atan2(contact.enter[1] - y, contact.enter[0] - x) + contact.sign * contact.wrap / 2.0
        )
        at = f"[{x + 90.0 * cos(middle)!r}, {y + 90.0 * sin(middle)!r}]"
        post = drive_of(FIXED, with_post(at, 20)).wrap_clearances[3]
        assert post.nearest == "post"
        assert post.gap == pytest.approx(90.0 - 54.6 - 10.0)

    def test_a_rim_counts_with_its_flanges_and_without_by_its_grooves(self) -> None:
        """PK groove tips lie 0.885 mm inside the effective diameter, by the section's table."""
        grooved = pulley("post", (200.0, -80.0), 20.0, 'face = "grooved"')
        drive = drive_of(layout(f"{pair(400.0)}\n{grooved}", route="crank far"))
        assert drive.span_clearances[0].gap == pytest.approx(80.0 - (20.0 - 0.885) / 2.0 - 52.2)
        flanged = pulley("post", (200.0, -80.0), 20.0, 'face = "grooved", rim = 26')
        drive = drive_of(layout(f"{pair(400.0)}\n{flanged}", route="crank far"))
        assert drive.span_clearances[0].gap == pytest.approx(80.0 - 13.0 - 52.2)

    def test_the_belt_s_own_thickness_counts(self) -> None:
        """The layout's own back and height take the place of the section's."""
        thick = "ribs = 1\nback = 3.5\nheight = 7"
        post = pulley("post", (200.0, -80.0), 20.0, 'face = "smooth"')
        drive = drive_of(layout(f"{pair(400.0)}\n{post}", route="crank far", belt=thick))
        assert drive.span_clearances[0].gap == pytest.approx(70.0 - 53.5)
        assert drive.span_clearances[1].gap == pytest.approx(70.0 + 50.0 - 3.5)

    def test_alone_there_is_no_nearest(self) -> None:
        """Two pulleys have no foreign rim; the belt's own runs follow each other."""
        drive = drive_of(layout(pair(400.0), route="crank far"))
        for clearance in (*drive.span_clearances, *drive.wrap_clearances):
            assert (clearance.gap, clearance.nearest) == (None, None)
        assert drive.self_gaps == ()

    def test_gaps_stand_nearest_first(self) -> None:
        drive = drive_of(SPRUNG)
        for clearance in (*drive.span_clearances, *drive.wrap_clearances):
            gaps = [gap.gap for gap in clearance.gaps]
            assert gaps == sorted(gaps)
            assert (clearance.nearest, clearance.gap) == clearance.gaps[0]

    def test_the_belt_on_two_pulleys_that_face_each_other(self) -> None:
        """A waist of two idlers, 116 mm between centres, each with belt out to 54.6 mm."""
        text = waist(58.0)
        drive = drive_of(text)
        (near,) = [n for n in drive.self_gaps if n.one % 2 == 0 and n.other % 2 == 0]
        assert (near.one, near.other) == (2, 6)
        assert near.gap == pytest.approx(116.0 - 2 * 54.6, abs=0.01)
        assert near.where == pytest.approx((200.0, 0.0), abs=0.5)
        assert self_gaps(drive.layout, drive.path, 5.0) == ()

    def test_a_band_is_the_belt_s_true_rectangle(self) -> None:
        drive = drive_of(layout(pair(400.0), route="crank far"))
        lower = bands(drive.layout, drive.path)[0]
        assert lower.bounds == pytest.approx((0.0, -52.2, 400.0, -47.6))
        assert lower.area == pytest.approx(400.0 * 4.6)

    def test_measured_and_standing_tensioners_differ(self) -> None:
        """Clearances go with the path they are asked for."""
        drive = drive_of(SPRUNG)
        measured = span_clearances(drive.layout, drive.as_measured)
        assert measured[0].nearest == drive.span_clearances[0].nearest == "idler"
        assert measured[0].gap != drive.span_clearances[0].gap
        stands = wrap_clearances(drive.layout, drive.path)
        assert stands == drive.wrap_clearances


def waist(out: float) -> str:
    """Two idlers on the back of a loop of two pulleys, above and below its middle."""
    lines = [
        pulley("crank", (0.0, 0.0), 200.0, 'role = "crank"'),
        pulley("lower", (200.0, -out), 100.0, 'face = "smooth", role = "idler"'),
        pulley("far", (420.0, 0.0), 200.0),
        pulley("upper", (200.0, out), 100.0, 'face = "smooth", role = "idler"'),
    ]
    return layout("\n".join(lines), route="crank lower far upper")
