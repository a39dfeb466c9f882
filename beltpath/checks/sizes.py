"""Checks of sizes: wrap, grooves, thickness, diameter and length."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, degrees, floor

from beltpath.checks.findings import Finding
from beltpath.checks.judged import (
    closes,
    disagrees,
    own_stretch,
    real_wraps,
    sound_stand,
    take_up,
    tolerance_of,
    tolerance_words,
)
from beltpath.checks.register import check
from beltpath.checks.words import OWN_DESIGN
from beltpath.data.tables import Sourced, cite, limits
from beltpath.layout.keys import Side
from beltpath.layout.records import Belt, Pulley, effective_diameter, outside_diameter
from beltpath.solve.drive import Drive
from beltpath.solve.path import Contact
from beltpath.solve.reliance import stops_known
from beltpath.solve.tensioner import Stand
from beltpath.solve.uncertainty import length_uncertainty
from beltpath.words import above, below, counted, mm


@check("wrap")
def wrap(drive: Drive) -> Iterator[Finding]:
    """Wrap below the layout's own `min_wrap`, the role's guide value, or what is sure to be any."""
    for contact in real_wraps(drive):
        pulley = drive.layout.pulleys[contact.pulley]
        if _stands_at_an_end(drive, pulley):
            continue  # `length` tells that the given belt does not put it there
        found, guide = degrees(contact.wrap), _guide(pulley)
        if found < guide.value:
            barely = limits()["wrap.any"]
            doubt = (
                f"The belt barely touches {pulley.title}: a wrap of "
                f"{below(found, barely.value):.1f}° may be none when a place was measured a little "
                f"wrong. Measure there again, or leave it out of the route."
            )
            yield Finding(
                check="wrap",
                level="caution",
                pulleys=(pulley.name,),
                message=doubt
                if found < barely.value
                else f"The belt wraps {pulley.title} by {below(found, guide.value, 0):.0f}° only; "
                f"{guide.value:g}° is wanted. Measure its place and its neighbours' again, and "
                f"look at the route; {OWN_DESIGN}, move a neighbouring pulley or add an idler.",
                source=cite(barely if found < barely.value else guide),
                where=(contact.centre,),
            )


@check("grooves")
def grooves(drive: Drive) -> Iterator[Finding]:
    """Fewer grooves than the belt has ribs."""
    ribs = drive.layout.belt.ribs
    for contact, on in zip(drive.path.contacts, drive.path.sides, strict=True):
        pulley = drive.layout.pulleys[contact.pulley]
        if pulley.face != "grooved" or pulley.grooves is None or pulley.grooves >= ribs:
            continue
        if on == "ribs" or drive.layout.belt.double_sided:
            yield Finding(
                check="grooves",
                level="fault",
                pulleys=(pulley.name,),
                message=f"{pulley.title} has {counted(pulley.grooves, 'groove')} for a belt of "
                f"{counted(ribs, 'rib')}. Fit a belt of at most {counted(pulley.grooves, 'rib')}, "
                f"or a wider pulley.",
                source="common practice: every rib runs in a groove",
                where=(contact.centre,),
            )


@check("thickness")
def thickness(drive: Drive) -> Iterator[Finding]:
    """A double-sided belt whose height nobody measured: what rests on it is reckoned."""
    belt = drive.layout.belt
    if belt.reckoned:
        yield Finding(
            check="thickness",
            level="caution",
            pulleys=(),
            message=f"The double-sided belt's height is not given and is reckoned as "
            f"{mm(belt.height)} mm, as if a single-sided belt were mirrored at its cord. Real ones "
            f"differ, and with them lengths over smooth pulleys and the room beside the belt. "
            f"Measure the belt and give `belt.height`.",
            source="computed: twice the section's height from rib tip to cord",
        )


@check("diameter")
def diameter(drive: Drive) -> Iterator[Finding]:
    """The belt bent tighter than the section's smallest pulley, or backwards than guidance."""
    for contact, on in zip(drive.path.contacts, drive.path.sides, strict=True):
        pulley = drive.layout.pulleys[contact.pulley]
        size, limit, text = _bend(drive.layout.belt, pulley, contact, on)
        if size < limit.value:
            yield Finding(
                check="diameter",
                level="caution",
                pulleys=(pulley.name,),
                message=f"{pulley.title} {text}",
                source=cite(limit),
                where=(contact.centre,),
            )


