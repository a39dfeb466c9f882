"""What of a tensioner can be relied on: no number is told that a fault makes mean nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import degrees, hypot
from typing import Literal

from beltpath.geometry import distance
from beltpath.layout.keys import Sense
from beltpath.layout.records import Tensioner
from beltpath.solve.drive import Drive
from beltpath.solve.path import BeltPath, crossings
from beltpath.solve.tensioner import AT_STOP as AT_STOP
from beltpath.solve.tensioner import Stand, Travel, laid_nowhere
from beltpath.solve.uncertainty import COVERAGE, centre_sigma

Doubt = Literal["closing", "stops", "over-centre", "exchanged", "length"]


def closes(path: BeltPath) -> bool:
    """Whether the belt is one plain loop, so that its length means something."""
    return path.proper and not crossings(path.spans)


def travel_of(drive: Drive, stand: Stand) -> Travel:
    """The tensioner's travel, to be asked about other positions."""
    t = stand.tensioner
    return Travel(t, drive.as_measured, drive.layout.pulleys[t.pulley].at)


def place_sure(drive: Drive, stand: Stand) -> float:
    """± at 95 % of the measured position (deg or mm): of the pulley, and of its pivot or stops."""
    t = stand.tensioner
    sigma = hypot(centre_sigma(drive.layout, t.pulley), drive.layout.accuracy)
    if t.pivot is not None:
        sigma = degrees(sigma / distance(t.pivot, stand.at))
    return COVERAGE * sigma


def measured_beyond(drive: Drive, stand: Stand) -> bool:
    """Whether the measured place lies beyond a stop by more than ordinary measuring explains."""
    return travel_of(drive, stand).stops_doubtful()


def way_contradicted(stand: Stand) -> bool:
    """Whether the layout declares another way to slacken than the geometry has.

    Two senses differ, or two directions are 90° or more apart.
    """
    declared, found = stand.tensioner.release, stand.release
    if declared is None or isinstance(declared, str) or isinstance(found, str):
        return declared is not None and declared != found
    return abs((declared - found + 180.0) % 360.0 - 180.0) >= 90.0


def way_to_slacken(drive: Drive) -> Sense | float | None:
    """The way that slackens the belt; None where it is in doubt, and without a tensioner."""
    return None if drive.stand is None else told_of(drive.stand, doubt(drive)).release


def stops_known(drive: Drive) -> bool:
    """Whether what the travel gives can be relied on, wherever the belt puts the tensioner."""
    return drive.stand is not None and doubt(drive) in (None, "length")


def spring_beyond(t: Tensioner) -> float:
    """How far the spring's `at` lies beyond a stop, in lengths of the travel; 0 inside it."""
    if t.spring is None:
        return 0.0
    low, high = min(t.free, t.load), max(t.free, t.load)
    return max(low - t.spring.at, t.spring.at - high, 0.0) / (high - low)


def spring_known(t: Tensioner) -> bool:
    """Whether a spring's moment may be reckoned from its `at`: that is a place of this travel."""
    return t.spring is None or not t.spring.rate or spring_beyond(t) <= 1.0


def doubt(drive: Drive) -> Doubt | None:
    """Why what follows from the tensioner's stops cannot be relied on; None where it can.

    None too without a tensioner. With a belt that is out of reach the ends of the travel hold, but
    nothing of where it stands.
    """
    stand = drive.stand
    if stand is None:
        return None
    if not closes(drive.path) or not closes(drive.as_measured):
        return "closing"
    if measured_beyond(drive, stand):
        return "stops"
    if stand.turns:
        return "over-centre"
    if stand.at_load >= stand.at_free and not laid_nowhere(stand):
        return "exchanged"
    return "length" if stand.reached in ("too short", "too long") else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What may be told of where a tensioner stands; None for what a fault leaves in doubt.

    As in `Stand`: `position`, `travel_used`, `take_up`, `rate`, `shortest`, `longest`, `release`,
    `tension`. `why` says in words why something is not told, "" where all is.
    """

    position: float | None
    travel_used: float | None
    take_up: float | None
    rate: float | None
    shortest: float | None
    longest: float | None
    release: Sense | float | None
    tension: float | None
    why: str


def told_of(stand: Stand, unsure: Doubt | None) -> Told:
    """What may be told of a tensioner with such a doubt about it."""
    standing = unsure is None
    ends = unsure in (None, "length")
    placed = unsure in (None, "stops", "exchanged") and stand.reached == "measured"
    spring, crossed = spring_known(stand.tensioner), way_contradicted(stand)
    return Told(
        position=stand.position if ends or placed else None,
        travel_used=stand.travel_used if ends else None,
        take_up=stand.take_up if standing else None,
        rate=stand.rate if standing or placed else None,
        shortest=stand.shortest if ends else None,
        longest=stand.longest if ends else None,
        release=stand.release if ends and not crossed else None,
        tension=stand.tension if standing and spring else None,
        why=_WHY[unsure] if unsure else _WAY if crossed else "" if spring else _SPRING,
    )


_WAY = "the layout and its geometry slacken it opposite ways"
_SPRING = "the spring's `at` is no place of it"
_WHY: Mapping[Doubt, str] = {
    "closing": "the belt does not close as it is drawn",
    "stops": "it was measured outside its stops",
    "over-centre": "it goes over centre between its stops",
    "exchanged": "its stops look exchanged",
    "length": "the belt in hand is out of its reach",
}
