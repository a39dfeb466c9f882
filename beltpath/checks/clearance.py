"""Checks of the room belt and pulleys need: crossing, overlap, clearance, alignment."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import combinations
from math import atan2, degrees

from beltpath.checks.findings import Finding
from beltpath.checks.judged import false_stretches, in_depth, turns_wrongly
from beltpath.checks.register import check
from beltpath.checks.words import GEOMETRY, OWN_DESIGN, stretch_pulleys, stretch_title
from beltpath.data.tables import cite, limits
from beltpath.geometry import Point, distance
from beltpath.layout.records import Pulley
from beltpath.solve.clearance import Gap, SelfGap
from beltpath.solve.drive import Drive
from beltpath.solve.path import crossings
from beltpath.words import above, below, counted, mm, sentence

#: A finding names so many pairs of crossing stretches, and counts the others.
MOST_PAIRS = 3


@check("crossing")
def crossing(drive: Drive) -> Iterator[Finding]:
    """The belt crosses itself, or rubs on itself: two stretches of it in one place."""
    # Where the belt turns wrongly, the crossing itself is what keeps it from closing.
    false = frozenset[int]() if turns_wrongly(drive) else false_stretches(drive)
    meetings = list(_meetings(drive, false))
    crossed = [meeting for meeting in meetings if meeting.gap < 0.0]
    if crossed:
        yield _crossed(drive, crossed)
    for meeting in meetings:
        if meeting.gap == 0.0:
            yield _rubbing(drive, meeting)


@check("overlap")
def overlap(drive: Drive) -> Iterator[Finding]:
    """Two pulleys, rims included, in one place."""
    for one, other in combinations(drive.layout.pulleys.values(), 2):
        deep = _overlap(drive, one, other)
        if deep <= 0.0:
            continue
        a, b = drive.centre(one.name), drive.centre(other.name)
        level, doubt = in_depth(drive, abs(one.offset - other.offset))
        yield Finding(
            check="overlap",
            level=level,
            pulleys=(one.name, other.name),
            message=f"The rims of {one.title} and {other.title} overlap by "
            f"{mm(above(deep, 0.0))} mm. Measure both places and diameters again.{doubt}",
            source="computed: geometry of the rims",
            where=(_between(a, b, drive.rim_radius(one) - deep / 2.0),),
        )


@check("clearance")
def clearance(drive: Drive) -> Iterator[Finding]:
    """Belt, thickness included, through a rim it does not run on; too near to one, or to itself."""
    false = false_stretches(drive)
    for place, near in _near_rims(drive, false):
        if near.gap < 0.0:
            yield _through_rim(drive, place, near)
        else:
            yield _near_rim(drive, place, near)
    for meeting in _meetings(drive, false):
        if meeting.gap > 0.0:
            yield _near_itself(drive, meeting)


@check("alignment")
def alignment(drive: Drive) -> Iterator[Finding]:
    """The slope between neighbouring belt planes above guidance."""
    limit = limits()["alignment.slope"]
    false = false_stretches(drive)
    for i, span in enumerate(drive.path.spans):
        if 2 * i + 1 in false:
            continue
        one, other = drive.layout.pulleys[span.start], drive.layout.pulleys[span.end]
        off = abs(one.offset - other.offset)
        slope = 100.0 * off / span.length
        if slope > limit.value:
            yield Finding(
                check="alignment",
                level="caution",
                pulleys=(one.name, other.name),
                message=f"The belt runs out of line from {one.title} to {other.title}: their "
                f"planes are {mm(off)} mm apart over {span.length:.0f} mm, which is "
                f"{above(slope, limit.value, 2):.2f} mm in 100 mm or "
                f"{degrees(atan2(off, span.length)):.2f}°; guidance is "
                f"{limit.value:g} mm in 100 mm. Shim one of them, or look whether a bracket or "
                f"bearing has given way.",
                source=cite(limit),
                where=(_half_way(span.leave, span.enter),),
            )


def _meetings(drive: Drive, false: Collection[int]) -> Iterator[SelfGap]:
    """Every two stretches that cross, touch or come too near each other, each place told once.

    Stretches next to ones that are told already are left out, and those that run through the rim on
    which the other lies, since `clearance` tells of it. A crossing has the gap −1.
    """
    told: list[SelfGap] = []
    for meeting in (*_crossings(drive), *drive.self_gaps):
        one, other = meeting.one, meeting.other
        if one in false or other in false or meeting.gap >= _wanted(one, other):
            continue
        if any(_same_place(drive, meeting, earlier) for earlier in told):
            continue
        told.append(meeting)
        if meeting.gap < 0.0 or not _through(drive, one, other):
            yield meeting


def _crossings(drive: Drive) -> Iterator[SelfGap]:
    spans = drive.path.spans
    for one, other, point in crossings(spans):
        yield SelfGap(2 * spans.index(one) + 1, 2 * spans.index(other) + 1, -1.0, point)


def _crossed(drive: Drive, meetings: Sequence[SelfGap]) -> Finding:
    """One finding for all crossings, since one wrong place in the route often makes several."""
    pairs = [_both(drive, meeting, "meets") for meeting in meetings[:MOST_PAIRS]]
    more = len(meetings) - len(pairs)
    tail = f", and so in {counted(more, 'more place')}" if more else ""
    return Finding(
        check="crossing",
        level="fault",
        pulleys=_pulleys_of(drive, *meetings),
        message=f"The belt crosses itself where {'; '.join(pairs)}{tail}. Change the order of the "
        f"route, or the side on which the belt passes one of these pulleys; its length and the "
        f"tensioner cannot be judged until then.",
        source=GEOMETRY,
        where=tuple(meeting.where for meeting in meetings),
    )


def _rubbing(drive: Drive, meeting: SelfGap) -> Finding:
    return Finding(
        check="crossing",
        level="fault",
        pulleys=_pulleys_of(drive, meeting),
        message=f"The belt rubs on itself: {_both(drive, meeting, 'and')} leave no room for its "
        f"thickness of {drive.layout.belt.height:g} mm. Measure these places again, and look at "
        f"the route; {OWN_DESIGN}, move one of these pulleys.",
        source=GEOMETRY,
        where=(meeting.where,),
    )


def _both(drive: Drive, meeting: SelfGap, word: str) -> str:
    return f"{stretch_title(drive, meeting.one)} {word} {stretch_title(drive, meeting.other)}"


def _pulleys_of(drive: Drive, *meetings: SelfGap) -> tuple[str, ...]:
    places = [place for meeting in meetings for place in (meeting.one, meeting.other)]
    return tuple(dict.fromkeys(name for place in places for name in stretch_pulleys(drive, place)))


def _through(drive: Drive, one: int, other: int) -> bool:
    """Whether one of two stretches runs through the rim that the other one lies on."""
    return any(
        near.gap < 0.0 and (near.pulley,) == stretch_pulleys(drive, there)
        for here, there in ((one, other), (other, one))
        for near in _gaps(drive, here)
    )


def _same_place(drive: Drive, pair: SelfGap, told: SelfGap) -> bool:
    """Whether two pairs of stretches are the same ones, or the next along the belt."""
    return any(
        _steps(drive, pair.one, a) <= 1 and _steps(drive, pair.other, b) <= 1
        for a, b in ((told.one, told.other), (told.other, told.one))
    )


def _steps(drive: Drive, one: int, other: int) -> int:
    """How many stretches along the belt two places are apart."""
    away = abs(one - other)
    return min(away, 2 * len(drive.path.contacts) - away)


def _overlap(drive: Drive, one: Pulley, other: Pulley) -> float:
    """How deep two rims lie in each other, mm; negative for the gap between them."""
    apart = distance(drive.centre(one.name), drive.centre(other.name))
    return drive.rim_radius(one) + drive.rim_radius(other) - apart


def _gaps(drive: Drive, place: int) -> tuple[Gap, ...]:
    sort = drive.wrap_clearances if place % 2 == 0 else drive.span_clearances
    return sort[place // 2].gaps


def _wanted(*places: int) -> float:
    """The clearance wanted: a span flutters, belt that lies on pulleys does not."""
    on_pulleys = all(place % 2 == 0 for place in places)
    return limits()["clearance.on_pulley" if on_pulleys else "clearance.free_span"].value


def _near_rims(drive: Drive, false: Collection[int]) -> Iterator[tuple[int, Gap]]:
    """Every rim that a stretch runs through or too near to, worst first.

    A rim is told once where it is met by stretches that follow each other. Left out are the belt
    on a pulley whose rim overlaps the other (`overlap` tells), and rims that the belt on them makes
    thicker still (then the belt is nearer to itself).
    """
    met = [
        (place, near)
        for place in range(2 * len(drive.path.contacts))
        if place not in false
        for near in _gaps(drive, place)
        if near.gap < _wanted(place) and not _told_elsewhere(drive, place, near)
    ]
    told: list[tuple[int, str]] = []
    for place, near in sorted(met, key=lambda found: found[1].gap):
        if all(rim != near.pulley or _steps(drive, place, k) > 1 for k, rim in told):
            told.append((place, near.pulley))
            yield place, near


def _told_elsewhere(drive: Drive, place: int, near: Gap) -> bool:
    pulleys, ends = drive.layout.pulleys, stretch_pulleys(drive, place)
    if len(ends) == 1 and _overlap(drive, pulleys[ends[0]], pulleys[near.pulley]) > 0.0:
        return True
    return near.gap >= 0.0 and any(
        {ends, (near.pulley,)} == {stretch_pulleys(drive, k) for k in (meeting.one, meeting.other)}
        and meeting.gap < _wanted(meeting.one, meeting.other)
        for meeting in drive.self_gaps
    )


def _through_rim(drive: Drive, place: int, near: Gap) -> Finding:
    rim, ends = drive.layout.pulleys[near.pulley], stretch_pulleys(drive, place)
    level, doubt = in_depth(drive, _plane_gap(drive, ends, rim))
    return Finding(
        check="clearance",
        level=level,
        pulleys=(*ends, rim.name),
        message=f"{sentence(stretch_title(drive, place))} runs {mm(above(-near.gap, 0.0))} mm deep "
        f"through the rim of {rim.title}. Measure these places and diameters again, and look at "
        f"the route; {OWN_DESIGN}, move one of these pulleys.{doubt}",
        source="computed: geometry of belt and rim",
        where=(_spot(drive, place, rim),),
    )


def _near_rim(drive: Drive, place: int, near: Gap) -> Finding:
    rim, ends = drive.layout.pulleys[near.pulley], stretch_pulleys(drive, place)
    doubt = in_depth(drive, _plane_gap(drive, ends, rim))[1]
    gap = mm(below(near.gap, _wanted(place)))
    return Finding(
        check="clearance",
        level="caution",
        pulleys=(*ends, rim.name),
        message=f"{sentence(stretch_title(drive, place))} passes {gap} mm from the rim of "
        f"{rim.title}; {_why(place)}{doubt}",
        source=_source(place),
        where=(_spot(drive, place, rim),),
    )


def _near_itself(drive: Drive, meeting: SelfGap) -> Finding:
    places = (meeting.one, meeting.other)
    gap = mm(below(meeting.gap, _wanted(*places)))
    return Finding(
        check="clearance",
        level="caution",
        pulleys=_pulleys_of(drive, meeting),
        message=f"{sentence(stretch_title(drive, meeting.one))} comes within {gap} mm "
        f"of {stretch_title(drive, meeting.other)}; {_why(*places)}",
        source=_source(*places),
        where=(meeting.where,),
    )


def _why(*places: int) -> str:
    wanted = f"{_wanted(*places):g} mm is wanted, since"
    if all(place % 2 == 0 for place in places):
        return f"{wanted} so small a gap may be none. Look there, engine off, before it runs."
    return f"{wanted} a span flutters. Look for rub marks there, engine off."


def _source(*places: int) -> str:
    on_pulleys = all(place % 2 == 0 for place in places)
    return cite(limits()["clearance.on_pulley" if on_pulleys else "clearance.free_span"])


def _plane_gap(drive: Drive, ends: tuple[str, ...], rim: Pulley) -> float:
    """How far a rim's plane stands from the planes between which a stretch of belt runs, mm."""
    planes = [drive.layout.pulleys[name].offset for name in ends]
    return max(min(planes) - rim.offset, rim.offset - max(planes), 0.0)


def _spot(drive: Drive, place: int, rim: Pulley) -> Point:
    """Where a stretch of belt is nearest to the centre of a rim, on the effective line, mm."""
    centre = drive.centre(rim.name)
    if place % 2 == 0:
        contact = drive.path.contacts[place // 2]
        return _between(contact.centre, centre, contact.radius)
    span = drive.path.spans[place // 2]
    (ax, ay), (ux, uy) = span.leave, span.direction
    along = min(span.length, max(0.0, (centre[0] - ax) * ux + (centre[1] - ay) * uy))
    return (ax + along * ux, ay + along * uy)


def _between(a: Point, b: Point, along: float) -> Point:
    span = distance(a, b) or 1.0
    return (a[0] + (b[0] - a[0]) * along / span, a[1] + (b[1] - a[1]) * along / span)


def _half_way(a: Point, b: Point) -> Point:
    return ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
