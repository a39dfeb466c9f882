"""Whether the card's faces can show every character of a card; who cannot is told by name."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator

from beltpath.cards.scene import Group, Item, Words
from beltpath.cards.text import lacking
from beltpath.errors import ExportError, Problem
from beltpath.layout.layout import Layout
from beltpath.layout.toml import LineIndex, dotted

#: More characters than these are counted and not named.
MOST_NAMED = 3
#: A longer line is cut where it is quoted.
LONGEST_QUOTE = 40


def require(items: Iterable[Item], layout: Layout) -> None:
    """Raise ExportError when the faces lack a character of the items; `layout` says where it is."""
    for text in texts(items):
        if missing := list(lacking(text)):
            raise ExportError(_told(missing, text, layout))


def texts(items: Iterable[Item]) -> Iterator[str]:
    """Every line of text of a drawing."""
    for item in items:
        if isinstance(item, Group):
            yield from texts(item.items)
        elif isinstance(item, Words):
            yield item.text


def _told(missing: list[str], line: str, layout: Layout) -> str:
    """Where it is, which characters, and what to write instead."""
    place, every = _place(missing[0], layout) or (f"“{line[:LONGEST_QUOTE]}”", missing)
    more = len(every) - MOST_NAMED
    names = ", ".join(map(_name, every[:MOST_NAMED])) + (f" and {more} more" if more > 0 else "")
    return f"{place}: the card's font has no {names}; {_advice(missing[0])}"


def _place(character: str, layout: Layout) -> tuple[str, list[str]] | None:
    """Which text of the layout holds a character, and all that is lacking of that text."""
    lines = LineIndex(layout.text)
    for key, text in _written(layout):
        if character in text:
            found = Problem(path=key, message="", line=lines.line(key), place=layout.name)
            return str(found).removesuffix(": "), list(lacking(text))
    if character in layout.name:
        return f"the file's name, {layout.name}", list(lacking(layout.name))
    return None


def _written(layout: Layout) -> Iterator[tuple[str, str]]:
    """The texts that a layout gives to its card, each under its key."""
    yield "title", layout.title
    yield "notes", layout.notes
    for name, pulley in layout.pulleys.items():
        yield dotted(["pulleys", name, "label"]), pulley.label or ""
    if layout.tensioner is not None:
        yield "tensioner.lever", layout.tensioner.lever or ""
    for name in layout.pulleys:
        yield dotted(["pulleys", name]), name


def _name(character: str) -> str:
    """A character as it is called: “ג” (U+05D2, HEBREW LETTER GIMEL)."""
    called = unicodedata.name(character, "")
    code = f"U+{ord(character):04X}"
    sign = f"“{character}”" if character.isprintable() and not _leans(character) else ""
    return f"{sign} ({code}, {called})".lstrip() if called else f"{sign} ({code})".lstrip()


def _advice(character: str) -> str:
    if _leans(character):
        return "write a letter and its accent as one character, such as é"
    return "write it in Latin, Greek or Cyrillic letters"


def _leans(character: str) -> bool:
    """Whether it is a mark set over the character before it."""
    return unicodedata.category(character).startswith("M")
