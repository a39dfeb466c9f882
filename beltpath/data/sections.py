"""Belt sections and their numbers, read from a data file that carries a source on every row.

Diameters and heights are in millimetres. The files lie inside the package (``beltpath/data``) and
are part of the program, not of the user's input.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal, NamedTuple, get_args

SectionName = Literal["PH", "PJ", "PK", "PL", "PM", "AV10", "AV13"]
SECTION_NAMES: tuple[SectionName, ...] = get_args(SectionName)
#: The folder of the package's own data files.
DATA = Path(__file__).parent


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourced:
    """A number of the data files with its unit, its status and where it comes from.

    `status` is one of ``published``, ``computed``, ``common practice``, ``from memory``, and
    ``given`` for what the caller said (a layout's own value).
    """

    value: float
    unit: str
    status: str
    source: str


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


def read_data(name: str) -> str:
    """The text of one of the package's own data files."""
    return (DATA / name).read_text(encoding="utf-8")


def read_table(name: str) -> list[dict[str, str]]:
    """The rows of one of the package's own CSV data files."""
    return list(csv.DictReader(read_data(name).splitlines()))


@cache
def sections() -> dict[SectionName, Section]:
    """Every known section by name."""
    rows: dict[str, dict[str, Sourced]] = {}
    for row in read_table("sections.csv"):
        rows.setdefault(row["section"], {})[row["quantity"]] = Sourced(
            value=float(row["value"]), unit=row["unit"], status=row["status"], source=row["source"]
        )
    return {name: _section(name, rows[name]) for name in SECTION_NAMES}


def section(name: SectionName) -> Section:
    """The section of that name."""
    return sections()[name]


def length_tolerance(length: float) -> float:
    """The ± tolerance in mm that a belt of that effective length (mm) has unless its layout says.

    The table is a guide from memory; its last row is in per cent of the length.
    """
    for row in _tolerances():
        if length <= row.to_length:
            break
    return row.tolerance if row.unit == "mm" else length * row.tolerance / 100.0


def tolerance_doubt(name: SectionName) -> str:
    """How little is known of the ± that `length_tolerance` gives a belt of that section."""
    known = "from memory, low confidence"
    return known if name == "PK" else f"{known}: a table for PK, not known to hold for {name}"


class _Tolerance(NamedTuple):
    """The ± of belts up to a length, in mm or in per cent of the length."""

    to_length: float
    tolerance: float
    unit: str


@cache
def _tolerances() -> tuple[_Tolerance, ...]:
    """The table of length tolerances, read once: every belt of a catalogue asks for it."""
    return tuple(
        _Tolerance(float(row["to_length"]), float(row["tolerance"]), row["unit"])
        for row in read_table("length_tolerance.csv")
    )


def _section(name: SectionName, rows: dict[str, Sourced]) -> Section:
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
