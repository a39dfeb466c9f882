"""The calls from Python say what the commands say, and refuse what they cannot use."""

from __future__ import annotations

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import beltpath
from beltpath.errors import LayoutError, PathError, UsageError
from beltpath.library import offer, read_catalogue, study_of
from beltpath.sizing.catalogue import Offer
from tests.cli.calling import SOUND, call, written
from tests.library.results import LAYOUTS, ORCHARD, SHELF, TAPE, results

LAYOUT = beltpath.read(ORCHARD)
AUGER = LAYOUTS / "grain-auger.toml"


def same(result: Any, *args: str | Path) -> None:
    """The answer of a call is the JSON of a command, to the last digit."""
    assert json.loads(json.dumps(beltpath.answer(result))) == call(*args, "--json").json


class TestAsTheCommands:
    def test_study(self) -> None:
        same(beltpath.study(LAYOUT), "check", ORCHARD)

    def test_size(self) -> None:
        sized = beltpath.size(LAYOUT, ["6PK1877", "6PK1960"], catalogue=SHELF)
        same(sized, "size", ORCHARD, "6PK1877", "6PK1960", "--catalogue", SHELF)

    def test_size_by_monte_carlo(self) -> None:
        layout = beltpath.read(AUGER)
        same(beltpath.size(layout, monte_carlo=500), "size", AUGER, "--monte-carlo", "500")

    def test_routes(self) -> None:
        spare = LAYOUTS / "found" / "spare-belt.toml"
        search = beltpath.routes(beltpath.read(spare), optional=["idler"])
        same(search, "routes", spare, "--optional", "idler")

    def test_compare_two_files(self) -> None:
        other = LAYOUTS / "orchard-sprayer-underdrive.toml"
        compared = beltpath.compare(beltpath.read(ORCHARD), beltpath.study(beltpath.read(other)))
        same(compared, "compare", ORCHARD, other)

    def test_compare_with_what_nobody_has_built(self) -> None:
        after = beltpath.what_if(LAYOUT, {"crank.diameter": 120}, without=["idler"])
        compared = beltpath.compare(LAYOUT, after, built=False)
        changes = ("--with", "crank.diameter=120", "--without", "idler")
        same(compared, "compare", ORCHARD, *changes)

    def test_measure(self) -> None:
        same(beltpath.measure(TAPE), "measure", TAPE)


class TestWhatIf:
    def test_it_changes_a_copy(self) -> None:
        changed = beltpath.what_if(LAYOUT, {"crank.diameter": 150})
        assert changed.pulleys["crank"].measured.value == 150.0
        assert LAYOUT.pulleys["crank"].measured.value != 150.0
        assert changed.title == f"{LAYOUT.title} (what if: crank.diameter=150)"
        assert beltpath.parse(changed.text, name=changed.name) == changed

    def test_nothing_changed_is_the_same_layout(self) -> None:
        assert beltpath.what_if(LAYOUT) == LAYOUT

    @pytest.mark.parametrize(
        ("key", "value", "found"),
        [
            ("crank.diameter", np.float64(150.5), 150.5),
            ("crank.diameter", np.int64(150), 150.0),
            ("crank.diameter", Fraction(301, 2), 150.5),
            ("crank.at", (1, 2.5), (1.0, 2.5)),
        ],
    )
    def test_numbers_of_other_kinds(self, key: str, value: object, found: object) -> None:
        crank = beltpath.what_if(LAYOUT, {key: value}).pulleys["crank"]
        assert found == (crank.at if key == "crank.at" else crank.measured.value)

    def test_words_flags_and_tables(self) -> None:
        changes = {
            "belt.double_sided": True,
            "crank.label": 'a "crank"\n#',
            "fan.load": {"power_kw": 2.5},
        }
        with pytest.raises(LayoutError) as caught:
            beltpath.what_if(LAYOUT, changes)
        assert caught.value.problems[0].place.startswith("crank.label=")
        del changes["crank.label"]
        changed = beltpath.what_if(LAYOUT, {**changes, "crank.label": 'a "crank" #'})
        assert changed.belt.double_sided
        assert changed.pulleys["crank"].label == 'a "crank" #'
        load = changed.pulleys["fan"].load
        assert load is not None
        assert "2.5" in changed.text

    def test_a_mistake_is_told_at_its_change(self) -> None:
        with pytest.raises(LayoutError) as caught:
            beltpath.what_if(LAYOUT, {"crank.diamter": 150})
        told = str(caught.value)
        assert "crank.diamter=150: " in told
        assert 'did you mean "diameter"' in told
        assert "--with" not in told

    def test_a_pulley_that_is_not_there(self) -> None:
        with pytest.raises(LayoutError, match=r'^nobody: "nobody" is not a pulley'):
            beltpath.what_if(LAYOUT, without=["nobody"])


