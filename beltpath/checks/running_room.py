"""Checks of the room the belt and the pulleys need: crossing, overlap, clearance, alignment."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import atan2, degrees

from beltpath.checks.registry import check
from beltpath.clearance import Clearance
from beltpath.drive import Drive
from beltpath.findings import Finding, cite, limits
from beltpath.geometry import Point, distance
from beltpath.path import crossings


@check("crossing")
def crossing(drive: Drive) -> Iterator[Finding]:
    """The belt crosses itself."""
    for one, other, point in crossings(drive.path.spans):
        ends = (one.start, one.end, other.start, other.end)
        yield Finding(
            check="crossing",
            level="fault",
            pulleys=tuple(dict.fromkeys(ends)),
            message=f"The belt crosses itself: its span from {_title(drive, one.start)} to "
            f"{_title(drive, one.end)} meets the span from {_title(drive, other.start)} to "
            f"{_title(drive, other.end)}. Change the order of the route or a side.",
            source="computed: geometry of the path",
            where=(point,),
        )


@check("overlap")
def overlap(drive: Drive) -> Iterator[Finding]:
    """Two pulleys, rims included, in one place."""
    for one, other in combinations(drive.layout.pulleys.values(), 2):
        a, b = drive.centre(one.name), drive.centre(other.name)
        gap = distance(a, b) - drive.rim_radius(one) - drive.rim_radius(other)
        if gap < 0.0:
            yield Finding(
                check="overlap",
                level="fault",
                pulleys=(one.name, other.name),
                message=f"The rims of {one.title} and {other.title} overlap by {-gap:.1f} mm. "
                f"Measure both positions and diameters again.",
                source="computed: geometry of the rims",
                where=(_between(a, b, drive.rim_radius(one)),),
            )


@check("clearance")
def clearance(drive: Drive) -> Iterator[Finding]:
    """Belt, thickness included, through a rim it does not run on; or too near to one."""
    for span, near in zip(drive.path.spans, drive.span_clearances, strict=True):
        where = f"The span from {_title(drive, span.start)} to {_title(drive, span.end)}"
        middle = ((span.leave[0] + span.enter[0]) / 2, (span.leave[1] + span.enter[1]) / 2)
        yield from _too_near(drive, where, (span.start, span.end), near, middle)
    for contact, near in zip(drive.path.contacts, drive.wrap_clearances, strict=True):
        where = f"The belt on {_title(drive, contact.pulley)}"
        # A fault here is the same rims again; `overlap` and the spans tell of it.
        yield from _too_near(drive, where, (contact.pulley,), near, contact.centre)


@check("alignment")
def alignment(drive: Drive) -> Iterator[Finding]:
    """The angle between neighbouring belt planes above guidance."""
    limit = limits()["alignment.angle"]
    for span in drive.path.spans:
        one, other = drive.layout.pulleys[span.start], drive.layout.pulleys[span.end]
        off = abs(one.offset - other.offset)
        angle = degrees(atan2(off, span.length))
        if angle > limit.value:
            yield Finding(
                check="alignment",
                level="caution",
                pulleys=(one.name, other.name),
                message=f"The belt runs {angle:.2f}° out of line from {one.title} to "
                f"{other.title}: their planes are {off:.1f} mm apart over {span.length:.0f} mm; "
                f"guidance is {limit.value:g}°. Shim one of them.",
                source=cite(limit),
            )


def _too_near(
    drive: Drive, where: str, ends: tuple[str, ...], near: Clearance, middle: Point
) -> Iterator[Finding]:
    if near.gap is None or near.nearest is None:
        return
    limit = limits()["clearance.free_span"]
    rim = drive.layout.pulleys[near.nearest]
    if near.gap < 0.0:
        yield Finding(
            check="clearance",
            level="fault",
            pulleys=(*ends, rim.name),
            message=f"{where} runs {-near.gap:.1f} mm deep through the rim of {rim.title}. "
            f"Route the belt round it, or move it.",
            source="computed: geometry of belt and rim",
            where=(drive.centre(rim.name),),
        )
    elif near.gap < limit.value:
        yield Finding(
            check="clearance",
            level="caution",
            pulleys=(*ends, rim.name),
            message=f"{where} passes {near.gap:.1f} mm from the rim of {rim.title}; "
            f"{limit.value:g} mm is wanted, since spans flutter. Check it with the engine still.",
            source=cite(limit),
            where=(middle,),
        )


def _title(drive: Drive, pulley: str) -> str:
    return drive.layout.pulleys[pulley].title


def _between(a: Point, b: Point, along: float) -> Point:
    span = distance(a, b) or 1.0
    return (a[0] + (b[0] - a[0]) * along / span, a[1] + (b[1] - a[1]) * along / span)
