"""``beltpath routes``: words, JSON, the way written and drawn, exit statuses and misuse."""

from __future__ import annotations

import io
from functools import partial
from pathlib import Path
from typing import Any

import pypdf
import pytest

import beltpath
from beltpath.cards.paper import SIZES
from beltpath.cli import routes as routes_command
from beltpath.cli.routes import MOST_DRAWN
from beltpath.output.routes_answer import routes_answer
from beltpath.ranking import find
from beltpath.ranking.find import find_routes
from beltpath.routing import graph
from tests.cli.calling import UNUSABLE, Result, call, program, written
from tests.once import once

LAYOUTS = Path(__file__).parents[2] / "layouts"
#: No route, a belt of known length: 16 ways.
PRESS = LAYOUTS / "found" / "hay-press.toml"
#: The same pulleys with a belt that fits none of the ways round all of them.
SPARE = LAYOUTS / "found" / "spare-belt.toml"
PRESS_TEXT = PRESS.read_text(encoding="utf-8")
#: The press with no belt known.
UNBELTED = "".join(line for line in PRESS_TEXT.splitlines(True) if not line.startswith("length"))
#: A pulley within another: no belt can go round both.
WALLED_IN = PRESS_TEXT.replace("at = [-5, 190],    diameter = 120", "at = [0, 2], diameter = 20")

#: Most calls here search the same few layouts and draw the same few ways.
FOUND = once(
    find_routes,
    lambda layout, *, optional=(), most_work=0: (layout.name, layout.text, *optional, most_work),
)
DRAWN = once(
    routes_command.ways_of,
    lambda search, options: (search.layout.name, search.layout.text, search.summary, options),
)


@pytest.fixture(autouse=True)
def searched_and_drawn_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(find, "find_routes", FOUND)
    monkeypatch.setattr(routes_command, "ways_of", DRAWN)


def answer(*args: str | Path) -> Any:
    """What the command says as JSON."""
    return call("routes", *args, "--json").json


def names(folder: Path) -> set[str]:
    """The files in a folder."""
    return {path.name for path in folder.iterdir()}


def refused(result: Result, words: str) -> None:
    """Status 2, one sentence on standard error and nothing on standard output."""
    assert (result.status, result.out) == (2, "")
    assert words in result.err
    assert result.err.count("\n") == 1
    assert "Traceback" not in result.err


class TestList:
    def test_the_likeliest_way_comes_first_with_its_reasons(self) -> None:
        result = call("routes", PRESS)
        assert (result.status, result.err) == (0, "")
        lines = result.out.splitlines()
        assert lines[:2] == ["Hay press, engine end", "16 ways found."]
        fits = "fits: the tensioner then stands at 33.5°, inside its window."
        assert lines[3:7] == [
            "1  Crank > Tensioner > Compressor > Water pump > Alternator > Steering pump > Idler",
            "   on the belt's back: Tensioner, Water pump, Idler",
            f"   The belt in hand (2045 mm) {fits}",
            "   The tensioner is on the slack side.",
        ]
        assert "12 more ways are possible and not studied:\n" in result.out
        assert "The maker's service information comes first." in lines[-1]

    def test_it_says_what_json_says(self) -> None:
        found = answer(PRESS)
        out = call("routes", PRESS).out
        for number, candidate in enumerate(found["candidates"], start=1):
            head = out.partition(f"\n{number}  ")[2].partition("\n\n")[0]
            for reason in candidate["reasons"]:
                assert f"   {reason}\n" in f"{head}\n"

    def test_a_layout_with_a_route_is_searched_too(self) -> None:
        result = call("routes", LAYOUTS / "found-tiller.toml")
        assert result.status == 0
        own = beltpath.read(LAYOUTS / "found-tiller.toml").route
        found = answer(LAYOUTS / "found-tiller.toml")
        assert own is not None
        assert found["candidates"][0]["route"] == list(own)

    def test_from_standard_input(self) -> None:
        result = call("routes", "-", stdin=PRESS.read_bytes())
        assert result == call("routes", PRESS)

    def test_the_installed_program(self, tmp_path: Path) -> None:
        written(tmp_path, "press.toml", PRESS_TEXT)
        result = program("routes", "press.toml", "--write", "found.toml", cwd=tmp_path)
        assert (result.status, result.err) == (0, "")
        assert beltpath.read(tmp_path / "found.toml").route is not None


