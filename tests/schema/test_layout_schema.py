"""The JSON Schema of a layout file: what ships is what is built, and it agrees with the reader.

The law between the two: a file that the reader accepts is never refused by the schema. The other
way round it holds for everything that a schema can say; what it cannot is listed here too.
"""

from __future__ import annotations

import json
import runpy
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from beltpath.cli.new import starter
from beltpath.errors import LayoutError
from beltpath.layout.keys import LayoutModel
from beltpath.layout.reader import parse
from beltpath.output import schemas
from tests.cli.calling import SOUND
from tests.strategies import law

ROOT = Path(__file__).resolve().parent.parent.parent
LAYOUTS = sorted((ROOT / "layouts").glob("*.toml"))
BUILT = schemas.layout_schema()
VALIDATOR = Draft202012Validator(BUILT)

SLIDE = SOUND.replace('kind = "arm"', 'kind = "slide"').replace("pivot = [-130, 50]", "along = 5")
SLIDE = SLIDE.replace("free = 45", "free = 20").replace("load = 105", "load = -20")
SWING = SOUND.replace('kind = "arm"', 'kind = "swing"')
NO_TENSIONER = SOUND[: SOUND.index("[tensioner]")]
SOUND_ONES = {
    "starter": SOUND,
    "inches": starter("in"),
    "slide": SLIDE,
    "swing": SWING,
    "no tensioner": NO_TENSIONER,
    "no route": "\n".join(line for line in SOUND.splitlines() if not line.startswith("route")),
    "elastic": NO_TENSIONER.replace("ribs = 6", "ribs = 6\nelastic = true"),
    "arm's spring": SOUND.replace("# spring", "spring"),
    "slide's spring": SLIDE.replace("lever =", "spring = { force = 300, at = 0 }\nlever ="),
    "loads": SOUND.replace("# [running]", "[running]").replace("# crank_rpm", "crank_rpm"),
}


def edited(old: str, new: str, text: str = SOUND) -> str:
    """The starter with one thing put wrong."""
    assert old in text
    return text.replace(old, new, 1)


#: A V-belt, but with six ribs.
V_BELT = edited('"PK"', '"AV10"', NO_TENSIONER).replace("over_balls = 61", "diameter = 70")

