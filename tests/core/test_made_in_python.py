"""A layout built or changed in Python: judged as its file would be, its text true to its values."""

from __future__ import annotations

import copy
import pickle
from dataclasses import replace
from math import inf, nan
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given

import beltpath
from beltpath.data.sections import section
from beltpath.errors import LayoutError
from beltpath.layout.layout import Layout, stand_in
from beltpath.layout.reader import parse
from beltpath.layout.records import Belt, Load, Measured, Pulley, Running, Spring, Tensioner
from tests.demos.test_demos import DEMOS
from tests.strategies import Made, law, layout_of, tensioned

PK = section("PK")
ORCHARD = Path(__file__).parents[2] / "layouts" / "orchard-sprayer.toml"
INCHES = """\
title = "Inches"
units = "in"
accuracy = 0.02
route = ["crank", "fan", "lever"]
[belt]
section = "PJ"
ribs = 3
length = 43.17
tolerance = 0.1
[pulleys]
crank = { at = [0, 0], diameter = 3.07, face = "grooved", role = "crank", rim = 3.4 }
fan = { at = [11.13, 0.1], outside = 4.7, face = "grooved", role = "fan", offset = 0.03 }
lever = { at = [6.1, 2.3], around = 9.7, face = "smooth", role = "idler", side = "back" }
[tensioner]
pulley = "lever"
kind = "slide"
along = 90
free = -0.7
load = 1.3
window = [0.1, 0.9]
spring = { force = 120.0, at = 0.3, rate = 3.1 }
[running]
crank_rpm = [900, 1700]
"""


def pulley(name: str, x: float, **changed: Any) -> Pulley:
    facts: dict[str, Any] = {
        "at": (x, 0.0),
        "measured": Measured("diameter", 100.0),
        "face": "grooved",
        "role": "crank" if name == "crank" else "fan",
    }
    return Pulley(name=name, **{**facts, **changed})


def layout(*pulleys: Pulley, **changed: Any) -> Layout:
    crew = pulleys or (pulley("crank", 0.0), pulley("fan", 300.0))
    facts: dict[str, Any] = {
        "title": "Two pulleys",
        "belt": Belt(section=PK, ribs=4, back=PK.back, height=PK.height),
        "pulleys": {one.name: one for one in crew},
        "route": tuple(one.name for one in crew),
    }
    return Layout(**{**facts, **changed})


def said(**changed: Any) -> str:
    with pytest.raises(LayoutError) as caught:
        layout(**changed)
    return str(caught.value)


def crew_said(*pulleys: Pulley) -> str:
    with pytest.raises(LayoutError) as caught:
        layout(*pulleys)
    return str(caught.value)


