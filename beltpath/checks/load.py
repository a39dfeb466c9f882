"""Check of what each rib carries: the belt at rest, and its tightest span at every speed."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil
from typing import NamedTuple

from beltpath.checks.findings import Finding
from beltpath.checks.judged import forces_doubtful
from beltpath.checks.plausible import sets_forces
from beltpath.checks.register import check
from beltpath.data.tables import Sourced, cite, limits
from beltpath.geometry import Point
from beltpath.layout.records import Belt
from beltpath.solve.drive import Drive
from beltpath.solve.forces import AtSpeed, Forces, SpanForce, forces
from beltpath.solve.reliance import doubt, told_of

_LOOK = "Look at the loads, the spring and the tension again"
#: More ribs than these are no advice.
MOST_RIBS = 20


class _Pull(NamedTuple):
    """A tension of the whole belt, N, `about` what it is of an interval; when, where, the guide."""

    tension: float
    about: str
    when: str
    guide: Sourced
    pulleys: tuple[str, ...]
    where: tuple[Point, ...]


@check("load")
def load(drive: Drive) -> Iterator[Finding]:
    """A rib carries more than the guide of its section, at rest or in the tightest span.

    Far above it a fault. Where the tension is an interval its high end counts. Where no tension is
    known nothing is judged: `slip` tells why, if crank speeds are given.
    """
    if not drive.path.proper:
        return
    ribs = drive.layout.belt.ribs
    above = [pull for pull in _pulls(drive) if pull.tension > ribs * pull.guide.value]
    if not above:
        return
    worst = max(above, key=lambda pull: pull.tension / pull.guide.value)
    most = limits()[f"load.most.{drive.layout.belt.section.name}"]
    far = [pull for pull in above if pull.tension > ribs * most.value]
    told = max(far, key=lambda pull: pull.tension, default=worst)
    yield Finding(
        check="load",
        level="fault" if far else "caution",
        pulleys=told.pulleys,
        message=_sentence(drive, told, most if far else told.guide, worst),
        source=cite(most if far else told.guide),
        where=told.where,
    )


def carries(belt: Belt) -> float:
    """The tension in N up to which a running belt is within the guide for its ribs."""
    return belt.ribs * limits()[f"load.tight.{belt.section.name}"].value


def _pulls(drive: Drive) -> Iterator[_Pull]:
    """Every tension that is known: at rest, and of the tightest span at each speed."""
    belt, found = drive.layout.belt, forces(drive)
    rest, about = _at_rest(drive, found), "up to " if found is not None and found.interval else ""
    # A stretch-fit belt cannot be set to an installed tension: the running guide serves.
    kind = "tight" if belt.elastic else "installed"
    if rest is not None:
        guide = limits()[f"load.{kind}.{belt.section.name}"]
        yield _Pull(rest, about, "at rest", guide, *_held_by(drive))
    guide = limits()[f"load.tight.{belt.section.name}"]
    for at in () if found is None else found.high:
        i = max(range(len(at.spans)), key=lambda k: at.spans[k].tension)
        span, on_path = at.spans[i], drive.path.spans[i]
        where = (on_path.leave, on_path.enter)
        yield _Pull(
            span.tension, about, _when(drive, span, at), guide, (span.start, span.end), where
        )


def _at_rest(drive: Drive, found: Forces | None) -> float | None:
    """The tension at rest at its high end, N; None where it is not known."""
    if found is not None:
        return found.held.high
    running, stand = drive.layout.running, drive.stand
    if running is not None and running.tension is not None:
        return running.tension
    return None if stand is None else told_of(stand, doubt(drive)).tension


def _held_by(drive: Drive) -> tuple[tuple[str, ...], tuple[Point, ...]]:
    """The tensioner's pulley and its place, where there is one."""
    stand = drive.stand
    return ((), ()) if stand is None else ((stand.tensioner.pulley,), (stand.at,))


def _when(drive: Drive, span: SpanForce, at: AtSpeed) -> str:
    ends = (drive.layout.pulleys[name].title for name in (span.start, span.end))
    return f"between {' and '.join(ends)} when the crank turns at {at.crank_rpm:.0f} rpm"


def _sentence(drive: Drive, told: _Pull, limit: Sourced, worst: _Pull) -> str:
    belt, found = drive.layout.belt, forces(drive)
    each = f"{told.about}{told.tension / belt.ribs:.0f} N {told.when}"
    if sets_forces(drive.layout) or (found is not None and forces_doubtful(drive, found)):
        each = f"more than that {told.when}"
        one = f"{limit.value:g} N is {_named(limit, told, belt)}"
        return f"For each rib {one}; by its values it carries {each}. {_LOOK}."
    one = f"Each of its {belt.ribs} ribs carries" if belt.ribs > 1 else "The belt carries"
    needed = ceil(worst.tension / worst.guide.value)
    advice = _LOOK
    if belt.elastic:  # more ribs would be stretched as much, each of them
        advice = "Measure the belt and look at the loads; a longer belt is stretched less"
    elif belt.section.ribbed and needed <= MOST_RIBS:
        what = "belt and pulleys" if _has_fewer_grooves(drive, needed) else "a belt"
        advice = f"Fit {what} of {needed} ribs or more, or lower the loads and the tension"
    return f"{one} {each}; {limit.value:g} N is {_named(limit, told, belt)}. {advice}."


def _named(limit: Sourced, told: _Pull, belt: Belt) -> str:
    """What a limit is called."""
    name = belt.section.name
    return (
        f"the guide for {name}"
        if limit == told.guide
        else f"the most for {name}, far above its guide"
    )


def _has_fewer_grooves(drive: Drive, ribs: int) -> bool:
    """Whether a pulley of the drive is known to be too narrow for a belt of so many ribs."""
    return any(
        drive.layout.pulleys[contact.pulley].grooves in range(1, ribs)
        for contact in drive.path.contacts
    )
