"""Checks of how the drive runs: slip and speed. Both need `[running]`."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import isfinite

from beltpath.checks.findings import Finding
from beltpath.checks.load import carries
from beltpath.checks.plausible import sets_forces
from beltpath.checks.register import check
from beltpath.data.tables import cite, limits
from beltpath.solve.drive import Drive
from beltpath.solve.forces import (
    AtSpeed,
    ContactForce,
    Forces,
    Unknown,
    contact_friction,
    forces_or_reason,
)
from beltpath.solve.statics import belt_speed, slack_side_needed
from beltpath.words import above, below

_NOT_TOLD = "A belt that slips has no such tensions: they are not told."
_STATICS = "computed: statics of the belt"


@check("slip")
def slip(drive: Drive) -> Iterator[Finding]:
    """A slip reserve below 1 or below its guide value; a span that goes slack.

    Where the tension is an interval, a fault is what it agrees on as a whole for a belt of nominal
    length; what only its low end shows is a caution. Where forces cannot be told, a note says why.
    A belt that does not close is not judged: `missed` tells of that.
    """
    if drive.layout.running is None or not drive.path.proper:
        return
    found = forces_or_reason(drive)
    if isinstance(found, Unknown):
        yield Finding(
            check="slip",
            level="note",
            pulleys=(),
            message=f"Forces and slip are not computed: {found.reason}.",
            source=_STATICS,
        )
        return
    for i in range(len(drive.path.contacts)):
        yield from _slack(drive, found, i)
    for i in range(len(drive.path.contacts)):
        yield from _slipping(drive, found, i)


@check("speed")
def speed(drive: Drive) -> Iterator[Finding]:
    """A pulley above its `max_rpm`; the belt above the speed limit of the guidance."""
    running = drive.layout.running
    if running is None or not drive.path.proper:
        return
    fastest = max(running.crank_rpm)
    for i, contact in enumerate(drive.path.contacts):
        pulley = drive.layout.pulleys[contact.pulley]
        ratio = drive.path.speed_ratio(i)
        if pulley.max_rpm is not None and fastest * ratio > pulley.max_rpm:
            yield Finding(
                check="speed",
                level="fault",
                pulleys=(pulley.name,),
                message=f"{pulley.title} turns at {above(fastest * ratio, pulley.max_rpm, 0):.0f} "
                f"rpm when the crank turns at {fastest:.0f}; its limit is {pulley.max_rpm:g}. Keep "
                f"the crank below {below(pulley.max_rpm / ratio, fastest, 0):.0f} rpm, or fit a "
                f"larger pulley there.",
                source="the layout's own max_rpm",
                where=(contact.centre,),
            )
    limit = limits()["speed.belt"]
    belt = belt_speed(drive.path.pitch_radius(0), fastest)
    if belt > limit.value:
        yield Finding(
            check="speed",
            level="caution",
            pulleys=(drive.layout.crank.name,),
            message=f"The belt runs at {above(belt, limit.value):.1f} m/s when the crank turns at "
            f"{fastest:.0f} rpm; guidance is {limit.value:g} m/s. Keep the crank below "
            f"{below(fastest * limit.value / belt, fastest, 0):.0f} rpm, or fit a smaller crank "
            f"pulley.",
            source=cite(limit),
        )


def _slack(drive: Drive, found: Forces, i: int) -> Iterator[Finding]:
    """Span `i` has no tension left to press the belt on its pulleys."""
    low, high = _worst(found, lambda at: at.spans[i].grip)
    if not low.spans[i].slack:
        return
    sure = high.spans[i].slack
    at = high if sure else low
    span, on_path = at.spans[i], drive.path.spans[i]
    ends = (span.start, span.end)
    where = " to ".join(drive.layout.pulleys[name].title for name in ends)
    yield Finding(
        check="slip",
        level="fault" if sure else "caution",
        pulleys=ends,
        message=f"The span from {where} {'goes' if sure else 'may go'} slack when the crank turns "
        f"at {at.crank_rpm:.0f} rpm: the belt would flap and slip. "
        f"{_taut(drive, at, -span.grip)}",
        source=_STATICS,
        where=(on_path.leave, on_path.enter),
    )


def _slipping(drive: Drive, found: Forces, i: int) -> Iterator[Finding]:
    """Contact `i` grips less than its loads ask for, or with less reserve than it should."""
    limit, guide = limits()["slip.limit"], limits()["slip.reserve"]
    low, high = _worst(found, lambda at: at.contacts[i].slip_reserve)
    sure = high.contacts[i].slip_reserve < limit.value
    at = high if sure else low
    contact = at.contacts[i]
    if contact.slack or contact.slip_reserve >= guide.value:
        return
    slips = contact.slip_reserve < limit.value
    doing = "slips" if sure else "may slip" if slips else "has little grip to spare"
    reserve = f"{below(contact.slip_reserve, (limit if slips else guide).value, 2):.2f}"
    if sets_forces(drive.layout):
        reserve = f"below {(limit if slips else guide).value:g}"
    friction = contact_friction(drive.layout, drive.path, i, found.guides)
    yield Finding(
        check="slip",
        level="fault" if sure else "caution",
        pulleys=(contact.pulley,),
        message=f"{drive.layout.pulleys[contact.pulley].title} {doing} when the crank turns at "
        f"{at.crank_rpm:.0f} rpm: its slip reserve is {reserve}, {guide.value:g} "
        f"is wanted. {_remedy(drive, at, contact, guide.value)}{' ' + _NOT_TOLD if sure else ''}",
        source=f"{cite(limit if slips else guide)}; friction {friction.value:g}, {cite(friction)}",
        where=(drive.path.contacts[i].centre,),
    )


def _worst(found: Forces, measure: Callable[[AtSpeed], float]) -> tuple[AtSpeed, AtSpeed]:
    """The speeds at which a measure is least, in the low case and at the most of a nominal belt.

    A belt's tolerance is no room: what fails at its nominal length, however stiff, is a fault.
    """
    return min(found.low, key=measure), min(found.most, key=measure)


def _taut(drive: Drive, at: AtSpeed, lacking: float) -> str:
    """What would tighten a slack span, if the belt can carry so much."""
    if sets_forces(drive.layout):
        return "Look at the values of `plausibility` first."
    if max(span.tension for span in at.spans) + lacking > carries(drive.layout.belt):
        return "Lower the loads: the belt does not carry the tension that they ask for."
    return (
        f"It lacks {above(lacking, 0.0, 0):.0f} N of tension; tighten the belt or lower the loads."
    )


def _remedy(drive: Drive, at: AtSpeed, contact: ContactForce, reserve: float) -> str:
    """What would give a contact that slip reserve: the capstan relation solved for tension."""
    if sets_forces(drive.layout):
        return "Look at the values of `plausibility` first."
    pull = contact.leaving - contact.entering
    wanted = slack_side_needed(contact.friction, contact.wrap, pull, reserve)
    lacking = wanted - min(contact.entering, contact.leaving)
    if not isfinite(lacking):
        return "It needs wrap, which no tension can stand in for."
    if max(span.tension for span in at.spans) + lacking > carries(drive.layout.belt):
        return (
            "No tension that the belt can carry would give it: more wrap, more ribs or less load."
        )
    more = above(lacking, 0.0, 0)
    return f"About {more:.0f} N more belt tension would give it, or more wrap, or less load."