class TestSize:
    def test_one_designation_or_an_offer(self) -> None:
        one = beltpath.size(LAYOUT, "6PK1877")
        assert [judged.answer for judged in one.named] == ["fits"]
        assert beltpath.size(LAYOUT, offer("6PK1877")).named == one.named
        assert offer(" 6 PK  1877 ") == Offer("6 PK 1877", "PK", 6, 1877.0)

    def test_rows_that_cannot_be_used_are_told(self, tmp_path: Path) -> None:
        head = "designation,section,ribs,length,unit\n"
        text = f"{head}6PK1877,,,,mm\n6PK1885,PK,six,1885,mm\n"
        sized = beltpath.size(LAYOUT, catalogue=written(tmp_path, "c.csv", text))
        assert sized.catalogue is not None
        assert [problem.line for problem in sized.catalogue.problems] == [3]
        assert [one.offer.designation for one in sized.stocked] == ["6PK1877"]
        assert beltpath.size(LAYOUT, catalogue=sized.catalogue).stocked == sized.stocked

    def test_a_file_that_is_no_catalogue_is_named(self, tmp_path: Path) -> None:
        file = written(tmp_path, "c.csv", "a,b\n")
        with pytest.raises(UsageError, match=r"c\.csv: "):
            read_catalogue(file)

    def test_where_no_length_can_be_told(self) -> None:
        # The belt crosses itself.
        route = ["crank", "idler", "fan", "alternator", "tensioner", "pump"]
        with pytest.raises(PathError):
            beltpath.size(beltpath.what_if(LAYOUT, {"route": route}))


class TestMeasure:
    def test_a_text_is_read_as_its_file_is(self) -> None:
        text = TAPE.read_text(encoding="utf-8")
        assert beltpath.answer(beltpath.measure(text)) == beltpath.answer(beltpath.measure(TAPE))

    def test_it_gives_a_layout_to_study(self) -> None:
        layout = beltpath.parse(beltpath.measure(TAPE).layout_text())
        assert beltpath.study(layout).verdict in ("pass", "caution")


def test_a_drive_that_nobody_has_built_is_not_held_to_its_tensioner() -> None:
    layout = beltpath.what_if(LAYOUT, {"crank.diameter": 120})
    assert "agreement" in {one.check for one in study_of(layout, built=True).findings}
    assert "agreement" not in {one.check for one in study_of(layout, built=False).findings}


