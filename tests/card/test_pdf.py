"""PDF and PNG as cairo writes them: pages, sizes, words, fonts, and no colour in a proof."""

from __future__ import annotations

import io
from functools import cache
from typing import Any

import pypdf
import pytest
from PIL import Image
from pypdf.generic import DictionaryObject

from beltpath.cards import Card, Options, card
from beltpath.cards.cairo import png
from beltpath.cards.paper import SIZES, PaperName
from tests.card.scenes import Case, composed, plain, said, studied
from tests.card.test_metrics import why_not

FACES = ("FiraSansCondensed-Regular", "FiraSansCondensed-Bold")

pytestmark = pytest.mark.skipif(why_not() is not None, reason=why_not() or "")

#: Printer's points in a millimetre.
POINTS = 72.0 / 25.4
#: A sound one, a failed one, one with long names; on different paper, upright and lying.
CASES = (
    Case("cider-mill", "a5", False, "front"),
    Case("wrong-side", "letter", True, "mirrored"),
    Case("long-names", "a5", False, "turned37"),
)


@cache
def document(case: Case) -> bytes:
    return composed(case).pdf()


def opened(data: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(data))


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("case", CASES, ids=str)
class TestPdf:
    def test_every_page_is_there_in_its_true_size(self, case: Case) -> None:
        pages = opened(document(case)).pages
        made = composed(case)
        assert len(pages) == len(made.pages)
        short, long = SIZES[case.paper]
        width, height = (long, short) if case.landscape else (short, long)
        for page in pages:
            assert float(page.mediabox.width) == pytest.approx(width * POINTS, abs=0.5)
            assert float(page.mediabox.height) == pytest.approx(height * POINTS, abs=0.5)
            assert page.rotation == 0

    def test_its_words_can_be_read_and_searched(self, case: Case) -> None:
        study = studied(case.demo)
        pages = [squeezed(page.extract_text()) for page in opened(document(case)).pages]
        assert squeezed(study.layout.title) in pages[0]
        verdict = "NOT VERIFIED" if study.verdict == "fail" else "Checked: no fault"
        assert squeezed(verdict) in pages[0]
        whole = "".join(pages)
        for contact in study.path.contacts:
            assert squeezed(study.layout.pulleys[contact.pulley].title) in whole
        assert study.layout.digest in pages[0]

    def test_each_page_says_what_its_scene_says(self, case: Case) -> None:
        for page, scene in zip(opened(document(case)).pages, composed(case).pages, strict=True):
            assert sorted(squeezed(page.extract_text())) == sorted(squeezed(said(scene)))

    def test_the_cards_font_is_embedded(self, case: Case) -> None:
        for page in opened(document(case)).pages:
            fonts = list(fonts_of(page))
            assert fonts
            for name, descriptor in fonts:
                assert name.partition("+")[2] in FACES
                assert {"/FontFile", "/FontFile2", "/FontFile3"} & descriptor.keys()

    def test_nothing_runs_and_nothing_is_linked(self, case: Case) -> None:
        reader = opened(document(case))
        root = reader.trailer["/Root"]
        assert isinstance(root, DictionaryObject)
        assert not {"/OpenAction", "/AA", "/AcroForm"} & root.keys()
        for page in reader.pages:
            assert "/Annots" not in page


def fonts_of(page: pypdf.PageObject) -> list[tuple[str, DictionaryObject]]:
    """Name and descriptor of every font of a page."""
    resources: Any = page["/Resources"]
    found = []
    for entry in resources.get_object()["/Font"].values():
        font = entry.get_object()
        inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
        found.append((str(font["/BaseFont"]).removeprefix("/"), inner["/FontDescriptor"]))
    return found


def test_several_layouts_stand_in_one_document_in_their_order() -> None:
    studies = [studied(demo) for demo in ("water-wheel", "wrong-sense")]
    made = card(studies, Options(paper="a6"))
    counts = [len(card(study, Options(paper="a6")).pages) for study in studies]
    pages = opened(made.pdf()).pages
    assert len(pages) == sum(counts)
    texts = [squeezed(page.extract_text()) for page in pages]
    assert squeezed(studies[0].layout.title) in texts[0]
    assert squeezed(studies[1].layout.title) in texts[counts[0]]
    # Each layout counts its own pages.
    assert f"page1of{counts[0]}" in texts[0]
    assert f"page1of{counts[1]}" in texts[counts[0]]


class TestPng:
    @pytest.mark.parametrize(
        ("name", "dpi", "size"),
        [("a6", 100.0, (413, 583)), ("a5", 50.8, (296, 420)), ("letter", 72.0, (612, 792))],
    )
    def test_its_size_comes_from_paper_and_dpi(
        self, name: PaperName, dpi: float, size: tuple[int, int]
    ) -> None:
        page = plain("water-wheel", paper=name).pages[0]
        picture = Image.open(io.BytesIO(png(page.paper, page.items, "colour", dpi)))
        assert picture.width == pytest.approx(size[0], abs=1)
        assert picture.height == pytest.approx(size[1], abs=1)

    def test_there_is_a_picture_for_every_page(self) -> None:
        made = plain("wrong-sense", paper="a6")
        pictures = made.png_pages(40.0)
        assert len(pictures) == len(made.pages)
        assert all(picture.startswith(b"\x89PNG\r\n\x1a\n") for picture in pictures)

    def test_a_proof_has_no_coloured_pixel(self) -> None:
        """Grey of smoothed edges is no colour: red, green and blue are equal everywhere."""
        assert coloured(plain("wrong-side", paper="a6", black=True)) == 0

    def test_a_coloured_card_has_coloured_pixels(self) -> None:
        assert coloured(plain("wrong-side", paper="a6")) > 100

    def test_black_and_white_are_as_far_apart_as_can_be(self) -> None:
        picture = first_page(plain("wrong-side", paper="a6", black=True)).convert("L")
        assert picture.getextrema() == (0, 255)


def first_page(made: Card) -> Image.Image:
    return Image.open(io.BytesIO(png(made.pages[0].paper, made.pages[0].items, made.ink, 80.0)))


def coloured(made: Card) -> int:
    """How many pixels of the first page are neither black, grey nor white."""
    red, green, blue = first_page(made).convert("RGB").split()
    pixels = zip(red.tobytes(), green.tobytes(), blue.tobytes(), strict=True)
    return sum(not r == g == b for r, g, b in pixels)
