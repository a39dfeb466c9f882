"""Other ways round the same pulleys that the belt in hand fits too: easy mistakes."""

from __future__ import annotations

from dataclasses import dataclass

from beltpath.drive import Drive
from beltpath.errors import PathError
from beltpath.path import BeltPath, crossings
from beltpath.routing.fit import may_take, misses, possible, solve_way, tightens
from beltpath.routing.ways import MOST_WORK, Way, find_ways
from beltpath.tensioner import laid_nowhere
from beltpath.uncertainty import length_uncertainty


@dataclass(frozen=True, slots=True, kw_only=True)
class LookAlike:
    """Another way that the same belt fits, solved; `wrong` are the pulleys it turns the other way.

    `off` is by how many mm the belt in hand is short (−) or long (+) for it; 0 when it fits.
    """

    drive: Drive
    wrong: tuple[str, ...]
    off: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LookAlikes:
    """The look-alikes of a drive, those that turn a pulley the wrong way first.

    `off` is by how many mm the belt in hand is short (−) or long (+) for the way that the layout
    says; 0 when it fits, or when there is nothing to be like. Not `complete` when the search
    stopped at its limit, after `work` steps.
    """

    found: tuple[LookAlike, ...]
    off: float
    complete: bool
    work: int


def look_alikes(drive: Drive, *, most_work: int = MOST_WORK) -> LookAlikes:
    """Every other way round the drive's pulleys that its belt fits, or may fit.

    A belt may fit when it misses by no more than its tolerance and the 95 % uncertainty of the
    drive's own length, both added. A declared `side` does not count here: who lays the belt
    wrongly does not ask the layout. There are none when no belt is known, or when no belt can be
    laid the way that the layout says, so that there is nothing to be like: that way must be put
    right first. A belt of the wrong
    length for that way has them all the same: it is the one that a hand lays where it does fit.
    """
    layout = drive.layout
    off = _off(drive)
    if off is None:
        return LookAlikes(found=(), off=0.0, complete=True, work=0)
    own = [contact.pulley for contact in drive.path.contacts]
    ways = find_ways(layout, own, declared=False, most_work=most_work)
    margin = length_uncertainty(layout, drive.path).expanded
    found = [
        alike
        for way in ways.found
        if (way.route, way.sides) != (tuple(own), drive.path.sides)
        and may_take(layout, way, margin)
        and (alike := _solved(drive, way, margin)) is not None
    ]
    found.sort(key=lambda alike: (-len(alike.wrong), abs(alike.off)))
    return LookAlikes(found=tuple(found), off=off, complete=ways.complete, work=ways.work)


def _off(drive: Drive) -> float | None:
    """By how much the belt misses the way that the layout says; None where that means nothing.

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


def _solved(drive: Drive, way: Way, margin: float) -> LookAlike | None:
    """The way solved; None when the belt does not fit it after all."""
    try:
        other = solve_way(drive.layout, way)
    except PathError:
        return None
    off = misses(other)
    stand, belt = other.stand, drive.layout.belt
    slack = stand is not None and tightens(stand) is False
    # Without a tensioner the belts that fit are reckoned with the tolerance already.
    near = margin if stand is None else margin + (belt.tolerance or 0.0)
    if off is None or abs(off) > near or slack or not possible(other):
        return None
    signs = {contact.pulley: contact.sign for contact in drive.path.contacts}
    wrong = tuple(c.pulley for c in other.path.contacts if c.sign != signs[c.pulley])
    return LookAlike(drive=other, wrong=wrong, off=off)
