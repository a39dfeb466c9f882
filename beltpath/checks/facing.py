"""Checks of how the belt meets its pulleys: side, rotation, missed."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

from beltpath.checks.registry import check
from beltpath.drive import Drive
from beltpath.errors import PathError
from beltpath.findings import Finding, cite, limits
from beltpath.geometry import TAU
from beltpath.path import MISSED_WRAP, from_crank, trace

_GEOMETRY = "computed: geometry of the path"


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
                message=f"The ribs run on the smooth face of {pulley.title}: the belt can only "
                f'pass it that way. If it is meant so, say side = "ribs" in the layout.',
                source="common practice: a smooth pulley usually carries the belt's back",
                where=(contact.centre,),
            )


@check("rotation")
def rotation(drive: Drive) -> Iterator[Finding]:
    """A pulley that turns against the sense its layout requires."""
    for contact in drive.path.contacts:
        pulley = drive.layout.pulleys[contact.pulley]
        if pulley.turns is not None and pulley.turns != contact.turns:
            yield Finding(
                check="rotation",
                level="fault",
                pulleys=(pulley.name,),
                message=f"{pulley.title} must turn {pulley.turns}, but this routing turns it "
                f"{contact.turns} (seen from the front). Route the belt round its other side.",
                source="the layout's own `turns`",
                where=(contact.centre,),
            )


@check("missed")
def missed(drive: Drive) -> Iterator[Finding]:
    """A pulley that the belt does not really touch; a loop that does not turn exactly once."""
    path = drive.path
    lost = tuple(c for c in path.contacts if c.wrap > MISSED_WRAP)
    once = abs(path.turning - path.loop * TAU) < 1e-6
    if not lost and once:
        return
    if _reversed_is_proper(drive):
        text = "The route is written against the belt's travel: turn its order round."
    elif lost:
        titles = ", ".join(drive.layout.pulleys[c.pulley].title for c in lost)
        text = (
            f"The belt does not really touch {titles}: it would have to go nearly all the way "
            f"round to meet it on that side. Check the order of the route, the side and the place."
        )
    else:
        text = (
            f"The belt does not close in one turn: its bends add up to "
            f"{degrees(path.turning) * path.loop:.0f}° in the crank's sense, not 360°. Check the "
            f"order of the route and the sides."
        )
    yield Finding(
        check="missed",
        level="fault",
        pulleys=tuple(c.pulley for c in lost),
        message=text,
        source=_GEOMETRY if not lost else cite(limits()["missed.wrap"]),
        where=tuple(c.centre for c in lost),
    )


def _reversed_is_proper(drive: Drive) -> bool:
    names = from_crank(drive.layout)
    try:
        return trace(drive.layout, route=names[::-1]).proper
    except PathError:
        return False