class TestJson:
    def test_it_is_the_answer_of_the_search(self) -> None:
        result = call("routes", PRESS, "--json", encoding="ascii")
        assert (result.status, result.err) == (0, "")
        assert result.json == routes_answer(find_routes(beltpath.read(PRESS)))

    def test_nothing_but_the_answer_is_printed_when_files_are_written(self, tmp_path: Path) -> None:
        out, drawn = tmp_path / "out.toml", tmp_path / "ways.svg"
        result = call("routes", PRESS, "--json", "--write", out, "--card", drawn)
        assert result.json == answer(PRESS)
        assert {"out.toml", "ways.svg"} <= names(tmp_path)


class TestStatus:
    """0 with a way without a fault that the belt fits, 1 without one."""

    def test_a_belt_that_fits_no_way(self) -> None:
        result = call("routes", SPARE)
        assert (result.status, result.err) == (1, "")
        assert "The belt in hand (1880 mm) is 90 mm too long" in result.out
        assert all(c["fit"]["fits"] is False for c in answer(SPARE)["candidates"])

    def test_no_way_at_all(self, tmp_path: Path) -> None:
        file = written(tmp_path, "walled.toml", WALLED_IN)
        result = call("routes", file)
        assert (result.status, result.err) == (1, "")
        assert "No belt can go round all of these pulleys" in result.out
        assert answer(file)["candidates"] == []

    def test_no_way_at_all_draws_no_card_and_says_so(self, tmp_path: Path) -> None:
        file, drawn = written(tmp_path, "walled.toml", WALLED_IN), tmp_path / "ways.svg"
        result = call("routes", file, "--card", drawn)
        assert result.status == 1
        assert f"{drawn} is not written, for there is no way to draw\n" in result.out
        assert not drawn.exists()

    def test_without_a_belt_any_way_without_a_fault_is_good(self, tmp_path: Path) -> None:
        file = written(tmp_path, "unbelted.toml", UNBELTED)
        result = call("routes", file)
        assert (result.status, result.err) == (0, "")
        assert "The belt in hand" not in result.out
        found = answer(file)
        assert found["given_length_mm"] is None
        assert {c["fit"]["fits"] for c in found["candidates"]} == {None}
        assert all(c["effective_length_mm"] > 1000.0 for c in found["candidates"])


class TestOptional:
    def test_a_pulley_that_may_be_left_out(self) -> None:
        result = call("routes", SPARE, "--optional", "idler")
        assert (result.status, result.err) == (0, "")
        assert "It leaves out Idler." in result.out
        first = answer(SPARE, "--optional", "idler")["candidates"][0]
        assert first["left_out"] == ["idler"]
        assert "idler" not in first["route"]
        assert first["fit"]["fits"] is True

    def test_several(self) -> None:
        found = answer(SPARE, "--optional", "idler", "--optional", "water-pump")
        every = {"crank", "compressor", "alternator", "steering", "tensioner"}
        met = {frozenset(way["route"]) - every for way in (*found["candidates"], *found["others"])}
        # Not without both: the idler stands in the run from steering pump to crank.
        assert met == {
            frozenset({"idler"}),
            frozenset({"water-pump"}),
            frozenset({"idler", "water-pump"}),
        }

    @pytest.mark.parametrize(
        ("name", "words"),
        [
            ("watr-pump", 'is not a pulley of this layout; did you mean "water-pump"?'),
            ("crank", "is the crank, which drives the belt: it cannot be optional"),
            ("tensioner", "carries the tensioner: it cannot be optional"),
        ],
    )
    def test_a_pulley_that_cannot_be_optional(self, tmp_path: Path, name: str, words: str) -> None:
        out = tmp_path / "out.toml"
        result = call("routes", PRESS, "--optional", name, "--write", out)
        refused(result, words)
        assert result.err.startswith(f'{PRESS}: "{name}" ')
        assert names(tmp_path) == set()


