"""Data flows one way: a module imports only from those above it in the list of `ORDER`.

The list is the shape of the program. A new module takes its place in it, or this test fails.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

import beltpath

PACKAGE = Path(beltpath.__file__).parent
#: From the ground up. A folder is one entry: its files may import one another. Of `routes/` the
#: files that the checks use stand by themselves.
ORDER = (
    "errors",
    "characters",
    "geometry",
    "sections",
    "limits",
    "findings",
    "toml_lines",
    "toml_slips",
    "layout_parts",
    "layout_model",
    "layout_tables",
    "layout_values",
    "layout_problems",
    "layout_writer",
    "layout",
    "layout_file",
    "embedded_pdf",
    "embedded",
    "writing",
    "files",
    "whatif",
    "path",
    "motion",
    "tensioner",
    "clearance",
    "drive",
    "uncertainty",
    "reliance",
    "statics",
    "forces",
    "force_answers",
    "sizing",
    "catalogue",
    "cautions",
    "steps",
    "refit",
    "sweep",
    "montecarlo",
    "routes/tangents",
    "routes/places",
    "routes/graph",
    "routes/search",
    "routes/solve",
    "routes/look_alikes",
    "measure",
    "checks",
    "study",
    "shelf",
    "routes",
    "answers",
    "compare",
    "compare_answers",
    "report",
    "compare_words",
    "schemas",
    "starter",
    "card",
    "terminal",
    "options",
    "compare_command",
    "size_answer",
    "size_command",
    "routes_command",
    "measure_command",
    "cli",
    "board",
)
#: The same inside folders whose files have an order of their own.
INSIDE = {
    "measure": (
        "survey",
        "problems",
        "read",
        "views",
        "equations",
        "answer",
        "adjust",
        "start",
        "mirrors",
        "outliers",
        "doubts",
        "result",
    ),
}
#: A longer file is two things in one.
LONGEST_FILE = 450
#: The package itself gathers the public names, so it stands outside the order.
OUTSIDE = "__init__"


def modules() -> list[tuple[str, Path]]:
    """Every file of the package with the name of its entry in the list."""
    return [
        (entry(path.relative_to(PACKAGE).with_suffix("").parts), path)
        for path in sorted(PACKAGE.rglob("*.py"))
        if path != PACKAGE / "__init__.py"
    ]


def entry(parts: Sequence[str]) -> str:
    """The entry of the list for a file or a name of the package, by its parts."""
    file = "/".join(parts[:2])
    return file if file in ORDER else parts[0]


def imported(path: Path) -> Iterator[str]:
    """The entries that a file imports from, wherever in the file and for whatever reason."""
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
                yield entry(parts[1:]) if len(parts) > 1 else OUTSIDE


def test_every_module_has_its_place() -> None:
    assert len(modules()) > 20
    assert {name for name, _ in modules()} <= set(ORDER)


def test_the_list_names_nothing_twice() -> None:
    assert len(set(ORDER)) == len(ORDER)


@pytest.mark.parametrize(
    ("name", "path"), modules(), ids=[str(path.relative_to(PACKAGE)) for _, path in modules()]
)
def test_imports_point_only_upward(name: str, path: Path) -> None:
    above = ORDER[: ORDER.index(name) + 1]
    assert set(imported(path)) <= set(above)


@pytest.mark.parametrize("folder", INSIDE)
def test_imports_point_only_upward_inside_a_folder(folder: str) -> None:
    order = INSIDE[folder]
    files = {path.stem: path for path in (PACKAGE / folder).glob("*.py")}
    assert set(files) - {OUTSIDE} == set(order)
    for number, name in enumerate(order):
        text = files[name].read_text(encoding="utf-8")
        near = set(re.findall(rf"\bbeltpath\.{folder}\.(\w+)", text))
        assert near <= set(order[:number]), name
        assert f"from beltpath.{folder} import" not in text, name
        assert len(text.splitlines()) <= LONGEST_FILE, name


def test_a_wrong_import_is_noticed(tmp_path: Path) -> None:
    bad = tmp_path / "bad.py"
    bad.write_text(
        "import os\nimport beltpath\nfrom beltpath import checks\n"
        "def f() -> None:\n    from beltpath.card.svg import render\n"
        "    from beltpath.routes.graph import span_graph\n"
        "    from beltpath.routes import Search\n",
        encoding="utf-8",
    )
    assert list(imported(bad)) == [OUTSIDE, "checks", "card", "routes/graph", "routes"]


def test_the_guide_for_developers_tells_of_every_module_in_this_order() -> None:
    guide = (PACKAGE.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    told = re.findall(r"(?m)^\| `(\w+(?:/\w+)?)(?:\.py|/)` \| \S.*\|$", guide)
    there = {name for name, _ in modules()}
    assert told == [name for name in ORDER if name in there]
