"""Drive: a layout with everything that can be computed of it, ready for the checks."""

from __future__ import annotations

from dataclasses import dataclass

from beltpath.geometry import Point
from beltpath.layout.layout import Layout
from beltpath.layout.records import Pulley, rim_diameter
from beltpath.solve.clearance import Clearance, SelfGap, self_gaps, span_clearances, wrap_clearances
from beltpath.solve.path import BeltPath, trace
from beltpath.solve.tensioner import Stand, stand

#: Stretches of belt that come nearer to each other than this (mm) are kept for the checks, whose
#: limits are smaller.
NEAR_ITSELF = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """A solved drive. `path` stands with the tensioner where it is; `as_measured` where it was.

    `span_clearances` and `wrap_clearances` go with `path.spans` and `path.contacts`; `self_gaps`
    tells where the belt comes within `NEAR_ITSELF` of itself, nearest first.
    """

    layout: Layout
    path: BeltPath
    as_measured: BeltPath
    stand: Stand | None
    span_clearances: tuple[Clearance, ...]
    wrap_clearances: tuple[Clearance, ...]
    self_gaps: tuple[SelfGap, ...]

    def centre(self, pulley: str) -> Point:
        """Where a pulley's centre is in this solution, mm."""
        if self.stand is not None and pulley == self.stand.tensioner.pulley:
            return self.stand.at
        return self.layout.pulleys[pulley].at

    def rim_radius(self, pulley: Pulley) -> float:
        """Outermost radius of a pulley, mm."""
        return rim_diameter(pulley, self.layout.belt.section) / 2.0


def solve(layout: Layout) -> Drive:
    """Solve a layout: its path as measured, or where the belt in hand puts the tensioner.

    Raises PathError when no belt can be laid along the route at all.
    """
    measured = trace(layout)
    standing = stand(layout, measured)
    path = measured if standing is None else standing.path
    return Drive(
        layout=layout,
        path=path,
        as_measured=measured,
        stand=standing,
        span_clearances=span_clearances(layout, path),
        wrap_clearances=wrap_clearances(layout, path),
        self_gaps=self_gaps(layout, path, NEAR_ITSELF),
    )