class TestWrite:
    @pytest.mark.parametrize("pick", [1, 2, 3])
    def test_the_way_picked_is_the_way_checked(self, tmp_path: Path, pick: int) -> None:
        out = tmp_path / "out.toml"
        picked = ("--pick", str(pick)) if pick > 1 else ()
        result = call("routes", PRESS, "--write", out, *picked)
        assert (result.status, result.err) == (0, "")
        assert result.out.endswith(f"{out} is written\n")
        wanted = answer(PRESS)["candidates"][pick - 1]
        told = call("check", out, "--json").json
        sides = [(c["pulley"], c["side"], c["turns"]) for c in told["contacts"]]
        assert sides == [(c["pulley"], c["side"], c["turns"]) for c in wanted["contacts"]]
        if wanted["fit"]["tightens"]:
            position = pytest.approx(wanted["fit"]["position"], abs=1e-6)
            assert told["tensioner"]["position"] == position
        else:
            # Its stops look exchanged: where it stands means nothing.
            assert told["tensioner"]["position"] is None

    def test_the_ways_differ(self) -> None:
        first, second, third = answer(PRESS)["candidates"][:3]
        assert first["contacts"] != second["contacts"] != third["contacts"]

    def test_comments_and_all_else_are_kept(self, tmp_path: Path) -> None:
        out = tmp_path / "out.toml"
        assert call("routes", PRESS, "--write", out).status == 0
        before, after = PRESS_TEXT.splitlines(), out.read_text(encoding="utf-8").splitlines()
        assert sum("#" in line for line in before) >= 5
        assert [line for line in before if "#" in line and line not in after] == []
        added = [line for line in after if line not in before]
        assert [line.partition(" ")[0] for line in added] == ["route"]
        assert PRESS.read_text(encoding="utf-8") == PRESS_TEXT

    def test_a_pulley_left_out_stays_in_the_file(self, tmp_path: Path) -> None:
        out = tmp_path / "out.toml"
        assert call("routes", SPARE, "--optional", "idler", "--write", out).status == 0
        layout = beltpath.read(out)
        assert layout.route is not None
        assert "idler" not in layout.route
        assert "idler" in layout.pulleys
        assert call("check", out).status == 0

    def test_nothing_is_written_over_without_force(self, tmp_path: Path) -> None:
        out = written(tmp_path, "old.toml", "old")
        refused(call("routes", PRESS, "--write", out), f"{out}: exists already; say --force")
        assert out.read_text(encoding="utf-8") == "old"
        assert call("routes", PRESS, "--write", out, "--force").status == 0
        assert beltpath.read(out).title == "Hay press, engine end"

    def test_not_even_over_the_file_itself(self, tmp_path: Path) -> None:
        file = written(tmp_path, "press.toml", PRESS_TEXT)
        refused(call("routes", file, "--write", file), "exists already")
        assert file.read_text(encoding="utf-8") == PRESS_TEXT
        assert call("routes", file, "--write", file, "--force").status == 0
        assert beltpath.read(file).route is not None

    @pytest.mark.parametrize("pick", ["0", "-1", "99"])
    def test_a_way_that_is_not_there(self, tmp_path: Path, pick: str) -> None:
        out = tmp_path / "out.toml"
        result = call("routes", PRESS, "--write", out, "--pick", pick)
        refused(result, f"there is no way {pick} to write; 4 ways are studied")
        assert names(tmp_path) == set()

    def test_where_there_is_no_way_none_is_written(self, tmp_path: Path) -> None:
        file = written(tmp_path, "walled.toml", WALLED_IN)
        result = call("routes", file, "--write", tmp_path / "out.toml")
        refused(result, "there is no way 1 to write; 0 ways are studied")
        assert names(tmp_path) == {"walled.toml"}

    def test_a_folder_that_is_not_there(self, tmp_path: Path) -> None:
        out = tmp_path / "nowhere" / "out.toml"
        refused(call("routes", PRESS, "--write", out), f"{out}: ")
        assert names(tmp_path) == set()


