"""The rules that files are read with ship as data: they are those of the models, and stay so.

The law: for any table, the shipped rules give the values that `LayoutModel` gives, of the same
types, or complain of the same places in the same way and order. One difference is wanted: where a
table is missing, the models ask for a model by its class, the rules for a dict.
"""

from __future__ import annotations

import runpy
import subprocess
import sys
import tomllib
from collections.abc import Iterator, Mapping
from copy import deepcopy
from datetime import date
from pathlib import Path
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

import pytest
from hypothesis import given
from pydantic import ValidationError

from beltpath.data.sections import DATA
from beltpath.layout import keys as models
from beltpath.layout import tables as plain
from beltpath.output import schemas
from tests.strategies import Data, law, spoilt

ROOT = Path(__file__).resolve().parent.parent.parent
LAYOUTS = sorted((ROOT / "layouts").glob("*.toml"))
TABLES: Mapping[object, type] = {
    models.LoadModel: plain.LoadTable,
    models.PulleyModel: plain.PulleyTable,
    models.BeltModel: plain.BeltTable,
    models.SpringModel: plain.SpringTable,
    models.TensionerModel: plain.TensionerTable,
    models.RunningModel: plain.RunningTable,
    models.LayoutModel: plain.LayoutTable,
}
#: Every key of every table once; what contradicts between keys is no matter of these rules.
FULL = tomllib.loads("""
title = "All keys"
units = "in"
driver = "motor"
crank_turns = "clockwise"
accuracy = 1
notes = "No drive has all of them."
route = ["crank", "fan"]
[belt]
section = "PK"
ribs = 6
length = 70
tolerance = 0.5
double_sided = false
elastic = true
back = 0.05
height = 0.2
[pulleys.crank]
at = [0, 0.5]
diameter = 6
outside = 6.1
over_balls = 6.2
around = 19
face = "grooved"
role = "crank"
side = "ribs"
turns = "clockwise"
grooves = 6
rim = 7
offset = 1
min_wrap = 90
max_rpm = 6000
load = { power_kw = 1, torque_nm = 2.5 }
reach = "easy"
accuracy = 0
label = "Crank"
[tensioner]
pulley = "fan"
kind = "arm"
pivot = [3, 4]
along = 90
free = 10
load = 20
window = [12, 18]
spring = { torque = 20, force = 300, at = 15, rate = -1 }
lever = "15 mm"
release = "clockwise"
[running]
crank_rpm = [800, 6000.5]
friction_ribs = 1
friction_back = 0.3
mass_per_rib = 0.02
stiffness_per_rib = 1e5
tension = 300
""")
#: A value of every kind that TOML has, at and beyond the limits that the keys have.
VALUES: tuple[object, ...] = (
    *("", "x", "x" * 60, "x" * 61, "x" * 120, "x" * 121, "x" * 1001, "PK", "Clockwise", "7"),
    *(0, 1, -1, 100, 101, 20_001, 1_000_001, 10**400, True, False),
    *(0.0, -0.5, 1e-7, 360.5, 1e10, float("nan"), float("inf")),
    *([], [1], [1, 2.5], [1, "x"], [1, 2, 3], [[1, 2]], ["x"] * 101, [1] * 21),
    *(
        {},
        {"x": 1},
        {"": {}},
        {"x" * 61: {}},
        dict.fromkeys(map(str, range(101)), FULL["pulleys"]["crank"]),
        date(2020, 1, 1),
    ),
)


def by_models(data: Data) -> object:
    """What the models make of the data: values with their types, or complaints."""
    try:
        return typed(models.LayoutModel.model_validate(data).model_dump())
    except ValidationError as error:
        return complaints(error)


def by_rules(data: Data) -> object:
    """What the shipped rules make of it."""
    try:
        return typed(plain.tables(data))
    except ValidationError as error:
        return complaints(error)


