"""First off, last on: where the belt is slipped off and on, and in which order.

With the lever held fully over, the belt has slack: its length less the shortest path. To leave a
pulley it must be lifted over the rim, so that its rib tips (or its back) clear the outermost
diameter; the path round a rim that much larger is longer, and the difference is the slack that the
rim needs. Lifting the whole wrap at once is the safe side of what a hand does, which is to peel
the belt off at one edge. A rim without flanges asks for no lift; but the belt must lie beside it
by its own width before it slides on, and its two spans then run aslant. A rim needs at least that.

One rim is not the whole way. With the belt off a back-side idler, or off a pulley that it hardly
wraps, the other rims may hold it as fast as before. So the way off is followed on: pulleys leave
one after another, each passed with the path of those still on, until what is left is so short that
any rim can be passed with the length had. The longest path on that way is what its first rim needs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, inf

from beltpath.errors import PathError
from beltpath.geometry import TAU
from beltpath.layout.keys import Reach
from beltpath.layout.records import Pulley, outside_diameter
from beltpath.refit.steps import Step, steps
from beltpath.solve.drive import Drive
from beltpath.solve.path import MISSED_WRAP, BeltPath, Disc, Ring, ring
from beltpath.solve.reliance import stops_known
from beltpath.solve.tensioner import Stand, Travel

MM_PER_INCH = 25.4
#: How much sooner a rim is chosen for being easy to reach; unspecified lies between.
_REACH: dict[Reach | None, int] = {"easy": 0, None: 1, "hard": 2}
#: On a long route only so many rims, those that need least, are followed at each step: for speed.
MOST_TRIED = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class RimNeed:
    """What it takes to put the belt on over one rim last: slack needed, and left then, mm.

    `before` are the rims that must be passed just before it, the lever still held over, in the
    order of taking off: without it on, the belt is not yet loose enough to be laid round them.
    """

    pulley: str
    needs: float
    spare: float
    reach: Reach | None
    before: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Refit:
    """How the belt comes off and goes on.

    `slack` is what the lever gives, mm, and `rims` what each rim needs, the best to use first;
    both are empty (None, ()) where the layout describes no way to slacken, or its stops are in
    doubt. `order` is the order of
    putting on, `last_on` its last pulley and the first to slip off. `slipped` are the pulleys that
    the belt is slipped over with the lever held, in the order of putting on: `last_on`, and before
    it those that its rim names. `shortest_by_rule` is the shortest nominal belt that SAE J1596's
    rule allows, mm; None where that rule says nothing.
    """

    slack: float | None
    rims: tuple[RimNeed, ...]
    order: tuple[str, ...]
    last_on: str
    slipped: tuple[str, ...]
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
    last = rims[0] if rims else _nearest_hand(drive)
    slipped = (*last.before[::-1], last.pulley)
    order = _order(drive.path, slipped)
    off, on = steps(drive, order, len(slipped))
    return Refit(
        slack=slack,
        rims=rims,
        order=order,
        last_on=last.pulley,
        slipped=slipped,
        shortest_by_rule=None if stand is None else _rule(drive, stand, slipped, rims),
        off=off,
        on=on,
    )


def _rule(
    drive: Drive, stand: Stand, slipped: tuple[str, ...], rims: tuple[RimNeed, ...]
) -> float | None:
    """The rule's length over what is slipped on last, or over the inside rim that needs least.

    Going on over an idler, of which the rule says nothing, is no way round it.
    """
    by_need = [rim.pulley for rim in sorted(rims, key=lambda rim: rim.needs)]
    lengths = (shortest_by_rule(drive, stand, pulley) for pulley in (*slipped, *by_need))
    return next((length for length in lengths if length is not None), None)


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
    lifts = _Lifts(drive, path)
    ways = [lifts.way_off(name) for name in lifts.first_tried()]
    rims = [
        RimNeed(
            pulley=names[0],
            needs=longest - path.length,
            spare=slack - (longest - path.length),
            reach=drive.layout.pulleys[names[0]].reach,
            before=names[1:],
        )
        for longest, names in ways
        if longest < inf
    ]
    # Hands are better kept off the pulley that moves when the lever slips.
    moving = None if drive.stand is None else drive.stand.tensioner.pulley
    return tuple(
        sorted(
            rims,
            key=lambda rim: (
                rim.spare < 0.0,
                len(rim.before),
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


class _Lifts:
    """How long the belt must be to pass rim after rim, from a path on."""

    def __init__(self, drive: Drive, path: BeltPath) -> None:
        self.discs = path.discs
        self.lifted = {
            disc.name: max(lifted_radius(drive, path, i), disc.radius)
            for i, disc in enumerate(path.discs)
        }
        self.aside = drive.layout.belt.width

    def first_tried(self) -> list[str]:
        """The rims to begin with, those that take least first."""
        names = [disc.name for disc in self.discs]
        return sorted(names, key=lambda name: self.over(self.discs, name))[: 2 * MOST_TRIED]

    def over(self, discs: Sequence[Disc], name: str) -> float:
        """How long the belt is while it passes a rim; infinite where it then has no path.

        Either its whole wrap is lifted, or it lies beside the rim by its width, whichever is more.
        """
        i = [disc.name for disc in discs].index(name)
        lifted = list(discs)
        lifted[i] = discs[i]._replace(radius=self.lifted[name])
        try:
            plain, high = ring(discs), ring(lifted).length
        except PathError:
            return inf
        runs = (plain.spans[i - 1].length, plain.spans[i].length)
        return max(high, plain.length + sum(hypot(run, self.aside) - run for run in runs))

    def free(self, discs: Sequence[Disc], length: float) -> bool:
        """Whether a belt of that length surely passes any rim of these.

        No rim adds more to the path: dL/dr is the wrap, which is no whole turn; and no two spans
        get longer by more than twice the belt's width where it lies beside the rim.
        """
        if len(discs) < 2:
            return True
        lift = max(self.lifted[disc.name] - disc.radius for disc in discs)
        return _length_of(discs) + max(TAU * lift, 2.0 * self.aside) <= length

    def way_off(self, first: str) -> tuple[float, tuple[str, ...]]:
        """How long a belt comes off over a rim first, and the rims passed until it is free.

        After the first, of those that ask for least the one that frees most is taken.
        """
        longest, names = self.over(self.discs, first), [first]
        discs = without(self.discs, first)
        while longest < inf and not self.free(discs, longest):
            tried = sorted((max(longest, self.over(discs, d.name)), d.name) for d in discs)
            left = [(need, without(discs, name), name) for need, name in tried[:MOST_TRIED]]
            longest, discs, name = min(left, key=lambda one: (one[0], _length_of(one[1]), one[2]))
            names.append(name)
        return longest, tuple(names)


def without(discs: Sequence[Disc], name: str) -> tuple[Disc, ...]:
    """The discs that the belt still touches when it is off one of them."""
    left = tuple(disc for disc in discs if disc.name != name)
    while len(left) > 1:
        laid = _laid(left)
        missed = (
            set() if laid is None else {c.pulley for c in laid.contacts if c.wrap > MISSED_WRAP}
        )
        if not missed:
            break
        left = tuple(disc for disc in left if disc.name not in missed)
    return left


def _length_of(discs: Sequence[Disc]) -> float:
    """The path round discs; infinite where there is none, and nothing round a single one."""
    if len(discs) < 2:
        return 0.0
    laid = _laid(discs)
    return inf if laid is None else laid.length


def _laid(discs: Sequence[Disc]) -> Ring | None:
    try:
        return ring(discs)
    except PathError:
        return None


def lifted_radius(drive: Drive, path: BeltPath, i: int) -> float:
    """The radius of the effective line when the belt rides on the rim of contact `i`, mm."""
    belt = drive.layout.belt
    rim = drive.rim_radius(drive.layout.pulleys[path.contacts[i].pulley])
    if path.sides[i] == "ribs":
        return rim + belt.height - belt.back
    return rim + belt.back


def _nearest_hand(drive: Drive) -> RimNeed:
    """Without a way to slacken: the pulley that is easiest to reach, the crank last of all.

    Only a pulley inside the belt will do: with the belt off it, the others lie loose. A stretch
    belt is walked on by ribs in grooves. What it needs is not told: nothing is known of it.
    """
    path, elastic = drive.path, drive.layout.belt.elastic
    judged = {} if elastic else {rim.pulley: rim.before for rim in _rims(drive, path, 0.0)}

    def key(i: int) -> tuple[bool, bool, int, bool, int]:
        contact = path.contacts[i]
        pulley = drive.layout.pulleys[contact.pulley]
        return (
            contact.sign != path.loop,
            elastic and (pulley.face != "grooved" or path.sides[i] != "ribs"),
            len(judged.get(pulley.name, ())),
            pulley.role == "crank",
            _REACH[pulley.reach],
        )

    name = path.contacts[min(range(len(path.contacts)), key=key)].pulley
    return RimNeed(
        pulley=name,
        needs=inf,
        spare=-inf,
        reach=drive.layout.pulleys[name].reach,
        before=judged.get(name, ()),
    )


def _order(path: BeltPath, slipped: tuple[str, ...]) -> tuple[str, ...]:
    """Along the belt's travel from the pulley behind the first of `slipped`; those come last."""
    names = [contact.pulley for contact in path.contacts]
    at = names.index(slipped[0]) + 1
    return (*(name for name in names[at:] + names[:at] if name not in slipped), *slipped)
