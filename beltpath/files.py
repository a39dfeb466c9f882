"""Reading and writing files whole: the edge of the program where paths and streams are known."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

from beltpath.errors import LayoutError, Problem, UsageError
from beltpath.layout import Layout
from beltpath.layout_file import LARGEST_TEXT, parse


def read(path: str | os.PathLike[str]) -> Layout:
    """Read a layout file; ``-`` is standard input.

    Raises LayoutError with every mistake found, UsageError when there is no such file to read.
    """
    name = "standard input" if str(path) == "-" else Path(path).stem
    return parse(read_text(path), name=name)


def read_text(path: str | os.PathLike[str]) -> str:
    """The text of a UTF-8 file, at most a megabyte; ``-`` is standard input."""
    data = _bytes(path)
    if len(data) > LARGEST_TEXT:
        raise LayoutError([Problem("", "the file is too large to be a layout (over a megabyte)")])
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise LayoutError(
            [Problem("", "the file is not UTF-8 text; save it as UTF-8", line)]
        ) from error


def _bytes(path: str | os.PathLike[str]) -> bytes:
    if str(path) == "-":
        return sys.stdin.buffer.read(LARGEST_TEXT + 1)
    try:
        with Path(path).open("rb") as stream:
            return stream.read(LARGEST_TEXT + 1)
    except OSError as error:
        raise UsageError(f"{path}: cannot be read: {_reason(error)}") from error


def write_whole(path: Path, data: bytes) -> None:
    """Write a file whole or not at all: into a temporary neighbour, then renamed over it."""
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError as error:
        raise UsageError(f"{path}: cannot be written: {_reason(error)}") from error
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
        _give_usual_mode(temporary)
        Path(temporary).replace(path)
    except OSError as error:
        Path(temporary).unlink(missing_ok=True)
        raise UsageError(f"{path}: cannot be written: {_reason(error)}") from error


def _give_usual_mode(path: str) -> None:
    """Mkstemp makes files private; give them the mode that a plain open would."""
    mask = os.umask(0)
    os.umask(mask)
    Path(path).chmod(0o666 & ~mask)


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
