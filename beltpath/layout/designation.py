"""Designations of belts: how a length is written on the back of a belt, and read from there."""

from __future__ import annotations

import re
from typing import NamedTuple

from beltpath.data.sections import SectionName
from beltpath.errors import UsageError
from beltpath.layout.records import Belt

#: RMA/ARPM IP-26 (from memory) gives the effective length in tenths of an inch.
MM_PER_TENTH = 2.54
#: Belts shorter or longer than this (mm), or with more ribs, are misprints; as in layout files.
SHORTEST_BELT = 50.0
LONGEST_BELT = 50_000.0
MOST_RIBS = 100

_ISO = re.compile(r"([0-9]{1,6})[\s-]*P([HJKLM])[\s-]*([0-9]{1,9}(?:\.[0-9]{1,6})?)", re.I | re.A)
_INCH = re.compile(r"([0-9]{1,9})[\s-]*([HJKLM])[\s-]*([0-9]{1,6})", re.I | re.A)
_V = re.compile(r"AV[\s-]*(10|13)(?:\s*[x×]\s*|[\s-]+)([0-9]{1,9}(?:\.[0-9]{1,6})?)", re.I | re.A)


class Designation(NamedTuple):
    """What a designation says: section, ribs (1 for a V-belt) and effective length in mm."""

    section: SectionName
    ribs: int
    length: float


def designation(section: SectionName, ribs: int, length: float) -> str:
    """The ISO form: ribs, section, effective length in mm (``6PK1795``); ``AV10x1000`` for V."""
    if section.startswith("P"):
        return f"{ribs}{section}{length:.0f}"
    return f"{section}x{length:.0f}"


def named(belt: Belt) -> str:
    """A layout's belt by all that is known of it: designation, kind, effective length."""
    kind = ", double-sided" if belt.double_sided else ", stretch-fit" if belt.elastic else ""
    name = belt.section.name
    if belt.length is not None:
        length = f"effective length {belt.length:.0f} mm"
        return f"{designation(name, belt.ribs, belt.length)}{kind}, {length}"
    return f"{belt.ribs} {name}{kind}" if belt.section.ribbed else f"{name}{kind}"


def named_whole(belt: Belt, computed: float | None = None) -> str:
    """The belt as it is asked for over a counter; without a length the old one is the measure.

    `computed` is the length of the path, mm, where it is known: a guide to the counter, not a size.
    """
    if belt.length is not None:
        return named(belt)
    known = "length not known" if computed is None else f"about {computed:.0f} mm computed"
    return f"{named(belt)}, {known}; take the old belt along"


def find_designation(text: str) -> Designation | None:
    """What a designation in any of the known forms says; None when it has none of them.

    ISO 9981 and 9982: ``6PK1795``; RMA/ARPM IP-26: ``540J6``, 54.0 in; V-belts: ``AV10x1000``.
    Capitals, spaces and hyphens do not matter. The numbers are not judged here.
    """
    text = text.strip()
    if found := _ISO.fullmatch(text):
        return Designation(_ribbed(found[2]), int(found[1]), float(found[3]))
    if found := _INCH.fullmatch(text):
        return Designation(_ribbed(found[2]), int(found[3]), int(found[1]) * MM_PER_TENTH)
    if found := _V.fullmatch(text):
        return Designation("AV10" if found[1] == "10" else "AV13", 1, float(found[2]))
    return None


def read_designation(text: str) -> Designation:
    """What a designation says. Raises UsageError with a sentence that names what was expected."""
    found = find_designation(text)
    if found is None:
        raise UsageError(
            f'"{text}" is no designation of a belt; write ribs, section and effective length in mm '
            f"(6PK1795), tenths of an inch, section letter and ribs (540J6), or a V-belt's section "
            f"and length (AV10x1000)"
        )
    if trouble := size_trouble(found.ribs, found.length):
        raise UsageError(f'"{text}": {trouble}')
    return found


def size_trouble(ribs: int, length: float) -> str:
    """What is impossible about a belt's ribs or effective length (mm), in words; empty if fine."""
    if not 1 <= ribs <= MOST_RIBS:
        return f"a belt has 1 to {MOST_RIBS} ribs, not {ribs}"
    if not SHORTEST_BELT <= length <= LONGEST_BELT:
        return (
            f"an effective length is {SHORTEST_BELT:g} to {LONGEST_BELT:.0f} mm, not {length:.10g}"
        )
    return ""


def _ribbed(letter: str) -> SectionName:
    names: dict[str, SectionName] = {"H": "PH", "J": "PJ", "K": "PK", "L": "PL", "M": "PM"}
    return names[letter.upper()]
