"""The SVG: the same bytes for the same study, sound XML, true millimetres, names for editors."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from xml.etree import ElementTree as ET

import pytest

from beltpath.cards import Options, card
from beltpath.cards.paper import PAPER_NAMES, SIZES, PaperName, paper
from beltpath.cards.scene import Arc, Curve, Disc, Group, Item, Pen, Stamp, To, Words, rectangle
from beltpath.cards.svg import number, render
from beltpath.cards.text import width
from tests.card.scenes import DEMOS, LAYOUTS, belt_curves, plain, studied

SVG = "{http://www.w3.org/2000/svg}"
LINK = "{http://www.w3.org/1999/xlink}href"
TAGS = {"svg", "defs", "title", "desc", "rect", "g", "path", "circle", "text", "clipPath", "use"}
#: Between them: an arm, a slide, a swing, a double-sided belt, faults, long names.
SOME = ("orchard-sprayer", "cider-mill", "sawmill-alternator", "dough-sheeter", "wrong-side")
IN_ANOTHER_PROCESS = """
import hashlib, sys
import beltpath
for name in sys.argv[1:]:
    study = beltpath.study(beltpath.read(name))
    text = "".join(beltpath.card(study, beltpath.Options(paper="a5")).svg_pages)
    print(hashlib.sha256(text.encode()).hexdigest())
