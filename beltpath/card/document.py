"""What a card is: its options, its pages, and the finished card as SVG, PDF or PNG.

The package names these, so every command loads this module: the drawing stays out of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import TYPE_CHECKING

from beltpath.card.paper import Paper, PaperName, paper
from beltpath.layout import Layout

if TYPE_CHECKING:
    from beltpath.card.diagram import Diagram
    from beltpath.card.scene import Ink, Item
    from beltpath.card.view import View


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """How a card is printed. `turned` in degrees counterclockwise; ink `black` uses no colour.

    `steps` adds a strip of small pictures, one a step; `true_scale` adds sheets at 1:1; `code`
    adds the layout as a QR code; `loads` adds a page of hub loads where forces are known.
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

    @property
    def sheet(self) -> Paper:
        """The sheet to print on."""
        return paper(self.paper, landscape=self.landscape)

    @property
    def view(self) -> View:
        """From where the drive is seen."""
        from beltpath.card.view import View

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
    """Finished pages, in print order, and what a reader of the PDF calls them."""

    title: str
    pages: tuple[Page, ...]
    ink: Ink = "colour"

    def __post_init__(self) -> None:
        """Raises ExportError when the card's font lacks a character: no box stands for one."""
        from beltpath.card.legible import require

        for page in self.pages:
            require(page.items, page.layout)

    @cached_property
    def svg_pages(self) -> list[str]:
        """Every page as the text of an SVG file. The same study gives the same text."""
        from beltpath.card.svg import render

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
        from beltpath.card.export import pdf

        return pdf(self, dict(self._carried()))

    def _carried(self) -> Iterator[tuple[str, str]]:
        """Every layout on the card once: a file name and its text."""
        layouts = [next(pages).layout for _, pages in groupby(self.pages, key=_identity)]
        for number, layout in enumerate(layouts, start=1):
            yield f"{number}-{layout.name}.toml", layout.text

    def png_pages(self, dpi: float = 200.0) -> list[bytes]:
        """Every page as a PNG picture. Raises ExportError as `pdf` does."""
        from beltpath.card.export import png

        return [png(page, self.ink, dpi) for page in self.pages]


def _identity(page: Page) -> int:
    """Pages of one layout stand together; two layouts may be equal and still be two."""
    return id(page.layout)
