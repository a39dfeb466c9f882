"""Checks of the tensioner as measured: against its stops, and against the belt in hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import hypot, pi
from typing import NamedTuple

from beltpath.checks.findings import Finding
from beltpath.checks.judged import closes, comparable, disagrees, sure_of_both, travel_of
from beltpath.checks.register import check
from beltpath.errors import PathError
from beltpath.layout.keys import Side
from beltpath.layout.layout import Layout, stand_in
from beltpath.layout.records import Pulley, Tensioner
from beltpath.solve.drive import Drive
from beltpath.solve.motion import ON_CENTRE
from beltpath.solve.path import BeltPath, trace
from beltpath.solve.reliance import (
    AT_STOP,
    measured_beyond,
    place_sure,
    spring_beyond,
    spring_known,
)
from beltpath.solve.tensioner import Stand, Travel
from beltpath.solve.uncertainty import Share, length_uncertainty
from beltpath.words import mm, position

_STOPS = "the layout's own stops, `free` and `load`"
#: Other ways in which people write an arm's angle: in the layout's own way it is sign·x + by.
_CONVENTIONS: Mapping[str, tuple[float, float]] = {
    "clockwise from 12 o'clock": (-1.0, 90.0),
    "clockwise from 3 o'clock": (-1.0, 0.0),
    "counterclockwise from 12 o'clock": (1.0, 90.0),
    "clockwise from 9 o'clock, as it looks from behind": (-1.0, 180.0),
    "from the pulley to the pivot": (1.0, 180.0),
    "clockwise from 6 o'clock": (-1.0, -90.0),
    "counterclockwise from 6 o'clock": (1.0, -90.0),
}
#: How a size is most often taken wrong, and what the true one is then of the one in the file.
_SLIPS: Mapping[str, float] = {
    "twice what is written": 2.0,
    "half of what is written": 0.5,
}
#: So many slips that would explain a difference are told.
MOST_SLIPS = 2
#: No pulley is smaller, mm.
LEAST_DIAMETER = 5.0
_KINDS = ("the size", "the place", "the diameter")


class _Cause(NamedTuple):
    """A change of one measurement that makes the path as long as the belt: how far, in sigmas."""

    sigmas: float
    words: str
    pulley: str


@check("stops")
def stops(drive: Drive) -> Iterator[Finding]:
    """The place at which the tensioner was measured does not lie between its stops.

    A spring measured outside the stops, with a moment that changes on the way there, is doubtful.
    """
    stand = drive.stand
    if stand is None:
        return
    if measured_beyond(drive, stand):
        yield _outside(drive, stand)
        return
    if stand.reached != "measured" and travel_of(drive, stand).beyond() > AT_STOP:
        yield _just_outside(drive, stand)  # `travel` tells of one that stands there
    yield from _spring_outside(stand)


@check("agreement")
def agreement(drive: Drive) -> Iterator[Finding]:
    """The path as measured and the belt in hand differ by more than the ± of both."""
    stand, length = drive.stand, drive.layout.belt.length
    if stand is None or length is None or not comparable(drive):
        return
    turned = _lever_differs(drive, stand)
    if not turned and not disagrees(drive):
        return
    off, sure = drive.as_measured.length - length, sure_of_both(drive)
    yield Finding(
        check="agreement",
        level="fault" if turned else "caution",
        pulleys=(stand.tensioner.pulley,),
        message=f"With every pulley where it was measured the path is "
        f"{mm(drive.as_measured.length)} mm long, but the belt in hand is {mm(length)} mm, "
        f"{mm(abs(off))} mm {'less' if off > 0.0 else 'more'}; their difference is sure to "
        f"± {mm(sure)} mm.{_stood(drive, stand)} Either it was measured with another belt on, or a "
        f"measurement is wrong.{turned}{_told(_best(drive, off))} "
        f"Look at the number on the belt first.",
        source="computed: the gradient of the length; the ± at 95 % of path and belt",
        where=(stand.at,),
    )


def _outside(drive: Drive, stand: Stand) -> Finding:
    t, travel, at = stand.tensioner, travel_of(drive, stand), stand.position
    hint = _convention(t, travel, at, place_sure(drive, stand))
    ends = f"{position(t, t.free)} (free) and {position(t, t.load)} (load)"
    return Finding(
        check="stops",
        level="fault",
        pulleys=(t.pulley,),
        message=f"The tensioner was measured at {position(t, at)}, which does not lie between its "
        f"stops, {ends}. {hint} Until that is right, nothing that follows "
        f"from the stops is told. Measure pulley, pivot and stops again.",
        source=_STOPS,
        where=(drive.layout.pulleys[t.pulley].at,),
    )


def _just_outside(drive: Drive, stand: Stand) -> Finding:
    """So little beyond a stop that ordinary measuring explains it."""
    t, travel = stand.tensioner, travel_of(drive, stand)
    return Finding(
        check="stops",
        level="caution",
        pulleys=(t.pulley,),
        message=f"The tensioner was measured at {position(t, travel.measured_position())}, not "
        f"between its stops, {position(t, t.free)} (free) and {position(t, t.load)} (load). "
        f"Ordinary measuring is no surer than that. Measure pulley, pivot and stops again: the "
        f"numbers of the travel rest on them.",
        source=_STOPS,
        where=(drive.layout.pulleys[t.pulley].at,),
    )


def _convention(t: Tensioner, travel: Travel, at: float, sure: float) -> str:
    if t.pivot is None:
        return (
            "Stops of a slide are counted from where its pulley was measured, along `along`: that "
            "place itself is 0, so one stop is negative and one positive."
        )
    own = (
        "Angles of a layout go counterclockwise from 3 o'clock, seen from the front: 12 o'clock is "
        "90°."
    )
    meant = _meant(t, travel, at, sure)
    if meant is None:
        return own
    words, read = meant
    return (
        f"{own} If they were read {words}, the stops are {position(t, read.free)} (free) and "
        f"{position(t, read.load)} (load) in the layout's way, and the place lies between them."
    )


def _meant(t: Tensioner, travel: Travel, at: float, sure: float) -> tuple[str, Tensioner] | None:
    """The convention that puts the measured place between the stops, best where the belt falls.

    That is: where the path at the free stop is the longer one, as it is with every tensioner.
    """
    fitting = []
    for words, (sign, by) in _CONVENTIONS.items():
        free, load = (sign * stop + by for stop in (t.free, t.load))
        turned = 360.0 * round((at - (free + load) / 2.0) / 360.0)
        free, load = free + turned, load + turned
        if min(free, load) - sure <= at <= max(free, load) + sure:
            fitting.append((words, replace(t, free=free, load=load, window=None, spring=None)))
    falling = [one for one in fitting if _falls(replace(travel, tensioner=one[1]))]
    return next(iter([*falling, *fitting]), None)


def _falls(travel: Travel) -> bool:
    free, load = travel.usable()
    return travel.path_at(free).length > travel.path_at(load).length


def _spring_outside(stand: Stand) -> Iterator[Finding]:
    t, beyond = stand.tensioner, spring_beyond(stand.tensioner)
    if t.spring is None or beyond <= AT_STOP or not (t.spring.rate or beyond > 1.0):
        return
    known = spring_known(t)
    yield Finding(
        check="stops",
        level="caution" if known else "fault",
        pulleys=(t.pulley,),
        message=f"The spring's place, {position(t, t.spring.at)}, does not lie between the stops, "
        f"{mm(min(t.free, t.load))} to {position(t, max(t.free, t.load))}. "
        f"{'' if known else 'No tension is told from a spring measured so far away. '}"
        f"Look at `spring.at` again: it is a position, written as the stops are.",
        source=_STOPS,
        where=(stand.at,),
    )


def _stood(drive: Drive, stand: Stand) -> str:
    if measured_beyond(drive, stand):
        return ""  # no belt has a place between stops that are in doubt
    t, at = stand.tensioner, travel_of(drive, stand).measured_position()
    if stand.reached != "reached":
        return f" It was measured at {position(t, at)}, where no such belt can put it."
    here, there = position(t, at), position(t, stand.position)
    return f" It was measured at {here}; this belt would put it at {there}."


def _lever_differs(drive: Drive, stand: Stand) -> str:
    travel = travel_of(drive, stand)
    at = travel.measured_position()
    rate = travel.rate(drive.as_measured, at)
    same = rate * stand.rate >= 0.0 or min(abs(rate), abs(stand.rate)) < ON_CENTRE
    if same or abs(stand.position - at) <= place_sure(drive, stand):
        return ""
    return (
        " Between the two places the way in which it slackens the belt turns round: do not move "
        "the lever before this is clear."
    )


def _causes(drive: Drive, off: float) -> Iterator[_Cause]:
    """What each measurement would have to be instead, by the exact gradient of the length."""
    for share in length_uncertainty(drive.layout, drive.as_measured).budget:
        if share.pulley is not None and share.adds > 0.0 and _can_be(drive, share, off):
            yield _cause(drive, share, share.pulley, off)
    for pulley in drive.layout.pulleys.values():
        for words, factor in _SLIPS.items():
            if _explains(drive, pulley, factor):
                text = f"the size of {pulley.title} ({words})"
                yield _Cause(0.0, text, pulley.name)


def _best(drive: Drive, off: float) -> list[_Cause]:
    """The slips that would explain it, then the likeliest place and the likeliest diameter."""
    causes = sorted(_causes(drive, off))
    kinds = {kind: [c for c in causes if c.words.startswith(kind)] for kind in _KINDS}
    return [*kinds["the size"][:MOST_SLIPS], *kinds["the place"][:1], *kinds["the diameter"][:1]]


def _can_be(drive: Drive, share: Share, off: float) -> bool:
    """Whether a pulley so changed leaves a drive round which the belt can go."""
    pulley, change = drive.layout.pulleys[share.pulley or ""], abs(off) / share.adds * share.sigma
    if share.quantity == "centre":
        i = drive.as_measured.index(pulley.name)
        gx, gy = drive.as_measured.centre_gradient(i)
        by = -change * (1.0 if off > 0.0 else -1.0) / hypot(gx, gy)
        return _laid(drive, replace(pulley, at=(pulley.at[0] + by * gx, pulley.at[1] + by * gy)))
    # A circumference grows by π of what the diameter does.
    times = pi if pulley.measured.how == "around" else 1.0
    size = pulley.measured.value - times * change * (1.0 if off > 0.0 else -1.0)
    least = times * LEAST_DIAMETER
    return size >= least and _laid(
        drive, replace(pulley, measured=pulley.measured._replace(value=size), rim=None)
    )


def _laid(drive: Drive, pulley: Pulley) -> bool:
    """Whether the belt closes round the drive with that pulley in the place of its own."""
    return _traced(drive, pulley) is not None


def _traced(drive: Drive, pulley: Pulley) -> BeltPath | None:
    try:
        path = trace(_with(drive.layout, pulley), sides=_sides(drive))
    except PathError:
        return None
    return path if closes(path) else None


def _cause(drive: Drive, share: Share, pulley: str, off: float) -> _Cause:
    sigmas = abs(off) / share.adds
    change = sigmas * share.sigma
    title = drive.layout.pulleys[pulley].title
    if share.quantity == "centre":
        return _Cause(sigmas, f"the place of {title} (by {mm(change)} mm)", pulley)
    way = "smaller" if off > 0.0 else "larger"
    return _Cause(sigmas, f"the diameter of {title} ({mm(change)} mm {way})", pulley)


def _explains(drive: Drive, pulley: Pulley, factor: float) -> bool:
    """Whether a pulley of so many times its size would make the path as long as the belt."""
    length = drive.layout.belt.length
    sized = replace(pulley, measured=pulley.measured._replace(value=pulley.measured.value * factor))
    path = _traced(drive, sized)
    if path is None or length is None:
        return False
    return abs(path.length - length) <= sure_of_both(drive)


def _with(layout: Layout, pulley: Pulley) -> Layout:
    return stand_in(layout, pulleys={**layout.pulleys, pulley.name: pulley})


def _sides(drive: Drive) -> dict[str, Side]:
    path = drive.as_measured
    return {c.pulley: side for c, side in zip(path.contacts, path.sides, strict=True)}


def _told(causes: list[_Cause]) -> str:
    if not causes:
        return ""
    *others, last = [cause.words for cause in causes]
    listed = f"{', '.join(others)} or {last}" if others else last
    return f" A change of one of these would explain it best: {listed}; measure these again."
