"""A card carries its layout: reading the text back from an SVG's metadata or a PDF's attachment."""

from __future__ import annotations

import io

from beltpath.errors import LayoutError, Problem

#: The namespace of the layout's text in the metadata of an SVG.
LAYOUT_SPACE = "urn:beltpath:layout"
#: What files these begin with.
PDF_MARK = b"%PDF-"
_SVG_MARKS = (b"<svg", b"<?xml")


def is_card(data: bytes) -> bool:
    """Whether these bytes look like a card (SVG or PDF) and not like a layout."""
    return data.startswith(PDF_MARK) or data.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(_SVG_MARKS)


def layout_text(data: bytes) -> str:
    """The text of the one layout that a card carries.

    Raises LayoutError when the card cannot be read, or carries none or several.
    """
    texts = _from_pdf(data) if data.startswith(PDF_MARK) else _from_svg(data)
    if not texts:
        raise _unusable("this picture carries no layout; name the layout file itself")
    if len(texts) > 1:
        raise _unusable(f"this card carries {len(texts)} layouts; name one layout file")
    return texts[0]


def _from_svg(data: bytes) -> list[str]:
    from defusedxml import DefusedXmlException
    from defusedxml.ElementTree import ParseError, fromstring

    try:
        root = fromstring(data)
    except (ParseError, DefusedXmlException, ValueError) as error:
        raise _unusable(f"this is not SVG as it stands: {error}") from error
    found = root.iter(f"{{{LAYOUT_SPACE}}}layout")
    return list(dict.fromkeys(element.text or "" for element in found))


def _from_pdf(data: bytes) -> list[str]:
    from pypdf import PdfReader

    try:
        attachments = PdfReader(io.BytesIO(data)).attachments
        return [
            content.decode("utf-8")
            for name, contents in attachments.items()
            if name.endswith(".toml")
            for content in contents
        ]
    except Exception as error:  # a damaged PDF makes the library raise nearly anything
        raise _unusable(f"this PDF cannot be read: {error}") from error


def _unusable(sentence: str) -> LayoutError:
    return LayoutError([Problem("", sentence)])
