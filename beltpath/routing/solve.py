"""A route solved: where the tensioner then stands, and whether the belt in hand fits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

from beltpath.data.tables import limits
from beltpath.errors import PathError
from beltpath.geometry import distance
from beltpath.layout.keys import Side
from beltpath.layout.layout import Layout, stand_in
from beltpath.layout.records import Pulley, Tensioner
from beltpath.routing.places import TensionerPlace, travel_of
from beltpath.routing.search import FoundRoute, Opening
from beltpath.solve.drive import Drive, solve
from beltpath.solve.path import crossings, trace
from beltpath.solve.tensioner import Stand, laid_nowhere


def solve_route(layout: Layout, found: FoundRoute) -> Drive:
    """Solve a route, with the tensioner where the belt in hand puts it.

    Without a known belt the tensioner stands where it was measured; when the route is closed there,
    at the nearest place where it is open. `as_measured` is then the path at that place.

    Raises PathError when the route is open for less than one step of the tensioner's travel.
    """
    routed, t = with_route(layout, found), layout.tensioner
    if t is None:
        return solve(routed)
    place = _start(layout, t, found)
    drive = solve(routed) if place is None else _solve_from(routed, t, found, place)
    if drive.stand is not None and laid_nowhere(drive.stand):
        raise PathError("the tensioner's travel holds this way for less than one of its steps")
    return drive


def with_route(layout: Layout, found: FoundRoute) -> Layout:
    """The layout with this route, and with those sides declared that it would not infer."""
    sides = sides_to_write(layout, found)
    return replace(layout, route=found.route, pulleys=_with_sides(layout, sides))


def with_sides(layout: Layout, found: FoundRoute) -> Layout:
    """The layout with every side of this route declared, so that solving it infers none."""
    return replace(layout, pulleys=_with_sides(layout, found.side_of))


def sides_to_write(layout: Layout, found: FoundRoute) -> Mapping[str, Side]:
    """The sides that a layout must declare so that it infers the others of this route."""
    wanted = found.side_of
    sides: dict[str, Side] = {}
    while True:
        try:
            path = trace(layout, route=found.route, sides=sides)
        except PathError:
            return wanted
        met = zip(path.contacts, path.sides, strict=True)
        wrong = [c.pulley for c, side in met if side != wanted[c.pulley]]
        if not wrong:
            return sides
        sides.update({name: wanted[name] for name in wrong})


def possible(drive: Drive) -> bool:
    """Whether the solved belt closes properly, does not cross itself and clears every rim."""
    path = drive.path
    gaps = [near.gap for near in drive.span_clearances if near.gap is not None]
    return path.proper and not crossings(path.spans) and all(gap >= 0.0 for gap in gaps)


def misses(drive: Drive) -> float | None:
    """By how much, in mm, the belt in hand is too short (−) or too long (+); 0 when it fits.

    None when no belt is known.
    """
    length = drive.layout.belt.length
    if length is None:
        return None
    shortest, longest = takes(drive)
    return min(length - shortest, 0.0) + max(length - longest, 0.0)


def takes(drive: Drive) -> tuple[float, float]:
    """The shortest and the longest belt that fit a drive, mm.

    With a tensioner, those that its travel can take. Without one, those within the tolerance of the
    belt in hand, or within the stretch of an elastic belt.
    """
    if drive.stand is not None:
        return drive.stand.shortest, drive.stand.longest
    belt, need = drive.layout.belt, drive.path.length
    if belt.elastic:
        least, most = limits()["length.elastic_least"], limits()["length.elastic_most"]
        return need / (1.0 + most.value / 100.0), need / (1.0 + least.value / 100.0)
    tolerance = belt.tolerance or 0.0
    return need - tolerance, need + tolerance


def tightens(stand: Stand) -> bool | None:
    """Whether the tensioner's spring, which pushes to the free stop, tightens the belt.

    None for a swing, which is bolted and has no spring.
    """
    return None if stand.tensioner.kind == "swing" else stand.at_free > stand.at_load


def may_take(layout: Layout, found: FoundRoute, margin: float = 0.0) -> bool:
    """Whether the belt in hand may fit a route, by its lengths at the places that were tried.

    The belt may miss by its tolerance, its stretch and `margin` (mm). Between two places a length
    changes by at most twice what the tensioner's pulley moves, for |∂L/∂c| = |u_in − u_out| ≤ 2.
    True when no belt is known.
    """
    belt = layout.belt
    if belt.length is None:
        return True
    step = max((distance(a.centre, b.centre) for a, b in pairwise(found.places)), default=0.0)
    stretch = limits()["length.elastic_most"].value / 100.0 * belt.length if belt.elastic else 0.0
    reach = margin + (belt.tolerance or 0.0) + stretch + 2.0 * step
    return found.misses(belt.length) <= reach


def _start(layout: Layout, tensioner: Tensioner, found: FoundRoute) -> TensionerPlace | None:
    """The place from which to solve a route; None when the measured place serves."""
    measured = travel_of(layout, tensioner).measured_position()
    length = layout.belt.length

    def off(opening: Opening) -> float:
        if length is not None:
            return abs(opening.length - length)
        return abs(opening.place.position - measured)

    best = min(found.openings, key=off)
    low, high = sorted((measured, best.place.position))
    tried = {p.position for p in found.places if low <= p.position <= high}
    return None if tried <= {o.place.position for o in found.openings} else best.place


def _solve_from(routed: Layout, t: Tensioner, found: FoundRoute, place: TensionerPlace) -> Drive:
    """Solve as if the tensioner had been measured at `place`; give positions as the layout does."""
    moved = _with_sides(routed, found.side_of)
    moved[t.pulley] = replace(moved[t.pulley], at=place.centre)
    # An arm's positions are angles and stay; a slide's are counted from where it was measured.
    shift = 0.0 if t.along is None else place.position
    drive = solve(stand_in(routed, pulleys=moved, tensioner=_shifted(t, -shift)))
    stand = drive.stand
    return replace(
        drive, layout=routed, stand=None if stand is None else _restored(stand, t, shift)
    )


def _shifted(t: Tensioner, by: float) -> Tensioner:
    return replace(
        t,
        free=t.free + by,
        load=t.load + by,
        window=None if t.window is None else (t.window[0] + by, t.window[1] + by),
        spring=None if t.spring is None else replace(t.spring, at=t.spring.at + by),
    )


def _restored(stand: Stand, t: Tensioner, shift: float) -> Stand:
    return replace(
        stand,
        tensioner=t,
        position=stand.position + shift,
        usable=(stand.usable[0] + shift, stand.usable[1] + shift),
        turns=tuple((at + shift, length) for at, length in stand.turns),
    )


def _with_sides(layout: Layout, sides: Mapping[str, Side]) -> dict[str, Pulley]:
    return {
        name: replace(pulley, side=sides[name]) if name in sides else pulley
        for name, pulley in layout.pulleys.items()
    }
