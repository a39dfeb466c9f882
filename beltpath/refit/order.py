"""First off, last on: where the belt is slipped off and on, and in which order.

With the lever held fully over, the belt has slack: its length less the shortest path. To leave a
pulley it must be lifted over the rim, so that its rib tips (or its back) clear the outermost
diameter; the path round a rim that much larger is longer, and the difference is the slack that the
rim needs. Lifting the whole wrap at once is the safe side of what a hand does, which is to peel
the belt off at one edge.
"""

from __future__ import annotations

from dataclasses import dataclass

from beltpath.errors import PathError
from beltpath.layout.layout import Pulley, Reach, outside_diameter
from beltpath.refit.steps import Step, steps
from beltpath.solve.drive import Drive
from beltpath.solve.path import BeltPath, ring
from beltpath.solve.reliance import stops_known
from beltpath.solve.tensioner import Stand, Travel

MM_PER_INCH = 25.4
#: How much sooner a rim is chosen for being easy to reach; unspecified lies between.
_REACH: dict[Reach | None, int] = {"easy": 0, None: 1, "hard": 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class RimNeed:
    """What one rim asks of the belt: slack needed to lift it over, and slack left then, mm."""

    pulley: str
    needs: float
    spare: float
    reach: Reach | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Refit:
    """How the belt comes off and goes on.

    `slack` is what the lever gives, mm, and `rims` what each rim needs, the best to use first;
    both are empty (None, ()) where the layout describes no way to slacken, or its stops are in
    doubt. `order` is the order of
    putting on, `last_on` its last pulley and the first to slip off. `shortest_by_rule` is the
    shortest nominal belt that SAE J1596's rule allows, mm; None where that rule says nothing.
    """

    slack: float | None
    rims: tuple[RimNeed, ...]
    order: tuple[str, ...]
    last_on: str
    shortest_by_rule: float | None
    off: tuple[Step, ...]
    on: tuple[Step, ...]

    @property
    def can_be_fitted(self) -> bool | None:
        """Whether some rim needs no more slack than there is; None where that is not known."""
        return None if not self.rims else any(rim.spare >= 0.0 for rim in self.rims)

    @property
    def numbers(self) -> dict[str, int]:
        """Each pulley's number in the order of putting on."""
        return {name: i for i, name in enumerate(self.order, start=1)}


def refit(drive: Drive) -> Refit:
    """The way off and on for a solved drive."""
    stand = drive.stand if stops_known(drive) else None
    slackest = None if stand is None else _slackest(drive, stand)
    slack = None if slackest is None else _length(drive) - slackest.length
    rims = () if slackest is None or slack is None else _rims(drive, slackest, slack)
    last_on = rims[0].pulley if rims else _nearest_hand(drive)
    order = _order(drive.path, last_on)
    off, on = steps(drive, order)
    return Refit(
        slack=slack,
        rims=rims,
        order=order,
        last_on=last_on,
        shortest_by_rule=None if stand is None else shortest_by_rule(drive, stand, last_on),
        off=off,
        on=on,
    )


def shortest_by_rule(drive: Drive, stand: Stand, pulley: str) -> float | None:
    """The shortest nominal belt that can be got over a flange, mm, by SAE J1596 (cancelled 2019).

    In inches 1.003·L1 + L2 + 0.77 + 6.28·h: L1 the path with the tensioner at its shortest, L2
    twice the minus tolerance, h the flange's height. It holds for K section belts and pulleys
    inside the belt (a summary of it was read, not the page); None for any other.
    """
    contact = drive.path.contacts[drive.path.index(pulley)]
    if drive.layout.belt.section.name != "PK" or contact.sign != drive.path.loop:
        return None
    tolerance = drive.layout.belt.tolerance or 0.0
    flange = flange_height(drive, drive.layout.pulleys[pulley])
    return 1.003 * stand.shortest + 2.0 * tolerance + 0.77 * MM_PER_INCH + 6.28 * flange


def flange_height(drive: Drive, pulley: Pulley) -> float:
    """How far the rim stands out over the running face or the groove tips, mm."""
    outside = outside_diameter(pulley, drive.layout.belt.section)
    return max(0.0, drive.rim_radius(pulley) - outside / 2.0)


def _length(drive: Drive) -> float:
    """The belt's length at its shortest: as given less its tolerance, or as the drive was found."""
    belt = drive.layout.belt
    if belt.length is None:
        return drive.as_measured.length
    return belt.length - (belt.tolerance or 0.0)


def _slackest(drive: Drive, stand: Stand) -> BeltPath:
    travel = Travel(stand.tensioner, drive.as_measured, _measured_at(drive, stand))
    places = (*stand.usable, *(at for at, _ in stand.turns))
    return min((travel.path_at(at) for at in places), key=lambda path: path.length)


def _measured_at(drive: Drive, stand: Stand) -> tuple[float, float]:
    return drive.layout.pulleys[stand.tensioner.pulley].at


def _rims(drive: Drive, path: BeltPath, slack: float) -> tuple[RimNeed, ...]:
    rims = []
    for i, contact in enumerate(path.contacts):
        needs = _needs(drive, path, i)
        if needs is None:
            continue
        pulley = drive.layout.pulleys[contact.pulley]
        rims.append(
            RimNeed(pulley=pulley.name, needs=needs, spare=slack - needs, reach=pulley.reach)
        )
    # Hands are better kept off the pulley that moves when the lever slips.
    moving = None if drive.stand is None else drive.stand.tensioner.pulley
    return tuple(
        sorted(
            rims,
            key=lambda rim: (
                rim.spare < 0.0,
                _REACH[rim.reach],
                rim.pulley == moving,
                -rim.spare,
            ),
        )
    )


def easiest_rim(drive: Drive) -> RimNeed | None:
    """The rim over which the belt as it lies is lifted with the least slack; None if there is none.

    `spare` is what is then lacking: nothing slackens the belt here.
    """
    return min(_rims(drive, drive.path, 0.0), key=lambda rim: rim.needs, default=None)


def _needs(drive: Drive, path: BeltPath, i: int) -> float | None:
    """Slack for lifting the belt over rim `i`; None where the lifted belt has no path."""
    radius = lifted_radius(drive, path, i)
    discs = list(path.discs)
    discs[i] = discs[i]._replace(radius=max(radius, discs[i].radius))
    try:
        return ring(discs).length - path.length
    except PathError:
        return None


def lifted_radius(drive: Drive, path: BeltPath, i: int) -> float:
    """The radius of the effective line when the belt rides on the rim of contact `i`, mm."""
    belt = drive.layout.belt
    rim = drive.rim_radius(drive.layout.pulleys[path.contacts[i].pulley])
    if path.sides[i] == "ribs":
        return rim + belt.height - belt.back
    return rim + belt.back


def _nearest_hand(drive: Drive) -> str:
    """Without a way to slacken: the pulley that is easiest to reach, the crank last of all."""
    contacts = [drive.layout.pulleys[c.pulley] for c in drive.path.contacts]
    return min(contacts, key=lambda p: (p.role == "crank", _REACH[p.reach])).name


def _order(path: BeltPath, last_on: str) -> tuple[str, ...]:
    """Along the belt's travel from the pulley behind `last_on` round to it."""
    names = [contact.pulley for contact in path.contacts]
    at = names.index(last_on) + 1
    return tuple(names[at:] + names[:at])
