"""Designations of belts."""

from __future__ import annotations

from beltpath.sections import SectionName


def designation(section: SectionName, ribs: int, length: float) -> str:
    """The ISO form: ribs, section, effective length in mm (``6PK1795``); ``AV10x1000`` for V."""
    if section.startswith("P"):
        return f"{ribs}{section}{length:.0f}"
    return f"{section}x{length:.0f}"
