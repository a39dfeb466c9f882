"""One declaration of the keys: what it reads and writes, and which numbers follow the units."""

from __future__ import annotations

import tomllib
from copy import deepcopy
from typing import Any

import pytest

import beltpath
from beltpath.errors import LayoutError, UsageError
from beltpath.layout.convert import facts_of, scale_of, tables_of
from beltpath.layout.keys import LayoutModel, Strict, Unit, units_of
from beltpath.layout.layout import Layout
from beltpath.layout.problems import MOST_PROBLEMS
from beltpath.layout.reader import from_data, parse
from beltpath.layout.toml import write

SLIDE = """\
title = "Every key of a slide"
units = "{units}"
crank_turns = "counterclockwise"
driver = "motor"
accuracy = 0.5
notes = "No key is left out but those of an arm."
route = ["crank", "fan", "slide"]
[belt]
section = "PK"
ribs = 5
length = 64
tolerance = 0.25
double_sided = false
elastic = false
back = 2
height = 5
[pulleys.crank]
at = [0, 0]
diameter = 160
face = "grooved"
role = "crank"
turns = "counterclockwise"
[pulleys.fan]
at = [400, 30]
outside = 140
face = "grooved"
role = "fan"
side = "ribs"
grooves = 5
rim = 150
offset = 2
min_wrap = 90
max_rpm = 6000
load = {{ power_kw = 1 }}
reach = "hard"
accuracy = 2
label = "Fan"
[pulleys.slide]
at = [200, 150]
around = 250
face = "smooth"
role = "tensioner"
[pulleys.balls]
at = [-200, 150]
over_balls = 90
face = "grooved"
role = "other"
[tensioner]
pulley = "slide"
kind = "slide"
along = 90
free = -20
load = 40
window = [0, 20]
spring = {{ force = 300, at = 5, rate = -4 }}
lever = "17 mm"
[running]
crank_rpm = [800, 2000]
friction_ribs = 0.5
friction_back = 0.25
mass_per_rib = 0.02
stiffness_per_rib = 20000
tension = 300
"""
ARM = """
[tensioner]
pulley = "slide"
kind = "{kind}"
pivot = [200, 220]
free = -100
load = -60
window = [-90, -70]
spring = {{ torque = 20, at = -80, rate = -0.25 }}
release = "clockwise"
"""
#: How the record in mm changes when the same number stands in a file in inches; 1 is not named.
FACTORS = {
    **dict.fromkeys(["accuracy", "at", "measured", "rim", "offset", "pivot"], 25.4),
    **dict.fromkeys(["length", "tolerance", "back", "height"], 25.4),
}
OF_A_SLIDE = dict.fromkeys(["free", "load", "window"], 25.4)


def model(units: str, kind: str) -> LayoutModel:
    text = SLIDE.format(units=units)
    if kind != "slide":
        text = text[: text.index("[tensioner]")] + ARM.format(kind=kind)
    return LayoutModel.model_validate(tomllib.loads(text))


def numbers(value: Any, place: str = "") -> dict[str, float]:
    """Every number of the records, by its place."""
    if isinstance(value, float):
        return {place: value}
    if isinstance(value, dict):
        inside = list(value.items())
    elif isinstance(value, tuple) and not hasattr(value, "_fields"):
        inside = [(str(number), one) for number, one in enumerate(value)]
    elif hasattr(value, "_fields"):
        inside = [("value", value.value)]
    else:
        names = getattr(value, "__dataclass_fields__", ())
        inside = [(name, getattr(value, name)) for name in names if name != "section"]
    return {k: v for key, one in inside for k, v in numbers(one, f"{place}.{key}").items()}


class TestUnits:
    """A number follows the file's `units` where it is a length, and nowhere else."""

    @pytest.mark.parametrize("kind", ["slide", "arm"])
    def test_the_same_numbers_in_inches(self, kind: str) -> None:
        mm, inch = (numbers(facts_of(model(units, kind))) for units in ("mm", "in"))
        assert mm.keys() == inch.keys()
        known = FACTORS | (OF_A_SLIDE if kind == "slide" else {})
        for place, value in mm.items():
            keys = place.split(".")[1:]
            factor = next((known[key] for key in keys if key in known), 1.0)
            if "load" in keys and "pulleys" in keys:
                factor = 1.0
            if "spring" in keys and kind == "slide":
                factor = {"at": 25.4, "rate": 1 / 25.4}.get(keys[-1], 1.0)
            elif "spring" in keys:
                factor = 1.0
            assert inch[place] == pytest.approx(value * factor, rel=1e-12), place

    def test_the_positions_of_an_arm_are_degrees(self) -> None:
        assert facts_of(model("in", "swing"))["tensioner"].free == -100.0

    def test_a_unit_is_found_in_lists_and_in_keys_that_may_be_left_out(self) -> None:
        class Table(Strict):
            plain: float
            pair: list[LayoutModel] | None

        assert units_of(Table) == {}
        assert units_of(type(model("mm", "arm").tensioner)) == {  # type: ignore[arg-type]
            "pivot": Unit.LENGTH,
            "free": Unit.TRAVEL,
            "load": Unit.TRAVEL,
            "window": Unit.TRAVEL,
        }

    @pytest.mark.parametrize("unit", Unit)
    @pytest.mark.parametrize("number", [0.1, -3.07, 11.13, 43.17, 1e-3, 1234.5])
    def test_a_number_written_is_the_number_that_was_read(self, unit: Unit, number: float) -> None:
        scale = scale_of("in", "slide")
        assert scale.written(unit, scale.read(unit, number)) == number

    def test_what_is_no_number_is_written_as_it_is(self) -> None:
        assert scale_of("in").written(Unit.LENGTH, "wide") == "wide"


