"""Checks of the tensioner: travel, over-centre, slack-side, release.

None of them is judged on a belt that does not close: `missed` or `crossing` tells of that.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from beltpath.checks.findings import Finding, Level
from beltpath.checks.judged import (
    closes,
    disagrees,
    in_depth,
    sound_stand,
    tolerance_of,
    tolerance_words,
    travel_of,
)
from beltpath.checks.register import check
from beltpath.checks.words import Stop, stop_word, title
from beltpath.data.tables import cite, limits
from beltpath.geometry import Point, distance
from beltpath.layout.keys import Sense
from beltpath.layout.records import Pulley, Tensioner
from beltpath.refit.order import refit
from beltpath.solve.drive import Drive
from beltpath.solve.reliance import AT_STOP, doubt, way_contradicted
from beltpath.solve.tensioner import Stand, laid_nowhere
from beltpath.words import above, below, mm, position

#: A wrap so small (rad) at an end of the usable travel means that the pulley leaves the belt there.
LEAVES = 0.01
#: The rims beside the travel are looked at in this many steps from where the tensioner stands.
STEPS = 60

_STOPS = "the layout's own stops, `free` and `load`"
_LIFTED = "A lever held so far over lifts it"
_WINDOW = "the layout's own `window`"


class _Place(NamedTuple):
    """Where a belt puts the tensioner: `zone` 0 in the window, ±1 outside it, ±2 beyond a stop.

    Positive towards the free stop, where belts are longer. `at` is None where the travel has no
    position for the belt.
    """

    zone: int
    at: float | None


@check("travel")
def travel(drive: Drive) -> Iterator[Finding]:
    """The tensioner outside its stops or window: now, at the belt's tolerance, after stretch.

    Stops that look exchanged, or that the tensioner cannot reach, are found too.
    """
    if drive.stand is not None and doubt(drive) == "stops":
        return  # `stops` tells of it
    if drive.stand is not None and laid_nowhere(drive.stand) and closes(drive.path):
        zone = _place(drive.stand.tensioner, drive.stand.position).zone
        yield _outside_now(drive.stand, zone, "")
        return
    stand = sound_stand(drive)
    if stand is None:
        return
    yield from _cut_short(drive, stand)
    yield from _blocked(drive, stand)
    if doubt(drive) == "exchanged":
        yield _exchanged(stand)
        return
    if stand.reached in ("too short", "too long"):
        return  # `length` tells of it
    now = _place(stand.tensioner, stand.position)
    if now.zone:
        yield _outside_now(stand, now.zone, _or_measured(drive))
    if stand.over_centre is not None:
        return  # `over-centre` tells: one belt has two positions, so other belts say nothing
    yield from _other_belts(drive, stand, now.zone)


@check("over-centre")
def over_centre(drive: Drive) -> Iterator[Finding]:
    """dL/dposition changes sign inside the travel."""
    stand = sound_stand(drive)
    centre = None if stand is None else stand.over_centre
    if stand is None or centre is None:
        return
    t = stand.tensioner
    places = " and at ".join(position(t, at) for at, _ in stand.turns)
    yield _finding(
        stand,
        "over-centre",
        "fault",
        f"The tensioner goes over centre at {places}, between its stops "
        f"({_range(t, (t.free, t.load))}): beyond that the belt's path changes the other way, so "
        f"that the tensioner would let go instead of tightening, and one belt has two positions. "
        f"Measure pivot, pulley and stops again; do not rely on the position given here.",
        "computed: dL/dposition changes sign",
    )


@check("slack-side")
def slack_side(drive: Drive) -> Iterator[Finding]:
    """The tensioner is not on the span that leaves the crank, idlers apart.

    An accessory that is swung and bolted (`swing`) may stand anywhere: it is set at rest.
    """
    stand = sound_stand(drive)
    if stand is None or stand.tensioner.kind == "swing":
        return
    route = [contact.pulley for contact in drive.path.contacts]
    at = route.index(stand.tensioner.pulley)
    before, after = _loads(drive, route[1:at]), _loads(drive, route[at + 1 :])
    if not before:
        return
    side = (
        "on the tight side, where the belt runs to the crank"
        if not after
        else f"behind {title(drive, before[-1])}, which already pulls the belt tight there"
    )
    yield _finding(
        stand,
        "slack-side",
        "caution",
        f"{title(drive, stand.tensioner.pulley)} stands {side}: the pull of the driven pulleys "
        f"works against its spring there. Look whether crank_turns and the route are right; the "
        f"slack side is the span that leaves the crank, before {title(drive, before[0])}.",
        "common practice: the tensioner works on the slack side",
    )


@check("release")
def release(drive: Drive) -> Iterator[Finding]:
    """The way to slacken that the layout declares contradicts the geometry."""
    stand = sound_stand(drive)
    if stand is None:
        return
    declared, found = stand.tensioner.release, stand.release
    if declared is None or not way_contradicted(stand):
        return
    yield _finding(
        stand,
        "release",
        "fault",
        f"The layout says that the lever goes {_way(declared)} to slacken the belt, but by its "
        f"geometry it must go {_way(found)} (seen from the front). Do not turn it before this is "
        f"clear: look at the label, the pivot and the view again.",
        "computed: sign of dL/dposition",
    )


def _place(t: Tensioner, at: float) -> _Place:
    stops = (t.free, t.load)
    towards_free = 1 if t.free > t.load else -1
    for zone, (low, high) in ((2, stops), (1, t.window or stops)):
        low, high = min(low, high), max(low, high)
        if at > high + AT_STOP:
            return _Place(zone * towards_free, at)
        if at < low - AT_STOP:
            return _Place(-zone * towards_free, at)
    return _Place(0, at)


def _place_of_belt(drive: Drive, stand: Stand, length: float) -> _Place:
    at = travel_of(drive, stand).position_for(length, stand.usable)
    if at is None:
        return _Place(2 if length > stand.longest else -2, None)
    return _place(stand.tensioner, at)


def _outside_now(stand: Stand, zone: int, otherwise: str) -> Finding:
    t = stand.tensioner
    where = f"The tensioner stands at {_past(t, stand.position, zone)}, {_outside(t, zone)}"
    if abs(zone) == 2:
        what = (
            "The measurements are no surer than that: it may stand at the stop itself, as it does "
            "with the belt off. Measure it with the belt on."
        )
    elif zone > 0:
        what = "The belt is too long or has stretched: fit a new or a shorter one{}."
    else:
        what = "The belt is too short and pulls too hard: fit a longer one{}."
    return _finding(
        stand,
        "travel",
        "caution",
        f"{where}. {what.format(otherwise)}",
        _STOPS if abs(zone) == 2 else _WINDOW,
    )


def _or_measured(drive: Drive) -> str:
    """What may be wrong instead of the belt."""
    return "; or a measurement is wrong, see `agreement`" if disagrees(drive) else ""


def _other_belts(drive: Drive, stand: Stand, now: int) -> Iterator[Finding]:
    """The belt at its tolerance limits and after stretch, where that is worse than now."""
    length, tolerance = drive.path.length, tolerance_of(drive.layout.belt)
    advice = "Measure the belt before it goes on, or choose a slightly"
    source = f"the belt's tolerance on length, {tolerance_words(drive.layout.belt)}"
    short = _place_of_belt(drive, stand, length - tolerance)
    long = _place_of_belt(drive, stand, length + tolerance)
    both = short.zone < min(now, 0) and long.zone > max(now, 0)
    longer, shorter = (
        ("Measure the belt before it goes on, or choose one of a closer tolerance.",) * 2
        if both
        else (f"{advice} longer one.", f"{advice} shorter one.")
    )
    if short.zone < min(now, 0) and not (short.at is None and refit(drive).rims):
        # Where no place is left for it, `fit-on` tells.
        text = f"A belt at the short end of its tolerance ({mm(length - tolerance)} mm)"
        yield _another(stand, text, short, longer, source)
    if long.zone > max(now, 0):
        text = f"A belt at the long end of its tolerance ({mm(length + tolerance)} mm)"
        yield _another(stand, text, long, shorter, source)
    stretch = limits()["travel.stretch"]
    stretched = (length + tolerance) * (1.0 + stretch.value / 100.0)
    worn = _place_of_belt(drive, stand, stretched)
    if worn.zone > max(long.zone, 0):
        which = "A belt at the long end of its tolerance" if tolerance else "This belt"
        text = f"{which} after {stretch.value:g} % of stretch in service ({mm(stretched)} mm)"
        advice = "Look at its position at every service, and renew the belt before it gets there."
        # Such a belt has done its time: only that no travel is left for it speaks against it now.
        level: Level = "caution" if worn.at is None else "note"
        yield _another(stand, text, worn, advice, cite(stretch), level)


def _another(
    stand: Stand, belt: str, place: _Place, advice: str, source: str, level: Level = "caution"
) -> Finding:
    t = stand.tensioner
    low, high = stand.shortest, stand.longest
    if place.at is not None:
        does = f"puts the tensioner at {_past(t, place.at, place.zone)}, {_outside(t, place.zone)}"
    elif place.zone < 0:
        does = f"cannot be got on: {mm(low)} mm is the shortest that the travel takes"
    else:
        does = f"is not kept taut: {mm(high)} mm is the longest that the travel takes up"
    return _finding(stand, "travel", level, f"{belt} {does}. {advice}", source)


def _exchanged(stand: Stand) -> Finding:
    t = stand.tensioner
    return _finding(
        stand,
        "travel",
        "fault",
        f"The stops look exchanged: at its load stop ({position(t, t.load)}), where "
        f"{'it is swung over' if t.kind == 'swing' else 'the lever is held over'} and the belt "
        f"slack, the tensioner makes the path {mm(stand.at_load)} mm long; "
        f"at its free stop ({position(t, t.free)}) only {mm(stand.at_free)} mm. Exchange `free` "
        f"and `load`, or measure pivot and pulley again.",
        _STOPS,
    )


def _cut_short(drive: Drive, stand: Stand) -> Iterator[Finding]:
    """Ends of the travel in which the belt cannot be laid, or no longer touches the pulley."""
    t = stand.tensioner
    for stop, end, word in _ends(stand):
        if abs(stop - end) <= AT_STOP:
            continue
        path = travel_of(drive, stand).path_at(end)
        leaves = path.contacts[path.index(t.pulley)].wrap < LEAVES
        what = "leaves the belt" if leaves else "closes up on its neighbours"
        harmless = leaves and word == "load"
        clear = "Swung so far over it stands" if t.kind == "swing" else _LIFTED
        advice = (
            f"{clear} clear, which does no harm."
            if harmless
            else "Measure the stop, the pivot and the pulley again."
        )
        yield _finding(
            stand,
            "travel",
            "note" if harmless else "caution",
            f"Between {position(t, end)} and its {stop_word(t, word)} ({position(t, stop)}) the "
            f"tensioner's pulley {what}; belts are reckoned without that part. {advice}",
            "computed: the path along the travel",
        )


def _blocked(drive: Drive, stand: Stand) -> Iterator[Finding]:
    """Rims that the tensioner's pulley would run into on its way to a stop."""
    t = stand.tensioner
    own = drive.layout.pulleys[t.pulley]
    for stop, end, word in _ends(stand):
        way = _way_to(drive, stand, end)
        for other in drive.layout.pulleys.values():
            at = None if other is own else _first_hit(drive, own, other, way)
            if at is not None and at != stand.position:  # `overlap` tells where it stands
                yield _finding(
                    stand,
                    "travel",
                    "caution",
                    f"On its way to the {stop_word(t, word)} ({position(t, stop)}) the "
                    f"tensioner's pulley would run into the rim of {other.title}, at about "
                    f"{position(t, at)}. Measure the stop and both pulleys again; until then do "
                    f"not force {'it' if t.kind == 'swing' else 'the lever'}."
                    f"{in_depth(drive, abs(own.offset - other.offset))[1]}",
                    "computed: geometry of the rims",
                    other.name,
                )


