"""The names at the top of the package: quick to import, documented in one form, one line each."""

from __future__ import annotations

import inspect
import re
import subprocess
import sys
from dataclasses import fields
from importlib.metadata import version
from typing import Any

import pytest

import beltpath
from tests.library.results import ORCHARD, results

#: The calls; the other names are records and errors.
CALLS = sorted(name for name in beltpath.__all__ if inspect.isfunction(getattr(beltpath, name)))
SLOW = ("numpy", "shapely", "pydantic", "networkx", "scipy", "tomlkit", "cairocffi", "svgwrite")


def test_the_names_that_are_promised_are_there() -> None:
    promised = {"read", "parse", "study", "size", "routes", "measure", "compare", "what_if"}
    assert promised | {"card", "answer", "rows"} == set(CALLS)
    records = {"Layout", "Study", "Card", "Options", "Finding"}
    errors = {"BeltpathError", "LayoutError", "PathError", "UsageError", "ExportError"}
    assert records | errors | {"__version__"} <= set(beltpath.__all__)
    assert set(beltpath.__all__) <= set(dir(beltpath))
    assert beltpath.__version__ == version("beltpath")


def test_a_name_that_is_not_there_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="'beltpath' has no attribute 'studdy'"):
        getattr(beltpath, "studdy")  # noqa: B009


def test_the_import_alone_loads_nothing_slow() -> None:
    code = f"import sys, beltpath; print(sorted(set({SLOW!r}) & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


def test_modules_and_names_do_not_hide_each_other() -> None:
    """`import beltpath.x as x` gives a module, and the names stay what they are, in any order."""
    code = (
        "import inspect, pkgutil, importlib, beltpath\n"
        "for found in pkgutil.iter_modules(beltpath.__path__):\n"
        "    module = importlib.import_module(f'beltpath.{found.name}')\n"
        "    assert getattr(beltpath, found.name) is module, found.name\n"
        f"for name in {CALLS!r}:\n"
        "    assert inspect.isfunction(getattr(beltpath, name)), name\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("name", CALLS)
def test_every_call_is_documented_in_one_form(name: str) -> None:
    """What it does; each parameter; what it returns; what it raises; where it comes from."""
    call = getattr(beltpath, name)
    told = inspect.getdoc(call) or ""
    first, blank, *_ = told.splitlines()
    assert first.endswith((".", ";"))
    assert blank == ""
    order = [told.find(f"- `{one}`") for one in inspect.signature(call).parameters]
    order += [told.find(f"\n{word} ") for word in ("Returns", "Raises")] + [told.find("\nSource: ")]
    shared = [place for place in order if place >= 0]
    missing = [one for one in inspect.signature(call).parameters if f"`{one}`" not in told]
    assert missing == []
    assert all(place > 0 for place in order[-3:]), told
    assert shared == sorted(shared), told


@pytest.mark.parametrize("kind", [beltpath.Options, beltpath.Study, beltpath.Card])
def test_every_field_of_a_record_is_documented(kind: Any) -> None:
    told = inspect.getdoc(kind) or ""
    assert [one.name for one in fields(kind) if f"`{one.name}`" not in told] == []


@pytest.mark.parametrize(
    "result", [*results(), beltpath.read(ORCHARD)], ids=lambda one: type(one).__name__
)
def test_the_repr_is_one_short_line_that_names_it(result: Any) -> None:
    told = repr(result)
    assert told.startswith(f"<{type(result).__name__} ")
    assert "\n" not in told
    assert len(told) < 240


class TestNotebook:
    def test_a_study_shows_the_first_page_of_its_card(self) -> None:
        study = beltpath.study(beltpath.read(ORCHARD))
        shown = study._repr_svg_()
        assert shown == beltpath.card(study).svg_pages[0]
        assert re.match(r"<\?xml|<svg", shown)
        assert "Orchard sprayer" in shown

    def test_a_card_shows_its_first_page(self) -> None:
        card = beltpath.card(beltpath.study(beltpath.read(ORCHARD)))
        assert card._repr_svg_() == card.svg_pages[0]

    def test_a_study_of_which_no_card_can_be_drawn_shows_its_line_alone(self) -> None:
        text = ORCHARD.read_text(encoding="utf-8").replace("Orchard", "\u0e01")
        study = beltpath.study(beltpath.parse(text))
        with pytest.raises(beltpath.ExportError):
            beltpath.card(study)
        assert study._repr_svg_() is None

    def test_rows_show_as_a_table_with_its_marks_escaped(self) -> None:
        rows = beltpath.Rows([{"a": 1, "b": None}, {"a": "<b>", "c": 2.5}])
        assert rows._repr_html_() == (
            "<table><tr><th>a</th><th>b</th><th>c</th></tr>"
            "<tr><td>1</td><td></td><td></td></tr>"
            "<tr><td>&lt;b&gt;</td><td></td><td>2.5</td></tr></table>"
        )