class TestCard:
    def test_svg_has_the_best_few_side_by_side(self, tmp_path: Path) -> None:
        drawn = tmp_path / "ways.svg"
        result = call("routes", PRESS, "--card", drawn)
        assert (result.status, result.err) == (0, "")
        pages = sorted(tmp_path.glob("*.svg"))
        assert result.out.endswith("".join(f"{page} is written\n" for page in pages))
        text = "".join(page.read_text(encoding="utf-8") for page in pages)
        for number in range(1, MOST_DRAWN + 1):
            assert f'id="way-{number}"' in text
        assert f'id="way-{MOST_DRAWN + 1}"' not in text
        assert "Hay press, engine end: ways that the belt can go" in text

    def test_pdf_has_the_size_of_its_paper(self, tmp_path: Path) -> None:
        drawn = tmp_path / "ways.pdf"
        assert call("routes", PRESS, "--card", drawn, "--paper", "a5").status == 0
        page = pypdf.PdfReader(io.BytesIO(drawn.read_bytes())).pages[0]
        size = (float(page.mediabox.width), float(page.mediabox.height))
        assert size == pytest.approx([mm * 72.0 / 25.4 for mm in SIZES["a5"]], abs=1.0)
        assert "16 ways found." in page.extract_text()

    def test_png_is_a_picture(self, tmp_path: Path) -> None:
        drawn = tmp_path / "ways.png"
        assert call("routes", PRESS, "--card", drawn, "--paper", "a6").status == 0
        assert drawn.read_bytes().startswith(b"\x89PNG\r\n\x1a\n")

    def test_a_proof_has_no_colour(self, tmp_path: Path) -> None:
        colour, proof = tmp_path / "colour.svg", tmp_path / "proof.svg"
        assert call("routes", PRESS, "--card", colour).status == 0
        assert call("routes", PRESS, "--card", proof, "--proof").status == 0
        assert "#124f8c" in colour.read_text(encoding="utf-8")
        assert "#124f8c" not in proof.read_text(encoding="utf-8")

    def test_nothing_is_written_over_without_force(self, tmp_path: Path) -> None:
        drawn = written(tmp_path, "ways.svg", "old")
        refused(call("routes", PRESS, "--card", drawn), f"{drawn}: exists already; say --force")
        assert drawn.read_text(encoding="utf-8") == "old"
        assert call("routes", PRESS, "--card", drawn, "--force").status == 0
        assert drawn.read_text(encoding="utf-8").startswith("<?xml")

    def test_no_other_kind_of_file_and_no_other_paper(self, tmp_path: Path) -> None:
        refused(call("routes", PRESS, "--card", tmp_path / "ways.jpg"), "name such a file")
        result = call("routes", PRESS, "--card", tmp_path / "ways.svg", "--paper", "a7")
        refused(result, "no paper is called")
        assert names(tmp_path) == set()


class TestAllOrNothing:
    """When the call fails, neither the layout nor the card is written."""

    def test_a_card_that_is_refused_leaves_no_layout(self, tmp_path: Path) -> None:
        out = tmp_path / "out.toml"
        old = written(tmp_path, "ways.svg", "old")
        for drawn in (old, tmp_path / "ways.jpg"):
            assert call("routes", PRESS, "--write", out, "--card", drawn).status == 2
            assert names(tmp_path) == {"ways.svg"}
        assert old.read_text(encoding="utf-8") == "old"

    def test_a_layout_that_is_refused_leaves_no_card(self, tmp_path: Path) -> None:
        old = written(tmp_path, "out.toml", "old")
        for more in ((), ("--pick", "99")):
            args = ("--write", old, "--card", tmp_path / "ways.svg", *more)
            assert call("routes", PRESS, *args).status == 2
            assert names(tmp_path) == {"out.toml"}
        assert old.read_text(encoding="utf-8") == "old"

    def test_a_layout_that_cannot_be_read_leaves_nothing(self, tmp_path: Path) -> None:
        file = written(tmp_path, "bad.toml", UNUSABLE)
        args = ("--write", tmp_path / "out.toml", "--card", tmp_path / "ways.svg")
        assert call("routes", file, *args).status == 2
        assert names(tmp_path) == {"bad.toml"}