#: Mistakes that reader and schema both see.
MISTAKES = {
    "no title": edited("title = ", "# title = "),
    "empty title": edited('"A workshop drive to start from"', '""'),
    "title no text": edited('"A workshop drive to start from"', "7"),
    "unknown key": edited("ribs = 6", "ribs = 6\nrips = 6"),
    "unknown table": f"{SOUND}\n[belts]\n",
    "unknown section": edited('"PK"', '"PQ"'),
    "unknown units": edited('units = "mm"', 'units = "cm"'),
    "no ribs": edited("ribs = 6", "ribs = 0"),
    "half a rib": edited("ribs = 6", "ribs = 6.5"),
    "ribs in words": edited("ribs = 6", 'ribs = "6"'),
    "ribs true": edited("ribs = 6", "ribs = true"),
    "negative accuracy": edited("accuracy = 1.0", "accuracy = -1"),
    "a date": edited("accuracy = 1.0", "accuracy = 2020-01-01"),
    "no size": edited("diameter = 160,", ""),
    "two sizes": edited("diameter = 160,", "diameter = 160, around = 503,"),
    "no diameter": edited("diameter = 160", "diameter = 0"),
    "no face": edited('face = "grooved", ', ""),
    "unknown face": edited('face = "grooved"', 'face = "groovy"'),
    "unknown role": edited('role = "pump"', 'role = "pumpe"'),
    "half a place": edited("at = [0, 0]", "at = [0]"),
    "place in space": edited("at = [0, 0]", "at = [0, 0, 0]"),
    "place in words": edited("at = [0, 0]", 'at = "here"'),
    "one pulley": f"{SOUND[: SOUND.index('tensioner  =')]}",
    "smooth over balls": edited("diameter = 90, ", "over_balls = 90, "),
    "smooth with grooves": edited("diameter = 90, ", "diameter = 90, grooves = 6, "),
    "wrap over a turn": edited('role = "pump"', 'role = "pump", min_wrap = 361'),
    "two loads": edited('role = "pump"', 'role = "pump", load = { power_kw = 1, torque_nm = 1 }'),
    "no load in it": edited('role = "pump"', 'role = "pump", load = {}'),
    "route of one": edited('"crank", "tensioner", "alternator", "pump"', '"crank"'),
    "route twice": edited('"alternator", "pump"', '"pump", "pump"'),
    "route no list": edited('["crank", "tensioner", "alternator", "pump"]', '"crank"'),
    "arm without pivot": edited("pivot = ", "# pivot = "),
    "arm with along": edited("free = 45", "along = 5\nfree = 45"),
    "arm with a force": edited("lever =", "spring = { force = 300, at = 50 }\nlever ="),
    "spring of both": edited("lever =", "spring = { force = 3, torque = 3, at = 50 }\nlever ="),
    "spring of none": edited("lever =", "spring = { at = 50 }\nlever ="),
    "unknown kind": edited('kind = "arm"', 'kind = "screw"'),
    "no free stop": edited("free = 45", "# free = 45"),
    "swing with a spring": edited("# spring", "spring", SWING),
    "slide without along": edited("along = 5", "", SLIDE),
    "slide with pivot": edited("along = 5", "along = 5\npivot = [-130, 50]", SLIDE),
    "slide with a torque": edited("# spring", "spring", SLIDE),
    "slide with release": edited("along = 5", 'along = 5\nrelease = "clockwise"', SLIDE),
    "elastic with tensioner": edited("ribs = 6", "ribs = 6\nelastic = true"),
    "V-belt of six ribs": V_BELT,
    "V-belt of two sides": edited("ribs = 6", "double_sided = true", V_BELT),
    "no speeds": f"{SOUND}\n[running]\ncrank_rpm = []\n",
    "backward speed": f"{SOUND}\n[running]\ncrank_rpm = [-800]\n",
}
#: Mistakes that compare one key with another, or numbers with what drives have: reader only.
BEYOND_SCHEMAS = {
    "two cranks": edited('role = "pump"', 'role = "crank"'),
    "no crank": edited('role = "crank"', 'role = "fan"'),
    "one place twice": edited("[155, 205]", "[0, 0]"),
    "unknown in route": edited('"alternator", "pump"', '"alternator", "pomp"'),
    "route without crank": edited('"crank", "tensioner"', '"tensioner"'),
    "unknown carried": edited('pulley = "tensioner"', 'pulley = "tension"'),
    "no travel": edited("load = 105", "load = 45"),
    "window outside": edited("# window = [60, 92]", "window = [60, 192]"),
    "a giant": edited("diameter = 160", "diameter = 160000"),
    "not a number": edited("accuracy = 1.0", "accuracy = nan"),
    "balls for a V-belt": edited('"PK"', '"AV10"', NO_TENSIONER).replace("ribs = 6", ""),
}


def allowed(text: str) -> bool:
    """Whether the schema accepts it."""
    return VALIDATOR.is_valid(tomllib.loads(text))


def readable(text: str) -> bool:
    """Whether the reader accepts it."""
    try:
        parse(text)
    except LayoutError:
        return False
    return True


