"""TOML text <-> Layout: the only reader and writer of layouts.

Reading never stops at the first mistake: structure (keys, kinds of value) is read strictly by
pydantic's validator, then sizes and references are checked, and every problem is reported with its
key path and line in one `LayoutError`.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from itertools import islice
from typing import Any

from beltpath.data.sections import Section, length_tolerance, section
from beltpath.errors import LayoutError, Problem, UsageError
from beltpath.layout.layout import (
    Belt,
    Layout,
    Load,
    Measured,
    Pulley,
    Running,
    Spring,
    Tensioner,
    digest_of,
    from_text,
)
from beltpath.layout.problems import MOST_PROBLEMS, comment_problems, judged, too_deep
from beltpath.layout.tables import (
    BeltTable,
    LayoutTable,
    PulleyTable,
    RunningTable,
    SpringTable,
    TensionerTable,
    effort,
    measured,
)
from beltpath.layout.toml_lines import LineIndex, has_long_chain
from beltpath.layout.toml_slips import foreign, slip
from beltpath.layout.values import MM_PER_INCH

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
    if data.keys() & {"tape", "photo"}:
        raise LayoutError([_measurements()])
    read, problems = judged(data)
    problems += islice(comment_problems(text), MOST_PROBLEMS)
    if read is None or problems:
        raise _refused(text, problems)
    try:
        return from_text(_layout(read, name), text, digest)
    except LayoutError as error:
        raise _refused(text, error.problems) from error


def toml_data(text: str) -> dict[str, Any]:
    """The tables of a layout file's text before they are judged. Raises LayoutError if not TOML."""
    _digest(text)
    return _toml(text)


def _measurements() -> Problem:
    return Problem(
        "",
        "this is a file of measurements and not a layout; make one of it first: beltpath measure "
        "FILE --out LAYOUT",
    )


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
    too_deep_problem = Problem("", "the file nests too deeply to be a layout")
    if has_long_chain(text):
        raise LayoutError([too_deep_problem])
    try:
        data = tomllib.loads(text)
    except RecursionError as error:
        raise LayoutError([too_deep_problem]) from error
    except ValueError as error:
        raise LayoutError([_not_toml(error, text)]) from error
    if too_deep(data):
        raise LayoutError([too_deep_problem])
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


def _refused(text: str, problems: Sequence[Problem]) -> LayoutError:
    lines = LineIndex(text)
    told = [lines.placed(problem) for problem in lines.in_order(problems)][:MOST_PROBLEMS]
    if len(problems) > MOST_PROBLEMS:
        told.append(Problem("", "and more mistakes after these; is this a layout file?"))
    return LayoutError(told)


def _layout(table: LayoutTable, name: str) -> Layout:
    """Turn sound tables into records in millimetres."""
    scale = MM_PER_INCH if table["units"] == "in" else 1.0
    sect = section(table["belt"]["section"])
    return Layout(
        title=table["title"],
        units=table["units"],
        crank_turns=table["crank_turns"],
        driver=table["driver"],
        accuracy=1.0 if table["accuracy"] is None else table["accuracy"] * scale,
        notes=table["notes"],
        route=None if table["route"] is None else tuple(table["route"]),
        belt=_belt(table["belt"], sect, scale),
        pulleys={key: _pulley(key, p, scale) for key, p in table["pulleys"].items()},
        tensioner=None if table["tensioner"] is None else _tensioner(table["tensioner"], scale),
        running=None if table["running"] is None else _running(table["running"]),
        name=name,
    )


def _belt(table: BeltTable, sect: Section, scale: float) -> Belt:
    length = None if table["length"] is None else table["length"] * scale
    tolerance = None if table["tolerance"] is None else table["tolerance"] * scale
    assumed = tolerance is None and length is not None
    if tolerance is None and length is not None:
        tolerance = length_tolerance(length)
    back, height = _thickness(table, sect, scale)
    return Belt(
        section=sect,
        ribs=table["ribs"],
        length=length,
        tolerance=tolerance,
        double_sided=table["double_sided"],
        elastic=table["elastic"],
        reckoned=table["double_sided"] and table["height"] is None,
        tolerance_assumed=assumed,
        back=back,
        height=height,
    )


def _thickness(table: BeltTable, sect: Section, scale: float) -> tuple[float, float]:
    """T and h in mm. A double-sided belt is symmetric about its cord: t = h/2 + b_e."""
    height = None if table["height"] is None else table["height"] * scale
    back = None if table["back"] is None else table["back"] * scale
    if table["double_sided"]:
        if height is None:
            height = 2.0 * (sect.height - sect.back + sect.b_e)
        return (height / 2.0 + sect.b_e if back is None else back), height
    return (sect.back if back is None else back), (sect.height if height is None else height)


def _pulley(name: str, table: PulleyTable, scale: float) -> Pulley:
    how, value = measured(table)
    load = table["load"]
    return Pulley(
        name=name,
        at=(table["at"][0] * scale, table["at"][1] * scale),
        measured=Measured(how, value * scale),
        face=table["face"],
        role=table["role"],
        side=table["side"],
        turns=table["turns"],
        grooves=table["grooves"],
        rim=None if table["rim"] is None else table["rim"] * scale,
        offset=table["offset"] * scale,
        min_wrap=table["min_wrap"],
        max_rpm=table["max_rpm"],
        load=None if load is None else Load(power_kw=load["power_kw"], torque_nm=load["torque_nm"]),
        reach=table["reach"],
        accuracy=None if table["accuracy"] is None else table["accuracy"] * scale,
        label=table["label"],
    )


def _tensioner(table: TensionerTable, scale: float) -> Tensioner:
    slide = table["kind"] == "slide"
    unit = scale if slide else 1.0
    return Tensioner(
        pulley=table["pulley"],
        kind=table["kind"],
        pivot=None
        if table["pivot"] is None
        else (table["pivot"][0] * scale, table["pivot"][1] * scale),
        along=table["along"],
        free=table["free"] * unit,
        load=table["load"] * unit,
        window=None if table["window"] is None else _pair(table["window"], unit),
        spring=None if table["spring"] is None else _spring(table["spring"], unit),
        lever=table["lever"],
        release=table["release"],
    )


def _spring(table: SpringTable, unit: float) -> Spring:
    return Spring(effort=effort(table), at=table["at"] * unit, rate=table["rate"] / unit)


def _pair(window: list[float], unit: float) -> tuple[float, float]:
    low, high = sorted(window)
    return (low * unit, high * unit)


def _running(table: RunningTable) -> Running:
    return Running(
        crank_rpm=tuple(table["crank_rpm"]),
        tension=table["tension"],
        friction_ribs=table["friction_ribs"],
        friction_back=table["friction_back"],
        mass_per_rib=table["mass_per_rib"],
        stiffness_per_rib=table["stiffness_per_rib"],
    )


def schema() -> Mapping[str, Any]:
    """The JSON Schema of a layout file, for editors that complete keys."""
    from beltpath.layout.keys import LayoutModel

    built: dict[str, Any] = LayoutModel.model_json_schema()
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **built,
        "title": "beltpath layout file",
    }
