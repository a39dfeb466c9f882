"""The words and numbers that sentences are made of, wherever they are said."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor

from beltpath.layout.records import Tensioner

#: What every answer defers to; `MAKER_FIRST` where nothing is said of running the drive.
DEFERS = "the maker's service information, local rules and licensed practice come first."
MAKER_FIRST = "The maker's service information comes first."
#: Far less than the last decimal of any number printed.
_ROUNDING = 1e-9


def counted(number: int, thing: str) -> str:
    """How many of a thing: 1 rib, 2 ribs."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def listed(things: Sequence[str], last: str = "and") -> str:
    """Things in a row: a, b and c."""
    return f" {last} ".join(filter(None, (", ".join(things[:-1]), things[-1])))


def sentence(text: str) -> str:
    """Text with a capital letter in front."""
    return text[:1].upper() + text[1:]


def decimals(value: float, places: int = 1, *, sign: str = "") -> str:
    """A number with so many decimals, and no minus before a nought; `sign` + shows a plus too."""
    return f"{round(value, places) + 0.0:{sign}.{places}f}"


def mm(length: float) -> str:
    """A number to one decimal, without a trailing zero."""
    return decimals(length).removesuffix(".0")


def whole(value: float) -> str:
    """A whole number as a card prints it: a true minus sign, and no minus nought."""
    return f"{round(value):d}".replace("-", "−")


def unit(t: Tensioner) -> str:
    """What a position of the tensioner is told in: degrees of an arm or swing, mm of a slide."""
    return " mm" if t.kind == "slide" else "°"


def position(t: Tensioner, value: float) -> str:
    """A position of the tensioner, without a trailing zero."""
    return f"{mm(value)}{unit(t)}"


def below(value: float, limit: float, places: int = 1) -> float:
    """A value that is less than a limit, rounded to some decimals so that it still reads less."""
    steps = min(round(value * 10**places), ceil(_steps(limit, places)) - 1)
    return float(steps / 10**places)


def above(value: float, limit: float, places: int = 1) -> float:
    """A value that is more than a limit, rounded to some decimals so that it still reads more."""
    steps = max(round(value * 10**places), floor(_steps(limit, places)) + 1)
    return float(steps / 10**places)


def _steps(limit: float, places: int) -> float:
    """A limit counted in the last decimal; one that is a whole number but for rounding is one."""
    steps = limit * 10**places
    return float(round(steps)) if abs(steps - round(steps)) < _ROUNDING else steps
