"""Laws of statics that the forces of any drive obey, on drives shaken out of the demo scenes."""

from __future__ import annotations

from dataclasses import replace
from math import exp, hypot, isinf, pi

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from beltpath.layout.keys import Sense
from beltpath.layout.layout import Layout, stand_in
from beltpath.layout.reader import parse
from beltpath.layout.records import Load, Pulley, Spring
from beltpath.solve.drive import Drive, solve
from beltpath.solve.forces import AtSpeed, ContactForce, Forces, forces
from tests.forces.scenes import CIDER_MILL, LATHE, SAW

few = settings(max_examples=25)
small = st.floats(-8.0, 8.0)


def loads() -> st.SearchStrategy[Load | None]:
    """No load, a power or a torque, as accessories have them."""
    return st.one_of(
        st.none(),
        st.floats(0.01, 3.0).map(lambda p: Load(power_kw=p)),
        st.floats(0.01, 15.0).map(lambda q: Load(torque_nm=q)),
    )


@st.composite
def layouts(draw: st.DrawFn, scenes: tuple[str, ...] = (CIDER_MILL, SAW, LATHE)) -> Layout:
    """A scene with its centres shaken, other loads on every driven pulley and another speed."""
    layout = parse(draw(st.sampled_from(scenes)))
    pulleys = {name: draw(shaken(pulley)) for name, pulley in layout.pulleys.items()}
    assert layout.running is not None
    rpm = draw(st.floats(600.0, 5000.0))
    return replace(
        layout, pulleys=pulleys, running=replace(layout.running, crank_rpm=(rpm, 1.5 * rpm))
    )


@st.composite
def shaken(draw: st.DrawFn, pulley: Pulley) -> Pulley:
    if pulley.role == "crank":
        return pulley
    at = (pulley.at[0] + draw(small), pulley.at[1] + draw(small))
    return replace(pulley, at=at, load=draw(loads()))


def solved(layout: Layout) -> tuple[Drive, Forces]:
    drive = solve(layout)
    found = forces(drive)
    assume(found is not None)
    assert found is not None
    return drive, found


def states(layout: Layout) -> tuple[Drive, tuple[AtSpeed, ...]]:
    drive, found = solved(layout)
    return drive, found.low


def size(at: AtSpeed) -> float:
    """What a sum of forces is compared with."""
    return sum(hypot(*c.hub) for c in at.contacts)


class TestHubLoadsBalance:
    """A belt that nothing outside holds: its pulls on all hubs add up to nothing."""

    @few
    @given(layouts())
    def test_forces(self, layout: Layout) -> None:
        for at in states(layout)[1]:
            assert abs(sum(c.hub[0] for c in at.contacts)) < 1e-9 * size(at)
            assert abs(sum(c.hub[1] for c in at.contacts)) < 1e-9 * size(at)

    @few
    @given(layouts())
    def test_moments(self, layout: Layout) -> None:
        """About the origin: hub loads at their centres, and the torques, each in its sense.

        Holds only with torques taken on pitch radii, since the spans pull along the pitch line.
        """
        drive, found = states(layout)
        for at in found:
            total = 0.0
            for c, on_path in zip(at.contacts, drive.path.contacts, strict=True):
                x, y = on_path.centre
                total += x * c.hub[1] - y * c.hub[0] + on_path.sign * c.torque * 1000.0
            assert abs(total) < 1e-9 * 300.0 * size(at)


class TestPowerBalances:
    """The crank gives what the driven pulleys take: torque times speed sums to nothing."""

    @few
    @given(layouts())
    def test_power(self, layout: Layout) -> None:
        for at in states(layout)[1]:
            powers = [c.torque * c.rpm * 2.0 * pi / 60.0 for c in at.contacts]
            assert abs(sum(powers)) < 1e-9 * sum(abs(p) for p in powers) + 1e-12

    @few
    @given(layouts())
    def test_the_crank_gives_the_sum_of_the_loads(self, layout: Layout) -> None:
        """From the layout's numbers: kW as they stand, N·m times each pulley's own speed."""
        for at in states(layout)[1]:
            wanted = sum(power(layout.pulleys[c.pulley].load, c.rpm) for c in at.contacts)
            crank = at.contacts[0]
            assert -crank.torque * crank.rpm * 2.0 * pi / 60.0 == pytest.approx(wanted, abs=1e-9)


