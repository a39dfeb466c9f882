"""What a card is: its options, its pages, and the finished card as SVG, PDF or PNG.

The package names these, so every command loads this module: the drawing stays out of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from math import isfinite
from typing import TYPE_CHECKING, Literal, get_args

from beltpath.cards.paper import PAPER_NAMES, Paper, PaperName, paper
from beltpath.errors import UsageError
from beltpath.layout.layout import Layout

if TYPE_CHECKING:
    from beltpath.cards.diagram import Diagram
    from beltpath.cards.scene import Item
    from beltpath.cards.view import View

Ink = Literal["colour", "black"]
INKS: tuple[Ink, ...] = get_args(Ink)
#: Dots per inch that a picture may have: what can still be read, and what a machine can hold.
FEWEST_DOTS, MOST_DOTS = 20.0, 1200.0
_YES_NO = ("landscape", "mirrored", "true_scale", "steps", "code", "loads")


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """How a card is printed.

    `paper` is the sheet, `landscape` holds it wider than high. The drive is seen from the front, or
    `mirrored` from behind, and `turned` in degrees counterclockwise; `ink` black uses no colour.
    `steps` adds a strip of small pictures, one a step; `true_scale` adds sheets at 1:1; `code`
    adds the layout as a QR code; `loads` adds a page of hub loads where forces are known.
    Raises UsageError for options that there are not.
    """

    paper: PaperName = "a5"
    landscape: bool = False
    mirrored: bool = False
    turned: float = 0.0
    true_scale: bool = False
    steps: bool = False
    code: bool = False
    loads: bool = False
    ink: Ink = "colour"

    def __post_init__(self) -> None:
        """Refuse what no card can be printed with: a wrong option must not reach the drawing."""
        _one_of("paper", self.paper, PAPER_NAMES)
        _one_of("ink", self.ink, INKS)
        for name in _YES_NO:
            _one_of(name, getattr(self, name), (False, True))
        _within("turned", self.turned, None)

    @property
    def sheet(self) -> Paper:
        """The sheet to print on."""
        return paper(self.paper, landscape=self.landscape)

    @property
    def view(self) -> View:
        """From where the drive is seen."""
        from beltpath.cards.view import View

        return View(mirrored=self.mirrored, turned=self.turned)


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One finished page: its primitives, and the diagram on it if it has one."""

    paper: Paper
    title: str
    description: str
    items: tuple[Item, ...]
    layout: Layout
    diagram: Diagram | None = None


@dataclass(frozen=True, kw_only=True)
class Card:
    """A finished card: its `pages` in print order, their `ink`, and its `title` in a PDF.

    Raises UsageError without a page, ExportError for a letter that the font lacks.
    """

    title: str
    pages: tuple[Page, ...]
    ink: Ink = "colour"

    def __post_init__(self) -> None:
        """Refuse a card without pages, an ink that there is not, a letter that the font lacks.

        Raises UsageError, and ExportError for the letter: no box stands for one.
        """
        from beltpath.cards.legible import require

        if not self.pages:
            raise UsageError("a card has one page at least; this one has none")
        _one_of("ink", self.ink, INKS)
        for page in self.pages:
            require(page.items, page.layout)

    def __repr__(self) -> str:
        """One line: its title and how many pages it has."""
        return f"<Card {self.title!r}: {len(self.pages)} pages>"

    def _repr_svg_(self) -> str:
        """The first page, which a notebook shows."""
        return self.svg_pages[0]

    @cached_property
    def svg_pages(self) -> list[str]:
        """Every page as the text of an SVG file. The same study gives the same text."""
        from beltpath.cards.svg import render

        return [
            render(
                page.paper,
                page.items,
                title=page.title,
                description=page.description,
                ink=self.ink,
                layout_text=page.layout.text,
            )
            for page in self.pages
        ]

    def pdf(self) -> bytes:
        """All pages as one PDF. Raises ExportError when cairo or its fonts cannot be had."""
        from beltpath.cards.export import pdf

        return pdf(self, dict(self._carried()))

    def _carried(self) -> Iterator[tuple[str, str]]:
        """Every layout on the card once: a file name and its text."""
        layouts = [next(pages).layout for _, pages in groupby(self.pages, key=_identity)]
        for number, layout in enumerate(layouts, start=1):
            yield f"{number}-{layout.name}.toml", layout.text

    def png_pages(self, dpi: float = 200.0) -> list[bytes]:
        """Every page as a PNG picture. Raises ExportError as `pdf` does."""
        from beltpath.cards.export import png

        _within("dpi", dpi, (FEWEST_DOTS, MOST_DOTS))
        return [png(page, self.ink, dpi) for page in self.pages]


def _one_of(name: str, value: object, known: tuple[object, ...]) -> None:
    # True is 1: a number is not taken for a yes.
    if not any(type(value) is type(one) and value == one for one in known):
        raise UsageError(f"{name} must be one of {', '.join(map(repr, known))}; found {value!r}")


def _within(name: str, value: object, limits: tuple[float, float] | None) -> None:
    """Refuse all but a finite number, within its limits if it has any."""
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if not number or not isfinite(value):  # type: ignore[arg-type]
        raise UsageError(f"{name} must be a finite number; found {value!r}")
    if limits and not limits[0] <= value <= limits[1]:  # type: ignore[operator]
        raise UsageError(f"{name} must be {limits[0]:g} to {limits[1]:g}; found {value!r}")


def _identity(page: Page) -> int:
    """Pages of one layout stand together; two layouts may be equal and still be two."""
    return id(page.layout)