def typed(value: object) -> object:
    """A value with the type of every part, in which 1 and 1.0 differ; keys in any order."""
    if isinstance(value, dict):
        return {key: typed(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [typed(inner) for inner in value]
    return type(value), value


def complaints(error: ValidationError) -> list[tuple[object, ...]]:
    """Every complaint: where, of what kind, with which limits, about what."""
    return [
        (detail["loc"], "dict_type", None, repr(detail["input"]))
        if detail["type"] == "model_type"
        else (detail["loc"], detail["type"], detail.get("ctx"), repr(detail["input"]))
        for detail in error.errors(include_url=False)
    ]


def places(value: object, here: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The way to every value below this one."""
    pairs: list[tuple[Any, object]] = []
    if isinstance(value, dict):
        pairs = list(value.items())
    elif isinstance(value, list):
        pairs = list(enumerate(value))
    for key, inner in pairs:
        yield (*here, key)
        yield from places(inner, (*here, key))


def holder(data: Data, place: tuple[Any, ...]) -> Any:
    """The table or list that holds the value at this place."""
    inner: Any = data
    for key in place[:-1]:
        inner = inner[key]
    return inner


PLACES = list(places(FULL))


class TestShipped:
    def test_the_shipped_rules_are_those_that_are_built(self) -> None:
        shipped = (DATA / plain.RULES_FILE).read_text(encoding="utf-8")
        assert shipped == schemas.text_of(schemas.reading_rules()), (
            "python -m beltpath.output.schemas"
        )

    def test_the_documented_command_writes_them(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(sys, "argv", ["schemas", str(tmp_path)])
        runpy.run_module("beltpath.output.schemas", run_name="__main__")
        written = (tmp_path / plain.RULES_FILE).read_text(encoding="utf-8")
        assert written == schemas.text_of(schemas.reading_rules())

    def test_every_table_has_a_model_and_the_other_way_round(self) -> None:
        own = {m for m in models.Strict.__subclasses__() if m.__module__ == models.__name__}
        assert set(TABLES) == own

    @pytest.mark.parametrize("model", TABLES, ids=lambda model: model.__name__)
    def test_a_table_is_typed_as_its_model(self, model: type[models.Strict]) -> None:
        hints = get_type_hints(model)
        told = {key: shape(hints[key]) for key in model.model_fields}
        assert told == {key: shape(hint) for key, hint in get_type_hints(TABLES[model]).items()}


def shape(hint: Any) -> object:
    """A type hint as nested names, with tables for models."""
    if args := get_args(hint):
        origin = get_origin(hint)
        kind = Union if origin is UnionType else origin
        return (kind, *map(shape, args))
    return TABLES.get(hint, hint)


class TestAgreement:
    """The shipped rules and the models give the same values or the same complaints."""

    def test_every_key_is_tried(self) -> None:
        tried = {place[-1] for place in PLACES if isinstance(place[-1], str)}
        assert tried - {"crank"} == {key for model in TABLES for key in fields(model)}
        assert isinstance(by_models(FULL), dict)
        assert by_rules(FULL) == by_models(FULL)

    @pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
    def test_demos(self, path: Path) -> None:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        assert isinstance(by_rules(data), dict)
        assert by_rules(data) == by_models(data)

    @pytest.mark.parametrize("place", PLACES, ids=lambda place: ".".join(map(str, place)))
    def test_any_value_anywhere(self, place: tuple[Any, ...]) -> None:
        data = deepcopy(FULL)
        found = []
        for value in VALUES:
            holder(data, place)[place[-1]] = value
            found.append(by_rules(data))
            assert found[-1] == by_models(data), value
        assert any(isinstance(one, list) for one in found)

    @pytest.mark.parametrize("place", PLACES, ids=lambda place: ".".join(map(str, place)))
    def test_a_value_left_out_or_misspelt(self, place: tuple[Any, ...]) -> None:
        data = deepcopy(FULL)
        inside = holder(data, place)
        value = inside.pop(place[-1])
        assert by_rules(data) == by_models(data)
        if isinstance(inside, dict):
            inside[f"{place[-1]}s"] = value
            assert by_rules(data) == by_models(data)

    @law
    @given(spoilt())
    def test_spoilt_layouts(self, data: Data) -> None:
        assert by_rules(data) == by_models(data)


def fields(model: Any) -> set[str]:
    """The keys of a model."""
    return set(model.model_fields)


def test_a_sound_file_is_read_without_the_models() -> None:
    code = (
        "import sys, beltpath\n"
        f"beltpath.read({str(LAYOUTS[0])!r})\n"
        "assert 'beltpath.layout.tables' in sys.modules\n"
        "models = {'pydantic', 'beltpath.layout.keys', 'beltpath.cards.scene'}\n"
        "sys.exit(f'loaded: {loaded}' if (loaded := models & set(sys.modules)) else 0)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=60
    )
    assert (done.returncode, done.stderr) == (0, "")