class TestJudged:
    """The constructor refuses what the reader refuses, in the reader's words."""

    def test_no_crank(self) -> None:
        assert "crank" in crew_said(pulley("fan", 0.0), pulley("blower", 300.0))

    def test_an_unknown_name_in_the_route(self) -> None:
        assert (
            said(route=("crank", "fun"))
            == 'route: "fun" is not a pulley of this file; did you mean "fan"?'
        )

    def test_a_name_that_differs_from_its_key(self) -> None:
        crew = {"crank": pulley("crank", 0.0), "blower": pulley("fan", 300.0)}
        assert (
            said(pulleys=crew, route=None)
            == 'pulleys.blower: holds a pulley that calls itself "fan"; give both one name'
        )

    def test_the_tensioners_pulley_unknown(self) -> None:
        t = Tensioner(pulley="arm", kind="swing", pivot=(1.0, 99.0), free=0.0, load=9.0)
        assert said(tensioner=t).startswith('tensioner.pulley: "arm" is not a pulley')

    @pytest.mark.parametrize("number", [nan, inf, -inf])
    def test_numbers_that_are_not_finite(self, number: float) -> None:
        found = crew_said(pulley("crank", number), pulley("fan", 300.0))
        assert found == f"pulleys.crank.at: value 1 must be a finite number; found {number}"
        assert "accuracy: must be" in said(accuracy=number)

    @pytest.mark.parametrize("size", [-100.0, 0.0, nan, inf, 1e9, None, "100"])
    def test_diameters_that_are_none(self, size: Any) -> None:
        small = pulley("fan", 300.0, measured=Measured("diameter", size))
        assert "pulleys.fan.diameter: " in crew_said(pulley("crank", 0.0), small)

    @pytest.mark.parametrize(
        ("changed", "begins"),
        [
            ({"title": None}, "title: must be text in quotes"),
            ({"title": ""}, "title: is empty"),
            ({"title": "\ud800"}, "title: must be text that UTF-8 can hold"),
            ({"notes": 5}, "notes: must be text in quotes"),
            ({"name": None}, "name: must be text in quotes"),
            ({"name": "a\x1b[2J"}, "name: holds a character that cannot be printed"),
            ({"units": "cm"}, 'units: must be "mm" or "in"'),
            ({"units": []}, 'units: must be "mm" or "in"'),
            ({"crank_turns": "ccw"}, "crank_turns: must be"),
            ({"accuracy": None}, "accuracy: must be a number; found None"),
            ({"accuracy": "1"}, "accuracy: must be a number"),
            ({"route": "crank"}, "route: must be a list"),
            ({"route": ("crank", 5)}, "route: value 2 must be text in quotes"),
            ({"pulleys": None}, "pulleys: must be a table"),
            ({"pulleys": {"crank": "round"}}, "pulleys.crank: must be a Pulley"),
            ({"pulleys": {5: "round"}}, "pulleys: must have names that are text"),
            ({"belt": "6PK1877"}, "belt: must be a table"),
            ({"belt": Belt(section="PK", ribs=4, back=1, height=5)}, "belt.section: must be"),  # type: ignore[arg-type]
            ({"tensioner": "arm"}, "tensioner: must be a table"),
            ({"running": 900}, "running: must be a table"),
            ({"belt": {"section": "PK"}}, "belt: must be a Belt; found a table"),
            ({"running": {"crank_rpm": [900]}}, "running: must be a Running; found a table"),
            ({"tensioner": {"pulley": "fan"}}, "tensioner: must be a Tensioner; found a table"),
            ({"running": Running(crank_rpm=900)}, "running.crank_rpm: must be a list"),  # type: ignore[arg-type]
            ({"running": Running(crank_rpm=(nan,))}, "running.crank_rpm: value 1 must be"),
        ],
    )
    def test_values_of_a_wrong_kind(self, changed: dict[str, Any], begins: str) -> None:
        assert said(**changed).startswith(begins)

    @pytest.mark.parametrize(
        ("changed", "begins"),
        [
            ({"at": None}, "pulleys.fan.at: must be a list"),
            ({"at": (1.0,)}, "pulleys.fan.at: must have at least 2 values"),
            ({"at": (0.0, 0.0)}, "pulleys.fan.at: is the same place"),
            ({"measured": 100.0, "grooves": 1.5}, "pulleys.fan.grooves: must be a whole number"),
            ({"measured": Measured("width", 9.0)}, "pulleys.fan"),  # type: ignore[arg-type]
            ({"load": 2.0}, "pulleys.fan.load: must be a table"),
            ({"load": {"power_kw": 1.0}}, "pulleys.fan.load: must be a Load; found a table"),
            ({"offset": False}, "pulleys.fan.offset: must be a number; found false"),
            ({"load": Load()}, "pulleys.fan.load: give one of power_kw and torque_nm"),
            ({"load": Load(power_kw=1.0, torque_nm=1.0)}, "pulleys.fan.load: give one of"),
            ({"rim": 90.0}, "pulleys.fan.rim: is less than the pulley's own outside diameter"),
            ({"rim": True}, "pulleys.fan.rim: must be a number"),
            ({"label": "a\nb"}, "pulleys.fan.label: holds a character"),
        ],
    )
    def test_a_pulley_that_is_none(self, changed: dict[str, Any], begins: str) -> None:
        found = crew_said(pulley("crank", 0.0), pulley("fan", 300.0, **changed))
        assert found.startswith(begins)

    def test_every_mistake_is_told_at_once(self) -> None:
        assert len(said(title="", accuracy=nan, route=("crank", "fun")).splitlines()) == 3

    def test_a_section_of_ones_own(self) -> None:
        own = replace(PK, b_e=9.0)
        belt = Belt(section=own, ribs=4, back=own.back, height=own.height)
        assert said(belt=belt).startswith("belt.section: must be one of the sections known")

    @pytest.mark.parametrize("key", ["double_sided", "elastic"])
    def test_a_belts_words_are_true_or_false(self, key: str) -> None:
        facts: dict[str, Any] = {key: "yes"}
        belt = replace(layout().belt, **facts)
        assert said(belt=belt).startswith(f"belt.{key}: must be true or false")

    def test_a_spring_that_is_none(self) -> None:
        t = Tensioner(pulley="fan", kind="swing", pivot=(300.0, 99.0), free=0.0, load=9.0)
        strong: Any = "strong"
        assert said(tensioner=replace(t, spring=strong)).startswith("tensioner.spring: must be")
        table: Any = {"torque": 20.0, "at": 4.0}
        found = said(tensioner=replace(t, kind="arm", spring=table))
        assert found == "tensioner.spring: must be a Spring; found a table"
        t = replace(t, kind="arm", spring=Spring(effort=nan, at=0.0))
        assert said(tensioner=t).startswith("tensioner.spring.torque: must be a finite number")

    @pytest.mark.parametrize("value", [nan, inf, -inf, None, "x", True, 1e6, (1.0,)])
    @pytest.mark.parametrize("key", ["free", "load", "window", "spring.at", "spring.rate"])
    def test_a_tensioner_whose_angles_are_none(self, key: str, value: Any) -> None:
        """Reading its angles leaves what is none to the layout, which refuses it in a sentence."""
        t = Tensioner(
            pulley="fan",
            kind="arm",
            pivot=(300.0, 99.0),
            free=-120.0,
            load=-60.0,
            window=(-100.0, -80.0),
            spring=Spring(effort=20.0, at=-90.0),
        )
        assert t.spring is not None
        broken: dict[str, Any] = {key: value}
        if key == "window":
            broken = {key: (value, -80.0)}
        if key.startswith("spring."):
            broken = {"spring": replace(t.spring, **{key.removeprefix("spring."): value})}
        if (key, value) == ("spring.rate", 1e6):
            return  # a rate may be so
        told = said(tensioner=replace(t, **broken))
        assert told.startswith(("tensioner.", "pulleys.fan")) and key in told

    @pytest.mark.parametrize("value", [True, False])
    def test_true_and_false_are_no_numbers(self, value: Any) -> None:
        assert said(accuracy=value).startswith("accuracy: must be a number")
        found = crew_said(pulley("crank", 0.0), pulley("fan", 300.0, offset=value))
        assert found.startswith("pulleys.fan.offset: must be a number")

    def test_a_source_that_is_none(self) -> None:
        assert said(source="garbage") == "source: must be a Source or None; found str"

    @pytest.mark.parametrize("none", [None, "wide", nan, inf, True])
    @pytest.mark.parametrize("key", ["free", "load", "window", "at"])
    def test_a_travel_that_is_none(self, key: str, none: Any) -> None:
        facts: dict[str, Any] = {"free": 0.0, "load": 9.0, "window": (1.0, 2.0)}
        place = f"tensioner.{key}"
        if key == "at":
            facts["spring"], place = Spring(effort=20.0, at=none), "tensioner.spring.at"
        else:
            facts[key] = (none, 2.0) if key == "window" else none
        t = Tensioner(pulley="fan", kind="arm", pivot=(300.0, 99.0), **facts)
        assert said(tensioner=t).startswith(f"{place}: ")

    @pytest.mark.parametrize("window", [(), (1.0,), (1.0, 2.0, 3.0), 5.0, "wide"])
    def test_a_window_that_is_no_pair(self, window: Any) -> None:
        t = Tensioner(
            pulley="fan", kind="arm", pivot=(300.0, 99.0), free=0.0, load=9.0, window=window
        )
        assert said(tensioner=t).startswith("tensioner.window: must ")

    def test_a_change_is_judged_too(self) -> None:
        with pytest.raises(LayoutError, match="accuracy: must be at least 0"):
            replace(layout(), accuracy=-1.0)

    def test_the_answer_in_inches_names_inches(self) -> None:
        read = parse(INCHES)
        fan = replace(read.pulleys["fan"], measured=Measured("outside", 3.81))
        with pytest.raises(LayoutError) as caught:
            replace(read, pulleys={**read.pulleys, "fan": fan})
        assert "pulleys.fan.outside: 0.15 in is outside" in str(caught.value)


