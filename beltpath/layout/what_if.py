"""A what-if: some values of a layout's text changed, some pulleys left out, the file untouched.

The changed layout is TOML text again, comments kept, and is judged by the one reader of layouts;
what it refuses is told with the change that brought it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import tomlkit
from pydantic import BaseModel
from tomlkit.exceptions import TOMLKitError

from beltpath.errors import LayoutError, Problem
from beltpath.layout.keys import (
    HOW_MEASURED,
    LONGEST_TITLE,
    BeltModel,
    LayoutModel,
    PulleyModel,
    RunningModel,
    TensionerModel,
)
from beltpath.layout.layout import Layout
from beltpath.layout.reader import parse, toml_data
from beltpath.layout.sentences import nearest
from beltpath.layout.toml import LineIndex, dotted, quoted, split_key

Path = tuple[str, ...]
Data = dict[str, Any]
#: A table as tomllib or as tomlkit has it: both are edited alike.
Tree = Any

_TABLES: Mapping[str, type[BaseModel]] = {
    "belt": BeltModel,
    "tensioner": TensionerModel,
    "running": RunningModel,
}
#: Keys of which a table holds one: giving one takes the others out.
_ONE_OF = (frozenset(HOW_MEASURED), frozenset({"power_kw", "torque_nm"}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """What a what-if changes: `values` as ``PULLEY.KEY=VALUE``, and pulleys `without` which."""

    values: tuple[str, ...] = ()
    without: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        """Whether anything is changed at all."""
        return bool(self.values or self.without)


@dataclass(frozen=True, slots=True)
class _Set:
    """One value to be set: the key path in the file, the value, and how it is told."""

    path: Path
    value: Any
    told: str

    @property
    def place(self) -> str:
        return f"--with {self.told}"


def changed(before: str | Layout, changes: Changes, *, name: str = "layout") -> Layout:
    """A layout, or the layout of a text, with values changed and pulleys left out.

    Its title tells what was changed; its `text` is the changed layout as TOML. `name` is what the
    layout of a text is called. Raises LayoutError with every mistake found, each at the change
    that brought it or at its line in the text.
    """
    if isinstance(before, Layout):
        return changed(before.text, changes, name=before.name) if changes else before
    if not changes:
        return parse(before, name=name)
    text = before.removeprefix("\ufeff")
    data = toml_data(text)
    _check_left_out(data, changes.without)
    for pulley in changes.without:
        _leave_out(data, pulley)
    settings, problems = _settings(data, changes.values)
    if problems:
        raise LayoutError(problems)
    words = _words(settings, changes.without)
    if isinstance(data.get("title"), str):
        settings.append(_Set(("title",), _title(data["title"], words), ""))
    new = _written(text, data, settings, changes.without)
    try:
        return parse(_remark(words) + new, name=name)
    except LayoutError as error:
        raise LayoutError(_placed(error, text, settings, changes.without)) from error


def _check_left_out(data: Data, names: Sequence[str]) -> None:
    """Refuse to leave out what is not there, or what the drive cannot be without."""
    pulleys = _table(data, "pulleys")
    carried = _table(data, "tensioner").get("pulley")
    problems = []
    for name in names:
        shown = quoted(name)
        if name not in pulleys:
            why = f"{shown} is not a pulley of this file{nearest(name, pulleys)}"
        elif _table(pulleys, name).get("role") == "crank":
            why = f"{shown} is the crank, which drives the belt; it cannot be left out"
        elif name == carried:
            why = f"{shown} is the tensioner's pulley; it cannot be left out"
        else:
            continue
        problems.append(Problem("", why, place=f"--without {_one_line(name)}"))
    if problems:
        raise LayoutError(problems)


def _leave_out(tree: Tree, name: str) -> None:
    tree["pulleys"].pop(name, None)
    route = tree.get("route")
    if isinstance(route, list):
        while name in route:
            route.remove(name)


# --- what is to be set ---------------------------------------------------------------------------


def _settings(data: Data, values: Sequence[str]) -> tuple[list[_Set], list[Problem]]:
    settings, problems = [], []
    for given in values:
        found = _setting(data, given)
        if isinstance(found, str):
            problems.append(Problem("", found, place=f"--with {_one_line(given)}"))
        else:
            settings.append(found)
    return settings, problems


def _setting(data: Data, given: str) -> _Set | str:
    """One ``PULLEY.KEY=VALUE`` understood, or what is wrong with it."""
    parts, text = _parted(data, given)
    if not parts:
        return "must be KEY=VALUE, for instance crank.diameter=140"
    if not text:
        return "gives no value; write one after the ="
    value = _value(text)
    path = _path(data, parts, value)
    if isinstance(path, str):
        return path
    return _Set(path, value, f"{_short(path)}={_shown(value)}")


def _parted(data: Data, given: str) -> tuple[list[str], str]:
    """Key parts and value text; a pulley's name may stand unquoted whatever is in it."""
    given = given.strip()
    for name in sorted(_table(data, "pulleys"), key=len, reverse=True):
        if name and given.startswith(f"{name}."):
            parts, text = split_key(given[len(name) + 1 :])
            return ([name, *parts] if parts else []), text
    return split_key(given)


