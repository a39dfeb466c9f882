"""``beltpath size``: answers, exit statuses, catalogues good and bad, JSON by its schema."""

from __future__ import annotations

import re
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from unittest.mock import patch

import pytest
from jsonschema import Draft202012Validator

from beltpath.cli.size import size
from beltpath.files.reading import read_catalogue_text
from beltpath.output import schemas
from beltpath.sizing.catalogue import parse
from tests.cli.calling import FAULTY, SOUND, UNUSABLE, Result, call, written
from tests.cli.test_process import HEAVY
from tests.schema.test_check_schema import closed
from tests.schema.test_layout_schema import LAYOUTS, ROOT

ORCHARD = ROOT / "layouts" / "orchard-sprayer.toml"
SHELF = ROOT / "layouts" / "shelf.csv"
HEAD = "designation,section,ribs,length,unit,stock,note\n"
SCHEMA = schemas.written()["size"]
ANSWER = Draft202012Validator(closed(SCHEMA))


def answered(*args: str | Path, status: int = 0) -> Any:
    """The JSON of a call, which must keep to its schema."""
    result = call("size", *args, "--json")
    assert (result.status, result.err) == (status, "")
    assert [error.message for error in ANSWER.iter_errors(result.json)] == []
    return result.json


def row(result: Result, name: str) -> str:
    """What stands beside a name in the report, the first time."""
    told, *_ = re.findall(rf"(?m)^{re.escape(name)}  +(.*)$", result.out)
    return str(told)


def roughly_measured(folder: Path) -> Path:
    """The grain auger with its crank's place no surer than the others'."""
    text = (ROOT / "layouts" / "grain-auger.toml").read_text(encoding="utf-8")
    return written(folder, "auger.toml", text.replace("at = [0, 0],", "at = [0, 0], accuracy = 2,"))


