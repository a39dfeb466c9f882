"""What of a drive can be judged: checks that rest on a belt that does not close would mislead.

`missed` or `crossing` is the fault in every such drive, and says what waits until that is right.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot, sqrt
from typing import NamedTuple

from beltpath.checks.findings import Level
from beltpath.checks.plausible import sets_forces
from beltpath.data.sections import length_tolerance, tolerance_doubt
from beltpath.data.tables import limits
from beltpath.errors import PathError
from beltpath.layout.records import Belt
from beltpath.refit.order import easiest_rim
from beltpath.solve.drive import Drive
from beltpath.solve.forces import Forces
from beltpath.solve.motion import ON_CENTRE
from beltpath.solve.path import MISSED_WRAP, BeltPath, Contact, crossings, from_crank, trace
from beltpath.solve.reliance import closes, doubt, place_sure, travel_of
from beltpath.solve.tensioner import Stand, laid_nowhere
from beltpath.solve.uncertainty import COVERAGE, length_uncertainty

__all__ = [
    "TakeUp",
    "against_travel",
    "closes",
    "comparable",
    "disagrees",
    "false_stretches",
    "forces_doubtful",
    "in_depth",
    "lost_contacts",
    "own_stretch",
    "real_wraps",
    "sound_stand",
    "sure_of_both",
    "take_up",
    "tolerance_of",
    "tolerance_words",
    "travel_of",
    "turns_wrongly",
]


class TakeUp(NamedTuple):
    """What an ordinary belt asks of a drive without a way to tension it, mm of belt length.

    The path must get `shorter` by so much, to slip on the shortest belt, and `longer`, to tension
    the longest one over its life. Both hold the belt's tolerance and the 95 % ± of the path;
    `slip_on` is what the easiest rim asks for, `stretch` what service adds.
    """

    shorter: float
    longer: float
    slip_on: float
    stretch: float


def against_travel(drive: Drive) -> bool:
    """Whether the belt closes properly only when the route's order is turned round."""
    if drive.path.proper:
        return False
    try:
        turned = trace(drive.layout, route=from_crank(drive.layout)[::-1])
    except PathError:
        return False
    return turned.proper and not turned.inferred and not crossings(turned.spans)


def lost_contacts(path: BeltPath) -> tuple[Contact, ...]:
    """Pulleys that the belt would have to go nearly all the way round to touch."""
    return tuple(c for c in path.contacts if c.wrap > MISSED_WRAP)


def turns_wrongly(drive: Drive) -> bool:
    """Whether the belt does not turn exactly once although it misses no pulley: it crosses itself.

    A plain closed curve turns once, either way (Hopf's theorem on tangents).
    """
    path = drive.path
    return not (path.proper or lost_contacts(path) or against_travel(drive))


def false_stretches(drive: Drive) -> frozenset[int]:
    """Stretches that are no real belt: round a pulley that the belt misses, and to and from it.

    They all are where the belt does not close in one turn although it misses no pulley.
    """
    contacts, lost = drive.path.contacts, lost_contacts(drive.path)
    count = 2 * len(contacts)
    if against_travel(drive) or turns_wrongly(drive):
        return frozenset(range(count))
    places = [2 * contacts.index(contact) for contact in lost]
    return frozenset(k % count for i in places for k in (i - 1, i, i + 1))


def real_wraps(drive: Drive) -> Iterator[Contact]:
    """The contacts whose two spans are both real, so that their wrap is."""
    false, path = false_stretches(drive), drive.path
    count = 2 * len(path.contacts)
    for i, contact in enumerate(path.contacts):
        if not false.intersection(((2 * i - 1) % count, 2 * i + 1)):
            yield contact


def sound_stand(drive: Drive) -> Stand | None:
    """Where the tensioner stands, if the belt closes there and where it was measured; else None.

    None too where its stops are wrong or no belt can be laid between them: then nothing follows
    from them, and `stops` or `travel` tells.
    """
    stand = drive.stand
    if stand is None or laid_nowhere(stand) or doubt(drive) in ("closing", "stops"):
        return None
    return stand


