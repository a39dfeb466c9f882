"""Reading files whole: the edge of the program where paths and streams are known."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from beltpath.errors import LayoutError, Problem, UsageError
from beltpath.files.carried import LARGEST_PDF, is_card, layout_text, refuse_picture
from beltpath.files.writing import named, printable, reason
from beltpath.layout.layout import Layout
from beltpath.layout.reader import LARGEST_TEXT, parse, too_large

if TYPE_CHECKING:
    from beltpath.layout.what_if import Changes

#: No file of more than a card's size is read.
LARGEST_CARD = LARGEST_PDF
#: What other programs save a text as, by its first bytes.
_WORD = "this is a document of a word processor or spreadsheet; save it as plain text"
_UTF_16 = "this text is saved as UTF-16 (Unicode); save it as UTF-8"
_FOREIGN = (
    (b"PK\x03\x04", _WORD),
    (b"\xd0\xcf\x11\xe0", _WORD),
    (b"\xff\xfe", _UTF_16),
    (b"\xfe\xff", _UTF_16),
    (b"t\x00i\x00t\x00", _UTF_16),
)


def read(path: str | os.PathLike[str]) -> Layout:
    """Read a layout file, or the layout that a card carries.

    - `path`: the file's name; ``-`` is standard input.

    Returns the layout, in mm and degrees whatever the units of the file.
    Raises LayoutError with every mistake found, UsageError when there is no such file to read.
    Source: docs/layout-file.md describes the file.
    """
    if not isinstance(path, str | os.PathLike):
        raise UsageError(f"a layout is read from a file's name; found {type(path).__name__}")
    return parse(read_text(path), name=name_of(path))


def read_changed(path: str | os.PathLike[str], changes: Changes) -> Layout:
    """Read a layout file with changes made to it. Raises as `read` and `what_if.changed` do."""
    # What only a what-if needs is slow to load.
    from beltpath.layout.what_if import changed

    return changed(read_text(path), changes, name=name_of(path))


def name_of(path: str | os.PathLike[str]) -> str:
    """What a layout read from there is called on the card: the file's stem."""
    return "standard input" if str(path) == "-" else printable(Path(path).stem)


def read_text(path: str | os.PathLike[str]) -> str:
    """The text of a layout file, or of the layout that a card carries; ``-`` is standard input.

    A layout is UTF-8 text no larger than `LARGEST_TEXT`; a card is an SVG or PDF of beltpath's.
    """
    data = _bytes(path)
    if is_card(data):
        return layout_text(data)
    refuse_picture(data)
    if told := next((told for mark, told in _FOREIGN if data.startswith(mark)), ""):
        raise LayoutError([Problem("", told)])
    if len(data) > LARGEST_TEXT:
        raise LayoutError([too_large()])
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise LayoutError(
            [Problem("", "the file is not UTF-8 text; save it as UTF-8", line)]
        ) from error


def read_catalogue_text(path: str | os.PathLike[str]) -> str:
    """The text of a catalogue of belts, UTF-8; ``-`` is standard input.

    Raises UsageError when it cannot be read, is too large, or is not UTF-8 text.
    """
    data = _bytes(path)
    if len(data) > LARGEST_CARD:
        raise UsageError(
            f"{named(path)}: the file is larger than {LARGEST_CARD // 1_000_000} MB; give the "
            f"part of the catalogue that is for this section"
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise UsageError(
            f"{named(path)}: line {line}: the file is not UTF-8 text; save it as CSV in UTF-8"
        ) from error


def _bytes(path: str | os.PathLike[str]) -> bytes:
    try:
        if str(path) == "-":
            return _standard_input().read(LARGEST_CARD + 1)
        with Path(path).open("rb") as stream:
            return stream.read(LARGEST_CARD + 1)
    except (OSError, ValueError) as error:
        raise UsageError(f"{named(path)}: cannot be read: {reason(error)}") from error


def _standard_input() -> BinaryIO:
    # A closed standard input is None, whatever its type says.
    if sys.stdin is None:
        raise UsageError("standard input is closed; name a file to read")
    return sys.stdin.buffer
