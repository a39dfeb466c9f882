"""How the belt comes off and goes on, step by step, as data that words, card and pictures share.

What a step says follows from four facts of the drive: what drives it, which section its belt has,
how the belt is tensioned, and whether it stretches. A step says what kind of action it is, which
pulleys it names, how the belt lies meanwhile, and where the tensioner then is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from math import ceil, hypot, pi, sqrt
from typing import Literal

from beltpath.layout.designation import named_whole
from beltpath.layout.keys import Driver, Sense
from beltpath.layout.records import SIGN, sense_of
from beltpath.refit.cautions import (
    AFTER,
    CUT,
    LET_BACK,
    RUN_IN,
    SPRUNG,
    SPRUNG_IN_DOUBT,
    STILL,
    UNBLOCKED,
    Caution,
)
from beltpath.solve.drive import Drive
from beltpath.solve.motion import ON_CENTRE
from beltpath.solve.reliance import AT_STOP, doubt, place_sure, told_of, way_to_slacken
from beltpath.solve.tensioner import Stand
from beltpath.solve.uncertainty import COVERAGE, length_uncertainty
from beltpath.words import whole

Half = Literal["Off", "On"]
Tensioning = Literal["arm", "slide", "swing", "fixed", "elastic"]
Kind = Literal[
    "compare",
    "slacken",
    "cut",
    "off",
    "settle",
    "rest",
    "spin",
    "check",
    "thread",
    "on",
    "walk",
    "tighten",
    "turn",
    "run",
]
#: Round every pulley; off the last one (round the others, loose); on no pulley.
BeltState = Literal["on", "loose", "none"]
#: Where the tensioner is: as the belt in hand puts it, held over, or at its free stop.
Place = Literal["stands", "slack", "free"]

#: The sprung kinds: between lever over and lever back nobody has a hand free.
SPRUNG_KINDS: frozenset[Tensioning] = frozenset({"arm", "slide"})

#: What the ends of a bolted swing are called on the card, free end first: it has no lever.
SWING_ENDS = ("tight", "slack")

#: A sense as the front shows it, and as another view does; what follows names the sign to look at.
_FRONT, _HERE = "{} (from the front; ", "{} in this picture ("


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of taking off or putting on; its cautions are read before it.

    `pulleys` are those that the text names, in its order. `belt` is how the belt lies while the
    step is done, `place` where the tensioner is at its end. `held` tells that a lever is held over
    then, so that nobody can turn a page.
    """

    half: Half
    number: int
    kind: Kind
    text: str
    before: tuple[Caution, ...] = ()
    pulleys: tuple[str, ...] = ()
    belt: BeltState = "on"
    place: Place = "stands"
    held: bool = False

    def seen(self, sense: Callable[[Sense], Sense], *, mirrored: bool) -> str:
        """The text for a picture in which senses look like `sense` says."""
        if not mirrored:
            return self.text
        for word in SIGN:
            if _FRONT.format(word) in self.text:
                return self.text.replace(_FRONT.format(word), _HERE.format(sense(word)))
        return self.text


_Draft = tuple[Kind, str, tuple[Caution, ...], tuple[str, ...]]


def steps(
    drive: Drive, order: tuple[str, ...], slipped: int = 1
) -> tuple[tuple[Step, ...], tuple[Step, ...]]:
    """The steps of taking off and of putting on.

    `order` is the order of putting on. Its last pulleys, `slipped` in number, are those that the
    belt is slipped over while it is kept slack.
    """
    off = _laid("Off", list(_off(drive, order, slipped)), tensioning(drive))
    on = _laid("On", list(_on(drive, order, slipped)), tensioning(drive))
    return tuple(off), tuple(on)


def tensioning(drive: Drive) -> Tensioning:
    """How the drive keeps its belt tight."""
    if drive.layout.belt.elastic:
        return "elastic"
    return "fixed" if drive.stand is None else drive.stand.tensioner.kind


def held_runs(steps_: tuple[Step, ...]) -> Iterator[tuple[Step, ...]]:
    """The steps in runs that must stand on one face: from lever over to lever back is one run."""
    run: list[Step] = []
    for step in steps_:
        run.append(step)
        if not step.held:
            yield tuple(run)
            run = []


# --- how things lie during each step -------------------------------------------------------------

