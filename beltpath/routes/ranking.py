"""Which way is the likelier one: what is asked of a way, in the order in which it counts.

It fits the belt in hand (in the tensioner's window, if there is one, and with a spring that
tightens it), carries no fault, turns the
pulleys as the layout declares, keeps the ribs off smooth faces, leaves no pulley out, has its
tensioner on the slack side, and wraps its pulleys well.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import degrees
from typing import NamedTuple

from beltpath.findings import limits
from beltpath.layout import Layout
from beltpath.routes.candidate import Fit, Trial
from beltpath.routing import Way

#: Roles that take no power from the belt.
_IDLE = ("crank", "idler", "tensioner")


class Merits(NamedTuple):
    """What speaks against a way, the weightiest first: the smallest tuple is the best way.

    `off` is in mm, `shortfall` the wrap missing to the guide values and `grip` the least wrap in
    grooves, negative, both in degrees. The way itself comes last, so that no two are alike.
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
    way: tuple[tuple[str, ...], tuple[str, ...]]


def merits(layout: Layout, trial: Trial) -> Merits:
    """The merits of a way that has been studied."""
    faults = sum(f.level == "fault" and f.check != "length" for f in trial.study.findings)
    wraps = [contact.wrap for contact in trial.study.path.contacts]
    return _merits(layout, trial.way, trial.left_out, trial.fit, faults, wraps)


def promise(layout: Layout, way: Way, asked: Iterable[str]) -> Merits:
    """The merits of a way as far as they can be told before it is studied."""
    lengths = [opening.length for opening in way.openings]
    shortest, longest = min(lengths), max(lengths)
    length = layout.belt.length
    off = None if length is None else min(length - shortest, 0.0) + max(length - longest, 0.0)
    fit = Fit(
        fits=None if off is None else off == 0.0,
        off=off,
        shortest=shortest,
        longest=longest,
        position=None,
        in_window=None,
        tightens=_tightens(layout, lengths),
        as_measured=True,
    )
    left_out = tuple(name for name in asked if name not in way.route)
    middle = way.openings[len(way.openings) // 2]
    return _merits(layout, way, left_out, fit, 0, middle.wraps)


def wrong_senses(layout: Layout, way: Way) -> list[str]:
    """The pulleys that this way turns against what the layout declares."""
    return [
        name
        for name, sense in way.turns_of.items()
        if layout.pulleys[name].turns not in (None, sense)
    ]


def ribs_on_smooth(layout: Layout, way: Way) -> list[str]:
    """The smooth pulleys on which the ribs run without being declared to."""
    return [
        name
        for name, side in way.side_of.items()
        if side == "ribs"
        and layout.pulleys[name].face == "smooth"
        and layout.pulleys[name].side is None
    ]


def driven_first(layout: Layout, way: Way) -> list[str]:
    """The pulleys that take power between the crank and the tensioner, in the belt's travel.

    The span that leaves the crank is the slackest; tension rises from there at every pulley driven.
    """
    if layout.tensioner is None:
        return []
    before = way.route[: way.route.index(layout.tensioner.pulley)]
    return [name for name in before if layout.pulleys[name].role not in _IDLE]


def least_grip(layout: Layout, route: Iterable[str], wraps: Iterable[float]) -> tuple[float, str]:
    """The least wrap (deg) on a grooved pulley, and which; on any pulley if none is grooved."""
    by_pulley = [(degrees(wrap), name) for name, wrap in zip(route, wraps, strict=True)]
    grooved = [(wrap, name) for wrap, name in by_pulley if layout.pulleys[name].face == "grooved"]
    return min(grooved or by_pulley)


def _merits(
    layout: Layout,
    way: Way,
    left_out: tuple[str, ...],
    fit: Fit,
    faults: int,
    wraps: Iterable[float],
) -> Merits:
    wraps = list(wraps)
    return Merits(
        fit=_fit(fit),
        off=abs(fit.off or 0.0),
        faults=faults,
        wrong_senses=len(wrong_senses(layout, way)),
        ribs_on_smooth=len(ribs_on_smooth(layout, way)),
        left_out=len(left_out),
        off_slack_side=bool(driven_first(layout, way)),
        shortfall=sum(
            _shortfall(layout, name, w) for name, w in zip(way.route, wraps, strict=True)
        ),
        grip=-least_grip(layout, way.route, wraps)[0],
        way=(way.route, way.sides),
    )


def _tightens(layout: Layout, lengths: list[float]) -> bool | None:
    """As `routing.tightens`, told from lengths along the travel, free end first."""
    t = layout.tensioner
    if t is None or t.kind == "swing" or len(lengths) == 1:
        return None
    return lengths[0] > lengths[-1]


def _fit(fit: Fit) -> int:
    """0 for a belt that fits (or is not known), 1 outside the window, 2 left slack, 3 no fit."""
    if fit.fits is False:
        return 3
    if fit.tightens is False:
        return 2
    return 1 if fit.fits and fit.in_window is False else 0


def _shortfall(layout: Layout, name: str, wrap: float) -> float:
    """Degrees of wrap missing to the layout's own or the role's guide value."""
    pulley = layout.pulleys[name]
    guide = limits().get(f"wrap.{pulley.role}")
    wanted = pulley.min_wrap if pulley.min_wrap is not None else guide.value if guide else 0.0
    return max(wanted - degrees(wrap), 0.0)
