"""A card carries its layout: in the SVG's metadata, in the PDF, and in a QR code."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import zxingcpp
from hypothesis import given
from PIL import Image

import beltpath
from beltpath.cards.cairo import png
from beltpath.cards.code import code_block, code_text
from beltpath.cards.scene import Group, Item, Stamp
from beltpath.files.carried import is_card, layout_text
from beltpath.layout.layout import from_text, stand_in
from tests.core.test_problems import BASE
from tests.strategies import Made, drives, law, toml_of

DEMOS = sorted(Path("layouts").glob("*.toml"))
SPRAYER = Path("layouts/orchard-sprayer.toml")


@cache
def studied(path: Path) -> beltpath.Study:
    return beltpath.study(beltpath.read(path))


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_svg_gives_the_layout_back_whole(path: Path) -> None:
    for page in beltpath.card(studied(path)).svg_pages:
        assert is_card(page.encode())
        assert layout_text(page.encode()) == path.read_text(encoding="utf-8")


def test_pdf_gives_the_layout_back_whole(tmp_path: Path) -> None:
    target = tmp_path / "card.pdf"
    target.write_bytes(beltpath.card(studied(SPRAYER)).pdf())
    again = beltpath.read(target)
    assert again.text == SPRAYER.read_text(encoding="utf-8")
    assert again.digest == studied(SPRAYER).layout.digest
    assert beltpath.study(again).path.length == studied(SPRAYER).path.length


def test_a_pdf_of_several_layouts_says_so() -> None:
    several = beltpath.card([studied(path) for path in DEMOS[:2]]).pdf()
    with pytest.raises(beltpath.LayoutError, match="carries 2 layouts"):
        layout_text(several)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "carries no layout"),
        (b"<svg", "not SVG as it stands"),
        (
            b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "c">]><svg>&b;</svg>',
            "not SVG as it stands",
        ),
        (b"%PDF-1.7 and nothing else", "cannot be read"),
    ],
)
def test_a_picture_without_a_layout_is_refused_in_a_sentence(data: bytes, words: str) -> None:
    assert is_card(data)
    with pytest.raises(beltpath.LayoutError, match=words):
        layout_text(data)


def test_a_layout_is_no_card() -> None:
    assert not is_card(SPRAYER.read_bytes())


def stamps(items: tuple[Item, ...]) -> list[Stamp]:
    found = []
    for item in items:
        if isinstance(item, Group):
            found += stamps(item.items)
        elif isinstance(item, Stamp):
            found.append(item)
    return found


@pytest.mark.parametrize("dpi", [150, 300])
@pytest.mark.parametrize("name", ["orchard-sprayer", "snow-groomer", "workshop-compressor"])
def test_the_code_can_be_read_off_an_a5_print(name: str, dpi: int) -> None:
    study = studied(Path(f"layouts/{name}.toml"))
    pages = beltpath.card(study, beltpath.Options(paper="a5", code=True, ink="black"))
    page = next(i for i, p in enumerate(pages.pages) if stamps(p.items))
    (stamp,) = stamps(pages.pages[page].items)
    assert pages.pages[page].paper.printable.holds(stamp.box)
    assert stamp.module >= 0.4
    picture = Image.open(
        io.BytesIO(png(pages.pages[page].paper, pages.pages[page].items, pages.ink, dpi))
    )
    (found,) = zxingcpp.read_barcodes(picture)
    assert found.text == code_text(study.layout)
    assert beltpath.parse(found.text, name=name) == study.layout


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_code_is_read_as_the_very_layout(path: Path) -> None:
    layout = beltpath.read(path)
    if layout.route is not None:
        assert beltpath.parse(code_text(layout), name=layout.name) == layout


#: Notes, names and comments that no reader of lines could carry.
AWKWARD = (
    'notes = """\nLine one\n# no comment\n\n  [belt]\n  ribs = 3\n"""',
    "notes = '''\nribs = 1\n# \\ \"\"\" '''",
    'notes = "a \\r\\n b\\tc \\u0022 # d"',
    '# one \n#\n  # two\nnotes = "x" # three',
    'notes = """\\\n   joined \\\n   up"""',
)


@pytest.mark.parametrize("notes", AWKWARD)
def test_the_code_carries_whatever_the_file_may_hold(notes: str) -> None:
    text = BASE.replace('title = "Bench"\n', f'title = "Bench # 1"\n{notes}\n', 1)
    layout = beltpath.parse(text.replace("\n", "\r\n"))
    assert layout.notes
    again = beltpath.parse(code_text(layout))
    assert again == layout
    assert again.notes == layout.notes


@law
@given(made=drives())
def test_the_code_carries_any_drive(made: Made) -> None:
    layout = beltpath.parse(toml_of(made.data))
    assert beltpath.parse(code_text(layout)) == layout


def test_the_code_of_a_changed_layout_carries_the_change() -> None:
    layout = beltpath.parse(BASE)
    other = replace(layout, belt=replace(layout.belt, ribs=layout.belt.ribs + 1))
    assert beltpath.parse(code_text(other)).belt.ribs == layout.belt.ribs + 1


def test_a_code_of_another_drive_is_refused() -> None:
    layout = beltpath.parse(BASE)
    other = stand_in(layout, belt=replace(layout.belt, ribs=layout.belt.ribs + 1))
    with pytest.raises(beltpath.UsageError, match="its values are not those of its text"):
        code_text(other)
    wrong = from_text(layout, layout.text.replace('"Bench"', '"\\u200b"'), layout.digest)
    with pytest.raises(beltpath.UsageError, match="no code can be drawn of this layout: line 1"):
        code_text(wrong)


def test_a_code_that_cannot_fit_is_refused_in_a_sentence() -> None:
    pulley = '"{}" = {{ at = [{}, 900], diameter = 60, face = "smooth", role = "other" }}'
    more = "\n".join(pulley.format(f"a pulley that stands by {i}", 100 * i) for i in range(60))
    layout = beltpath.parse(BASE.replace("[pulleys]", f"[pulleys]\n{more}", 1))
    with pytest.raises(beltpath.UsageError, match="a QR code holds 2953"):
        code_block(layout, 130.0)
    with pytest.raises(beltpath.UsageError, match="choose larger paper"):
        code_block(beltpath.parse(BASE), 20.0)


def test_the_line_ends_of_the_file_survive_the_way_through_an_svg() -> None:
    text = SPRAYER.read_text(encoding="utf-8").replace("\n", "\r\n")
    layout = beltpath.parse(text)
    (page, *_) = beltpath.card(beltpath.study(layout)).svg_pages
    again = layout_text(page.encode())
    assert again == text
    assert beltpath.parse(again).digest == layout.digest