class TestShipped:
    def test_the_shipped_schema_is_the_one_that_is_built(self) -> None:
        shipped = (ROOT / "docs" / "layout.schema.json").read_text(encoding="utf-8")
        assert shipped == schemas.text_of(BUILT), "run: python -m beltpath.output.schemas"

    def test_the_documented_command_writes_all(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(sys, "argv", ["schemas", str(tmp_path)])
        runpy.run_module("beltpath.output.schemas", run_name="__main__")
        assert {"layout", "check", "size", "measure"} <= set(schemas.written())
        for name, built in schemas.written().items():
            text = (tmp_path / f"{name}.schema.json").read_text(encoding="utf-8")
            assert json.loads(text) == built

    def test_it_is_a_schema(self) -> None:
        Draft202012Validator.check_schema(BUILT)

    def test_editors_find_every_key_described_and_none_that_is_null(self) -> None:
        for table, model in BUILT["$defs"].items():
            for key, kind in model["properties"].items():
                assert kind.get("description") or "$ref" in kind, f"{table}.{key}"
        assert '"null"' not in json.dumps(BUILT)
        assert BUILT["properties"].keys() == LayoutModel.model_fields.keys()


class TestAgreement:
    @pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
    def test_every_demo_is_accepted_by_both(self, path: Path) -> None:
        text = path.read_text(encoding="utf-8")
        assert readable(text)
        assert allowed(text)

    def test_there_are_demos(self) -> None:
        assert len(LAYOUTS) >= 8

    @pytest.mark.parametrize("name", SOUND_ONES)
    def test_sound_files_are_accepted_by_both(self, name: str) -> None:
        assert readable(SOUND_ONES[name])
        assert allowed(SOUND_ONES[name])

    @pytest.mark.parametrize("name", MISTAKES)
    def test_mistakes_are_seen_by_both(self, name: str) -> None:
        assert not readable(MISTAKES[name])
        assert not allowed(MISTAKES[name])

    @pytest.mark.parametrize("name", BEYOND_SCHEMAS)
    def test_what_a_schema_cannot_say_the_reader_does(self, name: str) -> None:
        assert allowed(BEYOND_SCHEMAS[name])
        assert not readable(BEYOND_SCHEMAS[name])

    def test_each_edit_is_refused_for_itself_alone(self) -> None:
        assert len(set(MISTAKES.values())) == len(MISTAKES)
        assert all(text not in SOUND_ONES.values() for text in MISTAKES.values())


VALUES: st.SearchStrategy[Any] = st.one_of(
    st.integers(-3, 400),
    st.floats(-400.0, 400.0),
    st.booleans(),
    st.sampled_from(["", "mm", "PK", "AV10", "arm", "slide", "smooth", "ribs", "crank", "pump"]),
    st.lists(st.integers(-99, 99), max_size=3),
    st.builds(dict),
)


class TestLaw:
    """A file that the reader accepts is never refused by the schema."""

    @settings(law, max_examples=6 * law.max_examples)
    @given(data=st.data())
    def test_the_schema_never_refuses_what_the_reader_accepts(self, data: st.DataObject) -> None:
        layout = tomllib.loads(data.draw(st.sampled_from(sorted(SOUND_ONES.values()))))
        for _ in range(data.draw(st.integers(1, 2))):
            table = data.draw(st.sampled_from(_tables(layout)))
            known = _known_keys(table)
            key = data.draw(st.sampled_from(sorted(known)))
            if data.draw(st.integers(0, 3)) == 0:
                table.pop(key, None)
            else:
                table[key] = data.draw(_likely(known[key]) | VALUES)
        text = _toml(layout)
        event(f"readable: {readable(text)}")
        if readable(text):
            assert allowed(text)


def _tables(layout: dict[str, Any]) -> list[dict[str, Any]]:
    found = [layout]
    for value in layout.values():
        if isinstance(value, dict):
            found += _tables(value)
    return found


def _known_keys(table: dict[str, Any]) -> dict[str, Any]:
    """The keys that such a table knows, with their schemas: those of the model that has its own."""
    for model in (BUILT, *BUILT["$defs"].values()):
        if table and table.keys() <= model["properties"].keys():
            properties: dict[str, Any] = model["properties"]
            return properties
    return {key: {} for key in table} or {"title": {}}


def _likely(kind: dict[str, Any]) -> st.SearchStrategy[Any]:
    """Values that a schema of one key may well accept."""
    if "enum" in kind:
        return st.sampled_from(kind["enum"])
    if kind.get("type") == "array":
        return st.lists(st.floats(-300.0, 300.0), min_size=2, max_size=2)
    by_type: dict[str, st.SearchStrategy[Any]] = {
        "number": st.floats(0.1, 300.0),
        "integer": st.integers(1, 8),
        "boolean": st.booleans(),
        "string": st.text("abc ", min_size=1, max_size=9),
    }
    return by_type.get(kind.get("type", ""), VALUES)


def _toml(value: Any) -> str:
    """A document with each table written inline; enough for the values drawn here."""
    return "".join(f"{_key(key)} = {_value(inner)}\n" for key, inner in value.items())


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    return json.dumps(value)


def _key(key: str) -> str:
    return json.dumps(key)