def power(load: Load | None, rpm: float) -> float:
    if load is None:
        return 0.0
    if load.power_kw is not None:
        return 1000.0 * load.power_kw
    return (load.torque_nm or 0.0) * rpm * 2.0 * pi / 60.0


class TestTensionsRiseTowardsTheCrank:
    """In the direction of travel no load lowers the tension; the crank takes it all back."""

    @few
    @given(layouts())
    def test_rise(self, layout: Layout) -> None:
        for at in states(layout)[1]:
            grips = [span.grip for span in at.spans]
            assert grips == sorted(grips)
            for i, c in enumerate(at.contacts):
                assert (c.entering, c.leaving) == (grips[i - 1], grips[i])

    @few
    @given(layouts())
    def test_every_span_carries_the_same_inertia(self, layout: Layout) -> None:
        _, found = solved(layout)
        for at in found.low:
            for span in at.spans:
                assert span.tension - span.grip == pytest.approx(found.mass * at.belt_speed**2)


class TestScale:
    """Twice the spring (or the tension set) and twice the loads, at rest: twice every force."""

    @few
    @given(layouts(), st.floats(0.5, 3.0))
    def test_scale(self, layout: Layout, factor: float) -> None:
        light = with_light_belt(layout)
        before, after = states(light)[1], states(scaled(light, factor))[1]
        for one, other in zip(before, after, strict=True):
            for a, b in zip(one.spans, other.spans, strict=True):
                assert b.grip == pytest.approx(factor * a.grip, rel=1e-6, abs=1e-3)
            for c, d in zip(one.contacts, other.contacts, strict=True):
                assert d.hub_load == pytest.approx(factor * c.hub_load, rel=1e-6, abs=1e-3)
                if not c.slack and min(c.entering, c.leaving) > 0.01 and not isinf(c.slip_reserve):
                    assert d.slip_reserve == pytest.approx(c.slip_reserve, rel=1e-3)


def with_light_belt(layout: Layout) -> Layout:
    """A belt of next to no mass, so that m·v² does not enter."""
    assert layout.running is not None
    return stand_in(layout, running=replace(layout.running, mass_per_rib=1e-12))


def scaled(layout: Layout, factor: float) -> Layout:
    assert layout.running is not None and layout.tensioner is not None
    tension, spring = layout.running.tension, layout.tensioner.spring
    if tension is not None:
        tension *= factor
    if spring is not None:
        spring = replace(spring, effort=spring.effort * factor, rate=spring.rate * factor)
    pulleys = {
        name: replace(pulley, load=times(pulley.load, factor))
        for name, pulley in layout.pulleys.items()
    }
    return stand_in(
        layout,
        pulleys=pulleys,
        running=replace(layout.running, tension=tension),
        tensioner=replace(layout.tensioner, spring=spring),
    )


def times(load: Load | None, factor: float) -> Load | None:
    if load is None:
        return None
    return Load(
        power_kw=None if load.power_kw is None else load.power_kw * factor,
        torque_nm=None if load.torque_nm is None else load.torque_nm * factor,
    )


class TestMirror:
    """A drive mirrored left to right, its crank turning the other way, carries the same forces."""

    @few
    @given(layouts())
    def test_mirror(self, layout: Layout) -> None:
        one, other = states(layout)[1], states(mirrored(layout))[1]
        for a, b in zip(one, other, strict=True):
            assert a.belt_speed == b.belt_speed
            for s, t in zip(a.spans, b.spans, strict=True):
                assert t.tension == pytest.approx(s.tension, rel=1e-9)
                assert t.standing_frequency == pytest.approx(s.standing_frequency, rel=1e-9)
            for c, d in zip(a.contacts, b.contacts, strict=True):
                assert d.hub == pytest.approx((-c.hub[0], c.hub[1]), rel=1e-6, abs=1e-6 * size(a))
                assert d.torque == pytest.approx(c.torque)
                assert d.slip_reserve == pytest.approx(c.slip_reserve, rel=1e-6)


