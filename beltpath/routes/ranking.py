"""Which way is the likelier one: what is asked of a way, in the order in which it counts.

It fits the belt in hand (in the tensioner's window, if there is one, and with a spring that
tightens it), carries no fault, turns the pulleys as the layout declares, keeps the ribs off smooth
faces, leaves no pulley out, has its tensioner on the slack side, and wraps its pulleys well.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import degrees
from typing import NamedTuple

from beltpath.findings import limits
from beltpath.layout import Layout, Pulley, Sense
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


class Judge:
    """Weighs ways of one layout; what the layout asks of its pulleys is gathered once."""

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

    def merits(self, trial: Trial) -> Merits:
        """The merits of a way that has been studied."""
        faults = sum(f.level == "fault" and f.check != "length" for f in trial.study.findings)
        wraps = [contact.wrap for contact in trial.study.path.contacts]
        return self._weighed(
            trial.way,
            wraps,
            fit=_fit(trial.fit),
            off=abs(trial.fit.off or 0.0),
            faults=faults,
            left_out=len(trial.left_out),
        )

    def promise(self, way: Way, asked: Sequence[str]) -> Merits:
        """The merits of a way as far as they can be told before it is studied."""
        lengths = [opening.length for opening in way.openings]
        t = self.tensioner
        sprung = t is not None and t.kind != "swing"
        return self._weighed(
            way,
            way.wraps,
            fit=2 if sprung and lengths[0] < lengths[-1] else 0,
            off=0.0,
            faults=0,
            left_out=len(asked) - len(way.route),
        )

    def wrong_senses(self, way: Way) -> list[str]:
        """The pulleys that this way turns against what the layout declares."""
        turns = way.turns_of if self.wanted else {}
        return [name for name, sense in turns.items() if self.wanted.get(name, sense) != sense]

    def ribs_on_smooth(self, way: Way) -> list[str]:
        """The smooth pulleys on which the ribs run without being declared to."""
        met = zip(way.route, way.sides, strict=True)
        return [name for name, side in met if side == "ribs" and name in self.smooth]

    def driven_first(self, way: Way) -> list[str]:
        """The pulleys that take power between the crank and the tensioner, in the belt's travel.

        The span that leaves the crank is the slackest; tension rises at every pulley driven.
        """
        if self.tensioner is None:
            return []
        before = way.route[: way.route.index(self.tensioner.pulley)]
        return [name for name in before if name in self.driven]

    def least_grip(self, route: Iterable[str], wraps: Iterable[float]) -> tuple[float, str]:
        """The least wrap (deg) on a grooved pulley, and which; on any pulley if none is grooved."""
        by_pulley = [(wrap, name) for name, wrap in zip(route, wraps, strict=True)]
        wrap, name = min([one for one in by_pulley if one[1] in self.grooved] or by_pulley)
        return degrees(wrap), name

    def _weighed(
        self,
        way: Way,
        wraps: Sequence[float],
        *,
        fit: int,
        off: float,
        faults: int,
        left_out: int,
    ) -> Merits:
        guides = self.guides
        missing = [
            guides[name] - degrees(wrap) for name, wrap in zip(way.route, wraps, strict=True)
        ]
        return Merits(
            fit=fit,
            off=off,
            faults=faults,
            wrong_senses=len(self.wrong_senses(way)),
            ribs_on_smooth=len(self.ribs_on_smooth(way)),
            left_out=left_out,
            off_slack_side=bool(self.driven_first(way)),
            shortfall=sum(one for one in missing if one > 0.0),
            grip=-self.least_grip(way.route, wraps)[0],
            way=(way.route, way.sides),
        )


def _fit(fit: Fit) -> int:
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