class TestRange:
    def test_no_belt_named_gives_the_range(self) -> None:
        result = call("size", ORCHARD)
        assert (result.status, result.err) == (0, "")
        assert row(result, "effective length") == "1877.4 mm ± 9.2 mm (95 %) as measured"
        assert row(result, "usable range").startswith("1870 to 1882 mm nominal (tolerance ± 9 mm")
        assert row(result, "measure again").startswith("first the place of right idler: it makes")
        assert "answer" not in result.out

    def test_the_whole_millimetres_told_lie_inside_the_range(self) -> None:
        low, high = answered(ORCHARD)["usable_mm"]
        assert 1869.0 < low <= 1870.0 < 1882.0 <= high < 1883.0

    def test_none_is_sure_to_fit(self) -> None:
        result = call("size", ORCHARD, "--with", "accuracy=2")
        told = row(result, "usable range")
        assert told.startswith("none is sure to fit with the ± 17 mm of the measuring; 1860 to 1")
        assert "aim at" not in result.out
        assert answered(ORCHARD, "--with", "accuracy=2")["aim_mm"] is None

    def test_fixed_centres_say_what_take_up_they_lack_and_aim_at_nothing(self) -> None:
        auger = ROOT / "layouts" / "grain-auger.toml"
        result = call("size", auger)
        assert row(result, "usable range").startswith("none is sure to fit: nothing on fixed")
        assert "an adjustable centre, a tensioner or a stretch-fit belt" in result.out
        told = answered(auger)
        need = told["take_up_mm"]
        unsure = told["tolerance_mm"] + told["uncertainty_mm"]
        assert need["shorter"] == pytest.approx(unsure + need["slip_on"])
        assert need["longer"] == pytest.approx(unsure + need["stretch"])
        assert told["usable_mm"] is told["exact_mm"] is told["aim_mm"] is None
        assert f"{need['shorter']:.1f} mm shorter" in row(result, "take-up needed")
        assert "aim at" not in result.out
        assert answered(ORCHARD)["take_up_mm"] is None

    def test_a_sloppy_tolerance_makes_nothing_fit(self) -> None:
        """The belt of 1560 mm was told to fit a path of 1574.8 mm."""
        sheeter = ROOT / "layouts" / "dough-sheeter.toml"
        for tolerance in (0, 8, 20):
            result = call("size", sheeter, "6PK1560", "--with", f"belt.tolerance={tolerance}")
            assert result.status == 1
            assert "does not fit: 14.8 mm too short" in result.out

    def test_where_the_tolerance_comes_from_is_told(self) -> None:
        doubt = "from memory, low confidence"
        assert f"± 9 mm ({doubt}) included" in row(call("size", ORCHARD), "with the belt")
        named = call("size", ORCHARD, "6PK1877")
        assert row(named, "tolerance") == f"± beside a belt, unless given: {doubt}"
        own = ("--with", "belt.tolerance=9")
        assert "± 9 mm (given) included" in row(call("size", ORCHARD, *own), "with the belt")
        assert not re.search(r"(?m)^tolerance ", call("size", ORCHARD, "6PK1877", *own).out)
        told = answered(ORCHARD, "6PK1877")
        assert told["tolerance_source"] == told["candidates"][0]["tolerance_source"] == doubt
        told = answered(ORCHARD, "6PK1877", *own)
        assert told["tolerance_source"] == told["candidates"][0]["tolerance_source"] == "given"

    def test_a_window_that_leaves_no_room(self, tmp_path: Path) -> None:
        text = SOUND.replace("# window = [60, 92]", "window = [75, 76]")
        result = call("size", written(tmp_path, "drive.toml", text), "6PK1000")
        assert row(result, "usable range").startswith("none: ")
        assert "you need" not in result.out
        near = call("size", written(tmp_path, "again.toml", text), "6PK1297")
        assert ". See usable range. " in row(near, "answer")

    def test_a_range_of_less_than_a_millimetre_keeps_its_decimals(self) -> None:
        fogger = ROOT / "layouts" / "greenhouse-fogger.toml"
        result = call("size", fogger, "--with", "belt.tolerance=10.6")
        assert row(result, "usable range").startswith("778.2 to 779 mm")

    def test_inches_are_told_too(self) -> None:
        result = call("size", ROOT / "layouts" / "cider-mill-inch.toml", "540J6")
        assert row(result, "effective length").startswith("1371.6 mm (54.001 in)")
        assert "1366 to 1373 mm (53.7" in result.out
        assert row(result, "answer").startswith("540J6 fits.")

    def test_a_v_belt_has_no_ribs_to_tell(self) -> None:
        result = call("size", ROOT / "layouts" / "sawmill-alternator.toml", "AV10 1192")
        assert row(result, "belt").startswith("AV")
        assert "ribs" not in row(result, "belt")

    def test_what_a_designation_does_not_tell(self, tmp_path: Path) -> None:
        result = call("size", ROOT / "layouts" / "greenhouse-fogger.toml", "4PK778")
        assert "needs a stretch-fit belt" in row(result, "note")
        double = SOUND.replace("ribs = 6", "ribs = 6\ndouble_sided = true")
        result = call("size", written(tmp_path, "drive.toml", double))
        assert "needs a double-sided belt" in row(result, "note")


class TestNamed:
    def test_one_that_fits(self) -> None:
        result = call("size", ORCHARD, "6 pk 1877")
        assert (result.status, result.err) == (0, "")
        assert re.search(r"(?m)^6 pk 1877  fits +1877.0 ± 9  -29.1° ± 7  39 %", result.out)
        assert row(result, "answer").startswith("6 pk 1877 fits. ")

    def test_one_that_fits_with_reserve(self, tmp_path: Path) -> None:
        result = call("size", ORCHARD, "6PK1885")
        assert result.status == 0
        told = row(result, "answer")
        assert told.startswith("6PK1885 comes nearest, but only if the measuring is right")
        assert ". You need 1870 to 1882 mm. " in told
        told = row(call("size", ORCHARD, "6PK1885", "--with", "accuracy=2"), "answer")
        assert ". You need 1860 to 1891 mm, and the pulleys measured again. " in told
        told = row(call("size", ROOT / "layouts" / "grain-auger.toml", "8PL2453"), "answer")
        assert ". You need a belt near 2452.9 mm and a way to tension it. " in told

    def test_none(self) -> None:
        result = call("size", ORCHARD, "6PK1960", "540J6")
        assert result.status == 1
        assert row(result, "answer").startswith("none of these fits: you need 1870 to 1882 mm.")

    def test_every_one_is_judged_best_first(self) -> None:
        told = answered(ORCHARD, "540J6", "6PK1960", "6PK1885", "6PK1877")
        judged = [(one["designation"], one["answer"]) for one in told["candidates"]]
        assert judged == [
            ("6PK1877", "fits"),
            ("6PK1885", "fits but"),
            ("6PK1960", "does not fit"),
            ("540J6", "does not fit"),
        ]
        best, _, long, other = told["candidates"]
        assert best["tensioner"]["now"]["position"] == pytest.approx(-29.11, abs=0.01)
        assert long["tensioner"]["now"]["position"] is None
        assert other["tensioner"] is None

    def test_every_designation_that_is_none_is_told(self) -> None:
        result = call("size", ORCHARD, "6PK1877", "six", "7PK1\x1b")
        assert (result.status, result.out) == (2, "")
        first, second = result.err.splitlines()
        assert first.startswith('"six" is no designation of a belt')
        assert "\x1b" not in second