#: Where it is not round every pulley.
_BELT: Mapping[tuple[Half, Kind], BeltState] = {
    ("Off", "settle"): "loose",
    ("Off", "rest"): "loose",
    ("Off", "spin"): "none",
    ("On", "check"): "none",
    ("On", "thread"): "loose",
    ("On", "slacken"): "loose",
}


def _belt(half: Half, kind: Kind, how: Tensioning) -> BeltState:
    if (half, kind, how) == ("On", "on", "elastic"):
        return "loose"  # it is only started on the last rim, and walks on in the next step
    return _BELT.get((half, kind), "on")


def _laid(half: Half, drafts: list[_Draft], how: Tensioning) -> Iterator[Step]:
    place: Place = "stands" if half == "Off" else _RESTS[how]
    held = False
    for number, (kind, text, before, pulleys) in enumerate(drafts, start=1):
        if kind == "slacken" and how != "fixed":
            place, held = "slack", how in SPRUNG_KINDS
        elif kind in ("settle", "tighten"):
            place, held = ("free" if half == "Off" else "stands"), False
        yield Step(
            half=half,
            number=number,
            kind=kind,
            text=text,
            before=before,
            pulleys=pulleys,
            belt=_belt(half, kind, how),
            place=place,
            held=held,
        )


#: Where the tensioner is while no belt is on: a bolted one stays where it was swung to.
_RESTS: Mapping[Tensioning, Place] = {
    "arm": "free",
    "slide": "free",
    "swing": "slack",
    "fixed": "stands",
    "elastic": "stands",
}


# --- off -----------------------------------------------------------------------------------------


def _off(drive: Drive, order: tuple[str, ...], slipped: int) -> Iterator[_Draft]:
    how = tensioning(drive)
    first, *then = order[-slipped:][::-1]
    marked = "" if how == "elastic" else " Mark its direction of travel on it if it goes on again."
    text = (
        f"Compare the belt with the drawing. Where they differ, write down how it runs now.{marked}"
    )
    yield "compare", text, (STILL[drive.layout.driver],), ()
    if how == "elastic":
        text = "Have the new belt at hand. Cut the old one through; it does not go on again."
        yield "cut", text, (CUT,), ()
    else:
        yield from _slacken(drive, order)
        more = "".join(f", then off {_called(drive, order, name)}" for name in then)
        text = f"Slip the belt off {_called(drive, order, first)} first{more}."
        yield "off", text, (RUN_IN,), (first, *then)
        if how in SPRUNG_KINDS:
            text = f"Let {_tensioner(drive, order)} back slowly, to its free stop."
            yield "settle", text, (LET_BACK,), _carried(drive)
        yield "rest", f"Take the belt off {_others(drive)}.", (), ()
    yield "spin", _spin(drive, order), (), (drive.layout.crank.name,)


def _slacken(drive: Drive, order: tuple[str, ...]) -> Iterator[_Draft]:
    stand = drive.stand
    if stand is None:
        text = (
            "Mark where the adjustable pulley stands. Loosen its bolts and move it until the belt "
            "is slack. If none can be moved, stop and ask the maker: do not lever the belt."
        )
        yield "slacken", text, (), ()
        return
    t = stand.tensioner
    if t.kind == "swing":
        text = (
            f"Loosen the pivot bolt and the slot bolt of {_called(drive, order, t.pulley)}. Swing "
            f"it {_swung(drive, stand, 1)} until the belt is slack.{_tool(stand)}"
        )
        yield "slacken", text, (), (t.pulley,)
        return
    verb = "Push" if t.kind == "slide" else "Turn"
    tool = _tool(stand)
    release = way_to_slacken(drive)
    if release is None:
        text = (
            f"Find out which way slackens {_tensioner(drive, order)}: its layout leaves that in "
            f"doubt. Then move it that way and hold it there.{tool}"
        )
        yield "slacken", text, (SPRUNG_IN_DOUBT,), (t.pulley,)
        return
    text = f"{verb} {_tensioner(drive, order)} {_way(release)} and hold it there.{tool}"
    yield "slacken", text, (SPRUNG,), (t.pulley,)


def _tool(stand: Stand) -> str:
    tool = stand.tensioner.lever
    return f" Tool: {tool}." if tool else ""


def _others(drive: Drive) -> str:
    return "the other pulley" if len(drive.path.contacts) == 2 else "the other pulleys"


