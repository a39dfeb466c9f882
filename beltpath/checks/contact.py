"""Checks of how the belt meets its pulleys: side, rotation, missed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import degrees

from beltpath.checks.findings import Finding
from beltpath.checks.judged import against_travel, closes, lost_contacts
from beltpath.checks.register import check
from beltpath.checks.words import GEOMETRY, title
from beltpath.data.tables import cite, limits
from beltpath.layout.keys import Sense, Side
from beltpath.layout.records import Pulley
from beltpath.solve.drive import Drive
from beltpath.solve.path import Contact


@check("side")
def side(drive: Drive) -> Iterator[Finding]:
    """A grooved face on the belt's smooth back; ribs on a smooth face that is not declared so."""
    layout = drive.layout
    for contact, on in zip(drive.path.contacts, drive.path.sides, strict=True):
        pulley = layout.pulleys[contact.pulley]
        if pulley.face == "grooved" and on == "back" and not layout.belt.double_sided:
            yield Finding(
                check="side",
                level="fault",
                pulleys=(pulley.name,),
                message=f"{pulley.title} is grooved, but the belt's smooth back runs on it. Route "
                f"the belt so that its ribs meet the grooves, or fit a smooth pulley there.",
                source="common practice: grooves grip ribs only",
                where=(contact.centre,),
            )
        if pulley.name in drive.path.inferred:
            yield Finding(
                check="side",
                level="caution",
                pulleys=(pulley.name,),
                message=f"The belt's ribs run on the smooth face of {pulley.title}: with its back "
                f"there the belt would not close. Look at the pulley and the route; if it is "
                f'meant so, say side = "ribs" in the layout.',
                source="common practice: a smooth pulley usually carries the belt's back",
                where=(contact.centre,),
            )


@check("rotation")
def rotation(drive: Drive) -> Iterator[Finding]:
    """A pulley that turns against the sense its layout requires."""
    for contact, on in zip(drive.path.contacts, drive.path.sides, strict=True):
        pulley = drive.layout.pulleys[contact.pulley]
        if pulley.turns is not None and pulley.turns != contact.turns:
            yield Finding(
                check="rotation",
                level="fault",
                pulleys=(pulley.name,),
                message=_wrong_way(drive, pulley, contact.turns, on),
                source="the layout's own `turns`",
                where=(contact.centre,),
            )


@check("missed")
def missed(drive: Drive) -> Iterator[Finding]:
    """A pulley that the belt does not really touch; a loop that does not turn exactly once."""
    path = drive.path
    lost = lost_contacts(path)
    if path.proper:
        if closes(path) and not closes(drive.as_measured):
            yield _only_where_it_stands(drive)
        return
    if against_travel(drive):
        text = (
            "The route runs against the belt's travel. Turn its order round, or correct "
            "crank_turns; its wraps, length and clearances cannot be judged until then."
        )
    elif lost:
        text = _lost(drive, lost)
    else:
        text = (
            f"The belt does not close in one turn: its bends add up to "
            f"{degrees(path.turning) * path.loop:.0f}° in the direction of the loop, not 360°, so "
            f"that it must cross itself. Check the order of the route and the sides; its wraps, "
            f"length and clearances cannot be judged until then."
        )
    yield Finding(
        check="missed",
        level="fault",
        pulleys=tuple(c.pulley for c in lost),
        message=text,
        source=cite(limits()["missed.wrap"]) if lost else GEOMETRY,
        where=tuple(c.centre for c in lost),
    )


def _wrong_way(drive: Drive, pulley: Pulley, found: Sense, on: Side) -> str:
    if pulley.role == "crank":
        return (
            f"{pulley.title} is the crank and turns {found} by crank_turns, but its own `turns` "
            f"says {pulley.turns} (seen from the front). Correct one of the two."
        )
    text = (
        f"{pulley.title} must turn {pulley.turns}, but this routing turns it {found} (seen from "
        f"the front). "
    )
    if pulley.face == "grooved" and on == "ribs" and not drive.layout.belt.double_sided:
        return (
            f"{text}With ribs on one side of the belt only, no routing can change that: look at "
            f"`turns`, crank_turns and the view again."
        )
    return f"{text}Route the belt round its other side."


def _lost(drive: Drive, lost: Sequence[Contact]) -> str:
    titles = ", ".join(title(drive, c.pulley) for c in lost)
    it, its, place = ("it", "its", "place") if len(lost) == 1 else ("them", "their", "places")
    return (
        f"The belt does not really touch {titles}: it would have to go nearly all the way round to "
        f"meet {it} on that side. Check the order of the route, {its} side and {its} {place}; the "
        f"spans beside {it}, their wraps and the belt's length cannot be judged until then."
    )


def _only_where_it_stands(drive: Drive) -> Finding:
    lost = lost_contacts(drive.as_measured)
    return Finding(
        check="missed",
        level="fault",
        pulleys=tuple(c.pulley for c in lost),
        message="With the tensioner's pulley where it was measured the belt does not close, so "
        "that its travel and the given belt cannot be judged. Measure the place of that pulley and "
        "its pivot again.",
        source=GEOMETRY,
        where=tuple(c.centre for c in lost),
    )
