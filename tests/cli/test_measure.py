"""``beltpath measure``: words, JSON, the layout and the sheet written, exit statuses and misuse."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

import beltpath
from beltpath.survey import Survey, measurement_answer, parse, solve
from tests.cli.calling import Result, call, program, written
from tests.measure.demos import FOLDER
from tests.measure.scenes import LEVEL, Camera, clicked, head, photo, tapes
from tests.once import once
from tests.strategies import law

TAPE = FOLDER / "sprayer-tape.toml"
SLIP = FOLDER / "sprayer-slip.toml"
BOTH = FOLDER / "workboat-both.toml"
#: Two names exchanged: nothing can be left out to put it right.
SWAPPED = (
    BOTH.read_text(encoding="utf-8")
    .replace("\nabove = ", "\n# above = ")
    .replace("\ncrank = [[", "\nx = [[")
    .replace("\nidler = [[", "\ncrank = [[")
    .replace("\nx = [[", "\nidler = [[")
)


def facts(survey: Survey) -> tuple[str, ...]:
    """All that an adjustment depends on."""
    kinds = ("data", "targets", "tapes", "level", "photo", "placings", "pivot")
    return (survey.layout.name, *(repr(getattr(survey, kind)) for kind in kinds))


#: Most calls here solve the same three files.
SOLVED = once(solve, facts)


@pytest.fixture(autouse=True)
def solved_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("beltpath.survey.solve", SOLVED)


class TestLayout:
    def test_it_is_written_and_can_be_checked_and_drawn(self, tmp_path: Path) -> None:
        out = tmp_path / "sprayer.toml"
        result = call("measure", TAPE, "--out", out)
        assert (result.status, result.err) == (0, "")
        assert result.out.endswith(f"{out} is written. Now prove it: beltpath check {out}\n")
        checked = call("check", out, "--json")
        assert (checked.status, checked.json["verdict"]) == (0, "caution")
        assert call("card", out, "--out", tmp_path / "card.svg").status == 0
        layout = beltpath.read(out)
        assert layout.pulleys["pump"].at == pytest.approx((220.0, 154.0), abs=2.0)
        assert layout.pulleys["pump"].accuracy == pytest.approx(0.66, abs=0.2)

    def test_what_fits_not_is_left_out_and_told_with_status_1(self, tmp_path: Path) -> None:
        out = tmp_path / "sprayer.toml"
        result = call("measure", SLIP, "-o", out)
        assert (result.status, result.err) == (1, "")
        assert "left out" in result.out
        assert "# Left out: crank to idler rim to rim: 52.0 mm" in out.read_text(encoding="utf-8")

    def test_what_cannot_be_left_out_leaves_no_layout(self, tmp_path: Path) -> None:
        file, out = written(tmp_path, "swapped.toml", SWAPPED), tmp_path / "out.toml"
        result = call("measure", file, "--out", out)
        assert result.status == 1
        assert result.err.startswith(f"{out}: is not written, for ")
        assert result.out.startswith("NOT USABLE: these places do not hold")
        assert "doubtful" in result.out
        assert not out.exists()

    def test_nothing_is_written_over_without_force(self, tmp_path: Path) -> None:
        out = written(tmp_path, "old.toml", "old")
        result = call("measure", TAPE, "--out", out)
        assert (result.status, result.out) == (2, "")
        assert result.err == f"{out}: exists already; say --force to write over it\n"
        assert out.read_text(encoding="utf-8") == "old"
        assert call("measure", TAPE, "--out", out, "--force").status == 0
        assert beltpath.read(out).title == "Orchard sprayer, pump end"

    def test_in_inches(self, tmp_path: Path) -> None:
        sound = call(
            "measure", written(tmp_path, "in.toml", in_inches()), "-o", tmp_path / "o.toml"
        )
        assert sound.status == 0
        assert "the file is in inches; this answer is in millimetres\n" in sound.out
        layout = beltpath.read(tmp_path / "o.toml")
        assert layout.units == "in"
        assert layout.pulleys["pump"].at == pytest.approx((-205.0, 120.0), abs=0.5)


def in_inches() -> str:
    """The simulated net without noise, every length of it in inches."""
    text = head(level=f'{LEVEL}, above = "pump"', top='units = "in"') + tapes()
    lines = []
    for line in text.splitlines():
        for key in ("outside", "diameter", "distance"):
            before, found, rest = line.partition(f"{key} = ")
            if found:
                number = rest.split(",")[0]
                line = f"{before}{found}{float(number) / 25.4!r}{rest[len(number) :]}"
        lines.append(line)
    return "\n".join(lines) + "\n"


class TestTargets:
    """What would lose something is refused before anything is written."""

    def test_the_readings_themselves(self, tmp_path: Path) -> None:
        file = written(tmp_path, "tape.toml", TAPE.read_text(encoding="utf-8"))
        result = call("measure", file, "--out", file, "--force")
        assert (result.status, result.out) == (2, "")
        assert result.err == f"{file}: holds the readings; write the layout to a file of its own\n"
        assert file.read_text(encoding="utf-8") == TAPE.read_text(encoding="utf-8")

    def test_one_file_for_both(self, tmp_path: Path) -> None:
        target = tmp_path / "x.svg"
        result = call("measure", TAPE, "--out", target, "--picture", target)
        assert result.status == 2
        assert "is named for the layout and for the picture" in result.err
        assert list(tmp_path.iterdir()) == []

    def test_standard_output(self) -> None:
        result = call("measure", TAPE, "--out", "-")
        assert (result.status, result.out) == (2, "")
        assert result.err == "-: the layout goes into a file; name it\n"

    def test_without_a_route_the_next_step_is_another(self, tmp_path: Path) -> None:
        text = TAPE.read_text(encoding="utf-8").replace("\nroute = ", "\n# route = ")
        out = tmp_path / "no-route.toml"
        result = call("measure", written(tmp_path, "tape.toml", text), "--out", out)
        assert result.status == 0
        assert result.out.endswith(f"Now find how the belt goes: beltpath routes {out}\n")
        assert call("routes", out).status == 0

    def test_a_folder_that_is_not_there(self, tmp_path: Path) -> None:
        sheet = tmp_path / "sheet.svg"
        result = call("measure", TAPE, "--out", tmp_path / "no" / "x.toml", "--picture", sheet)
        assert result.status == 2
        assert f"there is no folder {tmp_path / 'no'}" in result.err
        assert list(tmp_path.iterdir()) == []


class TestAnswer:
    @pytest.mark.parametrize("file", [TAPE, SLIP, BOTH])
    def test_json(self, file: Path) -> None:
        result = call("measure", file, "--json", encoding="ascii")
        found = solve(parse(file.read_text(encoding="utf-8"), name=file.stem))
        assert result.json == measurement_answer(found)
        assert result.status == (1 if file == SLIP else 0)

    def test_words(self) -> None:
        result = call("measure", BOTH)
        assert result.status == 0
        for name in ("crank", "pump", "steering", "idler", "alternator"):
            assert name in result.out
        assert "84 points on 7 rims, to 1.7 px" in result.out
        assert "measure next  steering to alternator" in result.out

    def test_from_standard_input(self) -> None:
        assert call("measure", "-", stdin=TAPE.read_bytes()).status == 0

    def test_the_installed_program(self, tmp_path: Path) -> None:
        file = written(tmp_path, "tape.toml", TAPE.read_text(encoding="utf-8"))
        result = program("measure", file.name, "--out", "found.toml", cwd=tmp_path)
        assert (result.status, result.err) == (0, "")
        assert beltpath.read(tmp_path / "found.toml").route is not None


class TestSheet:
    @pytest.mark.parametrize("kind", ["svg", "pdf"])
    def test_it_is_drawn_and_carries_the_layout(self, tmp_path: Path, kind: str) -> None:
        sheet = tmp_path / f"sheet.{kind}"
        result = call("measure", TAPE, "--picture", sheet)
        assert (result.status, result.err) == (0, "")
        assert f"{sheet} is written\n" in result.out
        assert call("check", sheet, "--json").json["verdict"] == "caution"

    def test_pdf_has_paper_size_and_words(self, tmp_path: Path) -> None:
        sheet = tmp_path / "sheet.pdf"
        assert call("measure", TAPE, "--picture", sheet, "--paper", "letter").status == 0
        page = PdfReader(sheet).pages[0]
        assert float(page.mediabox.width) == pytest.approx(612.0, abs=0.5)
        assert "Orchard sprayer, pump end: as measured" in page.extract_text()

    def test_without_a_layout_it_carries_none(self, tmp_path: Path) -> None:
        file, sheet = written(tmp_path, "swapped.toml", SWAPPED), tmp_path / "sheet.svg"
        result = call("measure", file, "--picture", sheet)
        assert result.status == 1
        assert "Doubtful:" in sheet.read_text(encoding="utf-8")
        assert "NOT USABLE" in sheet.read_text(encoding="utf-8")
        assert call("check", sheet).status == 2

    def test_other_kinds_of_file_and_paper_are_refused(self, tmp_path: Path) -> None:
        result = call("measure", TAPE, "--picture", tmp_path / "sheet.jpg")
        assert result.status == 2
        assert "name such a file" in result.err
        assert call("measure", TAPE, "--picture", "x.svg", "--paper", "a3").status == 2
        assert list(tmp_path.iterdir()) == []


class TestUnusable:
    def test_every_mistake_has_its_place(self, tmp_path: Path) -> None:
        text = TAPE.read_text(encoding="utf-8").replace('to = "idler"', 'to = "idle"', 1)
        file = written(tmp_path, "bad.toml", text.replace("ribs = 6", 'ribs = "6"'))
        out = tmp_path / "out.toml"
        result = call("measure", file, "--out", out, "--picture", tmp_path / "sheet.svg")
        assert (result.status, result.out) == (2, "")
        first, second = result.err.splitlines()
        assert first.startswith(f"{file}: line 13: belt.ribs: must be a whole number")
        assert 'tape.4.to: "idle" is not a pulley or point of this file' in second
        assert {path.name for path in tmp_path.iterdir()} == {"bad.toml"}

    def test_too_little_measured(self, tmp_path: Path) -> None:
        text = TAPE.read_text(encoding="utf-8").replace('above = "fan"', "")
        result = call("measure", written(tmp_path, "flips.toml", text))
        assert result.status == 2
        assert "mirror image" in result.err

    def test_a_layout_is_no_file_of_measurements(self) -> None:
        result = call("measure", "layouts/orchard-sprayer.toml")
        assert (result.status, result.out) == (2, "")
        assert "holds no measurement; give [[tape]] distances or [photo.rims]" in result.err

    def test_no_such_file(self) -> None:
        result = call("measure", "nowhere.toml")
        assert (result.status, result.out) == (2, "")
        assert result.err == "nowhere.toml: cannot be read: no such file or directory\n"


EVIL_WORDS = r"""
    nan inf -1 0 1e308 1e-308 true [] {} [[]] "" "\u001b[2J" "pump" "crank" {x=1} = ] 99999999999
    [1e308,-1e308] [[1,1],[1,1],[1,1]] 0.001 20000 "centres" "gap" "outside"