def mirrored(layout: Layout) -> Layout:
    """x to -x; an arm's angle a to 180° - a, so that its spring's rate changes sign."""
    other: Sense = "counterclockwise" if layout.crank_turns == "clockwise" else "clockwise"
    t = layout.tensioner
    assert t is not None
    if t.pivot is not None:
        t = replace(t, pivot=(-t.pivot[0], t.pivot[1]), free=180.0 - t.free, load=180.0 - t.load)
        if t.spring is not None:
            s = t.spring
            t = replace(t, spring=Spring(effort=s.effort, at=180.0 - s.at, rate=-s.rate))
    elif t.along is not None:
        t = replace(t, along=180.0 - t.along)
    return replace(
        layout,
        crank_turns=other,
        tensioner=t,
        pulleys={n: replace(p, at=(-p.at[0], p.at[1])) for n, p in layout.pulleys.items()},
    )


class TestTravelTurnedRound:
    """The same belt run backwards: with no loads nothing changes, with loads the sides change."""

    @few
    @given(layouts())
    def test_without_loads(self, layout: Layout) -> None:
        idle = scaled(layout, 1.0)
        idle = replace(idle, pulleys={n: replace(p, load=None) for n, p in idle.pulleys.items()})
        one, other = states(idle)[1], states(backwards(idle))[1]
        for a, b in zip(one, other, strict=True):
            hubs = {c.pulley: c for c in b.contacts}
            for c in a.contacts:
                assert isinf(c.slip_reserve) or c.slack
                assert hubs[c.pulley].hub == pytest.approx(c.hub, rel=1e-9, abs=1e-6)

    @few
    @given(layouts((LATHE,)))
    def test_tight_and_slack_side_change_places(self, layout: Layout) -> None:
        one, other = states(layout)[1], states(backwards(layout))[1]
        for a, b in zip(one, other, strict=True):
            assert [s.tension for s in b.spans] == pytest.approx([s.tension for s in a.spans])
            assert b.spans[0].tension <= b.spans[1].tension
            by_pair = {(s.start, s.end): s for s in b.spans}
            # The span that runs up on one side now runs down there, under the other tension.
            assert by_pair["crank", "spindle"].length == pytest.approx(a.spans[1].length)


def backwards(layout: Layout) -> Layout:
    other: Sense = "counterclockwise" if layout.crank_turns == "clockwise" else "clockwise"
    assert layout.route is not None
    return replace(layout, crank_turns=other, route=layout.route[::-1])


class TestReserve:
    """With friction divided by its reserve, a contact is on the point of slipping: capstan."""

    @few
    @given(layouts())
    def test_capstan(self, layout: Layout) -> None:
        for at in states(layout)[1]:
            for c in gripping(at):
                ratio = max(c.entering, c.leaving) / min(c.entering, c.leaving)
                assert exp(c.friction / c.slip_reserve * c.wrap) == pytest.approx(ratio, rel=1e-9)

    @few
    @given(layouts((CIDER_MILL,)), st.floats(1.05, 2.0))
    def test_more_tension_never_takes_reserve_away(self, layout: Layout, factor: float) -> None:
        t = layout.tensioner
        assert t is not None and t.spring is not None
        stronger = replace(
            layout, tensioner=replace(t, spring=replace(t.spring, effort=t.spring.effort * factor))
        )
        for a, b in zip(states(layout)[1], states(stronger)[1], strict=True):
            for c, d in zip(a.contacts, b.contacts, strict=True):
                assert d.slip_reserve >= c.slip_reserve


def gripping(at: AtSpeed) -> list[ContactForce]:
    return [c for c in at.contacts if not c.slack and not isinf(c.slip_reserve)]


class TestSpeedAndGrip:
    """A spring keeps the grip at any speed; fixed centres lose m·v² of it."""

    @few
    @given(layouts())
    def test_at_rest_and_at_speed(self, layout: Layout) -> None:
        idle = replace(
            layout, pulleys={n: replace(p, load=None) for n, p in layout.pulleys.items()}
        )
        _, found = solved(idle)
        for at in found.low:
            lost = 0.0 if found.held.sprung else found.mass * at.belt_speed**2
            for span in at.spans:
                assert span.grip == pytest.approx(found.held.low - lost)
