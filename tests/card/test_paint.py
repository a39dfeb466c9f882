"""The PDF's painter draws what the SVG says: two renderers of the same primitives, one picture."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import TYPE_CHECKING

import cairosvg
import numpy as np
import numpy.typing as npt
import pypdf
import pytest
from PIL import Image, ImageFilter

from beltpath.cards import Card, Options, card
from beltpath.cards.cairo import png
from beltpath.cards.paper import Ink
from beltpath.cards.scene import Arc, Curve, Disc, Group, Item, Pen, Stamp, To, Words, line
from tests.card.scenes import studied
from tests.card.test_metrics import why_not

if TYPE_CHECKING:
    from beltpath.cards.document import Page

pytestmark = pytest.mark.skipif(why_not() is not None, reason=why_not() or "")

DPI = 150.0
#: Pixels of 150 dpi that are compared as one: letters are hinted otherwise in the two renderers.
BLUR = 6
#: How far the softened greys may differ, of 255. Cards differ by 4 to 10, where large letters
#: stand half a pixel apart; the least thing that goes missing makes 13 (see below).
MOST = 12.0
GREYS = npt.NDArray[np.float64]


def greys(picture: Image.Image) -> GREYS:
    soft = picture.convert("L").filter(ImageFilter.GaussianBlur(BLUR))
    return np.asarray(soft, dtype=np.float64)


def by_paint(page: Page, ink: Ink = "colour") -> Image.Image:
    return Image.open(io.BytesIO(png(page.paper, page.items, ink, DPI)))


def by_svg(text: str) -> Image.Image:
    """The SVG as another program draws it, which has not the card's font."""
    picture = cairosvg.svg2png(bytestring=text.encode(), scale=DPI / 96.0)
    return Image.open(io.BytesIO(picture))


def differences(made: Card) -> list[float]:
    """By how much the worst patch of every page differs."""
    found = []
    for page, text in zip(made.pages, made.svg_pages, strict=True):
        one, other = greys(by_paint(page, made.ink)), greys(by_svg(text))
        # The sheet's own edge, where a row of pixels may be half on it, carries nothing.
        high, wide = (min(a, b) - BLUR for a, b in zip(one.shape, other.shape, strict=True))
        inner = (slice(BLUR, high), slice(BLUR, wide))
        found.append(float(np.abs(one[inner] - other[inner]).max()))
    return found


class TestTheSamePicture:
    def test_a_card_with_all_that_it_can_have(self) -> None:
        options = Options(steps=True, true_scale=True, code=True, loads=True)
        assert max(differences(card(studied("cider-mill"), options))) < MOST

    @pytest.mark.parametrize("demo", ["wrong-side", "long-names"])
    @pytest.mark.parametrize("ink", ["colour", "black"])
    def test_either_ink(self, demo: str, ink: Ink) -> None:
        assert max(differences(card(studied(demo), Options(paper="a6", ink=ink)))) < MOST

    @pytest.mark.parametrize(
        "item",
        [
            line((30.0, 30.0), (60.0, 30.0), Pen(width=0.2)),
            Disc(centre=(40.0, 40.0), radius=5.0, pen=Pen(width=0.3, dash=(0.4, 0.6))),
            Disc(centre=(40.0, 40.0), radius=5.0, pen=Pen(stroke=None, fill="ink")),
            Curve(
                start=(30.0, 40.0),
                pieces=(Arc((40.0, 40.0), 10.0, np.pi, 2.0), To((60.0, 60.0))),
                pen=Pen(width=0.8, dash=(2.0, 1.0), dash_start=1.5),
            ),
            Words(text="pump 1795", at=(60.0, 40.0), size=3.2, anchor="end"),
            Stamp(at=(30.0, 30.0), module=1.0, rows=("1011", "0110")),
            Group(name="empty", items=(Words(text="on", at=(60.0, 40.0), size=3.2, bold=True),)),
        ],
        ids=lambda item: type(item).__name__,
    )
    def test_the_measure_notices_when_one_thing_is_missing(self, item: Item) -> None:
        """The comparison is worth something: one thing more on one of the pictures is seen."""
        page = card(studied("water-wheel"), Options(paper="a6")).pages[0]
        empty, holding = (by_paint(replace(page, items=items)) for items in ((), (item,)))
        assert np.abs(greys(holding) - greys(empty)).max() > MOST


class TestTheDocument:
    def test_the_same_card_gives_the_same_bytes(self) -> None:
        options = Options(paper="a6", steps=True)
        made = [card(studied("orchard-sprayer"), options).pdf() for _ in range(2)]
        assert made[0] == made[1]

    def test_it_has_its_title_and_no_date(self) -> None:
        told = pypdf.PdfReader(io.BytesIO(card(studied("orchard-sprayer")).pdf())).metadata
        assert told == {
            "/Title": f"{studied('orchard-sprayer').layout.title}: belt routing",
            "/Creator": "beltpath",
            "/Producer": "beltpath",
        }

    def test_several_layouts_are_all_named(self) -> None:
        studies = [studied("water-wheel"), studied("wrong-side")]
        told = pypdf.PdfReader(io.BytesIO(card(studies).pdf())).metadata
        assert told is not None
        for study in studies:
            assert study.layout.title in str(told.title)

    def test_words_are_found_as_they_stand(self) -> None:
        """Whole lines with their spaces, not letter by letter."""
        text = pypdf.PdfReader(io.BytesIO(card(studied("water-wheel")).pdf())).pages[0]
        assert "Seen from the front, facing the pulleys." in text.extract_text()
