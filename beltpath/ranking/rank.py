"""Routes studied, and which of them is the likelier one.

What is asked of a route, in the order in which it counts: it fits the belt in hand (in the
tensioner's window, if there is one, and with a spring that tightens it), carries no fault, turns
the pulleys as the layout declares, keeps the ribs off smooth faces, leaves no pulley out, has its
tensioner on the slack side, and wraps its pulleys well.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import degrees
from typing import NamedTuple

from beltpath.checks.findings import Finding, Verdict
from beltpath.data.tables import limits
from beltpath.layout.keys import Sense, Side
from beltpath.layout.layout import Layout
from beltpath.layout.records import Pulley
from beltpath.routing.places import travel_of
from beltpath.routing.search import FoundRoute
from beltpath.routing.solve import misses, solve_route, takes, tightens
from beltpath.solve.drive import Drive
from beltpath.solve.path import BeltPath
from beltpath.studies import Study, studied

#: Roles that take no power from the belt.
_IDLE = ("crank", "idler", "tensioner")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """How the belt in hand goes with a route; `fits` and `off` are None when no belt is known.

    `off` is by how many mm the belt is too short (−) or too long (+), 0 when it fits. `shortest`
    and `longest` are the belts that the route takes, mm. `position` and `in_window` are None
    without a tensioner or window. `tightens` tells whether the tensioner's spring tightens the belt
    on this route; None when there is no spring. `as_measured` tells whether the belt can lie on
    this route with the tensioner where it was measured.
    """

    fits: bool | None
    off: float | None
    shortest: float
    longest: float
    position: float | None
    in_window: bool | None
    tightens: bool | None
    as_measured: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StudiedRoute:
    """A route solved and checked by every check but look-alike, and compared with the belt in hand.

    `found` is the route as the search found it. `left_out` names the optional pulleys that the
    route does not meet.
    """

    found: FoundRoute
    study: Study
    fit: Fit
    left_out: tuple[str, ...]

    @property
    def route(self) -> tuple[str, ...]:
        """The pulleys in the belt's travel, from the crank on."""
        return self.found.route

    @property
    def sides(self) -> tuple[Side, ...]:
        """The side of the belt on each pulley of the route."""
        return self.found.sides

    @property
    def senses(self) -> tuple[Sense, ...]:
        """The sense in which each pulley of the route turns."""
        return tuple(self.found.turns_of.values())

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


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedRoute(StudiedRoute):
    """A studied route in its rank among others.

    `reasons` are sentences that tell this route from the others, the most telling first.
    """

    reasons: tuple[str, ...]


def study_route(layout: Layout, found: FoundRoute, asked: Sequence[str]) -> StudiedRoute:
    """Solve and check one route; `asked` are all the pulleys that were to be considered.

    Raises PathError when the route is open for less than one step of the tensioner's travel.
    """
    drive = solve_route(layout, found)
    return StudiedRoute(
        found=found,
        # The search itself lists the other routes; look-alike would search again for each of them.
        study=studied(drive, without=("look-alike", "agreement")),
        fit=_fit(layout, found, drive),
        left_out=tuple(name for name in asked if name not in found.route),
    )


def _fit(layout: Layout, found: FoundRoute, drive: Drive) -> Fit:
    off, (shortest, longest) = misses(drive), takes(drive)
    t, stand = layout.tensioner, drive.stand
    if t is None or stand is None:
        position, in_window, tight, as_measured = None, None, None, True
    else:
        position = stand.position
        in_window = None if t.window is None else t.window[0] <= position <= t.window[1]
        tight = tightens(stand)
        measured = travel_of(layout, t).measured_position()
        as_measured = any(opening.place.position == measured for opening in found.openings)
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


class Merits(NamedTuple):
    """What speaks against a route, the weightiest first: the smallest tuple is the best route.

    `off` is in mm, `shortfall` the wrap missing to the guide values and `grip` the least wrap in
    grooves, negative, both in degrees. The route itself comes last, so that no two are alike.
    """

    fit: int
    off: float
    faults: int
    wrong_senses: int
    ribs_on_smooth: int
    left_out: int
    off_slack_side: bool
    shortfall: float
    grip: float
    route: tuple[tuple[str, ...], tuple[str, ...]]


