"""Look-alikes: other routes round the same pulleys that the belt in hand fits too."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from beltpath.errors import PathError
from beltpath.layout.keys import Sense, Side
from beltpath.layout.layout import Layout
from beltpath.routing.graph import TooManySpansError
from beltpath.routing.search import FoundRoute, SearchResult, search_routes
from beltpath.routing.solve import may_take, misses, possible, solve_route, tightens, with_sides
from beltpath.solve.drive import Drive
from beltpath.solve.path import BeltPath, crossings
from beltpath.solve.tensioner import laid_nowhere
from beltpath.solve.uncertainty import length_uncertainty

# The search has a budget of its own, in counted work, so that every machine finds the same. Each
# of the three parts of it took 0.1 to 0.2 s where it was set.
#: Pairs of spans, or of a span and a rim, that are compared before the search.
MOST_PAIRS = 1_000_000
#: Steps of the search, times the number of pulleys.
MOST_STEPS = 300_000
#: Routes that are solved, times the number of pulleys ...
MOST_SOLVED = 240
#: ... but in any case so many.
FEWEST_SOLVED = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class LookAlike:
    """Another route that the same belt fits, solved, and how it differs from the right one.

    `wrong` are the pulleys that turn the other way. `sided` are the pulleys that the other side of
    the belt touches. `off` is by how many mm the belt in hand is short (−) or long (+) for it; 0
    when it fits.
    """

    drive: Drive
    wrong: tuple[str, ...]
    sided: tuple[str, ...]
    off: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LookAlikes:
    """The look-alikes of a drive, those that turn a pulley the wrong way first.

    `off` is by how many mm the belt in hand is short (−) or long (+) for the layout's own route; 0
    when it fits, or when no other route was searched for. `complete` is False when the budget ended
    the search; `work` counts its steps.
    """

    found: tuple[LookAlike, ...]
    off: float
    complete: bool
    work: int


def look_alikes(drive: Drive, *, most_steps: int = MOST_STEPS) -> LookAlikes:
    """Every other route round the drive's pulleys that its belt fits, or may fit.

    A belt may fit when it misses by no more than its tolerance and the 95 % uncertainty of the
    drive's own length, both added. A declared `side` does not count, for a hand can lay the wrong
    side all the same; it counts only where all sides are too many to search. The search takes
    `most_steps` steps times pulleys.

    There are none when no belt is known, or when no belt can be laid on the layout's own route:
    that must be put right first. A belt of the wrong length for that route has look-alikes all the
    same: a hand lays it where it does fit.
    """
    off = _off(drive)
    if off is None:
        return LookAlikes(found=(), off=0.0, complete=True, work=0)
    own = tuple(contact.pulley for contact in drive.path.contacts)
    result = _searched(drive.layout, own, most_steps // len(own))
    if result is None:
        return LookAlikes(found=(), off=off, complete=False, work=0)
    margin = length_uncertainty(drive.layout, drive.path).expanded
    fitting = [
        other
        for other in result.found
        if (other.route, other.sides) != (own, drive.path.sides)
        and may_take(drive.layout, other, margin)
    ]
    likely = _likeliest(drive, fitting, max(MOST_SOLVED // len(own), FEWEST_SOLVED))
    alikes = [alike for one in likely if (alike := _solved(drive, one, margin)) is not None]
    alikes.sort(key=lambda alike: (-len(alike.wrong), abs(alike.off)))
    complete = result.complete and len(likely) == len(fitting)
    return LookAlikes(found=tuple(alikes), off=off, complete=complete, work=result.work)


def _searched(layout: Layout, own: Sequence[str], most_work: int) -> SearchResult | None:
    """All routes round these pulleys, on every side of the belt that their faces allow.

    Where those are too many: the routes on declared sides, as a search cut short. None where those
    are too many too.
    """
    for declared in (False, True):
        try:
            result = search_routes(
                layout, own, declared=declared, most_work=most_work, most_pairs=MOST_PAIRS
            )
        except TooManySpansError:
            continue
        return replace(result, complete=result.complete and not declared)
    return None


def _likeliest(drive: Drive, routes: Sequence[FoundRoute], most: int) -> list[FoundRoute]:
    """At most so many routes: those that turn most pulleys wrongly, then those that fit best."""
    length, senses = drive.layout.belt.length or 0.0, _senses(drive.path)

    def promise(i: int) -> tuple[int, float]:
        return -len(_differing(routes[i].turns_of, senses)), routes[i].misses(length)

    kept = sorted(range(len(routes)), key=promise)[:most]
    return [routes[i] for i in sorted(kept)]


def _off(drive: Drive) -> float | None:
    """By how much the belt misses the layout's own route; None where that means nothing.

    The ends of a travel mean nothing where no belt can be laid between them, or where the drive as
    measured is not one plain loop.
    """
    off, stand = misses(drive), drive.stand
    if off is None or not _closes(drive.path):
        return None
    if stand is None or off == 0.0:
        return off
    return None if laid_nowhere(stand) or not _closes(drive.as_measured) else off


def _closes(path: BeltPath) -> bool:
    return path.proper and not crossings(path.spans)


def _solved(drive: Drive, found: FoundRoute, margin: float) -> LookAlike | None:
    """The route solved; None when the belt does not fit it after all."""
    try:
        other = solve_route(with_sides(drive.layout, found), found)
    except PathError:
        return None
    off = misses(other)
    stand, belt = other.stand, drive.layout.belt
    slack = stand is not None and tightens(stand) is False
    # Without a tensioner the belts that fit are reckoned with the tolerance already.
    near = margin if stand is None else margin + (belt.tolerance or 0.0)
    if off is None or abs(off) > near or slack or not possible(other):
        return None
    return LookAlike(
        drive=other,
        wrong=_differing(_senses(other.path), _senses(drive.path)),
        sided=_differing(_sides(other.path), _sides(drive.path)),
        off=off,
    )


def _differing(there: Mapping[str, object], here: Mapping[str, object]) -> tuple[str, ...]:
    """The pulleys, in the order of `there`, that are not the same in both."""
    return tuple(name for name in there if there[name] != here[name])


def _senses(path: BeltPath) -> dict[str, Sense]:
    return {contact.pulley: contact.turns for contact in path.contacts}


def _sides(path: BeltPath) -> dict[str, Side]:
    return {c.pulley: side for c, side in zip(path.contacts, path.sides, strict=True)}
