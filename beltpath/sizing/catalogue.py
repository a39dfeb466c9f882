"""Catalogues of belts: CSV text with a documented header to offers. Opens no file.

The first line names the columns, in any order: ``designation, section, ribs, length, unit`` and,
where wanted, ``tolerance, stock, note``. Columns of other names are left alone. ``unit`` (mm or in)
goes for length and tolerance. Where the designation is of a known form, section, ribs and length
may be left empty; where both are given they must agree.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from math import isfinite
from typing import NamedTuple

from beltpath.data.sections import SECTION_NAMES, SectionName
from beltpath.errors import Problem, UsageError
from beltpath.layout.characters import LINE_ENDS, unseen
from beltpath.layout.designation import Designation, designation, find_designation, size_trouble
from beltpath.layout.toml import quoted

REQUIRED = ("designation", "section", "ribs", "length", "unit")
COLUMNS = (*REQUIRED, "tolerance", "stock", "note")
#: A designation is rounded to a millimetre or a tenth of an inch: more apart than this (mm) is a
#: contradiction. Computed: 2.54 / 2 and a hair.
SAME_LENGTH = 1.3
#: A ± above this (mm) is a misprint; as in layout files.
WIDEST_TOLERANCE = 500.0
#: So many bad rows are told one by one.
MOST_TOLD = 20
#: Cells are at most this long; more is no catalogue.
LONGEST_CELL = 10_000

#: A line with its end, as a file opened without translation of line ends gives it.
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")
_MM = {"mm": 1.0, "in": 25.4}
_SECTIONS: dict[str, SectionName] = {name: name for name in SECTION_NAMES}


class Offer(NamedTuple):
    """One belt that can be had. Lengths in mm; `tolerance` and `stock` None where not told.

    `line` is where it stands in its catalogue, 0 for a belt named in a call.
    """

    designation: str
    section: SectionName
    ribs: int
    length: float
    tolerance: float | None = None
    stock: int | None = None
    note: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """The offers of a catalogue, and what is wrong with the first rows that had to be skipped.

    `skipped` counts them all.
    """

    offers: tuple[Offer, ...]
    problems: tuple[Problem, ...]
    skipped: int


class _RowError(Exception):
    """A row that cannot be used, with the sentence that says why."""


def parse(text: str) -> Catalogue:
    """Read the text of a catalogue; rows that cannot be used are told and skipped.

    Raises UsageError when the text as a whole is no catalogue.
    """
    lines = _lines(text)
    places = _places(next(lines, (1, []))[1])
    offers: list[Offer] = []
    problems: list[Problem] = []
    skipped = 0
    for line, cells in lines:
        try:
            offers.append(_offer(line, cells, places))
        except _RowError as bad:
            skipped += 1
            if skipped <= MOST_TOLD:
                problems.append(Problem("", str(bad), line))
    return Catalogue(offers=tuple(offers), problems=tuple(problems), skipped=skipped)


def _lines(text: str) -> Iterator[tuple[int, list[str]]]:
    """Every row with the line on which it begins."""
    # Not a StringIO, which would hold the whole text again at four bytes a character.
    reader = csv.reader((found[0] for found in _LINE.finditer(text)), strict=True)
    line = 1
    try:
        for cells in reader:
            # A spreadsheet writes its blank rows as commas.
            if any(map(str.strip, cells)) or line == 1:
                yield line, cells
            line = reader.line_num + 1
    except csv.Error as error:
        raise UsageError(
            f"line {line}: cannot be read as CSV ({error}); separate cells by commas, and put a "
            f"cell that holds a comma or a quotation mark in quotation marks"
        ) from error


def _places(head: Sequence[str]) -> tuple[int, ...]:
    """Where in a row each of `COLUMNS` stands (−1: nowhere), then how many cells a row has."""
    names = [name.strip().lower() for name in head]
    if not any(names):
        raise UsageError(f"the first line must name the columns: {', '.join(COLUMNS)}")
    missing = [name for name in REQUIRED if name not in names]
    if missing:
        hint = " (separate the columns by commas)" if len(names) == 1 else ""
        raise UsageError(
            f"the first line must name the columns {', '.join(REQUIRED)}; "
            f"{', '.join(missing)} {'is' if len(missing) == 1 else 'are'} not there{hint}"
        )
    for name in COLUMNS:
        if names.count(name) > 1:
            raise UsageError(f"the first line names the column {name} twice; keep one")
    for name in set(names) - set(COLUMNS):
        near = get_close_matches(name, set(COLUMNS) - set(names), n=1, cutoff=0.8)
        if near:
            raise UsageError(f'the first line names a column "{name}"; did you mean {near[0]}?')
    return (*(names.index(name) if name in names else -1 for name in COLUMNS), len(names))


def _offer(line: int, cells: list[str], places: tuple[int, ...]) -> Offer:
    *at, width = places
    if len(cells) != width:
        raise _RowError(f"the row has {len(cells)} cells, the first line {width}; it is skipped")
    if max(map(len, cells)) > LONGEST_CELL:
        raise _RowError(f"a cell is longer than {LONGEST_CELL} characters; the row is skipped")
    cells.append("")  # what is read at place −1, for a column that is not there
    name, section, ribs, length, unit, tolerance, stock, note = used = [
        cells[i].strip() for i in at
    ]
    if found := unseen("".join(used), LINE_ENDS):
        raise _RowError(
            f"a cell holds a character that cannot be printed ({quoted(found)}); the row is skipped"
        )
    told = find_designation(name)
    scale = _scale(unit, needed=bool(length or tolerance))
    if section and ribs and length:
        belt = Designation(_section(section), _count(ribs, "ribs"), _number(length) * scale)
        if told is not None:
            _compare(name, told, belt)
    else:
        belt = _completed(name, told, section, ribs, length, scale)
    if trouble := size_trouble(belt.ribs, belt.length):
        raise _RowError(f"{trouble}; the row is skipped")
    if belt.ribs > 1 and belt.section.startswith("AV"):
        raise _RowError(f"a V-belt has no ribs to count: write 1, not {belt.ribs}; it is skipped")
    return Offer(
        name or designation(*belt),
        *belt,
        _tolerance(tolerance, scale) if tolerance else None,
        _count(stock, "stock") if stock else None,
        note,
        line,
    )


def _completed(
    name: str, told: Designation | None, section: str, ribs: str, length: str, scale: float
) -> Designation:
    """A belt some of whose cells are empty: the designation tells the rest."""
    if told is None:
        empty = [
            column
            for column, cell in (("section", section), ("ribs", ribs), ("length", length))
            if not cell
        ]
        raise _RowError(
            f'{", ".join(empty)} left empty, and the designation "{_short(name)}" does not tell; '
            f"the row is skipped"
        )
    belt = Designation(
        _section(section) if section else told.section,
        _count(ribs, "ribs") if ribs else told.ribs,
        _number(length) * scale if length else told.length,
    )
    _compare(name, told, belt)
    return belt


def _compare(name: str, told: Designation, belt: Designation) -> None:
    if told[:2] != belt[:2] or abs(told.length - belt.length) > SAME_LENGTH:
        raise _RowError(
            f'the designation "{_short(name)}" says {_said(told)}, the columns say {_said(belt)}; '
            f"the row is skipped"
        )


def _said(belt: Designation) -> str:
    return f"{belt.section}, {belt.ribs} ribs, {belt.length:.10g} mm"


def _scale(unit: str, *, needed: bool) -> float:
    scale = _MM.get(unit.lower())
    if scale is None and (unit or needed):
        raise _RowError(f'unit must be mm or in, not "{_short(unit)}"; the row is skipped')
    return scale or 1.0


def _section(text: str) -> SectionName:
    name = _SECTIONS.get(text) or _SECTIONS.get(text.upper())
    if name is None:
        known = ", ".join(SECTION_NAMES)
        raise _RowError(f'section must be one of {known}, not "{_short(text)}"; the row is skipped')
    return name


def _count(text: str, column: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 9):
        raise _RowError(
            f'{column} must be a whole number, not "{_short(text)}"; the row is skipped'
        )
    return int(text)


def _number(text: str, column: str = "length") -> float:
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    # A float may be written with underscores; a person who does so has made a slip.
    if not isfinite(value) or "_" in text:
        raise _RowError(f'{column} must be a number, not "{_short(text)}"; the row is skipped')
    return value


def _tolerance(text: str, scale: float) -> float:
    value = _number(text, "tolerance") * scale
    if not 0.0 <= value <= WIDEST_TOLERANCE:
        raise _RowError(
            f"tolerance must be 0 to {WIDEST_TOLERANCE:g} mm, not {value:.10g}; the row is skipped"
        )
    return value


def _short(text: str) -> str:
    return text if len(text) <= 40 else f"{text[:40]}…"