@check("length")
def length(drive: Drive) -> Iterator[Finding]:
    """The tensioner cannot reach the given belt; without one, the belt is too long or short.

    On fixed centres no ordinary belt passes: neither a tolerance nor the ± of the path is room.
    """
    belt = drive.layout.belt
    if belt.length is None or not closes(drive.path):
        return
    if drive.stand is not None:
        stand = sound_stand(drive)
        if stand is not None:
            yield from _beyond_travel(drive, stand, belt.length)
    elif belt.elastic:
        yield from _stretched(drive, belt.length)
    else:
        yield from _off(drive, belt.length)


def _stands_at_an_end(drive: Drive, pulley: Pulley) -> bool:
    """Whether it is the tensioner's pulley, drawn at the end nearest to a belt out of reach."""
    stand = drive.stand
    return (
        stand is not None
        and pulley.name == stand.tensioner.pulley
        and stand.reached in ("too short", "too long")
    )


def _guide(pulley: Pulley) -> Sourced:
    """The least wrap wanted on a pulley."""
    if pulley.min_wrap is None:
        return limits().get(f"wrap.{pulley.role}", limits()["wrap.any"])
    source = "the layout's own `min_wrap`"
    return Sourced(value=pulley.min_wrap, unit="deg", status="given", source=source)


def _bend(belt: Belt, pulley: Pulley, contact: Contact, on: Side) -> tuple[float, Sourced, str]:
    """The diameter over which a pulley bends the belt, its limit, and what to say below that."""
    section = belt.section
    smallest = section.sources["smallest_effective"]
    if on == "back" and not (pulley.face == "grooved" and belt.double_sided):
        size = outside_diameter(pulley, section)
        limit = limits()["diameter.back_bend"] if section.name == "PK" else smallest
        text = (
            f"bends the belt backwards over {mm(below(size, limit.value))} mm; guidance is "
            f"{limit.value:g} mm. Smaller ones do run, at some cost in the belt's life: measure it "
            f"again; {OWN_DESIGN}, fit a larger one where there is room."
        )
        return size, limit, text
    if pulley.face == "grooved":
        size, text = effective_diameter(pulley, section), "has an effective diameter of"
    else:
        size, text = 2.0 * contact.radius, "bends the belt like a grooved pulley of"
    advice = (
        f"A belt bent tighter does not last: measure it again; {OWN_DESIGN}, fit a larger pulley."
    )
    text = (
        f"{text} {mm(below(size, smallest.value))} mm; the smallest for {section.name} is "
        f"{smallest.value:g} mm. {advice}"
    )
    return size, smallest, text


def _beyond_travel(drive: Drive, stand: Stand, given: float) -> Iterator[Finding]:
    low, high = stand.shortest, stand.longest
    if low <= given <= high:
        return
    if given < low:
        off = mm(above(low - given, 0.0))
        what = f"is {off} mm too short for the tensioner's travel and cannot be got on"
    else:
        off = mm(above(given - high, 0.0))
        what = f"is {off} mm too long: the tensioner's travel cannot keep it taut"
    takes = (
        f"The travel takes belts of {mm(low)} mm (shortest) to {mm(high)} mm (longest); look for "
        f"one between them."
    )
    if not stops_known(drive):
        takes = "What belts the travel takes is in doubt: put the faults of the tensioner right."
    yield _wrong_length(
        f"The belt given ({mm(given)} mm) {what}. {takes}"
        f"{' Or a measurement is wrong, see `agreement`.' if disagrees(drive) else ''}"
        f"{_unsure(drive, max(low - given, given - high))}",
        "computed: the path at the ends of the travel",
    )