def _ends(stand: Stand) -> tuple[tuple[float, float, Stop], tuple[float, float, Stop]]:
    """Both stops, each with the end of the usable travel that is towards it, and its name."""
    t, (free_end, load_end) = stand.tensioner, stand.usable
    return (t.free, free_end, "free"), (t.load, load_end, "load")


def _way_to(drive: Drive, stand: Stand, end: float) -> list[tuple[float, Point]]:
    """Positions with their centres, from where the tensioner stands to an end of its travel."""
    travel, start = travel_of(drive, stand), stand.position
    steps = [start + (end - start) * k / STEPS for k in range(STEPS + 1)]
    return [(at, travel.centre(at)) for at in steps]


def _first_hit(
    drive: Drive, own: Pulley, other: Pulley, way: list[tuple[float, Point]]
) -> float | None:
    reach = drive.rim_radius(own) + drive.rim_radius(other)
    return next((at for at, centre in way if distance(centre, other.at) < reach), None)


def _loads(drive: Drive, names: list[str]) -> list[str]:
    """Those of some pulleys that take power from the belt."""
    return [n for n in names if drive.layout.pulleys[n].role not in ("idler", "tensioner")]


def _outside(t: Tensioner, zone: int) -> str:
    stop = t.free if zone > 0 else t.load
    word = stop_word(t, "free" if zone > 0 else "load")
    if abs(zone) == 2:
        return f"beyond its {word} ({position(t, stop)})"
    return f"outside its window ({_range(t, t.window or (t.free, t.load))}) towards the {word}"


def _past(t: Tensioner, at: float, zone: int) -> str:
    """A position beyond a stop or an end of the window, rounded so that it reads beyond it."""
    ends = (t.free, t.load) if abs(zone) == 2 or t.window is None else t.window
    upwards = (zone > 0) == (t.free > t.load)
    return position(t, above(at, max(ends)) if upwards else below(at, min(ends)))


def _range(t: Tensioner, ends: tuple[float, float]) -> str:
    return f"{mm(min(ends))} to {position(t, max(ends))}"


def _way(release: Sense | float) -> str:
    return release if isinstance(release, str) else f"towards {mm(release)}°"


def _finding(
    stand: Stand, name: str, level: Level, message: str, source: str, *others: str
) -> Finding:
    """A finding on the tensioner's pulley, and on others where it concerns them."""
    return Finding(
        check=name,
        level=level,
        pulleys=(stand.tensioner.pulley, *others),
        message=message,
        source=source,
        where=(stand.at,),
    )