def _value(text: str) -> Any:
    """A value in TOML's own syntax; anything else is taken as a bare word."""
    try:
        found = tomllib.loads(f"value = {text}")
    except (ValueError, RecursionError):
        return text
    return found["value"] if len(found) == 1 else text


def _path(data: Data, parts: list[str], value: Any) -> Path | str:
    """The key path in the file, or why there is none."""
    head, *rest = parts
    pulleys = _table(data, "pulleys")
    if head == "pulleys" and len(rest) > 1 and rest[0] in pulleys:
        return ("pulleys", *rest)
    if head in pulleys and rest and not _means_table(head, rest, value):
        return ("pulleys", head, *rest)
    if head in _TABLES and rest:
        return (head, *rest)
    if head in pulleys or head in _TABLES or head == "pulleys":
        return f"names no key of {quoted(head)}; write {head}.KEY=VALUE"
    if head in LayoutModel.model_fields:
        return (head, *rest)
    known = [*pulleys, *_TABLES]
    return f"{quoted(head)} is neither a pulley nor a table of this file{nearest(head, known)}"


def _means_table(head: str, rest: list[str], value: Any) -> bool:
    """Where a pulley is called as a table is: whether the table's key is meant.

    Both have a `load`: the tensioner's is a number (a stop), a pulley's a table.
    """
    model = _TABLES.get(head)
    if model is None or rest[0] not in model.model_fields:
        return False
    if rest[0] not in PulleyModel.model_fields:
        return True
    return len(rest) == 1 and not isinstance(value, dict)


# --- written as TOML again -----------------------------------------------------------------------


def _written(text: str, data: Data, settings: Sequence[_Set], without: Sequence[str]) -> str:
    """The changed text, with its comments where they can be kept, as `data` says for certain."""
    for setting in settings:
        _set(data, setting)
    try:
        document = tomlkit.parse(text)
        for name in without:
            _leave_out(document, name)
        for setting in settings:
            _set(document, setting)
        kept = document.as_string()
        if tomllib.loads(kept) == data:
            return kept
    except (TOMLKitError, ValueError, KeyError, TypeError, AttributeError):
        pass  # Rare shapes of TOML that cannot be edited in place: written plainly instead.
    return tomlkit.dumps(data)


def _set(tree: Tree, setting: _Set) -> None:
    *above, key = setting.path
    for part in above:
        if not isinstance(tree.get(part), dict):
            tree[part] = {}
        tree = tree[part]
    for group in _ONE_OF:
        if key in group:
            for other in group - {key}:
                tree.pop(other, None)
    tree[key] = setting.value


def _remark(words: str) -> str:
    return f"# What if: {words}\n"


def _title(title: str, words: str) -> str:
    """The title with what was changed; where that is too long, with as much as there is room."""
    room = LONGEST_TITLE - len(title) - len(" (what if: )")
    if len(words) <= room:
        return f"{title} (what if: {words})"
    tail = " (what if: see the file's first line)"
    if len(title) + len(tail) > LONGEST_TITLE:
        title = f"{title[: LONGEST_TITLE - len(tail) - 1].rstrip()}…"
    return f"{title}{tail}"


def _words(settings: Sequence[_Set], without: Sequence[str]) -> str:
    left = [f"without {_one_line(name)}" for name in without]
    return ", ".join([*(setting.told for setting in settings), *left])


def _short(path: Path) -> str:
    return dotted(path[1:] if path[0] == "pulleys" else path)


def _shown(value: Any) -> str:
    """A value as it was most likely typed: words bare, all else as TOML on one line."""
    if isinstance(value, str):
        return _one_line(value)
    return " ".join(tomlkit.item(value).as_string().split())


def _one_line(text: str) -> str:
    return text if text.isprintable() else quoted(text)


# --- what the reader refuses ---------------------------------------------------------------------


def _placed(
    error: LayoutError, text: str, settings: Sequence[_Set], without: Sequence[str]
) -> list[Problem]:
    """The reader's problems: at the change that brought them, else at their line in the text."""
    lines = LineIndex(text)
    told = []
    for problem in error.problems:
        place = next(_brought_by(problem.path, settings, without), None)
        line = None if place else lines.line(problem.path)
        told.append(replace(problem, line=line, place=place or ""))
    return told


def _brought_by(path: str, settings: Sequence[_Set], without: Sequence[str]) -> Iterator[str]:
    for setting in settings:
        own = dotted(setting.path)
        inside = path == own or path.startswith(f"{own}.")
        holding = "." in path and own.startswith(f"{path}.")
        if setting.told and (inside or holding):
            yield setting.place
    if path == "route":
        yield from (f"--without {_one_line(name)}" for name in without)


def _table(data: Mapping[str, Any], key: str) -> Data:
    found = data.get(key)
    return found if isinstance(found, dict) else {}