class TestCatalogue:
    def test_the_best_of_the_demo(self) -> None:
        result = call("size", ORCHARD, "--catalogue", SHELF)
        assert (result.status, result.err) == (0, "")
        assert row(result, "answer").startswith("6PK1877 fits. ")
        assert row(result, "passed over") == (
            "5 of another section, 4 with too few or too many ribs, 2 too short, 1 too long"
        )
        assert "6PK1960" not in result.out

    def test_nothing_on_the_shelf(self, tmp_path: Path) -> None:
        file = written(tmp_path, "shelf.csv", f"{HEAD}6PK1500,PK,6,1500,mm,1,\n6PK1960,,,,,,\n")
        result = call("size", ORCHARD, "--catalogue", file)
        assert (result.status, result.err) == (1, "")
        assert row(result, "answer").startswith("none on this shelf fits: you need 1870 to 1882 mm")
        assert "6PK1500" in result.out
        assert "6PK1960" in result.out

    def test_an_empty_shelf(self, tmp_path: Path) -> None:
        file = written(tmp_path, "shelf.csv", HEAD)
        result = call("size", ORCHARD, "--catalogue", file)
        assert result.status == 1
        assert answered(ORCHARD, "--catalogue", file, status=1)["candidates"] == []

    def test_bad_rows_are_told_and_the_rest_is_used(self, tmp_path: Path) -> None:
        rows = "6PK1877,PK,6,1877,mm,,\nbad\n6PK1878,PK,six,1878,mm,,\n"
        file = written(tmp_path, "shelf.csv", HEAD + rows)
        result = call("size", ORCHARD, "--catalogue", file)
        assert result.status == 2
        told = result.err.splitlines()
        assert told[0].startswith(f"{file}: line 3: the row has 1 cells")
        assert told[1].startswith(f'{file}: line 4: ribs must be a whole number, not "six"')
        assert told[2] == f"{file}: 1 rows are used, the others are skipped"
        assert row(result, "answer").startswith("6PK1877 fits. ")

    def test_many_bad_rows_are_counted(self, tmp_path: Path) -> None:
        file = written(tmp_path, "shelf.csv", HEAD + "bad\n" * 50)
        told = call("size", ORCHARD, "--catalogue", file).err.splitlines()
        assert len(told) == 22
        assert told[20] == f"{file}: 30 more rows cannot be used"

    def test_more_than_can_be_shown(self, tmp_path: Path) -> None:
        rows = "".join(f"6PK{n},PK,6,{n},mm,,\n" for n in range(1865, 1885))
        file = written(tmp_path, "shelf.csv", HEAD + rows)
        result = call("size", ORCHARD, "--catalogue", file)
        assert row(result, "more").startswith("8 others of the catalogue")
        assert len(answered(ORCHARD, "--catalogue", file)["candidates"]) == 20

    def test_its_words_are_shown_inert_and_short(self, tmp_path: Path) -> None:
        long = f"ab,PK,6,1877,mm,,{'n' * 500}\n"
        file = written(tmp_path, "shelf.csv", f"{HEAD}a\x1b[2Jb,PK,6,1877,mm,,\n{long}")
        result = call("size", ORCHARD, "--catalogue", file)
        assert result.status == 2
        assert "\x1b" not in result.out + result.err
        assert 'line 2: a cell holds a character that cannot be printed ("\\u001b")' in result.err
        assert f"{'n' * 120}…" in result.out
        assert "n" * 121 not in result.out

    def test_a_note_stands_beside_its_reason(self) -> None:
        result = call("size", ORCHARD, "--catalogue", SHELF)
        assert re.search(r"(?m)^6PK1870 +fits but: none in stock \(on order\)$", result.out)

    def test_from_standard_input(self) -> None:
        result = call("size", ORCHARD, "--catalogue", "-", stdin=SHELF.read_bytes())
        assert result.status == 0
        result = call("size", "-", "--catalogue", SHELF, stdin=ORCHARD.read_bytes())
        assert result.status == 0
        result = call("size", "-", "--catalogue", "-")
        assert result.err == "- is named twice, but standard input can be read once only\n"
        assert result.status == 2

    @pytest.mark.parametrize(
        ("data", "says"),
        [
            (b"", "the first line must name the columns"),
            (b"\x89PNG\r\n\x1a\n\x00", "line 1: the file is not UTF-8 text; save it as CSV in UTF"),
            (HEAD.encode("utf-16"), "line 1: the file is not UTF-8 text"),
            (HEAD.encode() + b"\xe4,PK,6,1877,mm,,\n", "line 2: the file is not UTF-8 text"),
            (b"title = 1\n", "are not there"),
            (HEAD.encode() + b'"open', "line 2: cannot be read as CSV"),
            (HEAD.encode() + b"9" * 200_000, "line 2: cannot be read as CSV"),
            (b"," * 32_000_001, "the file is larger than 32 MB"),
        ],
    )
    def test_what_is_no_catalogue_is_one_sentence(
        self, tmp_path: Path, data: bytes, says: str
    ) -> None:
        file = tmp_path / "shelf.csv"
        file.write_bytes(data)
        result = call("size", ORCHARD, "--catalogue", file)
        assert (result.status, result.out) == (2, "")
        assert result.err.startswith(f"{file}: ")
        assert says in result.err
        assert result.err.count("\n") == 1

    def test_a_mark_at_the_beginning_is_no_part_of_it(self, tmp_path: Path) -> None:
        file = tmp_path / "shelf.csv"
        file.write_bytes(b"\xef\xbb\xbf" + SHELF.read_bytes())
        assert call("size", ORCHARD, "--catalogue", file).status == 0

    def test_one_that_is_not_there(self, tmp_path: Path) -> None:
        result = call("size", ORCHARD, "--catalogue", tmp_path / "none.csv")
        assert result.status == 2
        assert result.err.endswith("cannot be read: no such file or directory\n")

    def test_a_row_takes_at_most_twice_the_time_of_reading_it(self, tmp_path: Path) -> None:
        """The drive itself is solved once, whatever the catalogue: that is taken off."""
        rows = "".join(
            f"{r}P{s}{n},P{s},{r},{n},mm,{n % 5},\n"
            for n in range(500, 2500, 3)
            for r in (4, 5, 6)
            for s in "JKL"
        )
        file = written(tmp_path, "shelf.csv", HEAD + rows)

        def best(work: Callable[[], object]) -> float:
            times = []
            for _ in range(2):
                start = time.process_time()
                work()
                times.append(time.process_time() - start)
            return min(times)

        reading = best(lambda: parse(read_catalogue_text(file)))
        sizing = best(lambda: size(str(ORCHARD), [], catalogue=str(file)))
        drive = best(lambda: size(str(ORCHARD), []))
        assert sizing - drive < 2.0 * reading