def _spin(drive: Drive, order: tuple[str, ...]) -> str:
    crank = _called(drive, order, drive.layout.crank.name)
    if len(order) == 2:
        spun = "Spin the other pulley by hand: it must run free, true and quiet."
    else:
        spun = "Spin every other pulley by hand: each must run free, true and quiet."
    if drive.layout.driver == "other":
        return f"Leave {crank} blocked and feel it for play. {spun}"
    return f"Turn {crank} by hand, the way it runs: it must run true. {spun}"


# --- on ------------------------------------------------------------------------------------------


def _on(drive: Drive, order: tuple[str, ...], slipped: int) -> Iterator[_Draft]:
    how = tensioning(drive)
    *before, last = order[-slipped:]
    belt = named_whole(drive.layout.belt, drive.path.length if drive.path.proper else None)
    yield "check", f"Belt to fit: {belt}. {_looked_at(drive)}", (), ()
    yield "thread", _thread(drive, order, order[:-slipped]), (), order[:-slipped]
    if how in SPRUNG_KINDS:
        yield from _slacken(drive, order)
    if how == "elastic":
        yield from _walk_on(drive, order)
    else:
        forced = " Do not lever it." if how == "fixed" else ""
        over = "".join(f"{_called(drive, order, name)}, then over " for name in before)
        text = f"Slip the belt over {over}{_called(drive, order, last)} last.{forced}"
        yield "on", text, (RUN_IN,), (*before, last)
        yield from _tighten(drive, order)
    yield "turn", _turn(drive, order), _freed(drive), (drive.layout.crank.name,)
    yield "run", _run(drive), (AFTER,), ()


def _looked_at(drive: Drive) -> str:
    if drive.layout.belt.section.ribbed:
        return "Look at belt and grooves: no dirt, no rust, no rib worn away."
    return "Look at belt and grooves: no dirt, no rust, no worn flank."


def _thread(drive: Drive, order: tuple[str, ...], laid: tuple[str, ...]) -> str:
    if len(laid) == 1:
        return f"Lay it round {_called(drive, order, order[0])} first. {_seated(drive)}"
    names = ", ".join(
        f"{i} {drive.layout.pulleys[name].title}" for i, name in enumerate(laid, start=1)
    )
    return f"Lay it on in this order, sides as drawn: {names}. {_seated(drive)}"


def _seated(drive: Drive) -> str:
    belt = drive.layout.belt
    if belt.double_sided:
        return "Every rib in its groove, on both sides."
    return "Every rib in its groove." if belt.section.ribbed else "Narrow side into the groove."


def _walk_on(drive: Drive, order: tuple[str, ...]) -> Iterator[_Draft]:
    """The centres are fixed and the belt is shorter than its path: it is walked on."""
    crank, last = drive.layout.crank.name, order[-1]
    text = (
        f"The centres are fixed. Start the belt on the rim of {_called(drive, order, last)} with "
        f"its maker's fitting tool. Do not lever it."
    )
    yield "on", text, (), (last,)
    text = (
        f"Turn {_called(drive, order, crank)} by hand, the way it runs. Stop when the belt has "
        f"walked on to {_called(drive, order, last)}."
    )
    yield "walk", text, (RUN_IN, *_freed(drive)), (crank, last)


def _tighten(drive: Drive, order: tuple[str, ...]) -> Iterator[_Draft]:
    stand = drive.stand
    if stand is None:
        text = (
            "Move the adjustable pulley back until the belt is as tight as its maker says. Keep "
            "the pulleys in line. Tighten its bolts."
        )
        yield "tighten", text, (), ()
        return
    t = stand.tensioner
    if t.kind == "swing":
        text = (
            f"Swing {_called(drive, order, t.pulley)} {_swung(drive, stand, -1)} until the belt is "
            f"as tight as its maker says. Tighten both bolts.{_tool(stand)}"
        )
        yield "tighten", text, (), (t.pulley,)
        return
    text = f"Let {_tensioner(drive, order)} back slowly. {_place_then(drive, stand)}"
    yield "settle", text, (LET_BACK,), (t.pulley,)


def _freed(drive: Drive) -> tuple[Caution, ...]:
    return (UNBLOCKED,) if drive.layout.driver == "other" else ()


