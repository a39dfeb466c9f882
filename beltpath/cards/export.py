"""PDF and PNG through cairo, and files on disk."""

from __future__ import annotations

import io
import os
from collections.abc import Iterator, Mapping, Sequence
from importlib import import_module
from itertools import takewhile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from beltpath.cards.document import Card, Page
from beltpath.errors import ExportError, UsageError
from beltpath.files.writing import vacant, write_set

if TYPE_CHECKING:
    from beltpath.cards.document import Ink

#: Who a PDF says has made it.
MAKER = "beltpath"
#: So many pages of an earlier card are told.
MOST_LEFT_OVER = 100
KINDS = (".svg", ".pdf", ".png")
INSTALL = (
    "cairo cannot be loaded, so only SVG can be written; install it (Debian: apt-get install "
    "libcairo2) or print the SVG from a browser"
)


def pdf(card: Card, attached: Mapping[str, str]) -> bytes:
    """A card as one PDF document, each page in its own true size, with texts attached to it."""
    document: bytes = _painter().document(card.pages, card.ink)
    return _finished(document, card.title, attached)


def png(page: Page, ink: Ink, dpi: float) -> bytes:
    """One page as a PNG picture."""
    picture: bytes = _painter().picture(page, ink, dpi)
    return picture


def _painter() -> Any:
    """The module that draws with cairo."""
    try:
        return import_module("beltpath.cards.paint")
    except (ImportError, OSError) as error:
        raise ExportError(INSTALL) from error


def save(card: Card, path: Path, *, force: bool = False, dpi: float = 200.0) -> tuple[Path, ...]:
    """Write a card as .svg, .pdf or .png; returns the files written.

    SVG and PNG hold one page each: further pages are NAME-2, NAME-3 and so on, all of them written
    as one. Nothing is overwritten without `force`, and nothing is written when a file stands in the
    way.
    """
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise UsageError(f"{path}: a card is written as .svg, .pdf or .png; name such a file")
    targets = page_paths(path, 1 if kind == ".pdf" else len(card.pages))
    for target in targets:
        vacant(target, force=force)
    if kind == ".pdf":
        contents = [card.pdf()]
    elif kind == ".png":
        contents = card.png_pages(dpi)
    else:
        contents = [text.encode() for text in card.svg_pages]
    write_set(list(zip(targets, contents, strict=True)), force=force)
    return targets


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


def _finished(document: bytes, title: str, attached: Mapping[str, str]) -> bytes:
    """The document under its title, with the texts, and without the hour at which it was drawn."""
    from pypdf import PdfReader, PdfWriter

    writer = PdfWriter()
    writer.append(PdfReader(io.BytesIO(document)))
    writer.add_metadata({"/Title": title, "/Creator": MAKER, "/Producer": MAKER})
    for name, text in attached.items():
        writer.add_attachment(name, text.encode())
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()