def tolerance_of(belt: Belt) -> float:
    """± of the belt in hand in mm: its own or the table's, 0 without a belt."""
    if belt.length is None:
        return 0.0
    return length_tolerance(belt.length) if belt.tolerance is None else belt.tolerance


def comparable(drive: Drive) -> bool:
    """Whether there is a belt in hand to compare with a tensioner as it was measured."""
    stand = drive.stand
    if stand is None or drive.layout.belt.length is None or laid_nowhere(stand):
        return False
    return closes(drive.as_measured) and closes(drive.path)


def disagrees(drive: Drive) -> bool:
    """Whether the path as measured and the belt in hand differ by more than the ± of both."""
    stand, length = drive.stand, drive.layout.belt.length
    if stand is None or length is None or not comparable(drive):
        return False
    sure = sure_of_both(drive)
    return abs(drive.as_measured.length - length) > sure or _moved(drive, stand, sure)


def sure_of_both(drive: Drive) -> float:
    """± at 95 % of path as measured less belt (JCGM 100:2008, 4.3.7: within ± a is a/√3)."""
    sigma = length_uncertainty(drive.layout, drive.as_measured).sigma
    return COVERAGE * hypot(sigma, tolerance_of(drive.layout.belt) / sqrt(3.0))


def _moved(drive: Drive, stand: Stand, sure: float) -> bool:
    """Whether the belt in hand puts the tensioner elsewhere than measured, beyond the ±."""
    travel = travel_of(drive, stand)
    at = travel.measured_position()
    least = min(abs(stand.rate), abs(travel.rate(drive.as_measured, at)))
    if stand.reached != "reached" or least < ON_CENTRE:
        return False
    return abs(stand.position - at) > hypot(sure / least, place_sure(drive, stand))


def tolerance_words(belt: Belt) -> str:
    """Where the ± of the belt in hand comes from."""
    assumed = belt.tolerance_assumed or belt.tolerance is None
    return tolerance_doubt(belt.section.name) if assumed else "given"


def forces_doubtful(drive: Drive, found: Forces) -> bool:
    """Whether its forces cannot be relied on; `plausibility` or a fault of `slip` then says so.

    A value far outside the trade sets them, or the belt surely slips: it transmits less than its
    loads ask for, so that no such tensions exist. Beside a slack span they are not told anyway.
    """
    least = limits()["slip.limit"].value
    slips = any(
        not c.slack and min(at.contacts[i].slip_reserve for at in found.most) < least
        for at in found.most
        for i, c in enumerate(at.contacts)
    )
    return slips or sets_forces(drive.layout)


def own_stretch() -> float:
    """What part 0..1 of its length an ordinary belt's own stretch makes up on fixed centres."""
    return limits()["length.fixed"].value / 100.0


def take_up(drive: Drive, tolerance: float) -> TakeUp:
    """The take-up that a belt as long as the path needs, its ± being `tolerance` (mm)."""
    rim = easiest_rim(drive)
    slip_on = 0.0 if rim is None else rim.needs
    unsure = tolerance + length_uncertainty(drive.layout, drive.path).expanded
    stretch = limits()["travel.stretch"].value / 100.0 * (drive.path.length + tolerance)
    return TakeUp(unsure + slip_on, unsure + stretch, slip_on, stretch)


def in_depth(drive: Drive, planes_apart: float) -> tuple[Level, str]:
    """What it means that two things meet in the front view while their planes lie so far apart, mm.

    A fault; but a caution with the doubt in words where that is more than the belt's width, since
    nothing tells how wide a rim is.
    """
    belt = drive.layout.belt
    if planes_apart <= belt.width:
        return "fault", ""
    return "caution", (
        f" Their planes lie {planes_apart:.0f} mm apart, more than the belt's width of "
        f"{belt.width:.0f} mm: look whether they meet at all."
    )