class TestWorkLimit:
    """A search that stops at its limit says after how much, and that there may be more."""

    STOPPED = "The search stopped after 60 steps with "

    @pytest.fixture(autouse=True)
    def limited(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """The command searches as it does, with less patience."""
        monkeypatch.setattr(find, "find_routes", partial(find_routes, most_work=60))

    def test_in_words(self) -> None:
        result = call("routes", PRESS)
        second = result.out.splitlines()[1]
        assert second.startswith(self.STOPPED)
        assert "there may be more. Say `side` for smooth pulleys" in second
        assert result.err == ""

    def test_in_json(self) -> None:
        found = answer(PRESS)
        assert (found["complete"], found["work"]) == (False, 60)
        assert found["summary"].startswith(self.STOPPED)
        many = len(found["candidates"]) + len(found["others"])
        assert f"with {many} ways found" in found["summary"]

    def test_on_the_card(self, tmp_path: Path) -> None:
        drawn = tmp_path / "ways.pdf"
        call("routes", PRESS, "--card", drawn, "--paper", "a4")
        page = pypdf.PdfReader(io.BytesIO(drawn.read_bytes())).pages[0]
        text = " ".join(page.extract_text().split())
        assert self.STOPPED in text
        assert "there may be more" in text

    def test_the_way_found_is_written_all_the_same(self, tmp_path: Path) -> None:
        out = tmp_path / "out.toml"
        result = call("routes", PRESS, "--write", out)
        assert result.status == (0 if call("check", out).status == 0 else 1)
        assert list(beltpath.read(out).route or ()) == answer(PRESS)["candidates"][0]["route"]


class TestUnusable:
    def test_every_mistake_of_the_file_has_its_place(self, tmp_path: Path) -> None:
        text = PRESS_TEXT.replace("ribs = 6", 'ribs = "6"').replace(
            "diameter = 160", "diameter = 0"
        )
        file = written(tmp_path, "bad.toml", text)
        result = call("routes", file)
        assert (result.status, result.out) == (2, "")
        lines = result.err.splitlines()
        assert len(lines) == 2
        assert all(line.startswith(f"{file}: line ") for line in lines)

    def test_no_toml(self, tmp_path: Path) -> None:
        refused(call("routes", written(tmp_path, "x.toml", "not toml")), "x.toml: line 1: ")

    def test_no_such_file(self) -> None:
        result = call("routes", "nowhere.toml")
        refused(result, "nowhere.toml: cannot be read: no such file or directory")

    def test_too_many_spans_to_search(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(find, "find_routes", find_routes)
        monkeypatch.setattr(graph, "MOST_SPANS", 10)
        result = call("routes", PRESS)
        refused(result, "spans here, more than can be searched (10); say `side`")
        assert result.err.startswith(f"{PRESS}: a belt could run along ")


def test_a_pick_without_a_file_is_refused() -> None:
    result = call("routes", "layouts/found/hay-press.toml", "--pick", "2")
    assert (result.status, result.out) == (2, "")
    assert "name a file with --write too" in result.err


def test_one_file_for_layout_and_card_is_refused(tmp_path: Path) -> None:
    target = tmp_path / "x.svg"
    result = call("routes", "layouts/found/hay-press.toml", "--write", target, "--card", target)
    assert (result.status, result.out) == (2, "")
    assert "is named for the layout and for the card" in result.err
    assert list(tmp_path.iterdir()) == []
