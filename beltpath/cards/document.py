"""What a card is: its options, its pages, and the finished card as SVG, PDF, PNG or files.

The package names these, so every command loads this module: the drawing stays out of it.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from importlib import import_module
from itertools import groupby, takewhile
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

from beltpath.cards.paper import INKS, PAPER_NAMES, Ink, Paper, PaperName, paper
from beltpath.errors import ExportError, UsageError
from beltpath.files.writing import vacant, write_set
from beltpath.layout.layout import Layout

if TYPE_CHECKING:
    from beltpath.cards.diagram import Diagram
    from beltpath.cards.scene import Item
    from beltpath.cards.view import View

#: Dots per inch that a picture may have: what can still be read, and what a machine can hold.
FEWEST_DOTS, MOST_DOTS = 20.0, 1200.0
#: So many pages of an earlier card are told.
MOST_LEFT_OVER = 100
KINDS = (".svg", ".pdf", ".png")
INSTALL = (
    "cairo cannot be loaded, so only SVG can be written; install it (Debian: apt-get install "
    "libcairo2) or print the SVG from a browser"
)
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
        from beltpath.cards.font import require

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
        sheets = [(page.paper, page.items) for page in self.pages]
        document: bytes = _cairo().pdf(sheets, self.ink, self.title, dict(self._carried()))
        return document

    def _carried(self) -> Iterator[tuple[str, str]]:
        """Every layout on the card once: a file name and its text."""
        layouts = [next(pages).layout for _, pages in groupby(self.pages, key=_identity)]
        for number, layout in enumerate(layouts, start=1):
            yield f"{number}-{layout.name}.toml", layout.text

    def png_pages(self, dpi: float = 200.0) -> list[bytes]:
        """Every page as a PNG picture. Raises ExportError as `pdf` does."""
        _within("dpi", dpi, (FEWEST_DOTS, MOST_DOTS))
        return [_cairo().png(page.paper, page.items, self.ink, dpi) for page in self.pages]

    def save(
        self, path: Path | str, force: bool = False, *, dpi: float = 200.0
    ) -> tuple[Path, ...]:
        """Write the card as .svg, .pdf or .png; returns the files written.

        SVG and PNG hold one page each: further pages are NAME-2, NAME-3 and so on, all of them
        written as one. Nothing is overwritten without `force`, and nothing is written when a file
        stands in the way. Raises UsageError for both, and ExportError as `pdf` does.
        """
        path = Path(path)
        kind = path.suffix.lower()
        if kind not in KINDS:
            raise UsageError(f"{path}: a card is written as .svg, .pdf or .png; name such a file")
        targets = page_paths(path, 1 if kind == ".pdf" else len(self.pages))
        for target in targets:
            vacant(target, force=force)
        if kind == ".pdf":
            contents = [self.pdf()]
        elif kind == ".png":
            contents = self.png_pages(dpi)
        else:
            contents = [text.encode() for text in self.svg_pages]
        write_set(list(zip(targets, contents, strict=True)), force=force)
        return targets


def _cairo() -> Any:
    """The module that draws with cairo; ExportError where cairo cannot be loaded."""
    try:
        return import_module("beltpath.cards.cairo")
    except (ImportError, OSError) as error:
        raise ExportError(INSTALL) from error


def left_over(written: Sequence[Path]) -> Iterator[Path]:
    """Pages of an earlier card that stand behind the last page of this one."""
    if written[0].suffix.lower() == ".pdf":
        return
    # Page names are those of one card for any number of pages.
    every = page_paths(written[0], len(written) + MOST_LEFT_OVER)
    yield from takewhile(os.path.lexists, every[len(written) :])


def page_paths(path: Path, count: int) -> tuple[Path, ...]:
    """NAME.svg, NAME-2.svg ..."""
    later = (path.with_name(f"{path.stem}-{i}{path.suffix}") for i in range(2, count + 1))
    return (path, *later)


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
