"""Data flows one way: rooms and files import only from those above them.

`ROOMS` is the shape of the program; inside a room the imports of its files make no circle. A new
room takes its place in the list, or these tests fail.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

import beltpath

PACKAGE = Path(beltpath.__file__).parent
#: From the ground up. A folder is one room.
ROOMS = (
    *("errors", "geometry", "data", "layout", "words", "files", "solve", "refit", "routing"),
    *("checks", "studies", "ranking", "sizing", "survey", "comparison", "output", "cards"),
    *("board", "library", "cli"),
)
#: The package itself gathers the public names, so it stands outside the order.
OUTSIDE = "__init__"
#: A file is read in one go: no longer than this.
LONGEST_FILE = 700


def files() -> Mapping[str, Path]:
    """Every file of the package by its dotted name below it; a folder's name is its `__init__`."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == OUTSIDE and len(parts) > 1 else parts)] = path
    return found


FILES = files()


def imported(path: Path, known: Mapping[str, Path] = FILES) -> Iterator[str]:
    """The files that a file imports from, wherever in the file and for whatever reason."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are written in full"
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        else:
            continue
        for parts in (name.split(".") for name in names):
            if parts[0] == "beltpath":
                yield _file(parts[1:], known)


def _file(parts: list[str], known: Mapping[str, Path]) -> str:
    """The file that a dotted name stands for: the longest part of it that is one."""
    for count in range(len(parts), 0, -1):
        if (name := ".".join(parts[:count])) in known:
            return name
    return OUTSIDE


def test_every_room_has_its_place() -> None:
    assert len(FILES) > 20
    assert {name.split(".")[0] for name in FILES} - {OUTSIDE} <= set(ROOMS)
    assert len(set(ROOMS)) == len(ROOMS)


@pytest.mark.parametrize("name", sorted(FILES.keys() - {OUTSIDE}))
def test_imports_point_only_upward(name: str) -> None:
    room = name.split(".")[0]
    above = ROOMS[: ROOMS.index(room) + 1]
    assert {used.split(".")[0] for used in imported(FILES[name])} <= set(above)


@pytest.mark.parametrize("room", ROOMS)
def test_the_files_of_a_room_make_no_circle(room: str) -> None:
    inside = {
        name: {used for used in imported(path) if used.startswith(f"{room}.") and used != name}
        for name, path in FILES.items()
        if name.startswith(f"{room}.")
    }
    try:
        list(TopologicalSorter(inside).static_order())
    except CycleError as error:
        pytest.fail(" → ".join(error.args[1]))


@pytest.mark.parametrize("name", sorted(FILES))
def test_no_file_is_longer_than_can_be_read(name: str) -> None:
    assert len(FILES[name].read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE


def test_no_public_name_hides_a_module() -> None:
    modules = {name.split(".")[0] for name in FILES} - {OUTSIDE}
    assert not modules & set(beltpath.__all__)


def test_a_wrong_import_is_noticed(tmp_path: Path) -> None:
    bad = tmp_path / "bad.py"
    bad.write_text(
        "import os\nimport beltpath\nfrom beltpath import checks\n"
        "def f() -> None:\n    from beltpath.cards.svg import render\n"
        "    from beltpath.routing import graph\n",
        encoding="utf-8",
    )
    assert list(imported(bad)) == [OUTSIDE, "checks", "cards.svg", "routing.graph"]


def test_the_guide_lists_every_room() -> None:
    page = (PACKAGE.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    told = re.findall(r"^\| `([a-z_]+)/?(?:\.py)?` \|", page, re.MULTILINE)
    rooms = [name for name in told if name in ROOMS]
    assert [room for room in ROOMS if room != "board"] == rooms
