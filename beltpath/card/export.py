"""PDF and PNG through cairo, and files on disk."""

from __future__ import annotations

import io
from collections.abc import Mapping
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from beltpath.card.document import Card, Page
from beltpath.errors import ExportError, UsageError
from beltpath.files import write_whole

if TYPE_CHECKING:
    from beltpath.card.scene import Ink

#: Who a PDF says has made it.
MAKER = "beltpath"
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
        return import_module("beltpath.card.paint")
    except (ImportError, OSError) as error:
        raise ExportError(INSTALL) from error


def save(card: Card, path: Path, *, force: bool = False, dpi: float = 200.0) -> tuple[Path, ...]:
    """Write a card as .svg, .pdf or .png; returns the files written.

    SVG and PNG hold one page each: further pages are NAME-2, NAME-3 and so on. Nothing is
    overwritten without `force`, and nothing is written when a file stands in the way.
    """
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise UsageError(f"{path}: a card is written as .svg, .pdf or .png; name such a file")
    targets = page_paths(path, 1 if kind == ".pdf" else len(card.pages))
    for target in targets:
        if target.exists() and not force:
            raise UsageError(f"{target}: exists already; say --force to write over it")
    if kind == ".pdf":
        contents = [card.pdf()]
    elif kind == ".png":
        contents = card.png_pages(dpi)
    else:
        contents = [text.encode() for text in card.svg_pages]
    for target, content in zip(targets, contents, strict=True):
        write_whole(target, content)
    return targets


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
