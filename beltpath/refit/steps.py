"""How the belt comes off and goes on, step by step, as data that words, card and pictures share.

What a step says follows from four facts of the drive: what drives it, which section its belt has,
how the belt is tensioned, and whether it stretches. A step says what kind of action it is, which
pulleys it names, how the belt lies meanwhile, and where the tensioner then is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from math import ceil, pi
from typing import Literal

from beltpath.data.designation import named_whole
from beltpath.layout.layout import SIGN, Driver, Sense, Tensioner, sense_of
from beltpath.refit.cautions import (
    AFTER,
    CUT,
    LET_BACK,
    RUN_IN,
    SPRUNG,
    STILL,
    UNBLOCKED,
    Caution,
)
from beltpath.solve.drive import Drive
from beltpath.solve.tensioner import Stand
from beltpath.words import unit, whole

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


def steps(drive: Drive, order: tuple[str, ...]) -> tuple[tuple[Step, ...], tuple[Step, ...]]:
    """The steps of taking off and of putting on; `order` is the order of putting on."""
    off = _laid("Off", list(_off(drive, order)), tensioning(drive))
    on = _laid("On", list(_on(drive, order)), tensioning(drive))
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
            belt=_BELT.get((half, kind), "on"),
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


def _off(drive: Drive, order: tuple[str, ...]) -> Iterator[_Draft]:
    how = tensioning(drive)
    first_off = order[-1]
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
        text = f"Slip the belt off {_called(drive, order, first_off)} first."
        yield "off", text, (RUN_IN,), (first_off,)
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
            f"it {_swung(stand, 1)} until the belt is slack."
        )
        yield "slacken", text, (), (t.pulley,)
        return
    verb = "Push" if t.kind == "slide" else "Turn"
    tool = f" Tool: {t.lever}." if t.lever else ""
    text = f"{verb} {_tensioner(drive, order)} {_way(stand.release)} and hold it there.{tool}"
    yield "slacken", text, (SPRUNG,), (t.pulley,)


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


def _on(drive: Drive, order: tuple[str, ...]) -> Iterator[_Draft]:
    how = tensioning(drive)
    last = order[-1]
    yield "check", f"Belt to fit: {named_whole(drive.layout.belt)}. {_looked_at(drive)}", (), ()
    yield "thread", _thread(drive, order), (), order[:-1]
    if how in SPRUNG_KINDS:
        yield from _slacken(drive, order)
    if how == "elastic":
        yield from _walk_on(drive, order)
    else:
        forced = " Do not lever it." if how == "fixed" else ""
        text = f"Slip the belt over {_called(drive, order, last)} last.{forced}"
        yield "on", text, (RUN_IN,), (last,)
        yield from _tighten(drive, order)
    yield "turn", _turn(drive, order), _freed(drive), (drive.layout.crank.name,)
    yield "run", _run(drive), (AFTER,), ()


def _looked_at(drive: Drive) -> str:
    if drive.layout.belt.section.ribbed:
        return "Look at belt and grooves: no dirt, no rust, no rib worn away."
    return "Look at belt and grooves: no dirt, no rust, no worn flank."


def _thread(drive: Drive, order: tuple[str, ...]) -> str:
    if len(order) == 2:
        return f"Lay it round {_called(drive, order, order[0])} first. {_seated(drive)}"
    names = ", ".join(
        f"{i} {drive.layout.pulleys[name].title}" for i, name in enumerate(order[:-1], start=1)
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
    yield "walk", text, (RUN_IN,), (crank, last)


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
            f"Swing {_called(drive, order, t.pulley)} {_swung(stand, -1)} until the belt is "
            f"as tight as its maker says. Tighten both bolts."
        )
        yield "tighten", text, (), (t.pulley,)
        return
    text = (
        f"Let {_tensioner(drive, order)} back slowly. With the belt on it should stand at "
        f"{whole(stand.position)}{unit(t)}{_window(t)}."
    )
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


def _swung(stand: Stand, sign: int) -> str:
    """The way that a bolted accessory is swung: +1 to slacken, -1 to tighten.

    The drawing has no lever arrow for it, but marks both ends of its travel.
    """
    slackens = SIGN[stand.release] if isinstance(stand.release, str) else 1
    way = sign * slackens
    t = stand.tensioner
    end = "load" if (t.load - t.free) * way > 0 else "free"
    return f'{_FRONT.format(sense_of(way))}towards "{end}")'


def _window(t: Tensioner) -> str:
    if t.window is None:
        return ""
    return f", inside {whole(t.window[0])} to {whole(t.window[1])}{unit(t)}"
