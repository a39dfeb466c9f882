"""A card carries its layout: reading the text back from an SVG's metadata or a PDF's attachment.

Cards come from outside. What is read is bounded: an SVG is parsed as it streams by and never built,
a PDF is read in a process of its own.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

from beltpath.errors import LayoutError, Problem
from beltpath.layout.characters import shown
from beltpath.layout.reader import LARGEST_TEXT

#: The namespace of the layout's text in the metadata of an SVG.
LAYOUT_SPACE = "urn:beltpath:layout"
#: What files these begin with.
PDF_MARK = b"%PDF-"
_SVG_MARKS = (b"<svg", b"<?xml")
_PICTURES = {
    b"\x89PNG\r\n\x1a\n": "a PNG",
    b"\xff\xd8\xff": "a JPEG",
    b"GIF87a": "a GIF",
    b"GIF89a": "a GIF",
}
#: A page with its font takes a few hundred kilobytes, and one saved by an editor a few times that.
LARGEST_SVG = 4_000_000
#: Elements of an SVG; a page has some thousands.
MOST_ELEMENTS = 100_000
#: Layouts on one card; a page carries one.
MOST_LAYOUTS = 100
#: A card of many pages with pictures is a few megabytes.
LARGEST_PDF = 32_000_000
#: Seconds after which a PDF is given up, however slow the machine is (`embedded_pdf` takes less).
PATIENCE = 15.0
#: Bytes handed to the parser at once; it looks at an unfinished tag anew every time.
_CHUNK = 1_000_000
_ENCODING = re.compile(rb"""^\s*<\?xml[^>]*?\sencoding\s*=\s*["']([^"'>]*)""")


def is_card(data: bytes) -> bool:
    """Whether these bytes look like a card (SVG or PDF) and not like a layout."""
    return data.startswith(PDF_MARK) or _past_mark(data[:100]).startswith(_SVG_MARKS)


def refuse_picture(data: bytes) -> None:
    """Raise LayoutError for a picture of dots, which carries no layout."""
    for mark, kind in _PICTURES.items():
        if data.startswith(mark):
            raise _unusable(
                f"this is {kind} picture, which carries no layout; name the layout file, or the "
                f"card as SVG or PDF"
            )


def layout_text(data: bytes) -> str:
    """The text of the one layout that a card carries.

    Raises LayoutError when the card cannot be read, or carries none or several.
    """
    texts = _from_pdf(data) if data.startswith(PDF_MARK) else _from_svg(data)
    texts = list(dict.fromkeys(texts))
    if not texts:
        raise _unusable("this picture carries no layout; name the layout file itself")
    if len(texts) > 1:
        raise _unusable(f"this card carries {len(texts)} layouts; name one layout file")
    return texts[0]


def _past_mark(data: bytes) -> bytes:
    return data.lstrip(b"\xef\xbb\xbf \r\n\t")


class _Carried:
    """Gathers the texts of the layouts while an SVG streams by, and nothing else of it."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        self._parts: list[str] | None = None
        self._elements = self._held = 0

    def start(self, tag: str, _: object) -> None:
        """An element begins."""
        self._elements += 1
        if self._elements > MOST_ELEMENTS or len(self.texts) > MOST_LAYOUTS:
            raise _unusable("this SVG holds more than a card does; name the layout file itself")
        if tag == f"{{{LAYOUT_SPACE}}}layout":
            self._parts, self._held = [], 0

    def data(self, text: str) -> None:
        """Some text goes by."""
        if self._parts is not None:
            self._held += len(text)
            if self._held > LARGEST_TEXT:
                raise _unusable("the layout in this SVG is too large to be one")
            self._parts.append(text)

    def end(self, tag: str) -> None:
        """An element ends."""
        if self._parts is not None and tag == f"{{{LAYOUT_SPACE}}}layout":
            self.texts.append("".join(self._parts))
            self._parts = None

    def close(self) -> None:
        """The SVG ends."""


def _from_svg(data: bytes) -> list[str]:
    from defusedxml import DefusedXmlException
    from defusedxml.ElementTree import DefusedXMLParser, ParseError

    _refuse_svg(data)
    carried = _Carried()
    parser = DefusedXMLParser(target=carried, encoding="utf-8", forbid_dtd=True)
    try:
        for start in range(0, len(data), _CHUNK):
            parser.feed(data[start : start + _CHUNK])
        parser.close()
    except (ParseError, DefusedXmlException, ValueError) as error:
        raise _unusable(f"this is not SVG as it stands: {error}") from error
    return carried.texts


def _refuse_svg(data: bytes) -> None:
    """Refuse by its bytes what no card has, before anything parses it."""
    if len(data) > LARGEST_SVG:
        raise _unusable(
            f"this SVG is larger than {LARGEST_SVG // 1_000_000} MB; name the layout file itself"
        )
    if b"<!DOCTYPE" in data:
        raise _unusable(
            "this is not SVG as it stands: it declares a document type, which no card does; save "
            "it as plain SVG"
        )
    encoding = _ENCODING.match(data.removeprefix(b"\xef\xbb\xbf")[:1000])
    if encoding and encoding[1].upper() not in (b"UTF-8", b"US-ASCII", b"ASCII"):
        name = encoding[1][:40].decode("ascii", "replace")
        raise _unusable(f'this SVG is in the encoding "{name}"; save it in UTF-8')


def _from_pdf(data: bytes) -> list[str]:
    if len(data) > LARGEST_PDF:
        raise _unusable(f"this PDF is larger than {LARGEST_PDF // 1_000_000} MB")
    try:
        answer = json.loads(_read_apart(data))
    except subprocess.TimeoutExpired as error:
        raise _unusable("this PDF cannot be read: it takes too long") from error
    except (OSError, ValueError) as error:
        raise _unusable("this PDF cannot be read: it takes too much time or memory") from error
    if "error" in answer:
        raise _unusable(f"this PDF cannot be read: {answer['error']}")
    texts: list[str] = answer["texts"]
    return texts


def _read_apart(data: bytes) -> bytes:
    """What `embedded_pdf` says of a PDF, in a process of its own; nothing if that was ended."""
    return subprocess.run(  # noqa: S603 (the program and its words are ours)
        [
            sys.executable,
            # Without the folder in which it happens to be called.
            "-P",
            "-c",
            "import runpy, sys; runpy.run_path(sys.argv.pop(1))['main']()",
            str(Path(__file__).with_name("carried_pdf.py")),
            str(LARGEST_TEXT),
        ],
        input=data,
        stdout=subprocess.PIPE,
        # The library's log may carry anything that the PDF holds.
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        timeout=PATIENCE,
        check=False,
    ).stdout


def _unusable(sentence: str) -> LayoutError:
    return LayoutError([Problem("", shown(sentence, "?"))])