def _stretched(drive: Drive, given: float) -> Iterator[Finding]:
    low, high = limits()["length.elastic_least"], limits()["length.elastic_most"]
    need = drive.path.length
    stretch = 100.0 * (need - given) / given
    if low.value <= stretch <= high.value:
        yield from _stretched_at_its_limits(drive, given)
        return
    far = above(stretch, high.value) if stretch > high.value else below(stretch, low.value)
    says = f"be stretched by {far:.1f} %" if stretch > 0.0 else "hang loose"
    yield _wrong_length(
        f"The stretch-fit belt given ({mm(given)} mm) would {says} on this drive, whose path is "
        f"{mm(need)} mm long; {low.value:g} to {high.value:g} % is the guide. Look for a belt of "
        f"{ceil(need / (1.0 + high.value / 100.0))} to "
        f"{floor(need / (1.0 + low.value / 100.0))} mm, "
        f"and go by its maker's figure.",
        cite(high if stretch > high.value else low),
    )


def _stretched_at_its_limits(drive: Drive, given: float) -> Iterator[Finding]:
    """A stretch-fit belt that only its tolerance or the ± of the path puts outside the guide."""
    least, most = limits()["length.elastic_least"], limits()["length.elastic_most"]
    tolerance = tolerance_of(drive.layout.belt)
    sure = length_uncertainty(drive.layout, drive.path).expanded
    low, high = (
        100.0 * ((drive.path.length + towards * sure) / (given - towards * tolerance) - 1.0)
        for towards in (-1.0, 1.0)
    )
    if least.value <= low and high <= most.value:
        return
    yield Finding(
        check="length",
        level="caution",
        pulleys=(),
        message=f"The stretch-fit belt given ({mm(given)} mm) may be stretched by {low:.1f} to "
        f"{high:.1f} %; {least.value:g} to {most.value:g} % is the guide. Its tolerance of "
        f"± {mm(tolerance)} mm ({tolerance_words(drive.layout.belt)}) and the ± {mm(sure)} mm of "
        f"the path leave that open. Measure the belt and the drive before it goes on.",
        source=cite(most if high > most.value else least),
    )


def _off(drive: Drive, given: float) -> Iterator[Finding]:
    """An ordinary belt on fixed centres: too long or short, or at best not sure to fit."""
    tolerance, need = tolerance_of(drive.layout.belt), drive.path.length
    off, makes_up = given - need, own_stretch() * need
    which = f"The belt given ({mm(given)} mm)"
    if abs(off) > makes_up:
        yield _wrong_length(
            f"{which} is {mm(abs(off))} mm too {'long' if off > 0 else 'short'}: the path is "
            f"{mm(need)} mm, and there is no tensioner to make that up. Look for a belt of "
            f"{mm(need)} mm, or measure the places of the pulleys again.{_unsure(drive, abs(off))} "
            f"{_needs_take_up(drive, tolerance)}",
            cite(limits()["length.fixed"]),
        )
        return
    yield Finding(
        check="length",
        level="caution",
        pulleys=(),
        message=f"{which} is not sure to fit the path of {mm(need)} mm: nothing tensions it. "
        f"{_needs_take_up(drive, tolerance)}",
        source="computed: the belt's tolerance, the ± of the path and the easiest rim",
    )


def _needs_take_up(drive: Drive, tolerance: float) -> str:
    """What take-up an ordinary belt needs on these centres, and the ways to give it."""
    need, sure = take_up(drive, tolerance), length_uncertainty(drive.layout, drive.path).expanded
    return (
        f"No ordinary belt is sure to fit on fixed centres: its tolerance is ± {mm(tolerance)} mm "
        f"({tolerance_words(drive.layout.belt)}), the path is known to ± {mm(sure)} mm. The path "
        f"must get {mm(need.shorter)} mm shorter to slip one on and {mm(need.longer)} mm longer to "
        f"tension it. Fit an adjustable centre, a tensioner or a stretch-fit belt. If a pulley can "
        f"be moved, describe it under [tensioner]."
    )


def _unsure(drive: Drive, off: float) -> str:
    """A warning where a length is off by less than the computed length is sure to."""
    sure = length_uncertainty(drive.layout, drive.path).expanded
    return f" The computed length itself is sure to ± {mm(sure)} mm only." if off < sure else ""


def _wrong_length(message: str, source: str) -> Finding:
    return Finding(check="length", level="fault", pulleys=(), message=message, source=source)
