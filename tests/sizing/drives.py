"""Drives and offers for the tests of sizing."""

from __future__ import annotations

from pathlib import Path

import beltpath
from beltpath.data.sections import SectionName
from beltpath.layout.layout import Layout
from beltpath.sizing.catalogue import Offer
from beltpath.sizing.fit import Judged, Wanted, judge, wanted
from tests.checks.drives import PAIR

LAYOUTS = Path(__file__).parents[2] / "layouts"
ORCHARD = (LAYOUTS / "orchard-sprayer.toml").read_text(encoding="utf-8")
FOGGER = (LAYOUTS / "greenhouse-fogger.toml").read_text(encoding="utf-8")
AUGER = (LAYOUTS / "grain-auger.toml").read_text(encoding="utf-8")
#: Two equal pulleys on fixed centres: the length is 800 + 120·π, known in closed form.
FIXED_PAIR = PAIR[: PAIR.index("[tensioner]")]


def layout(text: str, *changes: tuple[str, str]) -> Layout:
    """A layout with some of its text changed."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return beltpath.parse(text)


def need(text: str, *changes: tuple[str, str]) -> Wanted:
    """What such a layout takes."""
    return wanted(layout(text, *changes))


def offer(
    length: float, ribs: int = 6, section: SectionName = "PK", tolerance: float | None = None
) -> Offer:
    """A belt of that length."""
    return Offer(f"{ribs}{section}{length:.0f}", section, ribs, length, tolerance)


def told(wants: Wanted, length: float, ribs: int | None = None) -> Judged:
    """A belt of that length judged, with the layout's own section and ribs unless told."""
    belt = wants.layout.belt
    return judge(wants, offer(length, ribs or belt.ribs, belt.section.name))