class Judge:
    """Weighs routes of one layout; what the layout asks of its pulleys is gathered once."""

    def __init__(self, layout: Layout) -> None:
        pulleys = layout.pulleys
        self.tensioner = layout.tensioner
        self.wanted: dict[str, Sense] = {
            name: pulley.turns for name, pulley in pulleys.items() if pulley.turns is not None
        }
        self.smooth = {name for name, p in pulleys.items() if p.face == "smooth" and p.side is None}
        self.driven = {name for name, pulley in pulleys.items() if pulley.role not in _IDLE}
        self.grooved = {name for name, pulley in pulleys.items() if pulley.face == "grooved"}
        self.guides = {name: _guide(pulley) for name, pulley in pulleys.items()}

    def merits(self, one: StudiedRoute) -> Merits:
        """The merits of a route that has been studied."""
        faults = sum(f.level == "fault" and f.check != "length" for f in one.study.findings)
        wraps = [contact.wrap for contact in one.study.path.contacts]
        return self._weighed(
            one.found,
            wraps,
            fit=_fit_rank(one.fit),
            off=abs(one.fit.off or 0.0),
            faults=faults,
            left_out=len(one.left_out),
        )

    def promise(self, found: FoundRoute, asked: Sequence[str]) -> Merits:
        """The merits of a route as far as they are known before it is studied."""
        lengths = [opening.length for opening in found.openings]
        t = self.tensioner
        sprung = t is not None and t.kind != "swing"
        return self._weighed(
            found,
            found.wraps,
            fit=2 if sprung and lengths[0] < lengths[-1] else 0,
            off=0.0,
            faults=0,
            left_out=len(asked) - len(found.route),
        )

    def wrong_senses(self, found: FoundRoute) -> list[str]:
        """The pulleys that this route turns against what the layout declares."""
        turns = found.turns_of if self.wanted else {}
        return [name for name, sense in turns.items() if self.wanted.get(name, sense) != sense]

    def ribs_on_smooth(self, found: FoundRoute) -> list[str]:
        """The smooth pulleys on which the ribs run without being declared to."""
        met = zip(found.route, found.sides, strict=True)
        return [name for name, side in met if side == "ribs" and name in self.smooth]

    def driven_first(self, found: FoundRoute) -> list[str]:
        """The pulleys that take power between the crank and the tensioner, in the belt's travel.

        The span that leaves the crank is the slackest; tension rises at every pulley driven.
        """
        if self.tensioner is None:
            return []
        before = found.route[: found.route.index(self.tensioner.pulley)]
        return [name for name in before if name in self.driven]

    def least_grip(self, route: Iterable[str], wraps: Iterable[float]) -> tuple[float, str]:
        """The least wrap (deg) on a grooved pulley, and which; on any pulley if none is grooved."""
        by_pulley = [(wrap, name) for name, wrap in zip(route, wraps, strict=True)]
        wrap, name = min([one for one in by_pulley if one[1] in self.grooved] or by_pulley)
        return degrees(wrap), name

    def _weighed(
        self,
        found: FoundRoute,
        wraps: Sequence[float],
        *,
        fit: int,
        off: float,
        faults: int,
        left_out: int,
    ) -> Merits:
        guides = self.guides
        missing = [
            guides[name] - degrees(wrap) for name, wrap in zip(found.route, wraps, strict=True)
        ]
        return Merits(
            fit=fit,
            off=off,
            faults=faults,
            wrong_senses=len(self.wrong_senses(found)),
            ribs_on_smooth=len(self.ribs_on_smooth(found)),
            left_out=left_out,
            off_slack_side=bool(self.driven_first(found)),
            shortfall=sum(one for one in missing if one > 0.0),
            grip=-self.least_grip(found.route, wraps)[0],
            route=(found.route, found.sides),
        )


def _fit_rank(fit: Fit) -> int:
    """0 for a belt that fits (or is not known), 1 outside the window, 2 left slack, 3 no fit."""
    if fit.fits is False:
        return 3
    if fit.tightens is False:
        return 2
    return 1 if fit.fits and fit.in_window is False else 0


def _guide(pulley: Pulley) -> float:
    """The wrap that a pulley should have, deg: by the layout, or by its role; 0 for none."""
    if pulley.min_wrap is not None:
        return pulley.min_wrap
    guide = limits().get(f"wrap.{pulley.role}")
    return 0.0 if guide is None else guide.value
