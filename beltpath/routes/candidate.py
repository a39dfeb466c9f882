"""A way the belt can go as a candidate: solved, checked, and compared with the belt in hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from beltpath.drive import Drive
from beltpath.findings import Finding, Verdict
from beltpath.layout import Layout, Sense, Side
from beltpath.path import BeltPath
from beltpath.routing import Way, misses, solve_way, takes, tightens
from beltpath.routing.places import travel_of
from beltpath.study import Study, studied


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """How the belt in hand goes with a way; `fits` and `off` are None when no belt is known.

    `off` is by how many mm the belt is too short (−) or too long (+), 0 when it fits. `shortest`
    and `longest` are the belts that the way takes, mm. `position` and `in_window` are None without
    a tensioner or window. `tightens` tells whether the tensioner's spring tightens the belt this
    way; None when there is no spring to do it. `as_measured` tells whether the belt can go this way
    with the tensioner where it was measured.
    """

    fits: bool | None
    off: float | None
    shortest: float
    longest: float
    position: float | None
    in_window: bool | None
    tightens: bool | None
    as_measured: bool


class Trial(NamedTuple):
    """A way that has been studied, before it is ranked among others.

    `left_out` names the optional pulleys that this way does not meet.
    """

    way: Way
    study: Study
    fit: Fit
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One way the belt can go, with all that speaks for it and against it.

    `study` is the drive with its belt gone this way, checked by every check but look-alike.
    `reasons` are sentences that tell this way from the others, the most telling first.
    """

    way: Way
    study: Study
    fit: Fit
    left_out: tuple[str, ...]
    reasons: tuple[str, ...]

    @property
    def route(self) -> tuple[str, ...]:
        """The pulleys in the belt's travel, from the crank on."""
        return self.way.route

    @property
    def sides(self) -> tuple[Side, ...]:
        """The side of the belt on each pulley of the route."""
        return self.way.sides

    @property
    def senses(self) -> tuple[Sense, ...]:
        """The sense in which each pulley of the route turns."""
        return tuple(self.way.turns_of.values())

    @property
    def path(self) -> BeltPath:
        """The belt's path, with the tensioner where this belt puts it."""
        return self.study.path

    @property
    def length(self) -> float:
        """Effective length of that path, mm."""
        return self.path.length

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the checks found, faults first."""
        return self.study.findings

    @property
    def verdict(self) -> Verdict:
        """pass, caution or fail."""
        return self.study.verdict


def study_way(layout: Layout, way: Way, asked: Sequence[str]) -> Trial:
    """Solve and check one way; `asked` are all the pulleys that were to be considered.

    Raises PathError when the tensioner's travel holds the way for less than one of its steps.
    """
    drive = solve_way(layout, way)
    # The search itself lists the other ways; look-alike would search again for each of them.
    study = studied(drive, without=("look-alike", "agreement"))
    left_out = tuple(name for name in asked if name not in way.route)
    return Trial(way, study, _fit(layout, way, drive), left_out)


def _fit(layout: Layout, way: Way, drive: Drive) -> Fit:
    off, (shortest, longest) = misses(drive), takes(drive)
    t, stand = layout.tensioner, drive.stand
    if t is None or stand is None:
        position, in_window, tight, as_measured = None, None, None, True
    else:
        position = stand.position
        in_window = None if t.window is None else t.window[0] <= position <= t.window[1]
        tight = tightens(stand)
        measured = travel_of(layout, t).measured_position()
        as_measured = any(opening.place.position == measured for opening in way.openings)
    return Fit(
        fits=None if off is None else off == 0.0,
        off=off,
        shortest=shortest,
        longest=longest,
        position=position,
        in_window=in_window,
        tightens=tight,
        as_measured=as_measured,
    )