"""
EVILS = EVIL_WORDS.split()
SMALL = head(names=("crank", "pump", "idler"), level=LEVEL.replace("alternator", "pump")) + (
    photo(clicked(None, Camera(), names=("crank", "pump", "idler")))
    + tapes(pairs=[("crank", "pump"), ("pump", "idler"), ("crank", "idler")])
)


@st.composite
def mangled(draw: st.DrawFn) -> str:
    """A small file of both kinds with values replaced, and lines dropped or doubled."""
    chosen = random.Random(draw(st.integers(0, 2**32)))
    lines = SMALL.splitlines()
    for _ in range(chosen.randint(1, 3)):
        at = chosen.randrange(len(lines))
        key, equals, _ = lines[at].partition("=")
        kind = chosen.randrange(4)
        if kind == 0:
            del lines[at]
        elif kind == 1:
            lines.insert(at, lines[at])
        elif equals:
            lines[at] = f"{key}= {chosen.choice(EVILS)}"
    return "\n".join(lines)


def judged(result: Result) -> None:
    assert result.status in (0, 1, 2)
    if result.status == 2:
        assert result.out == ""
        assert all(line.startswith("standard input: ") for line in result.err.splitlines())
        assert result.err.strip()
    else:
        assert result.err == ""
        assert "remember  " in result.out
    assert "\x1b" not in result.out + result.err


class TestAnyInput:
    """Whatever it is given, it answers in sentences and a status."""

    @law
    @given(mangled())
    def test_mangled_files(self, text: str) -> None:
        judged(call("measure", "-", stdin=text.encode()))


class TestMeantForMeasure:
    """Other commands say what a file of measurements is."""

    @pytest.mark.parametrize("command", [["check"], ["size"], ["routes"]])
    def test_a_file_of_measurements(self, command: list[str]) -> None:
        result = call(*command, TAPE)
        assert (result.status, result.out) == (2, "")
        assert result.err == (
            f"{TAPE}: this is a file of measurements and not a layout; make one of it first: "
            f"beltpath measure FILE --out LAYOUT\n"
        )

    def test_a_decimal_comma(self, tmp_path: Path) -> None:
        text = TAPE.read_text(encoding="utf-8").replace("distance = 27.0", "distance = 27,0")
        result = call("measure", written(tmp_path, "comma.toml", text))
        assert result.status == 2
        assert result.err.endswith("; write 27.0: decimal point, no unit, no quotes\n")
