"""First off, last on: where the belt is slipped off and on, and the steps of doing it.

With the lever held fully over, the belt has slack: its length less the shortest path. To leave a
pulley it must be lifted over the rim, so that its rib tips (or its back) clear the outermost
diameter; the path round a rim that much larger is longer, and the difference is the slack that the
rim needs. Lifting the whole wrap at once is the safe side of what a hand does, which is to peel
the belt off at one edge.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from beltpath.cautions import AFTER, LET_BACK, RUN_IN, SPRUNG, STILL, Caution
from beltpath.drive import Drive
from beltpath.errors import PathError
from beltpath.layout import SIGN, Pulley, Reach, Sense, outside_diameter
from beltpath.path import BeltPath, ring
from beltpath.tensioner import Stand, Travel

MM_PER_INCH = 25.4
#: How much sooner a rim is chosen for being easy to reach; unspecified lies between.
_REACH: dict[Reach | None, int] = {"easy": 0, None: 1, "hard": 2}

_WAY = "{} (from the front; see the arrow)"

Kind = Literal["ready", "check", "slacken", "off", "rest", "thread", "on", "settle", "after", "run"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RimNeed:
    """What one rim asks of the belt: slack needed to lift it over, and slack left then, mm."""

    pulley: str
    needs: float
    spare: float
    reach: Reach | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of taking off or putting on; its cautions are read before it."""

    number: int
    kind: Kind
    text: str
    before: tuple[Caution, ...] = ()
    pulley: str | None = None

    def seen(self, sense: Callable[[Sense], Sense], *, mirrored: bool) -> str:
        """The text for a picture in which senses look like `sense` says."""
        if not mirrored:
            return self.text
        for word in SIGN:
            here = f"{sense(word)} in this picture (see the arrow)"
            if _WAY.format(word) in self.text:
                return self.text.replace(_WAY.format(word), here)
        return self.text


@dataclass(frozen=True, slots=True, kw_only=True)
class Refit:
    """How the belt comes off and goes on.

    `slack` is what the lever gives, mm, and `rims` what each rim needs, the best to use first;
    both are empty (None, ()) where the layout describes no way to slacken. `order` is the order of
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
    stand = drive.stand
    slackest = None if stand is None else _slackest(drive, stand)
    slack = None if slackest is None else _length(drive) - slackest.length
    rims = () if slackest is None or slack is None else _rims(drive, slackest, slack)
    last_on = rims[0].pulley if rims else _nearest_hand(drive)
    order = _order(drive.path, last_on)
    return Refit(
        slack=slack,
        rims=rims,
        order=order,
        last_on=last_on,
        shortest_by_rule=None if stand is None else shortest_by_rule(drive, stand, last_on),
        off=tuple(_numbered(_off(drive, last_on))),
        on=tuple(_numbered(_on(drive, order))),
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
    shortest = min(stand.usable, key=lambda end: travel.path_at(end).length)
    return travel.path_at(shortest)


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


_Draft = tuple[Kind, str, tuple[Caution, ...], str | None]


def _numbered(drafts: Iterator[_Draft]) -> Iterator[Step]:
    for number, (kind, text, before, pulley) in enumerate(drafts, start=1):
        yield Step(number=number, kind=kind, text=text, before=before, pulley=pulley)


def _off(drive: Drive, first_off: str) -> Iterator[_Draft]:
    title = drive.layout.pulleys[first_off].title
    yield (
        "ready",
        "Compare the belt with the drawing first. Where they differ, write down how it runs now.",
        (STILL,),
        None,
    )
    yield from _slacken(drive)
    yield "off", f"Slip the belt off {title} first.", (RUN_IN,), first_off
    yield from _let_go(drive)
    yield (
        "rest",
        "Take the belt off the other pulleys. Spin each: it must run free, true, quiet.",
        (),
        None,
    )


def _on(drive: Drive, order: tuple[str, ...]) -> Iterator[_Draft]:
    belt = drive.layout.belt
    last = drive.layout.pulleys[order[-1]].title
    names = ", ".join(drive.layout.pulleys[name].title for name in order[:-1])
    what = f"{belt.ribs} {belt.section.name}" if belt.section.ribbed else belt.section.name
    size = "" if belt.length is None else f", effective length {belt.length:.0f} mm"
    yield "check", f"Belt to fit: {what}{size}. Grooves clean, no rib worn away.", (), None
    yield (
        "thread",
        f"Lay it on in this order, sides as drawn: {names}. Every rib in its groove.",
        (),
        None,
    )
    yield from _slacken(drive)
    yield "on", f"Slip the belt over {last} last.", (RUN_IN,), order[-1]
    yield from _let_back(drive)
    yield "after", "Turn the engine by hand, twice round; look at every rib.", (), None
    text = "Battery's negative lead on last. Start, run a minute, stop, key out; look again."
    yield "run", text, (AFTER,), None


def _slacken(drive: Drive) -> Iterator[_Draft]:
    stand = drive.stand
    if stand is None:
        yield "slacken", _without_tensioner(drive), (), None
        return
    t = stand.tensioner
    title = drive.layout.pulleys[t.pulley].title
    if t.kind == "swing":
        way = _way(stand)
        text = f"Loosen the pivot bolt and the slot bolt of {title}; swing it {way} to slacken."
        yield "slacken", text, (), t.pulley
        return
    tool = f" with {t.lever}" if t.lever else ""
    text = f"Turn the lever of the tensioner{tool} {_way(stand)} and hold it there."
    if t.kind == "slide":
        text = f"Push the tensioner{tool} {_way(stand)} and hold it there."
    yield "slacken", text, (SPRUNG,), t.pulley


def _way(stand: Stand) -> str:
    """The way that slackens, as seen from the front; the card's arrow shows it in its view."""
    if isinstance(stand.release, str):
        return _WAY.format(stand.release)
    return "the way the arrow shows"


def _let_go(drive: Drive) -> Iterator[_Draft]:
    """After the belt has been slipped off: the tensioner goes to its free stop."""
    stand = drive.stand
    if stand is not None and stand.tensioner.kind != "swing":
        text = "Let the tensioner back slowly, to its free stop."
        yield "settle", text, (LET_BACK,), stand.tensioner.pulley


def _let_back(drive: Drive) -> Iterator[_Draft]:
    """With the belt on: the tensioner takes it up."""
    stand = drive.stand
    if stand is None:
        return
    t = stand.tensioner
    if t.kind == "swing":
        yield (
            "settle",
            "Swing it back until the belt is as tight as its maker says, and tighten the bolts.",
            (),
            t.pulley,
        )
        return
    unit = " mm" if t.kind == "slide" else "°"
    where = f" With the belt on it should stand at {round(stand.position)}{unit}"
    text = f"Let the tensioner back slowly.{where}{_window(stand, unit)}."
    yield "settle", text.replace("-", "−"), (LET_BACK,), t.pulley


def _window(stand: Stand, unit: str) -> str:
    window = stand.tensioner.window
    if window is None:
        return ""
    return f", inside {window[0]:.0f} to {window[1]:.0f}{unit}"


def _without_tensioner(drive: Drive) -> str:
    if drive.layout.belt.elastic:
        return (
            "A stretch-fit belt goes on and off only with its maker's tool, or is cut off and not "
            "used again. Do not lever it over a rim."
        )
    return (
        "This layout describes no tensioner: slacken the drive in the way that its maker says "
        "before the belt is moved."
    )
