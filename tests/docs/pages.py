"""Reading the pages of docs/: their headings, tables, links, anchors and console blocks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table of a page, under its nearest heading; every row by its column's name."""

    heading: str
    rows: tuple[dict[str, str], ...]


def pages() -> list[Path]:
    """Every page of the documentation, the README and the gallery's index included."""
    return [ROOT / "README.md", *sorted(DOCS.glob("*.md")), ROOT / "gallery" / "README.md"]


def prose(text: str) -> str:
    """A page without its fenced blocks, in which nothing is a link or a heading."""
    return re.sub(r"(?ms)^```.*?^```", "", text)


def headings(text: str) -> list[str]:
    """The headings of a page, without their marks."""
    return re.findall(r"(?m)^#+ (.+?)\s*$", prose(text))


def anchor(heading: str) -> str:
    """The anchor that code hosts give a heading."""
    kept = re.sub(r"[^\w\- ]", "", heading.lower())
    return kept.replace(" ", "-")


def links(text: str) -> list[str]:
    """The targets of all links of a page."""
    bare = re.sub(r"`[^`]*`", "", prose(text))
    return re.findall(r"\]\(([^)\s]+)\)", bare)


def tables(text: str) -> Iterator[Table]:
    """All tables of a page."""
    heading, lines = "", [*prose(text).splitlines(), ""]
    block: list[str] = []
    for line in lines:
        if line.startswith("|"):
            block.append(line)
            continue
        if block:
            yield _table(heading, block)
            block = []
        if line.startswith("#"):
            heading = line.lstrip("#").strip()


def code(cell: str) -> list[str]:
    """What stands in backticks in a cell."""
    return re.findall(r"`([^`]+)`", cell)


def _table(heading: str, block: list[str]) -> Table:
    head, _, *rows = (_cells(line) for line in block)
    return Table(heading=heading, rows=tuple(dict(zip(head, row, strict=True)) for row in rows))


def _cells(line: str) -> list[str]:
    cells = re.split(r"(?<!\\)\|", line.strip().removeprefix("|").removesuffix("|"))
    return [cell.strip().replace("\\|", "|") for cell in cells]
