"""How words stand in a terminal: rows of a name and a sentence, and tables in plain columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

Rows = Iterable[tuple[str, str]]


def page(blocks: Iterable[Sequence[str]]) -> str:
    """Blocks of lines under one another, an empty line between; empty blocks are left out."""
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def aligned(rows: Rows, width: int | None) -> list[str]:
    """Rows of a name and a sentence; a folded sentence hangs under its own beginning."""
    told = list(rows)
    wide = max((len(name) for name, _ in told), default=0)
    return [line for name, text in told for line in _folded(f"{name:<{wide}}", text, width)]


def _folded(name: str, text: str, width: int | None) -> list[str]:
    if width is None:
        return [f"{name}  {text}"]
    hang = " " * (len(name) + 2)
    return textwrap.wrap(
        text,
        max(width, len(hang) + 20),
        initial_indent=f"{name}  ",
        subsequent_indent=hang,
        break_long_words=False,
        break_on_hyphens=False,
    )


def table(head: Sequence[str], rows: Iterable[Sequence[str]], sides: str) -> list[str]:
    """A table in plain columns; `sides` says for each column whether it stands left or right."""
    lines = [head, *rows]
    wides = [max(map(len, column)) for column in zip(*lines, strict=True)]
    return [
        "  ".join(
            f"{cell:>{wide}}" if side == "r" else f"{cell:<{wide}}"
            for cell, wide, side in zip(line, wides, sides, strict=True)
        ).rstrip()
        for line in lines
    ]
