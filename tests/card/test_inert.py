"""Names and titles that could do harm stay text: escaped, whole in the table, inside the page.

The words are made up. Scripts and signs that the card's font lacks are refused: see test_fonts.
"""

from __future__ import annotations

import io
import re
from functools import cache
from xml.etree import ElementTree as ET

import pytest

import beltpath
from beltpath.cards import Card, Options, card
from beltpath.cards.paper import PaperName
from beltpath.studies import Study
from tests.card.judge import faults, unprintable
from tests.card.scenes import said
from tests.strategies import value_of

SVG = "{http://www.w3.org/2000/svg}"
NASTY = {
    "tags": "<script>alert(1)</script>",
    "close": '</text></g></svg><image href="x"/>',
    "cdata": "]]> <![CDATA[ &amp; &#60;",
    "quotes": "\"double\" 'single' `back`",
    "comment": "<!-- -- --> <?php ?>",
    "template": "{{7*7}} ${x} %s %n \\u0041",
    "mixed": "насос Ωμέγα 12 V (Łódź) ¿ñ? ±−×°",
    "sixty": "Wide-Mouthed Water Pump With An Overlong Name, Second Side W",
    "one word": "M" * 60,
    "accents": "ÅŐŰŽĹĤ ĢŅŖȘķ ÄÖÜß",
    "stacked": "ẬỖỮỰ ệữỡ",
    "dots": "........................................................",
    "dashes": "---- / ---- \\ ----",
    "spaces": "no\u00a0break thin\u2009and\u2003wide",
}
LAYOUT = """
title = {title}
notes = {name}
route = ["crank", "tensioner", "alternator", "pump"]
[belt]
section = "PK"
ribs = 6
[pulleys.crank]
at = [0, 0]
diameter = 165
face = "grooved"
role = "crank"
label = {name}
[pulleys.tensioner]
at = [-45, 150]
diameter = 76
face = "smooth"
role = "tensioner"
label = {name}
[pulleys.alternator]
at = [-180, 235]
diameter = 60
face = "grooved"
role = "alternator"
label = {name}
[pulleys.pump]
at = [120, 260]
diameter = 140
face = "grooved"
role = "pump"
label = {name}
[tensioner]
pulley = "tensioner"
kind = "arm"
pivot = [-130, 130]
free = 40
load = -20
lever = {name}
"""


@cache
def named(name: str) -> Study:
    """A drive in which everything is called `name`."""
    text = LAYOUT.format(title=value_of(f"{name} & {name}"[:120]), name=value_of(name))
    return beltpath.study(beltpath.parse(text, name=name))


@cache
def carded(name: str, paper: PaperName) -> Card:
    return card(named(name), Options(paper=paper))


@pytest.mark.parametrize(
    ("kind", "paper"),
    [*((kind, "a6") for kind in NASTY), *((kind, "a5") for kind in ("close", "mixed", "sixty"))],
)
class TestNames:
    def test_everything_on_the_front_keeps_its_place(self, kind: str, paper: PaperName) -> None:
        front = carded(NASTY[kind], paper).pages[0]
        assert list(faults(front, named(NASTY[kind]))) == []
        assert list(unprintable(front)) == []

    def test_everything_overleaf_keeps_its_place(self, kind: str, paper: PaperName) -> None:
        for page in carded(NASTY[kind], paper).pages[1:]:
            assert list(faults(page, named(NASTY[kind]))) == []
            assert list(unprintable(page)) == []

    def test_no_element_is_smuggled_in(self, kind: str, paper: PaperName) -> None:
        """As many elements of each kind as there are primitives, and plain text in them."""
        for text in carded(NASTY[kind], paper).svg_pages:
            root = ET.fromstring(text)
            allowed = {"svg", "defs", "title", "desc", "rect", "g", "path", "circle", "text", "use"}
            tags = {e.tag for e in root.iter() if e.tag.startswith(SVG)}
            assert tags <= {f"{SVG}{tag}" for tag in (*allowed, "clipPath", "metadata")}
            for element in root.iter(f"{SVG}text"):
                assert list(element) == []
            for element in root.iter():
                links = [value for name, value in element.attrib.items() if "href" in name]
                assert all(re.fullmatch("#[rb]-[0-9a-f]+", link) for link in links)

    def test_the_name_stands_whole_on_the_card(self, kind: str, paper: PaperName) -> None:
        name = NASTY[kind]
        made = carded(name, paper)
        whole = "".join(said(page) for page in made.pages)
        squeezed = "".join(name.split())
        # Title, notes, and a row for each of four pulleys; lines may break anywhere.
        assert "".join(whole.split()).count(squeezed) >= 5

    def test_the_svg_says_what_the_scene_says(self, kind: str, paper: PaperName) -> None:
        made = carded(NASTY[kind], paper)
        for page, text in zip(made.pages, made.svg_pages, strict=True):
            found = [e.text or "" for e in ET.fromstring(text).iter(f"{SVG}text")]
            assert " ".join(" ".join(found).split()) == said(page)


class TestInk:
    """What cairo really paints stays inside the printable box, strange scripts included."""

    @pytest.mark.parametrize("kind", ["accents", "mixed", "one word"])
    def test_nothing_is_painted_in_the_margin(self, kind: str) -> None:
        from PIL import Image

        made = carded(NASTY[kind], "a6")
        picture = Image.open(io.BytesIO(made.png_pages(100.0)[0])).convert("L")
        dark = picture.point(lambda value: 255 if value < 250 else 0)
        box = dark.getbbox()
        assert box is not None
        margin = (7.0 - 0.5) * 100.0 / 25.4
        assert box[0] >= margin
        assert box[1] >= margin
        assert picture.width - box[2] >= margin
        assert picture.height - box[3] >= margin


def test_the_names_are_as_long_as_the_reader_allows() -> None:
    assert max(map(len, NASTY.values())) == 60