def _turn(drive: Drive, order: tuple[str, ...]) -> str:
    """Turns of the crank in which the whole belt goes round once."""
    crank = drive.layout.crank.name
    radius = drive.path.contacts[drive.path.index(crank)].radius
    turns = ceil(drive.path.length / (2.0 * pi * radius))
    look = "the ribs" if drive.layout.belt.section.ribbed else "the belt"
    return (
        f"Turn {_called(drive, order, crank)} by hand, the way it runs, {turns} times: the belt "
        f"goes once round. Look at {look} in every groove."
    )


_RUN: Mapping[Driver, str] = {
    "engine": "Put the battery's negative lead on last. Start, run a minute, stop, key out. Look "
    "again.",
    "motor": "Take your lock off last. Start, run a minute, stop. Isolate and lock again, then "
    "look again.",
    "other": "Take your lock off last. Let it run a minute. Stop, block and lock it again, then "
    "look again.",
}


def _run(drive: Drive) -> str:
    bolted = tensioning(drive) in ("swing", "fixed")
    return f"{_RUN[drive.layout.driver]}{' Check the tension too.' if bolted else ''}"


# --- words that several steps have ---------------------------------------------------------------


def _called(drive: Drive, order: tuple[str, ...], name: str) -> str:
    """A pulley with its number on the drawing; a label that has a capital stands as it is."""
    title = drive.layout.pulleys[name].title
    article = "the " if title[0].islower() else ""
    return f"{article}{title} ({order.index(name) + 1})"


def _tensioner(drive: Drive, order: tuple[str, ...]) -> str:
    return f"the tensioner ({', '.join(str(order.index(name) + 1) for name in _carried(drive))})"


# --- words that several steps have ---------------------------------------------------------------


def _carried(drive: Drive) -> tuple[str, ...]:
    return () if drive.stand is None else (drive.stand.tensioner.pulley,)


def _way(release: Sense | float) -> str:
    """The way that slackens, as seen from the front; the arrow shows it in its own view."""
    if isinstance(release, str):
        return f"{_FRONT.format(release)}see the arrow)"
    return "the way the arrow shows"


def _swung(drive: Drive, stand: Stand, sign: int) -> str:
    """The way that a bolted accessory is swung: +1 to slacken, -1 to tighten.

    The drawing marks both ends of its travel with these words.
    """
    if way_to_slacken(drive) is None:
        return "the way that slackens it" if sign > 0 else "the other way"
    slackens = SIGN[stand.release] if isinstance(stand.release, str) else 1
    way = sign * slackens
    t = stand.tensioner
    end = SWING_ENDS[1 if (t.load - t.free) * way > 0 else 0]
    return f'{_FRONT.format(sense_of(way))}towards "{end}")'


def _place_then(drive: Drive, stand: Stand) -> str:
    """Where a sprung tensioner comes to rest, as the eye sees it, with its ± at 95 %."""
    told = told_of(stand, doubt(drive))
    if told.take_up is None or told.travel_used is None:
        return "Where it should stand with the belt on is in doubt."
    sure = used_sure(drive, stand)
    plus = "" if sure is None else f" ± {ceil(100.0 * sure)}"
    return (
        f"With the belt on it should stand at {whole(100.0 * told.travel_used)}{plus} % from free "
        f"to load{in_window(stand)}."
    )


def used_sure(drive: Drive, stand: Stand) -> float | None:
    """± at 95 % of the part of the travel that is used: of the measuring and the belt's tolerance.

    As measured that of its own place; None on centre, where it cannot be told.
    """
    t = stand.tensioner
    if stand.reached == "measured":
        return place_sure(drive, stand) / abs(t.load - t.free)
    if abs(stand.rate) < ON_CENTRE:
        return None
    sigma = length_uncertainty(drive.layout, drive.path).sigma
    off = COVERAGE * hypot(sigma, (drive.layout.belt.tolerance or 0.0) / sqrt(3.0))
    return off / abs(stand.rate * (t.load - t.free))


def in_window(stand: Stand) -> str:
    """Whether it stands in its window, as the end of a sentence's part."""
    window = stand.tensioner.window
    if window is None:
        return ""
    inside = window[0] - AT_STOP <= stand.position <= window[1] + AT_STOP
    return ", inside its window" if inside else ", outside its window"
