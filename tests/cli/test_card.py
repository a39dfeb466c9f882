"""``beltpath card``: which files it writes, which it leaves alone, and what its options change."""

from __future__ import annotations

import io
import sys
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch
from xml.etree import ElementTree

import pypdf
import pytest

from beltpath.cards.paper import PAPER_NAMES, SIZES, PaperName
from beltpath.cli.card import parse_view
from beltpath.cli.options import parse_paper
from beltpath.errors import UsageError
from tests.cli.calling import FAULTY, SOUND, UNUSABLE, call, written

#: Printer's points in a millimetre.
POINTS = 72.0 / 25.4


def svg(*options: str) -> str:
    """The first page that a call with these options writes as SVG."""
    with TemporaryDirectory() as folder:
        file, out = written(Path(folder), "drive.toml", SOUND), Path(folder, "card.svg")
        result = call("card", file, "--out", out, *options)
        assert (result.status, result.err) == (0, "")
        return out.read_text(encoding="utf-8")


@cache
def plain_svg() -> str:
    """The same with no option, drawn once."""
    return svg()


def colours(drawn: str) -> set[str]:
    """Everything that the elements of an SVG are filled or stroked with."""
    return {
        value.lower()
        for element in ElementTree.fromstring(drawn).iter()
        for key, value in element.attrib.items()
        if key in ("fill", "stroke")
    }


class TestFiles:
    def test_an_svg_is_written_and_named(self, tmp_path: Path) -> None:
        out = tmp_path / "card.svg"
        result = call("card", written(tmp_path, "drive.toml", SOUND), "--out", out)
        assert (result.status, result.err) == (0, "")
        pages = sorted(tmp_path.glob("*.svg"), key=lambda path: (len(path.name), path.name))
        assert pages[0] == out
        assert result.out == "".join(f"{page} is written\n" for page in pages)
        assert out.read_text(encoding="utf-8").startswith("<?xml")

    def test_a_pdf_has_the_size_of_its_paper(self, tmp_path: Path) -> None:
        out = tmp_path / "card.pdf"
        file = written(tmp_path, "drive.toml", SOUND)
        result = call("card", file, "-o", out, "--paper", "Letter", "--landscape")
        assert result.status == 0
        pages = pypdf.PdfReader(io.BytesIO(out.read_bytes())).pages
        short, long = SIZES["letter"]
        for page in pages:
            size = (float(page.mediabox.width), float(page.mediabox.height))
            assert size == pytest.approx((long * POINTS, short * POINTS), abs=1.0)

    def test_a_png_is_a_picture(self, tmp_path: Path) -> None:
        out = tmp_path / "card.png"
        result = call("card", written(tmp_path, "drive.toml", SOUND), "--out", out, "--paper", "a6")
        assert result.status == 0
        assert out.read_bytes().startswith(b"\x89PNG\r\n\x1a\n")

    def test_several_layouts_stand_in_one_pdf(self, tmp_path: Path) -> None:
        one, other = written(tmp_path, "a.toml", SOUND), written(tmp_path, "b.toml", SOUND)
        single, double = tmp_path / "single.pdf", tmp_path / "double.pdf"
        assert call("card", one, "--out", single).status == 0
        assert call("card", one, other, "--out", double).status == 0
        counts = [len(pypdf.PdfReader(str(path)).pages) for path in (single, double)]
        assert counts[1] == 2 * counts[0]

    def test_several_layouts_give_an_svg_for_each_page(self, tmp_path: Path) -> None:
        one, other = written(tmp_path, "a.toml", SOUND), written(tmp_path, "b.toml", SOUND)
        result = call("card", one, other, "--out", tmp_path / "card.svg")
        assert result.status == 0
        names = sorted(path.name for path in tmp_path.glob("*.svg"))
        assert {"card.svg", "card-2.svg"} <= set(names)
        assert result.out.splitlines() == [
            f"{tmp_path / name} is written" for name in sorted(names, key=lambda n: (len(n), n))
        ]

    def test_nothing_is_overwritten_without_force(self, tmp_path: Path) -> None:
        file, out = written(tmp_path, "drive.toml", SOUND), written(tmp_path, "card.svg", "mine")
        result = call("card", file, "--out", out)
        assert (result.status, result.out) == (2, "")
        assert "exists already" in result.err
        assert out.read_text(encoding="utf-8") == "mine"
        assert call("card", file, "--out", out, "--force").status == 0
        assert out.read_text(encoding="utf-8").startswith("<?xml")

    def test_other_kinds_of_file_are_refused(self, tmp_path: Path) -> None:
        out = tmp_path / "card.docx"
        result = call("card", written(tmp_path, "drive.toml", SOUND), "--out", out)
        assert (result.status, result.out) == (2, "")
        assert result.err.startswith(f"{out}: ")
        assert ".svg, .pdf or .png" in result.err
        assert not out.exists()

    def test_the_layout_may_come_from_standard_input(self, tmp_path: Path) -> None:
        out = tmp_path / "card.svg"
        assert call("card", "-", "--out", out, stdin=SOUND.encode()).status == 0
        assert out.exists()

    @pytest.mark.parametrize("kind", ["svg", "pdf"])
    def test_a_card_can_be_checked_in_place_of_its_layout(self, tmp_path: Path, kind: str) -> None:
        file, out = written(tmp_path, "drive.toml", FAULTY), tmp_path / f"card.{kind}"
        assert call("card", file, "--out", out).status == 1
        assert call("check", out) == call("check", file)