class TestLayouts:
    def test_a_fault_of_the_drive_is_told_and_counts(self, tmp_path: Path) -> None:
        result = call("size", written(tmp_path, "drive.toml", FAULTY))
        assert result.status == 1
        assert row(result, "fault").startswith("rotation: pump must turn")
        assert "Put the faults right first" in row(result, "note")

    def test_an_unusable_layout(self, tmp_path: Path) -> None:
        file = written(tmp_path, "drive.toml", UNUSABLE)
        result = call("size", file, "6PK1000")
        assert (result.status, result.out) == (2, "")
        assert result.err.startswith(f"{file}: line ")

    def test_a_belt_that_cannot_be_laid(self, tmp_path: Path) -> None:
        file = written(tmp_path, "drive.toml", SOUND.replace("[155, 205]", "[3, 4]"))
        result = call("size", file)
        assert result.status == 2
        assert result.err.startswith(f"{file}: ")
        result = call("size", "-", stdin=file.read_bytes())
        assert result.err.startswith("standard input: ")

    @pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
    def test_every_demo_answers_by_the_schema(self, path: Path) -> None:
        result = call("size", path, "6PK1877", "--catalogue", SHELF, "--json")
        assert result.status in (0, 1), result.err
        assert [error.message for error in ANSWER.iter_errors(result.json)] == []

    def test_a_demo_with_its_own_belt_finds_that_it_can_be_fitted(self) -> None:
        for name in ("orchard-sprayer", "snow-groomer", "cider-mill", "sawmill-alternator"):
            path = ROOT / "layouts" / f"{name}.toml"
            belt = call("check", path, "--json").json["belt"]["designation"]
            assert call("size", path, belt).status == 0, name