class TestClosed:
    """A layout stays what it was judged as."""

    def test_pulleys_cannot_be_changed(self) -> None:
        read: Any = beltpath.read(ORCHARD)
        with pytest.raises(TypeError):
            read.pulleys["other"] = read.pulleys["crank"]
        with pytest.raises(TypeError):
            del read.pulleys["crank"]

    def test_the_mapping_given_may_change_afterwards(self) -> None:
        given_ = {"crank": pulley("crank", 0.0), "fan": pulley("fan", 300.0)}
        made = layout(pulleys=given_)
        given_.clear()
        assert list(made.pulleys) == ["crank", "fan"]

    def test_a_route_given_as_a_list(self) -> None:
        order = ["crank", "fan"]
        made = layout(route=order)
        order.clear()
        assert made.route == ("crank", "fan")

    def test_it_can_be_pickled_and_copied(self) -> None:
        for one in (layout(), beltpath.read(ORCHARD)):
            for other in (pickle.loads(pickle.dumps(one)), copy.deepcopy(one), copy.copy(one)):
                assert other == one
                assert (other.text, other.digest) == (one.text, one.digest)
                with pytest.raises(TypeError):
                    other.pulleys["x"] = None  # type: ignore[index]


class TestText:
    """What `parse` reads from a layout's text is the layout."""

    @law
    @given(tensioned())
    def test_written_from_the_values(self, made: Made) -> None:
        self.law(layout_of(made.data))

    @pytest.mark.parametrize("name", sorted(DEMOS))
    def test_of_every_demo(self, name: str) -> None:
        self.law(beltpath.read(ORCHARD.with_name(f"{name}.toml")))

    def test_in_inches(self) -> None:
        self.law(parse(INCHES))

    def test_of_one_built_by_hand(self) -> None:
        made = layout(name="two")
        assert parse(made.text, name="two") == made
        assert made.digest == parse(made.text).digest

    @pytest.mark.parametrize(
        "changed",
        [
            {"back": 1.9},
            {"height": 5.5},
            {"length": 1200.0, "tolerance": 3.0},
            {"length": 1200.0, "tolerance": 7.0},
            {"double_sided": True, "reckoned": True, "back": 4.0, "height": 7.0},
            {"double_sided": True, "back": 4.5, "height": 8.0},
            {"elastic": True},
        ],
    )
    def test_of_belts(self, changed: dict[str, Any]) -> None:
        made = layout(belt=replace(layout().belt, **changed))
        read = parse(made.text)
        if made.belt.reckoned:
            made = replace(made, belt=replace(made.belt, height=read.belt.height))
        assert read.belt == made.belt

    def law(self, read: Layout) -> None:
        changed = replace(read, title="Changed", notes='"""\n# x = 1\ty = "2\\\\"\n', accuracy=0.3)
        assert changed.text != read.text and changed.digest != read.digest
        assert parse(changed.text, name=read.name) == changed
        # Changed back, it is the file again.
        back = replace(changed, title=read.title, notes=read.notes, accuracy=read.accuracy)
        assert (back.text, back.digest) == (read.text, read.digest)

    def test_the_card_of_a_changed_layout_carries_it(self, tmp_path: Path) -> None:
        read = beltpath.read(ORCHARD)
        crank = replace(read.pulleys["crank"], measured=Measured("diameter", 123.5))
        changed = replace(read, pulleys={**read.pulleys, "crank": crank})
        [page, *_] = beltpath.card(beltpath.study(changed)).svg_pages
        (tmp_path / "card.svg").write_text(page, encoding="utf-8")
        carried = beltpath.read(tmp_path / "card.svg")
        assert carried.pulleys["crank"].measured == ("diameter", 123.5)
        assert changed.digest in page and read.digest not in page

    def test_the_order_of_the_pulleys_is_part_of_it(self) -> None:
        read = beltpath.read(ORCHARD)
        turned = replace(read, pulleys=dict(reversed(list(read.pulleys.items()))))
        assert turned.text != read.text

    def test_a_stand_in_keeps_the_text_and_is_not_judged(self) -> None:
        read = beltpath.read(ORCHARD)
        shown = stand_in(read, title="")
        assert (shown.title, shown.text, shown.digest) == ("", read.text, read.digest)
