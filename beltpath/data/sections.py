"""Belt sections and their numbers, and the tolerance of a belt's length. Everything in mm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal, get_args

from beltpath.data.tables import Sourced, sourced

SectionName = Literal["PH", "PJ", "PK", "PL", "PM", "AV10", "AV13"]
SECTION_NAMES: tuple[SectionName, ...] = get_args(SectionName)


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One belt section.

    `b_e` is the distance from the effective line outward to the pitch line, `back` from the
    effective line to the belt's back (t), `height` the belt's height (h), `tip_excess` the
    outside diameter over the groove tips less the effective diameter, `over_balls_excess` the
    diameter over two balls less the effective diameter (None where none is standard). All in mm.
    """

    name: SectionName
    ribbed: bool
    b_e: float
    back: float
    back_sigma: float
    height: float
    tip_excess: float
    over_balls_excess: float | None
    smallest_effective: float
    sources: dict[str, Sourced]

    def number(self, quantity: str) -> float | None:
        """Any other quantity of the data file (`pitch`, `ball`, `fixture` ...), None if absent."""
        row = self.sources.get(quantity)
        return None if row is None else row.value


@cache
def sections() -> Mapping[SectionName, Section]:
    """Every known section by name."""
    return {name: _section(name) for name in SECTION_NAMES}


def section(name: SectionName) -> Section:
    """The section of that name."""
    return sections()[name]


def length_tolerance(length: float) -> float:
    """The ± tolerance in mm that a belt of that effective length (mm) has unless its layout says.

    The table is a guide from memory; its last row is in per cent of the length.
    """
    *table, (_, last) = _tolerances()
    row = next((row for longest, row in table if length <= longest), last)
    return row.value if row.unit == "mm" else length * row.value / 100.0


def tolerance_doubt(name: SectionName) -> str:
    """How little is known of the ± that `length_tolerance` gives a belt of that section."""
    known = "from memory, low confidence"
    return known if name == "PK" else f"{known}: a table for PK, not known to hold for {name}"


@cache
def _tolerances() -> tuple[tuple[float, Sourced], ...]:
    """The ± of belts up to a length, read once: every belt of a catalogue asks for it."""
    return tuple((float(to), row) for to, row in sourced("length_tolerance").items())


def _section(name: SectionName) -> Section:
    prefix = f"{name}."
    rows = {
        key.removeprefix(prefix): row
        for key, row in sourced("sections").items()
        if key.startswith(prefix)
    }
    balls = rows.get("over_balls_excess")
    return Section(
        name=name,
        ribbed=name.startswith("P"),
        b_e=rows["b_e"].value,
        back=rows["back"].value,
        back_sigma=rows["back_sigma"].value,
        height=rows["height"].value,
        tip_excess=rows["tip_excess"].value,
        over_balls_excess=None if balls is None else balls.value,
        smallest_effective=rows["smallest_effective"].value,
        sources=rows,
    )
