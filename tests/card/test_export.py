"""Files on disk: which are written, which are left alone, and what happens without cairo."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.abc import MetaPathFinder
from pathlib import Path
from unittest.mock import patch
from xml.etree import ElementTree

import pytest

from beltpath.cards import Card, Options, card
from beltpath.cards.document import page_paths
from beltpath.cards.routing_card import drive_svg
from beltpath.errors import BeltpathError, ExportError, UsageError
from tests.card.scenes import plain, studied
from tests.card.test_metrics import why_not

SVG = "{http://www.w3.org/2000/svg}"
with_cairo = pytest.mark.skipif(why_not() is not None, reason=why_not() or "")


def made() -> Card:
    """A small card of several pages."""
    found = plain("water-wheel", paper="a6")
    assert len(found.pages) >= 2
    return found


class TestSvg:
    def test_a_file_for_every_page(self, tmp_path: Path) -> None:
        written = made().save(tmp_path / "card.svg")
        names = ["card.svg", *(f"card-{i}.svg" for i in range(2, len(made().pages) + 1))]
        assert [path.name for path in written] == names
        assert sorted(path.name for path in tmp_path.iterdir()) == sorted(names)
        assert [path.read_text("utf-8") for path in written] == made().svg_pages

    def test_a_path_may_be_a_text(self, tmp_path: Path) -> None:
        made().save(str(tmp_path / "card.svg"))
        with pytest.raises(UsageError, match="exists already"):
            made().save(str(tmp_path / "card.svg"))
        (tmp_path / "card.svg").write_text("old", "utf-8")
        made().save(str(tmp_path / "card.svg"), True)
        assert (tmp_path / "card.svg").read_text("utf-8") == made().svg_pages[0]

    def test_a_notebook_shows_the_first_page(self) -> None:
        assert made()._repr_svg_() == made().svg_pages[0] != made().svg_pages[1]

    @pytest.mark.parametrize(
        ("demo", "verdict"),
        [("orchard-sprayer", "Checked: no fault"), ("wrong-side", "NOT VERIFIED: ")],
    )
    def test_a_studys_drawing_tells_its_verdict(self, demo: str, verdict: str) -> None:
        text = drive_svg(studied(demo))
        page = ElementTree.fromstring(text)
        told = [element.text or "" for element in page.iter(f"{SVG}text")]
        assert told[0].startswith(verdict)
        names = {element.get("id") for element in page.iter(f"{SVG}g")}
        assert {"belt", "labels", "pulley-1"} <= names
        assert ("faults" in names) == (demo == "wrong-side")

    def test_the_suffix_may_be_in_capitals(self, tmp_path: Path) -> None:
        written = made().save(tmp_path / "CARD.SVG")
        assert [path.name for path in written][:2] == ["CARD.SVG", "CARD-2.SVG"]

    def test_names_with_dots(self) -> None:
        paths = page_paths(Path("a") / "card.v2.svg", 3)
        assert [p.name for p in paths] == ["card.v2.svg", "card.v2-2.svg", "card.v2-3.svg"]

    def test_one_page_keeps_its_name(self) -> None:
        assert page_paths(Path("card.svg"), 1) == (Path("card.svg"),)


@with_cairo
class TestCairo:
    def test_a_pdf_is_one_file(self, tmp_path: Path) -> None:
        [path] = made().save(tmp_path / "card.pdf")
        assert path.read_bytes().startswith(b"%PDF-")
        assert list(tmp_path.iterdir()) == [path]

    def test_a_png_for_every_page(self, tmp_path: Path) -> None:
        written = made().save(tmp_path / "card.png", dpi=30.0)
        assert len(written) == len(made().pages)
        assert all(path.read_bytes().startswith(b"\x89PNG") for path in written)

    def test_dpi_is_heeded(self, tmp_path: Path) -> None:
        small, large = (
            made().save(tmp_path / f"{dpi:.0f}.png", dpi=dpi)[0].stat().st_size
            for dpi in (30.0, 90.0)
        )
        assert large > 2 * small


class TestRefusals:
    @pytest.mark.parametrize("name", ["card.doc", "card", "card.svg.gz", "card.jpeg"])
    def test_other_kinds_of_file(self, tmp_path: Path, name: str) -> None:
        with pytest.raises(UsageError, match=r"written as \.svg, \.pdf or \.png"):
            made().save(tmp_path / name)
        assert list(tmp_path.iterdir()) == []

    @pytest.mark.parametrize("standing", ["card.svg", "card-2.svg"])
    def test_a_file_in_the_way_stops_all_pages(self, tmp_path: Path, standing: str) -> None:
        (tmp_path / standing).write_text("mine")
        with pytest.raises(UsageError, match=f"{standing}: exists already"):
            made().save(tmp_path / "card.svg")
        assert [p.name for p in tmp_path.iterdir()] == [standing]
        assert (tmp_path / standing).read_text() == "mine"

    def test_force_writes_over_it(self, tmp_path: Path) -> None:
        (tmp_path / "card-2.svg").write_text("mine")
        made().save(tmp_path / "card.svg", force=True)
        assert (tmp_path / "card-2.svg").read_text("utf-8") == made().svg_pages[1]

    def test_a_folder_that_does_not_exist(self, tmp_path: Path) -> None:
        with pytest.raises(UsageError, match="cannot be written"):
            made().save(tmp_path / "nowhere" / "card.svg")

    def test_a_folder_that_may_not_be_written(self, tmp_path: Path) -> None:
        (tmp_path / "card.svg").mkdir()
        with pytest.raises(UsageError, match="cannot be written"):
            made().save(tmp_path / "card.svg", force=True)
        assert [p.name for p in tmp_path.iterdir()] == ["card.svg"]


class NoCairo(MetaPathFinder):
    """Imports as a machine does that has cairocffi but no libcairo."""

    def find_spec(self, fullname: str, *_: object) -> None:
        if fullname == "cairocffi":
            raise OSError("no library called cairo was found")


@contextmanager
def forgotten() -> Iterator[None]:
    """What has loaded cairo is loaded anew inside."""
    with patch.dict(sys.modules):
        for name in list(sys.modules):
            if name.split(".")[0] == "cairocffi" or name == "beltpath.cards.cairo":
                del sys.modules[name]
        yield


class TestWithoutCairo:
    """One sentence that says what to install; the SVG still comes out."""

    @pytest.mark.parametrize("kind", ["pdf", "png"])
    def test_it_is_told(self, tmp_path: Path, kind: str) -> None:
        with (
            forgotten(),
            patch.dict(sys.modules, {"cairocffi": None}),
            pytest.raises(ExportError, match="apt-get install libcairo2") as caught,
        ):
            made().save(tmp_path / f"card.{kind}")
        assert isinstance(caught.value, BeltpathError)
        assert "\n" not in str(caught.value)
        assert list(tmp_path.iterdir()) == []

    @pytest.mark.parametrize("kind", ["pdf", "png"])
    def test_a_library_that_cannot_be_loaded_is_told_alike(self, tmp_path: Path, kind: str) -> None:
        """Cairocffi raises OSError when libcairo itself is missing."""
        with (
            forgotten(),
            patch.object(sys, "meta_path", [NoCairo(), *sys.meta_path]),
            pytest.raises(ExportError, match="cairo cannot be loaded"),
        ):
            made().save(tmp_path / f"card.{kind}")

    def test_svg_needs_no_cairo(self, tmp_path: Path) -> None:
        with patch.dict(sys.modules, {"cairocffi": None}):
            fresh = card(studied("water-wheel"), Options(paper="a6"))
            fresh.save(tmp_path / "card.svg")
        assert (tmp_path / "card.svg").exists()