class TestBothWays:
    @pytest.mark.parametrize("units", ["mm", "in"])
    def test_every_key_is_written_again(self, units: str) -> None:
        data = tomllib.loads(SLIDE.format(units=units))
        if units == "in":
            data = scaled(data)
        read = from_data(data)
        again = tables_of(read)
        assert _without_defaults(again) == _without_defaults(data)
        assert parse(read.text) == read


def scaled(data: dict[str, Any]) -> dict[str, Any]:
    """The same tables with lengths that are sound in inches."""
    made = deepcopy(data)
    made["accuracy"] = 0.02
    made["belt"] |= {"length": 60, "tolerance": 0.25, "back": 0.08, "height": 0.2}
    for pulley in made["pulleys"].values():
        pulley["at"] = [v / 25 for v in pulley["at"]]
        for key in ("diameter", "outside", "around", "over_balls", "rim", "offset", "accuracy"):
            if key in pulley:
                pulley[key] = pulley[key] / 25
    made["tensioner"] |= {"free": -0.8, "load": 1.6, "window": [0.0, 0.8]}
    return made


def _without_defaults(data: dict[str, Any]) -> dict[str, Any]:
    made = deepcopy(data)
    for key in ("double_sided", "elastic"):
        made["belt"].pop(key, None)
    return made


class TestPlainData:
    """A layout from plain tables is the layout of the text that they would make."""

    DATA: dict[str, Any] = tomllib.loads(SLIDE.format(units="mm"))

    def test_it_is_the_layout_of_its_text(self) -> None:
        made = from_data(self.DATA, name="slide")
        assert made == parse(write(self.DATA), name="slide")
        assert parse(made.text, name="slide") == made

    def test_the_tables_given_may_change_afterwards(self) -> None:
        data = deepcopy(self.DATA)
        made = from_data(data)
        data["pulleys"].clear()
        data["route"].clear()
        assert len(made.pulleys) == 4
        assert made.route == ("crank", "fan", "slide")

    def test_every_mistake_is_told_in_the_readers_words(self) -> None:
        data = {**self.DATA, "title": "", "accurate": 1, "route": ["crank", "fun"]}
        with pytest.raises(LayoutError) as caught:
            from_data(data)
        with pytest.raises(LayoutError) as read:
            parse(write(data))
        told = {(problem.path, problem.message) for problem in caught.value.problems}
        assert told == {(problem.path, problem.message) for problem in read.value.problems}
        assert {problem.line for problem in caught.value.problems} == {None}

    def test_too_many_mistakes(self) -> None:
        data = {**self.DATA, **{f"key{i}": 1 for i in range(MOST_PROBLEMS + 5)}}
        with pytest.raises(LayoutError) as caught:
            from_data(data)
        assert len(caught.value.problems) == MOST_PROBLEMS + 1
        assert "and more mistakes" in caught.value.problems[-1].message

    def test_measurements_are_no_layout(self) -> None:
        with pytest.raises(LayoutError, match="a file of measurements"):
            from_data({**self.DATA, "tape": []})

    @pytest.mark.parametrize(
        "data", [None, "title", [], {5: 1}, {"belt": {None: 1}}, {"pulleys": [{1: 2}]}]
    )
    def test_what_are_no_tables(self, data: Any) -> None:
        with pytest.raises(UsageError, match="a layout is made from a dict"):
            from_data(data)

    def test_tables_too_deep(self) -> None:
        data: dict[str, Any] = {}
        data["belt"] = data
        with pytest.raises(LayoutError, match="nests too deeply"):
            from_data(data)


class TestReplace:
    def test_it_is_judged(self) -> None:
        with pytest.raises(LayoutError, match="accuracy: must be at least 0"):
            made().replace(accuracy=-1.0)

    def test_it_keeps_no_stale_text(self) -> None:
        read = made()
        changed = read.replace(title="Changed", accuracy=0.25)
        assert (changed.title, changed.accuracy, changed.pulleys) == ("Changed", 0.25, read.pulleys)
        assert parse(changed.text) == changed
        assert changed.digest != read.digest
        assert changed.replace(title=read.title, accuracy=read.accuracy).text == read.text

    def test_a_study_of_the_changed_layout(self) -> None:
        assert beltpath.study(made().replace(notes="Other")).layout.notes == "Other"


def made() -> Layout:
    return parse(SLIDE.format(units="mm").replace("length = 64", "length = 1260"))