"""


def drawn(text: str) -> Iterator[ET.Element]:
    """Every element that is drawn: all but the metadata, in which a card carries its layout."""
    root = ET.fromstring(text)
    carried = {e for found in root.iter(f"{SVG}metadata") for e in found.iter()}
    yield from (element for element in root.iter() if element not in carried)


def tag(element: ET.Element) -> str:
    assert element.tag.startswith(SVG), element.tag
    return element.tag.removeprefix(SVG)


class TestBytes:
    @pytest.mark.parametrize("demo", SOME)
    def test_the_same_study_gives_the_same_bytes(self, demo: str) -> None:
        again = card(studied(demo), Options(paper="a5"))
        assert again.svg_pages == plain(demo).svg_pages

    def test_another_process_gives_the_same_bytes(self) -> None:
        """Whatever its hash seed: no set or dictionary of strings may order anything."""
        done = subprocess.run(
            [
                sys.executable,
                "-c",
                IN_ANOTHER_PROCESS,
                *(str(LAYOUTS / f"{demo}.toml") for demo in SOME),
            ],
            env={**os.environ, "PYTHONHASHSEED": "12345"},
            cwd=LAYOUTS.parent,
            capture_output=True,
            check=True,
            timeout=120,
        )
        here = [
            hashlib.sha256("".join(plain(demo).svg_pages).encode()).hexdigest() for demo in SOME
        ]
        assert done.stdout.decode().split() == here

    def test_numbers_are_short_and_never_negative_zero(self) -> None:
        assert number(0.1 + 0.2) == "0.3"
        assert number(-0.0004) == "0"
        assert number(12.0) == "12"
        assert number(100.0) == "100"
        assert number(-1.23456) == "-1.235"


@pytest.mark.parametrize("demo", DEMOS)
class TestXml:
    def test_only_plain_elements(self, demo: str) -> None:
        for page in plain(demo).svg_pages:
            assert {tag(element) for element in drawn(page)} <= TAGS

    def test_nothing_refers_outside(self, demo: str) -> None:
        for page in plain(demo).svg_pages:
            for element in drawn(page):
                for name, value in element.attrib.items():
                    assert "href" not in name or tag(element) == "use"
                    assert "href" not in name or re.fullmatch(r"#[rb]-[0-9a-f]+", value)
                    assert not name.startswith("on")
                    assert "url(" not in value or value.startswith("url(#")

    def test_titles_and_descriptions_for_screen_readers(self, demo: str) -> None:
        study = studied(demo)
        for text in plain(demo).svg_pages:
            root = ET.fromstring(text)
            assert root.get("role") == "img"
            title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
            assert title is not None
            assert title.text is not None
            assert title.text.startswith(study.layout.title)
            assert desc is not None
            assert desc.text
            # A screen reader takes the title only where it is the first child.
            assert root[0] is title

    def test_ids_are_unique_and_groups_have_titles(self, demo: str) -> None:
        for text in plain(demo).svg_pages:
            root = ET.fromstring(text)
            ids = [e.get("id") for e in root.iter() if e.get("id") is not None]
            assert len(ids) == len(set(ids))
            for group in root.iter(f"{SVG}g"):
                if {tag(child) for child in group} <= {"use"}:
                    continue  # The letters of one line, which the text beside them names.
                assert group.get("id")
                assert group.find(f"{SVG}title") is not None, group.get("id")

    def test_every_pulley_is_a_named_group(self, demo: str) -> None:
        study = studied(demo)
        root = ET.fromstring(plain(demo).svg_pages[0])
        groups = {g.get("id"): g for g in root.iter(f"{SVG}g")}
        assert {"heading", "belt", "travel", "labels", "verdict", "footer"} <= groups.keys()
        for i, pulley in enumerate(study.layout.pulleys.values(), start=1):
            found = groups[f"pulley-{i}"]
            assert found.findtext(f"{SVG}title") == pulley.title
            told = found.findtext(f"{SVG}desc") or ""
            assert told.startswith(f"{pulley.role}, {pulley.face}, ")

    def test_numbers_are_plain(self, demo: str) -> None:
        for page in plain(demo).svg_pages:
            for element in drawn(page):
                for name in ("d", "x", "y", "r", "cx", "cy", "stroke-width", "font-size"):
                    value = element.get(name, "")
                    for written in re.findall(r"[^MLAZlqz\s,]+", value):
                        assert re.fullmatch(r"-?\d+(\.\d{1,3})?", written), (name, value)

    def test_black_ink_uses_black_and_white_only(self, demo: str) -> None:
        for page in plain(demo, black=True).svg_pages:
            for element in drawn(page):
                for name in ("fill", "stroke"):
                    assert element.get(name) in (None, "none", "#000000", "#ffffff")
                # No colour hides anywhere else.
                assert "style" not in element.attrib
                assert "color" not in " ".join(element.attrib)

    def test_texts_of_a_black_card_are_those_of_a_coloured_one(self, demo: str) -> None:
        for black, colour in zip(
            plain(demo, black=True).svg_pages, plain(demo).svg_pages, strict=True
        ):
            assert texts(black) == texts(colour)


def texts(page: str) -> list[str]:
    return [element.text or "" for element in ET.fromstring(page).iter(f"{SVG}text")]


class TestSize:
    @pytest.mark.parametrize("landscape", [False, True])
    @pytest.mark.parametrize("name", PAPER_NAMES)
    def test_the_picture_is_as_large_as_its_paper(self, name: PaperName, landscape: bool) -> None:
        sheet = paper(name, landscape=landscape)
        root = ET.fromstring(render(sheet, (), title="t", description="d"))
        short, long = SIZES[name]
        width, height = (long, short) if landscape else (short, long)
        assert root.get("width") == f"{number(width)}mm"
        assert root.get("height") == f"{number(height)}mm"
        assert root.get("viewBox") == f"0 0 {number(width)} {number(height)}"

    def test_the_paper_is_white(self) -> None:
        root = ET.fromstring(render(paper("a6"), (), title="t", description="d"))
        rect = root.find(f"{SVG}rect")
        assert rect is not None
        assert (rect.get("width"), rect.get("height"), rect.get("fill")) == (
            "105",
            "148",
            "#ffffff",
        )


class TestReplay:
    """The SVG says of every primitive what the scene says of it."""

    def replayed(self, *items: Item) -> ET.Element:
        page = render(paper("a6"), items, title="t", description="d")
        return list(ET.fromstring(page))[-1]

    def test_a_circle(self) -> None:
        found = self.replayed(Disc(centre=(10.0, 20.5), radius=3.25, pen=Pen(width=0.3)))
        assert (found.get("cx"), found.get("cy"), found.get("r")) == ("10", "20.5", "3.25")
        assert (found.get("fill"), found.get("stroke-width")) == ("none", "0.3")

    def test_a_shape_without_stroke(self) -> None:
        found = self.replayed(Disc(centre=(1.0, 1.0), radius=1.0, pen=Pen(stroke=None, fill="ink")))
        assert found.get("stroke") is None
        assert found.get("fill") == "#111111"

    def test_dashes(self) -> None:
        pen = Pen(dash=(1.0, 0.5), dash_start=0.25)
        found = self.replayed(Disc(centre=(1.0, 1.0), radius=1.0, pen=pen))
        assert found.get("stroke-dasharray") == "1 0.5"
        assert found.get("stroke-dashoffset") == "0.25"

    def test_words(self) -> None:
        found = self.replayed(
            Words(text="a < b", at=(5.0, 6.0), size=3.2, bold=True, anchor="end", colour="fault")
        )
        assert found.text == "a < b"
        assert (found.get("text-anchor"), found.get("font-weight")) == ("end", "bold")
        assert (found.get("font-size"), found.get("fill")) == ("3.2", "#b00020")
        assert found.get("fill-opacity") == "0"

    def test_plain_words_name_no_weight_or_anchor(self) -> None:
        found = self.replayed(Words(text="a", at=(5.0, 6.0), size=3.2))
        assert found.get("text-anchor") is None
        assert found.get("font-weight") is None

    def test_every_letter_is_an_outline_in_its_place(self) -> None:
        """Blanks have none; a letter that comes again is defined once."""
        words = Words(text="a ba", at=(5.0, 6.0), size=3.4, bold=True, anchor="end")
        root = ET.fromstring(render(paper("a6"), (words,), title="t", description="d"))
        letters, text = list(root)[-2:]
        assert letters.get("transform") == f"translate({number(words.start)} 6) scale(0.0034)"
        widths = [round(width(words.text[:i], 1000.0, bold=True)) for i in (0, 2, 3)]
        assert [(use.get("x"), use.get(LINK)) for use in letters] == [
            (str(x), f"#b-{ord(letter):x}") for x, letter in zip(widths, "aba", strict=True)
        ]
        defined = [path.get("id") for path in root.iter(f"{SVG}path")]
        assert sorted(filter(None, defined)) == ["b-61", "b-62"]
        assert text.get("textLength") == number(words.length)

    def test_a_rectangle_is_closed(self) -> None:
        found = self.replayed(rectangle(paper("a6").printable, Pen()))
        assert found.get("d") == "M7 7 L98 7 L98 141 L7 141 Z"

    def test_a_quarter_turn_and_its_sense(self) -> None:
        """A positive sweep is clockwise on paper, which is SVG's sweep flag 1."""
        for sweep, flag in ((1.5707963267948966, "1"), (-1.5707963267948966, "0")):
            arc = Arc((10.0, 10.0), 5.0, 0.0, sweep)
            found = self.replayed(Curve(start=arc.at(0.0), pieces=(arc,), pen=Pen()))
            down = "15" if flag == "1" else "5"
            assert found.get("d") == f"M15 10 A5 5 0 0 {flag} 10 {down}"

    def test_a_full_turn_is_drawn_in_halves(self) -> None:
        arc = Arc((10.0, 10.0), 5.0, 0.0, 6.283185307179586)
        found = self.replayed(Curve(start=arc.at(0.0), pieces=(arc,), pen=Pen()))
        assert found.get("d") == "M15 10 A5 5 0 0 1 5 10 A5 5 0 0 1 15 10"

    def test_a_group_with_clip_title_and_description(self) -> None:
        inner = Curve(start=(0.0, 0.0), pieces=(To((1.0, 1.0)),), pen=Pen())
        page = render(
            paper("a6"),
            (
                Group(
                    name="part",
                    items=(inner,),
                    title="A part",
                    description="of it",
                    clip=paper("a6").printable,
                ),
            ),
            title="t",
            description="d",
        )
        root = ET.fromstring(page)
        group = root.find(f"{SVG}g")
        assert group is not None
        assert group.get("clip-path") == "url(#part-clip)"
        assert group.findtext(f"{SVG}title") == "A part"
        assert group.findtext(f"{SVG}desc") == "of it"
        clips = [e for e in root.iter(f"{SVG}clipPath") if e.get("id") == "part-clip"]
        assert len(clips) == 1
        assert clips[0][0].get("width") == "91"

    def test_a_matrix_code_is_drawn_run_by_run(self) -> None:
        found = self.replayed(Stamp(at=(1.0, 2.0), module=0.5, rows=("1101", "0000")))
        assert found.get("d") == "M1 2h1v0.5h-1zM2.5 2h0.5v0.5h-0.5z"

    def test_a_group_without_words(self) -> None:
        found = self.replayed(Group(name="bare", items=()))
        assert found.get("id") == "bare"
        assert list(found) == []

    @pytest.mark.parametrize("demo", SOME)
    def test_the_belts_path_goes_through_its_points(self, demo: str) -> None:
        *_, body = belt_curves(plain(demo))
        root = ET.fromstring(plain(demo).svg_pages[0])
        [belt] = [g for g in root.iter(f"{SVG}g") if g.get("id") == "belt"]
        d = list(belt)[-1].get("d") or ""
        ends = [tuple(map(float, m)) for m in re.findall(r"(-?[\d.]+) (-?[\d.]+)(?= [LAZ]|$)", d)]
        expected = [body.start]
        for piece in body.pieces:
            if isinstance(piece, Arc) and abs(piece.sweep) > 0.95 * 3.141592653589793:
                expected.append(piece.at(0.5))
            expected.append(piece.end)
        assert len(ends) == len(expected)
        for (x, y), (u, v) in zip(ends, expected, strict=True):
            assert abs(x - u) <= 0.0006
            assert abs(y - v) <= 0.0006
