"""What-ifs: values set, pulleys left out, judged by the one reader; the text stays TOML."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from beltpath.errors import LayoutError
from beltpath.files.reading import read, read_changed, read_text
from beltpath.layout.keys import LONGEST_TITLE
from beltpath.layout.layout import Layout
from beltpath.layout.reader import parse
from beltpath.layout.what_if import Changes, changed
from beltpath.studies import study

DEMOS = sorted((Path(__file__).parents[2] / "layouts").glob("*.toml"))
TEXT = (Path(__file__).parents[2] / "layouts" / "orchard-sprayer.toml").read_text(encoding="utf-8")
SPACED = """
title = "Names"
route = ["main shaft", "a.b", "x=y"]
[belt]
section = "PJ"
[pulleys]
"main shaft" = { at = [0, 0], diameter = 80, face = "grooved", role = "crank" }
"a.b" = { at = [0, 300], diameter = 60, face = "grooved", role = "other" }
"x=y" = { at = [200, 200], diameter = 60, face = "grooved", role = "other" }
"""

#: The same in dotted keys, which stand apart from one another.
DOTTED = """
title = "Names"
pulleys."main shaft" = { at = [0, 0], diameter = 80, face = "grooved", role = "crank" }
pulleys."a.b".at = [0, 300]
pulleys."x=y" = { at = [200, 200], diameter = 60, face = "grooved", role = "other" }
route = ["main shaft", "a.b", "x=y"]
pulleys."a.b".diameter = 60
belt.section = "PJ"
pulleys."a.b".face = "grooved"
pulleys."a.b".role = "other"
"""


def with_(*values: str, text: str = TEXT) -> Layout:
    return changed(text, Changes(values=values))


def refusal(*values: str, without: tuple[str, ...] = (), text: str = TEXT) -> list[str]:
    with pytest.raises(LayoutError) as caught:
        changed(text, Changes(values=values, without=without))
    return [str(problem) for problem in caught.value.problems]


class TestValues:
    def test_a_diameter(self) -> None:
        assert with_("crank.diameter=140").crank.measured == ("diameter", 140.0)

    def test_another_way_of_measuring_takes_the_place_of_the_old(self) -> None:
        found = with_("alternator.diameter=60", "idler.outside=91.5", "crank.around = 520")
        assert found.pulleys["alternator"].measured == ("diameter", 60.0)
        assert found.pulleys["idler"].measured == ("outside", 91.5)
        assert found.pulleys["crank"].measured == ("around", 520.0)

    def test_lists_and_words(self) -> None:
        found = with_("pump.at=[230, 150]", "fan.turns=clockwise", 'idler.label="the idler"')
        assert found.pulleys["pump"].at == (230.0, 150.0)
        assert found.pulleys["fan"].turns == "clockwise"
        assert found.pulleys["idler"].label == "the idler"
        assert with_("idler.label=a b").pulleys["idler"].label == "a b"

    def test_tables_of_the_file(self) -> None:
        found = with_("belt.length=1790", "belt.ribs=5", "running.crank_rpm=[700, 900]")
        assert (found.belt.length, found.belt.ribs) == (1790.0, 5)
        assert found.running is not None
        assert found.running.crank_rpm == (700.0, 900.0)

    def test_the_tensioner_is_a_pulley_and_a_table(self) -> None:
        found = with_("tensioner.pivot=[-120, 190]", "tensioner.diameter=95", "tensioner.load=-60")
        assert found.tensioner is not None
        assert (found.tensioner.pivot, found.tensioner.load) == ((-120.0, 190.0), -60.0)
        assert found.pulleys["tensioner"].measured == ("diameter", 95.0)

    def test_a_load_that_is_a_table_is_the_pulleys(self) -> None:
        load = with_("tensioner.load={torque_nm = 1}").pulleys["tensioner"].load
        assert load is not None
        assert load.torque_nm == 1.0
        load = with_("tensioner.load.torque_nm=2").pulleys["tensioner"].load
        assert load is not None
        assert load.torque_nm == 2.0

    def test_one_kind_of_load_takes_the_place_of_the_other(self) -> None:
        load = with_("fan.load.power_kw=2").pulleys["fan"].load
        assert load is not None
        assert (load.power_kw, load.torque_nm) == (2.0, None)

    def test_keys_of_the_top_and_full_paths(self) -> None:
        found = with_("accuracy=0.5", "pulleys.crank.diameter=150", "tensioner.spring.torque=40")
        assert found.accuracy == 0.5
        assert found.crank.measured.value == 150.0
        assert found.tensioner is not None
        assert found.tensioner.spring is not None
        assert found.tensioner.spring.effort == 40.0

    def test_names_of_any_kind(self) -> None:
        found = with_("main shaft.diameter=81", "a.b.diameter=61", '"x=y".diameter=62', text=SPACED)
        assert [p.measured.value for p in found.pulleys.values()] == [81.0, 61.0, 62.0]
        assert with_("x=y.diameter=63", text=SPACED).pulleys["x=y"].measured.value == 63.0

    def test_a_table_that_is_not_there_is_made(self) -> None:
        found = with_("running.crank_rpm=[800]", text=SPACED)
        assert found.running is not None
        assert found.running.crank_rpm == (800.0,)

    def test_values_are_in_the_files_units(self) -> None:
        inches = DEMOS[0].with_name("cider-mill-inch.toml").read_text(encoding="utf-8")
        assert with_("motor.outside=3", text=inches).crank.measured.value == pytest.approx(76.2)

    def test_the_last_word_counts(self) -> None:
        assert with_("crank.diameter=140", "crank.diameter=150").crank.measured.value == 150.0


class TestSameAsEdited:
    """A what-if is the layout of the file with that line edited, but for its title and text."""

    @pytest.mark.parametrize(
        ("value", "old", "new"),
        [
            ("crank.diameter=140", "diameter = 165", "diameter = 140"),
            ("pump.at=[230,150]", "at = [220, 154]", "at = [230, 150]"),
            ("belt.length=1790", "length = 1877", "length = 1790"),
            ("alternator.over_balls=60", "over_balls = 57.0", "over_balls = 60"),
        ],
    )
    def test_edited(self, value: str, old: str, new: str) -> None:
        assert TEXT.count(old) == 1
        edited = parse(TEXT.replace(old, new))
        assert replace(with_(value), title=edited.title) == edited

    @pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
    def test_every_demo(self, path: Path) -> None:
        plain = read(path)
        found = read_changed(path, Changes(values=("accuracy=0.25",)))
        assert found == replace(plain, accuracy=found.accuracy, title=found.title)
        assert found.accuracy != plain.accuracy
        assert found.name == plain.name

    def test_no_change_is_the_file_itself(self) -> None:
        assert not Changes()
        assert changed(TEXT, Changes()).text == TEXT


class TestText:
    """The text is the changed layout, whole, as TOML with its comments."""

    def test_it_gives_the_same_layout_again(self) -> None:
        found = changed(TEXT, Changes(values=("crank.diameter=140",), without=("pump",)))
        again = parse(found.text)
        assert again == found
        assert again.digest == found.digest != parse(TEXT).digest

    def test_comments_are_kept_and_a_remark_stands_above(self) -> None:
        text = with_("crank.diameter=140").text
        assert text.startswith("# What if: crank.diameter=140\n")
        kept = [line for line in TEXT.splitlines() if line.startswith("#")]
        assert [line for line in text.splitlines()[1:] if line.startswith("#")] == kept

    def test_the_title_tells(self) -> None:
        found = changed(TEXT, Changes(values=("crank.diameter = 140",), without=("pump",)))
        assert found.title == (
            "Orchard sprayer, pump end (what if: crank.diameter=140, without pump)"
        )

    @pytest.mark.parametrize("length", [60, LONGEST_TITLE])
    def test_a_title_with_no_room(self, length: int) -> None:
        text = TEXT.replace("Orchard sprayer, pump end", "x" * length)
        found = with_("crank.diameter=140", "pump.at=[230, 150]", "belt.length=1790", text=text)
        assert len(found.title) <= LONGEST_TITLE
        assert found.title.startswith("xxxxx")
        assert found.title.endswith("(what if: see the file's first line)")
        assert "belt.length=1790" in found.text.splitlines()[0]

    @pytest.mark.parametrize(
        "text",
        [
            DOTTED,
            SPACED.replace("\n", "\r\n"),
            "\ufeff" + SPACED,
        ],
        ids=["dotted", "other line ends", "byte order mark"],
    )
    def test_other_ways_of_writing_toml(self, text: str) -> None:
        found = changed(text, Changes(values=("a.b.diameter=61",), without=("x=y",)))
        assert list(found.pulleys) == ["main shaft", "a.b"]
        assert found.pulleys["a.b"].measured.value == 61.0
        assert parse(found.text) == found

    def test_what_cannot_be_edited_in_place_is_written_plainly(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def refuse(text: str) -> Any:
            raise ValueError

        monkeypatch.setattr("beltpath.layout.what_if.tomlkit.parse", refuse)
        plain = with_("crank.diameter=140")
        monkeypatch.undo()
        assert plain == with_("crank.diameter=140")
        assert tomllib.loads(plain.text)["pulleys"]["crank"]["diameter"] == 140

    def test_what_is_edited_wrongly_is_written_plainly(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        import tomlkit

        other = tomlkit.parse(TEXT.replace("diameter = 165", "diameter = 165\nrim = 1", 0) + "\n")
        other["accuracy"] = 99
        monkeypatch.setattr("beltpath.layout.what_if.tomlkit.parse", lambda text: other)
        assert with_("crank.diameter=140").accuracy == 1.0


class TestOfALayout:
    """A layout that is at hand is changed as its text would be."""

    def test_its_text_and_name_are_taken(self) -> None:
        before = read(DEMOS[0])
        changes = Changes(values=("accuracy=0.25",))
        assert changed(before, changes) == changed(before.text, changes, name=before.name)

    def test_without_changes_it_is_the_same(self) -> None:
        before = read(DEMOS[0])
        assert changed(before, Changes()) is before


class TestWithout:
    def test_left_out_of_route_and_drive(self) -> None:
        found = changed(TEXT, Changes(without=("pump", "fan")))
        assert found.route == ("crank", "tensioner", "alternator", "idler")
        assert set(found.pulleys) == set(found.route)
        assert study(found).path.index("idler") == 3

    def test_an_obstacle(self) -> None:
        demo = DEMOS[0].with_name("snow-groomer.toml")
        found = read_changed(demo, Changes(without=("old-vacuum",)))
        assert set(found.route or ()) == set(found.pulleys)
        assert found.route == read(demo).route

    def test_where_no_route_is_given(self) -> None:
        text = SPACED.replace('route = ["main shaft", "a.b", "x=y"]', "")
        found = changed(text, Changes(without=("a.b",)))
        assert (found.route, list(found.pulleys)) == (None, ["main shaft", "x=y"])

    def test_what_cannot_be(self) -> None:
        told = refusal(without=("crank", "tensioner", "punp"))
        assert told == [
            '--without crank: "crank" is the crank, which drives the belt; it cannot be left out',
            '--without tensioner: "tensioner" is the tensioner\'s pulley; it cannot be left out',
            '--without punp: "punp" is not a pulley of this file; did you mean "pump"?',
        ]

    def test_a_belt_needs_two_pulleys(self) -> None:
        told = refusal(without=("a.b", "x=y"), text=SPACED)
        assert any(t.startswith("--without a.b: route: a belt meets at least two") for t in told)

    def test_a_pulley_left_out_cannot_be_changed_too(self) -> None:
        (told,) = refusal("pump.diameter=150", without=("pump",))
        assert told.startswith('--with pump.diameter=150: "pump" is neither a pulley nor')


class TestRefusals:
    """The reader's own sentences, at the change that brought them."""

    @pytest.mark.parametrize(
        ("value", "told"),
        [
            ("crank.diameter=wide", 'pulleys.crank.diameter: must be a number; found "wide"'),
            ("crank.diameter=0", "pulleys.crank.diameter: must be more than 0; found 0"),
            ("crank.at=[1", "pulleys.crank.at: must be a list in square brackets"),
            ("crank.diametre=1", "pulleys.crank.diametre: is not a key here; did you mean"),
            ("pump.turns=left", 'pulleys.pump.turns: must be "clockwise" or'),
            ("tensioner.load=-4000", "tensioner.load: "),
            ("belt.section=PX", "belt.section: must be "),
            ("running.crank_rpm=[]", "running.crank_rpm: must have at least 1 value"),
            ("fan.load.torque=4", "pulleys.fan.load.torque: is not a key here"),
            ("title=", "gives no value; write one after the ="),
            ("crank", "must be KEY=VALUE, for instance crank.diameter=140"),
            ("crank.=3", "must be KEY=VALUE, for instance crank.diameter=140"),
            ("crank=3", 'names no key of "crank"; write crank.KEY=VALUE'),
            ("belt=3", 'names no key of "belt"; write belt.KEY=VALUE'),
            ("pulleys=3", 'names no key of "pulleys"; write pulleys.KEY=VALUE'),
            ("alternater.x=1", '"alternater" is neither a pulley nor a table of this file; did'),
            ("pulleys.punp.diameter=1", 'names no key of "pulleys"'),
            (".".join("a" * 40) + "=1", "must be KEY=VALUE"),
        ],
    )
    def test_place_and_sentence(self, value: str, told: str) -> None:
        found = refusal(value)
        assert any(text.startswith(f"--with {value}: {told}") for text in found), found

    def test_a_mistake_elsewhere_keeps_its_line(self) -> None:
        broken = TEXT.replace("ribs = 6", 'ribs = "six"')
        line = broken[: broken.index('ribs = "six"')].count("\n") + 1
        told = refusal("crank.diameter=0", text=broken)
        assert len(told) == 2
        assert told[0].startswith(f"line {line}: belt.ribs: ") or told[1].startswith(
            f"line {line}: belt.ribs: "
        )

    def test_all_mistakes_at_once(self) -> None:
        assert len(refusal("crank.diameter=0", "pump.turns=x", "belt.ribs=0")) == 3
        assert len(refusal("nothing", "nowhere.x=1")) == 2

    def test_a_table_of_the_wrong_kind(self) -> None:
        told = refusal("crank.diameter=140", text='title = 3\npulleys = 4\nbelt = "x"\n')
        assert any("neither a pulley nor a table" in text for text in told)

    def test_a_title_of_the_wrong_kind_is_the_readers_to_tell(self) -> None:
        told = refusal("crank.diameter=140", text=TEXT.replace('"Orchard sprayer, pump end"', "3"))
        assert told == ["line 6: title: must be text in quotes; found 3"]

    def test_text_that_is_no_toml(self) -> None:
        assert "not TOML" in refusal("crank.diameter=140", text="[belt")[0]

    @pytest.mark.parametrize(
        "value",
        [
            "crank.diameter=1\nrim = 3",
            "idler.label=a\x1b[2J",
            'idler.label="\\u202e"',
            "crank.diameter=" + "9" * 5000,
            "crank.at=" + "[" * 2000,
            "crank.diameter=nan",
            "crank.diameter=2020-01-01",
        ],
    )
    def test_nothing_strange_gets_through(self, value: str) -> None:
        for told in refusal(value):
            assert told.isprintable(), told


def test_a_tensioner_with_a_key_made_a_table() -> None:
    found = with_("tensioner.spring={ torque = 30, at = -29 }")
    assert found.tensioner is not None
    assert found.tensioner.spring is not None
    assert (found.tensioner.spring.effort, found.tensioner.spring.rate) == (30.0, 0.0)


def test_a_value_that_stood_as_a_number_can_become_a_table() -> None:
    text = TEXT.replace("spring = { torque = 50, at = -29, rate = -0.25 }", "spring = 3")
    told = refusal("tensioner.spring.torque=30", text=text)
    assert told == ["--with tensioner.spring.torque=30: tensioner.spring.at: is missing"] or (
        "tensioner.spring.at" in told[0]
    )


def test_the_file_is_untouched(tmp_path: Path) -> None:
    file = tmp_path / "drive.toml"
    file.write_text(TEXT, encoding="utf-8")
    read_changed(file, Changes(values=("crank.diameter=140",)))
    assert read_text(file) == TEXT
