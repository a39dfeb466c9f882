"""Checks of sizes: wrap, grooves, diameter, and length for a drive without a tensioner."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

from beltpath.checks.registry import check
from beltpath.drive import Drive
from beltpath.findings import Finding, cite, limits
from beltpath.layout import effective_diameter, outside_diameter
from beltpath.sections import Sourced


@check("wrap")
def wrap(drive: Drive) -> Iterator[Finding]:
    """Wrap below the role's guide value, or below the layout's own `min_wrap`."""
    for contact in drive.path.contacts:
        pulley = drive.layout.pulleys[contact.pulley]
        guide = limits().get(f"wrap.{pulley.role}")
        if pulley.min_wrap is not None:
            guide = Sourced(
                value=pulley.min_wrap,
                unit="deg",
                status="published",
                source="the layout's own min_wrap",
            )
        found = degrees(contact.wrap)
        if guide is not None and found < guide.value:
            yield Finding(
                check="wrap",
                level="caution",
                pulleys=(pulley.name,),
                message=f"The belt wraps {pulley.title} by {found:.0f}° only; {guide.value:.0f}° "
                f"is wanted for its role. An idler beside it would add wrap.",
                source=cite(guide),
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
                message=f"{pulley.title} has {pulley.grooves} grooves for a belt of {ribs} ribs. "
                f"Fit a belt of {pulley.grooves} ribs or fewer, or a wider pulley.",
                source="common practice: every rib runs in a groove",
                where=(contact.centre,),
            )


@check("diameter")
def diameter(drive: Drive) -> Iterator[Finding]:
    """A grooved pulley below the section's smallest; a back bend below guidance."""
    section = drive.layout.belt.section
    smallest = section.sources["smallest_effective"]
    bend = limits()["diameter.back_bend"]
    for contact, on in zip(drive.path.contacts, drive.path.sides, strict=True):
        pulley = drive.layout.pulleys[contact.pulley]
        if pulley.face == "grooved" and effective_diameter(pulley, section) < smallest.value:
            yield Finding(
                check="diameter",
                level="caution",
                pulleys=(pulley.name,),
                message=f"{pulley.title} has an effective diameter of "
                f"{effective_diameter(pulley, section):.1f} mm; the smallest for {section.name} is "
                f"{smallest.value:g} mm. A belt bent tighter does not last.",
                source=cite(smallest),
            )
        elif on == "back" and pulley.face == "smooth" and section.name == "PK":
            size = outside_diameter(pulley, section)
            if size < bend.value:
                yield Finding(
                    check="diameter",
                    level="caution",
                    pulleys=(pulley.name,),
                    message=f"{pulley.title} bends the belt backwards over {size:.1f} mm; guidance "
                    f"is {bend.value:g} mm. Smaller ones run every day, at some cost in life.",
                    source=cite(bend),
                )


@check("length")
def length(drive: Drive) -> Iterator[Finding]:
    """Without a tensioner: the given belt is off by more than its tolerance, or its stretch."""
    belt = drive.layout.belt
    if drive.stand is not None or belt.length is None or belt.tolerance is None:
        return
    need = drive.path.length
    if belt.elastic:
        low, high = limits()["length.elastic_least"], limits()["length.elastic_most"]
        stretch = 100.0 * (need - belt.length) / belt.length
        if not low.value <= stretch <= high.value:
            yield Finding(
                check="length",
                level="fault",
                pulleys=(),
                message=f"The stretch-fit belt given ({belt.length:.0f} mm) would be stretched by "
                f"{stretch:.1f} % on this drive ({need:.0f} mm); {low.value:g} to {high.value:g} % "
                f"is the guide. Look for a belt of {need / (1 + high.value / 100):.0f} to "
                f"{need / (1 + low.value / 100):.0f} mm, and go by its maker's figure.",
                source=cite(high),
            )
        return
    off = belt.length - need
    if abs(off) > belt.tolerance:
        yield Finding(
            check="length",
            level="fault",
            pulleys=(),
            message=f"The belt given ({belt.length:.0f} mm) is {abs(off):.0f} mm too "
            f"{'long' if off > 0 else 'short'} for this drive, which needs {need:.0f} mm "
            f"± {belt.tolerance:g} mm and has no tensioner.",
            source="the belt's tolerance on length",
        )