class TestRows:
    @pytest.mark.parametrize("number", range(5))
    def test_they_are_flat_and_have_the_same_keys(self, number: int) -> None:
        rows = beltpath.rows(results()[number])
        assert len(rows) > 1
        assert len({tuple(row) for row in rows}) == 1
        plain = (str, int, float, bool, type(None))
        assert all(isinstance(value, plain) for row in rows for value in row.values())

    def test_the_contacts_of_a_study(self) -> None:
        study = results()[0]
        rows, told = beltpath.rows(study), beltpath.answer(study)["contacts"]
        assert [row["pulley"] for row in rows] == [one["pulley"] for one in told]
        assert [row["wrap_deg"] for row in rows] == [one["wrap_deg"] for one in told]
        assert [[row["enter_x"], row["enter_y"]] for row in rows] == [one["enter"] for one in told]

    @pytest.mark.parametrize("of", ["contacts", "spans", "findings", "forces", "belt", "tensioner"])
    def test_another_table(self, of: str) -> None:
        study = results()[0]
        told = beltpath.answer(study)[of]
        assert len(beltpath.rows(study, of)) == (len(told) if isinstance(told, list) else 1)

    def test_words_of_a_list_stand_in_one_text(self) -> None:
        finding = beltpath.rows(results()[0], "findings")[0]
        assert finding["pulleys"] == "fan, pump, idler"
        likeliest = beltpath.rows(results()[2])[0]
        assert likeliest["reasons"].count(". ") >= 1
        assert ".," not in likeliest["reasons"]

    def test_a_table_that_is_empty_has_no_rows(self) -> None:
        study = beltpath.study(beltpath.parse(SOUND.split("[running]")[0]))
        assert beltpath.answer(study)["forces"] is None
        assert beltpath.rows(study, "forces") == []

    def test_the_centres_of_a_measurement_have_their_names(self) -> None:
        rows = beltpath.rows(results()[4])
        assert [row["name"] for row in rows] == list(beltpath.answer(results()[4])["pulleys"])
        assert {"at_x", "at_y", "sigma_mm", "sigma_xy_mm_1", "sigma_xy_mm_2"} <= set(rows[0])

    def test_several_results_give_a_row_each(self) -> None:
        auger = beltpath.study(beltpath.read(AUGER))
        rows = beltpath.rows([results()[0], auger])
        assert [row["title"] for row in rows] == [LAYOUT.title, auger.layout.title]
        assert [row["belt_effective_length_mm"] for row in rows] == [
            results()[0].path.length,
            auger.path.length,
        ]
        assert rows[1]["tensioner_position"] is None
        assert beltpath.rows([]) == []


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: beltpath.size("6PK1877"), "size takes a Layout; found str"),  # type: ignore[arg-type]
    (lambda: beltpath.size(LAYOUT, 6), "size takes designations, for instance 6PK1795; found int"),  # type: ignore[arg-type]
    (lambda: beltpath.size(LAYOUT, [6]), "an offer takes a designation"),  # type: ignore[list-item]
    (lambda: beltpath.size(LAYOUT, "six"), '"six" is no designation of a belt'),
    (lambda: beltpath.size(LAYOUT, catalogue=5), "a catalogue takes the name of a CSV file"),  # type: ignore[arg-type]
    (lambda: beltpath.size(LAYOUT, catalogue="none.csv"), "none.csv: cannot be read"),
    (lambda: beltpath.routes("x"), "a search for routes takes a Layout; found str"),  # type: ignore[arg-type]
    (lambda: beltpath.routes(LAYOUT, optional="idler"), "`optional` is a list of names"),
    (lambda: beltpath.routes(LAYOUT, optional=[5]), "`optional` is a list of names"),  # type: ignore[list-item]
    (lambda: beltpath.routes(LAYOUT, optional=["nobody"]), '"nobody" is not a pulley'),
    (lambda: beltpath.measure(5), "measure takes the name or the text of a file"),  # type: ignore[arg-type]
    (lambda: beltpath.measure("none.toml"), "none.toml: cannot be read"),
    (lambda: beltpath.compare(LAYOUT, "x"), "a comparison takes two layouts or studies"),  # type: ignore[arg-type]
    (lambda: beltpath.what_if("x"), "a what-if takes a Layout; found str"),  # type: ignore[arg-type]
    (lambda: beltpath.what_if(LAYOUT, ["crank.diameter=1"]), "a what-if takes values by"),  # type: ignore[arg-type]
    (lambda: beltpath.what_if(LAYOUT, {5: 1}), "a change takes a key"),  # type: ignore[dict-item]
    (lambda: beltpath.what_if(LAYOUT, {"crank.at": None}), "crank.at: no layout file can hold"),
    (lambda: beltpath.what_if(LAYOUT, {"crank.at": {1, 2}}), "crank.at: no layout file can hold"),
    (lambda: beltpath.what_if(LAYOUT, without="idler"), "`without` is a list of names"),
    (lambda: beltpath.what_if(LAYOUT, without=5), "`without` is a list of names"),  # type: ignore[arg-type]
    (lambda: beltpath.answer(LAYOUT), "an answer is of what study, size, routes"),  # type: ignore[arg-type]
    (lambda: beltpath.rows(5), "an answer is of what study, size, routes"),  # type: ignore[arg-type]
    (lambda: beltpath.rows(results()[0], "title"), 'the answer has no table "title"; choose one'),
    (lambda: beltpath.rows([results()[0]], "spans"), "of several results there is a row each"),
]


@pytest.mark.parametrize(
    ("wrong", "told"), REFUSED, ids=lambda one: one if isinstance(one, str) else ""
)
def test_what_cannot_be_used_is_refused_in_a_sentence(
    wrong: Callable[[], object], told: str
) -> None:
    with pytest.raises(UsageError) as caught:
        wrong()
    assert str(caught.value).startswith(told)