class TestSchema:
    def test_the_shipped_schema_is_the_one_that_is_built(self) -> None:
        shipped = (ROOT / "docs" / "size.schema.json").read_text(encoding="utf-8")
        assert shipped == schemas.text_of(SCHEMA), "run: python -m beltpath.output.schemas"
        Draft202012Validator.check_schema(SCHEMA)

    def test_a_field_taken_away_or_of_another_kind_is_noticed(self) -> None:
        whole = answered(ORCHARD, "6PK1877")
        for field in whole:
            less = {key: value for key, value in whole.items() if key != field}
            assert not ANSWER.is_valid(less), field
            assert not ANSWER.is_valid({**whole, field: True}), field


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """The fields of a Monte Carlo's result."""

    rows: int = 3
    mean: float = 1877.0
    sigma: float = 5.0
    low: float = 1867.0
    high: float = 1887.0
    lost: float = 0.25


class TestMonteCarlo:
    def test_it_agrees_with_the_propagation(self) -> None:
        pytest.importorskip("beltpath.solve.monte_carlo")
        told = answered(ORCHARD, "--monte-carlo", "20000")
        sampled = told["monte_carlo"]
        assert sampled["rows"] == 20_000
        assert 1.96 * sampled["sigma_mm"] == pytest.approx(told["uncertainty_mm"], rel=0.05)
        result = call("size", ORCHARD, "--monte-carlo", "2000")
        assert "(2000 drives drawn)" in row(result, "Monte Carlo")

    def test_too_few_rows_are_refused(self) -> None:
        pytest.importorskip("beltpath.solve.monte_carlo")
        assert call("size", ORCHARD, "--monte-carlo", "1").status == 2

    @pytest.mark.parametrize(
        ("lost", "ends"),
        [
            (0.0, "1867.0 to 1887.0 mm (3 drives drawn)"),
            (0.25, "(3 drives drawn); in 25 % of them no belt could be laid"),
        ],
    )
    def test_what_it_finds_is_told(self, lost: float, ends: str) -> None:
        """With another solver in its place: words and fields only."""
        other = SimpleNamespace(monte_carlo=lambda layout, path, rows: Drawn(rows=rows, lost=lost))
        with patch.dict(sys.modules, {"beltpath.solve.monte_carlo": other}):
            told = row(call("size", ORCHARD, "--monte-carlo", "3"), "Monte Carlo")
            assert answered(ORCHARD, "--monte-carlo", "3")["monte_carlo"]["lost"] == lost
        assert told.startswith("1877.0 mm ± 9.8 mm, 95 % within ")
        assert told.endswith(ends)


def test_it_loads_nothing_heavy() -> None:
    code = (
        "import sys\n"
        "from beltpath.cli.app import run\n"
        f"assert run(['size', {str(ORCHARD)!r}, '6PK1877', '--catalogue', {str(SHELF)!r}]) == 0\n"
        f"loaded = sorted({{name.partition('.')[0] for name in sys.modules}} & set({HEAVY!r}))\n"
        "sys.exit(f'loaded: {loaded}' if loaded else 0)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=60
    )
    assert (done.returncode, done.stderr) == (0, "")
