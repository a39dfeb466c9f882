"""Paper and ink: sizes, orientation, margins. Millimetres, y downward, origin at the top left."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

PaperName = Literal["a4", "a5", "a6", "letter", "half-letter"]
PAPER_NAMES: tuple[PaperName, ...] = get_args(PaperName)
Ink = Literal["colour", "black"]
INKS: tuple[Ink, ...] = get_args(Ink)

#: Trimmed sizes in portrait: ISO 216 and ANSI/ASME Y14.1.
SIZES: Mapping[PaperName, tuple[float, float]] = {
    "a4": (210.0, 297.0),
    "a5": (148.0, 210.0),
    "a6": (105.0, 148.0),
    "letter": (215.9, 279.4),
    "half-letter": (139.7, 215.9),
}
#: What common printers cannot reach is 4 to 6 mm wide (common practice).
MARGIN = 7.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """An upright rectangle on the paper."""

    x: float
    y: float
    width: float
    height: float

    @classmethod
    def about(cls, centre: tuple[float, float], width: float, height: float) -> Box:
        """The box of a size round its middle."""
        x, y = centre[0] - width / 2.0, centre[1] - height / 2.0
        return cls(x=x, y=y, width=width, height=height)

    @property
    def right(self) -> float:
        """The x of its right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """The y of its lower edge."""
        return self.y + self.height

    @property
    def centre(self) -> tuple[float, float]:
        """Its middle."""
        return (self.x + self.width / 2.0, self.y + self.height / 2.0)

    def shrunk(self, by: float) -> Box:
        """The same box, smaller by `by` on every side."""
        return Box(
            x=self.x + by, y=self.y + by, width=self.width - 2 * by, height=self.height - 2 * by
        )

    def overlaps(self, other: Box) -> bool:
        """Whether the two share area."""
        return (
            self.x < other.right
            and other.x < self.right
            and self.y < other.bottom
            and other.y < self.bottom
        )

    def holds(self, other: Box, *, slack: float = 1e-6) -> bool:
        """Whether the other box lies inside this one."""
        return (
            other.x >= self.x - slack
            and other.y >= self.y - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A sheet: its name, its size as it is held, and the box that may be printed on."""

    name: PaperName
    width: float
    height: float

    @property
    def landscape(self) -> bool:
        """Whether it is held wider than high."""
        return self.width > self.height

    @property
    def printable(self) -> Box:
        """The sheet less its margins."""
        return Box(x=0.0, y=0.0, width=self.width, height=self.height).shrunk(MARGIN)


def paper(name: PaperName, *, landscape: bool = False) -> Paper:
    """A sheet by name and orientation."""
    short, long = SIZES[name]
    width, height = (long, short) if landscape else (short, long)
    return Paper(name=name, width=width, height=height)