class TestFaultsAndMistakes:
    def test_a_faulty_drive_is_drawn_and_told(self, tmp_path: Path) -> None:
        file, out = written(tmp_path, "drive.toml", FAULTY), tmp_path / "card.svg"
        result = call("card", file, "--out", out)
        assert (result.status, result.err) == (1, "")
        assert f"{file}: fail; its card says NOT VERIFIED" in result.out
        assert "NOT VERIFIED" in out.read_text(encoding="utf-8")

    def test_pictures_that_a_failed_drive_does_not_get_are_told(self, tmp_path: Path) -> None:
        file, out = written(tmp_path, "drive.toml", FAULTY), tmp_path / "card.svg"
        told = "has no pictures of the steps"
        assert told in call("card", file, "--steps", "--out", out).out
        assert told not in call("card", file, "--out", out, "--force").out

    def test_one_unusable_file_stops_them_all(self, tmp_path: Path) -> None:
        sound, bad = written(tmp_path, "a.toml", SOUND), written(tmp_path, "b.toml", UNUSABLE)
        out = tmp_path / "card.svg"
        result = call("card", sound, bad, "--out", out)
        assert (result.status, result.out) == (2, "")
        assert result.err.startswith(f"{bad}: line ")
        assert result.err.endswith(f"{out}: is not written\n")
        assert not out.exists()

    @pytest.mark.parametrize("paper", ["a3", "", "a5 "])
    def test_unknown_paper_is_refused(self, tmp_path: Path, paper: str) -> None:
        result = call("card", tmp_path / "x.toml", "--out", "card.svg", "--paper", paper)
        assert (result.status, result.out) == (2, "")
        assert "half-letter" in result.err

    def test_without_cairo_the_svg_is_written_instead(self, tmp_path: Path) -> None:
        file, out = written(tmp_path, "drive.toml", SOUND), tmp_path / "card.pdf"
        with patch.dict(sys.modules, {"cairocffi": None}):
            sys.modules.pop("beltpath.cards.cairo", None)
            result = call("card", file, "--out", out)
        assert (result.status, result.out) == (2, "")
        assert "apt-get install libcairo2" in result.err
        assert f"{tmp_path / 'card.svg'} is written instead\n" in result.err
        assert (tmp_path / "card.svg").exists()
        assert not out.exists()

    def test_without_cairo_an_older_svg_stays(self, tmp_path: Path) -> None:
        file, old = written(tmp_path, "drive.toml", SOUND), written(tmp_path, "card.svg", "mine")
        with patch.dict(sys.modules, {"cairocffi": None}):
            sys.modules.pop("beltpath.cards.cairo", None)
            result = call("card", file, "--out", tmp_path / "card.pdf")
        assert result.status == 2
        assert "libcairo2" in result.err
        assert f"{old}: exists already" in result.err
        assert old.read_text(encoding="utf-8") == "mine"


class TestOptions:
    def test_the_same_call_gives_the_same_bytes(self) -> None:
        assert svg() == plain_svg()

    @pytest.mark.parametrize(
        "options",
        [
            ["--landscape"],
            ["--paper", "a4"],
            ["--view", "mirrored"],
            ["--view", "turned:90"],
            ["--view", "mirrored,turned:-35.5"],
            ["--true-scale", "--paper", "a4"],
            ["--steps"],
            ["--code"],
            ["--proof"],
        ],
    )
    def test_every_option_changes_the_drawing(self, options: list[str]) -> None:
        assert svg(*options) != plain_svg()

    def test_a_proof_has_no_colour(self) -> None:
        assert colours(svg("--proof")) <= {"#000000", "#ffffff", "none"}
        assert not colours(plain_svg()) <= {"#000000", "#ffffff", "none"}

    @pytest.mark.parametrize(
        ("text", "view"),
        [
            ("front", (False, 0.0)),
            ("mirrored", (True, 0.0)),
            ("turned:90", (False, 90.0)),
            ("turned:-12.5", (False, -12.5)),
            ("mirrored, turned:360", (True, 360.0)),
        ],
    )
    def test_views_are_read(self, text: str, view: tuple[bool, float]) -> None:
        assert parse_view(text) == view

    @pytest.mark.parametrize(
        "text",
        ["", "back", "turned", "turned:", "turned:up", "turned:nan", "turned:361", "mirrored:1"],
    )
    def test_other_views_are_refused(self, text: str) -> None:
        with pytest.raises(UsageError, match="no view is called"):
            parse_view(text)

    @pytest.mark.parametrize("name", PAPER_NAMES)
    def test_papers_are_read_in_any_case_and_told_by_the_help(self, name: PaperName) -> None:
        assert parse_paper(name.upper()) == name
        assert name in call("card", "--help").out


class TestPagesOfAnEarlierCard:
    """Two cards under one name: what the second does not write over is told."""

    def test_pages_beyond_the_last_are_told(self, tmp_path: Path) -> None:
        file, out = written(tmp_path, "drive.toml", SOUND), tmp_path / "card.svg"
        assert call("card", file, "--out", out, "--paper", "a6").status == 0
        old = sorted(path.name for path in tmp_path.glob("card*.svg"))
        assert len(old) > 2
        result = call("card", file, "--out", out, "--paper", "a4", "--force")
        assert result.status == 0
        told = [line for line in result.out.splitlines() if "from an earlier one" in line]
        fresh = [line for line in result.out.splitlines() if line.endswith(" is written")]
        assert len(told) + len(fresh) == len(old)
        assert told[-1].startswith(f"{tmp_path / f'card-{len(old)}.svg'} is no page of this card")

    def test_a_card_of_one_file_looks_for_no_pages(self, tmp_path: Path) -> None:
        file, out = written(tmp_path, "drive.toml", SOUND), tmp_path / "card.pdf"
        written(tmp_path, "card-2.pdf", "mine")
        assert call("card", file, "--out", out).out == f"{out} is written\n"
