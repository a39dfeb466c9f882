"""The text or the plain tables of a layout file -> Layout.

Reading never stops at the first mistake: keys and kinds of value are read strictly by the
declaration in `keys`, then sizes and references are checked, and every problem is reported with
its key path and line in one `LayoutError`.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from typing import Any

from beltpath.errors import LayoutError, Problem, UsageError
from beltpath.layout.convert import facts_of
from beltpath.layout.keys import LayoutModel
from beltpath.layout.layout import Layout, digest_of, from_text
from beltpath.layout.problems import MOST_PROBLEMS, comment_problems, judged, too_deep
from beltpath.layout.slips import foreign, slip
from beltpath.layout.toml import LineIndex, has_long_chain

_MEASUREMENTS = Problem(
    "",
    "this is a file of measurements and not a layout; make one of it first: beltpath measure "
    "FILE --out LAYOUT",
)
_TOO_DEEP = Problem("", "the file nests too deeply to be a layout")
#: A layout is a page of text; anything far larger is some other file.
LARGEST_TEXT = 200_000


def parse(text: str, *, name: str = "layout") -> Layout:
    """Read the text of a layout file.

    - `text`: the file's text, TOML.
    - `name`: the file's stem, which is printed on the card.

    Returns the layout, in mm and degrees whatever the units of the file.
    Raises LayoutError with every mistake found (100 at most), each with its key path and line,
    UsageError for what is no text at all.
    Source: docs/layout-file.md describes the file.
    """
    if not isinstance(text, str):
        raise UsageError(f"a layout is read from text; found {type(text).__name__}")
    text = text.removeprefix("\ufeff")
    digest = _digest(text)
    data = _toml(text)
    try:
        return from_text(_layout(data, name, comment_problems(text)), text, digest)
    except LayoutError as error:
        raise _refused(error.problems, LineIndex(text)) from error


def from_data(data: Mapping[str, Any], *, name: str = "layout") -> Layout:
    """The layout of plain tables, as `tomllib` would read them from a layout file.

    Raises LayoutError with every mistake found (100 at most), UsageError for what are no tables.
    """
    if not isinstance(data, dict):
        raise UsageError(f"a layout is made from a dict; found {type(data).__name__}")
    if too_deep(data):
        raise LayoutError([_TOO_DEEP])
    if not _has_text_keys(data):
        raise UsageError("a layout is made from a dict whose keys are all text")
    try:
        return _layout(data, name)
    except LayoutError as error:
        raise _refused(error.problems) from error


def toml_data(text: str) -> dict[str, Any]:
    """The tables of a layout file's text before they are judged. Raises LayoutError if not TOML."""
    _digest(text)
    return _toml(text)


def too_large() -> Problem:
    """What is said of a text longer than any layout."""
    return Problem("", f"the file is too large to be a layout (over {LARGEST_TEXT // 1000} kB)")


def _digest(text: str) -> str:
    """A short digest that traces a card to its file. Refuses what is too large or not text."""
    try:
        encoded = text.encode()
    except UnicodeEncodeError as error:
        raise LayoutError([Problem("", "this is not Unicode text; save it as UTF-8")]) from error
    if len(encoded) > LARGEST_TEXT:
        raise LayoutError([too_large()])
    return digest_of(text)


def _toml(text: str) -> dict[str, Any]:
    if has_long_chain(text):
        raise LayoutError([_TOO_DEEP])
    try:
        data = tomllib.loads(text)
    except RecursionError as error:
        raise LayoutError([_TOO_DEEP]) from error
    except ValueError as error:
        raise LayoutError([_not_toml(error, text)]) from error
    if too_deep(data):
        raise LayoutError([_TOO_DEEP])
    return data


def _not_toml(error: ValueError, text: str) -> Problem:
    """Where a text stops being TOML, told as any other problem."""
    if not isinstance(error, tomllib.TOMLDecodeError):
        # Python's own guard against whole numbers of thousands of digits.
        return Problem("", "the file holds a number of far too many digits")
    if told := foreign(text):
        return Problem("", told)
    place = re.fullmatch(r"(.*) \(at line (\d+), column (\d+)\)", str(error), re.DOTALL)
    if place is None:
        return Problem("", f"this is not TOML as it stands: {error}")
    number = int(place[2])
    hint = slip(text, number, place[1])
    return Problem(
        "", f"this is not TOML as it stands: {place[1]}, at character {place[3]}{hint}", number
    )


def _layout(data: Mapping[str, Any], name: str, also: Iterable[Problem] = ()) -> Layout:
    """The layout of raw tables. Raises LayoutError with all that is wrong with them."""
    if data.keys() & {"tape", "photo"}:
        raise LayoutError([_MEASUREMENTS])
    read, problems = judged(data)
    problems += islice(also, MOST_PROBLEMS)
    if read is None or problems:
        raise LayoutError(problems)
    return Layout(**facts_of(read), name=name)


def _has_text_keys(value: object) -> bool:
    if isinstance(value, dict):
        return all(isinstance(key, str) and _has_text_keys(one) for key, one in value.items())
    return not isinstance(value, list) or all(map(_has_text_keys, value))


def _refused(problems: Sequence[Problem], lines: LineIndex | None = None) -> LayoutError:
    """The problems in the order of the file, each with its line; not too many of them."""
    if lines is None:
        told = list(dict.fromkeys(problems))
    else:
        told = [lines.placed(problem) for problem in lines.in_order(problems)]
    more = [Problem("", "and more mistakes after these; is this a layout file?")]
    return LayoutError(told[:MOST_PROBLEMS] + more * (len(problems) > MOST_PROBLEMS))


def schema() -> Mapping[str, Any]:
    """The JSON Schema of a layout file, for editors that complete keys."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **LayoutModel.model_json_schema(),
        "title": "beltpath layout file",
    }
