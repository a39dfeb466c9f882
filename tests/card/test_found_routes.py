"""The best few ways side by side: each whole, in its place, with what tells it from the others."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations, pairwise

import pytest
import shapely

import beltpath
from beltpath.cards import Card, Options, Page
from beltpath.cards.found_routes import ways_card
from beltpath.cards.paper import PAPER_NAMES, Box, PaperName
from beltpath.cards.scene import Curve, Disc, Group, Words
from beltpath.ranking.find import Search, find_routes
from beltpath.ranking.rank import RankedRoute
from tests.card.judge import off_the_page, texts_on_texts, unprintable
from tests.card.scenes import LAYOUTS, circle, inked, pieces, said, text_box

#: So many of its ways are drawn: one without a fault, and three with one.
DRAWN = 4


@cache
def search() -> Search:
    """Every way of the hay press, whose belt is known."""
    return find_routes(beltpath.read(LAYOUTS / "found" / "hay-press.toml"))


@cache
def ways() -> tuple[RankedRoute, ...]:
    """The best few of them."""
    return search().ranked[:DRAWN]


@cache
def made(paper: PaperName, *, landscape: bool = False, mirrored: bool = False) -> Card:
    """Their card."""
    options = Options(paper=paper, landscape=landscape, mirrored=mirrored)
    return ways_card(ways(), options, summary=search().summary)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One way to print them."""

    paper: PaperName
    landscape: bool

    def __str__(self) -> str:
        return f"{self.paper}-{'landscape' if self.landscape else 'portrait'}"


SHEETS = [Sheet(paper, landscape) for paper in PAPER_NAMES for landscape in (False, True)]


@pytest.fixture(params=SHEETS, ids=str)
def printed(request: pytest.FixtureRequest) -> Card:
    """The card on one sheet."""
    sheet: Sheet = request.param
    return made(sheet.paper, landscape=sheet.landscape)


def cells(page: Page) -> list[Group]:
    """The ways of a page, in the order of painting."""
    return [g for g in page.items if isinstance(g, Group) and g.name.startswith("way-")]


def frame(cell: Group) -> Curve:
    """The line round a way."""
    first = cell.items[0]
    assert isinstance(first, Curve)
    return first


def drawing(cell: Group) -> list[Group]:
    """The groups of a way's drawing."""
    return [item for item in cell.items if isinstance(item, Group)]


def words(cell: Group) -> list[Words]:
    """What is written below a way's drawing."""
    return [item for item in cell.items if isinstance(item, Words)]


def shape(box: Box) -> shapely.Polygon:
    return shapely.box(box.x, box.y, box.right, box.bottom)


class TestEveryWay:
    """Every way is there once, whole and in order, wherever there is room."""

    def test_in_order_and_once(self, printed: Card) -> None:
        names = [cell.name for page in printed.pages for cell in cells(page)]
        assert names == [f"way-{i}" for i in range(1, DRAWN + 1)]

    def test_none_is_cut_and_none_lies_on_another(self, printed: Card) -> None:
        for page in printed.pages:
            boxes = [shape(frame(cell).box) for cell in cells(page)]
            for cell, box in zip(cells(page), boxes, strict=True):
                for piece in pieces(cell.items[1:]):
                    whole = text_box(piece.item) if isinstance(piece.item, Words) else None
                    assert box.covers(shape(piece.item.box) if whole is None else whole)
            rest = [
                shape(g.box) for g in page.items if isinstance(g, Group) and g not in cells(page)
            ]
            for a, b in combinations([*boxes, *rest], 2):
                assert a.intersection(b).area < 1e-6

    def test_nothing_leaves_the_paper_and_no_text_lies_on_text(self, printed: Card) -> None:
        for page in printed.pages:
            assert [*off_the_page(page), *texts_on_texts(page), *unprintable(page)] == []

    def test_labels_keep_off_the_frame(self, printed: Card) -> None:
        for page in printed.pages:
            for cell in cells(page):
                line = inked(frame(cell)).buffer(0.5)
                written = [p.item for p in pieces(drawing(cell)) if isinstance(p.item, Words)]
                assert written
                for item in written:
                    assert not text_box(item).intersects(line), item.text

    def test_words_keep_off_the_drawing(self, printed: Card) -> None:
        for page in printed.pages:
            for cell in cells(page):
                drawn = shapely.union_all([shape(part.box) for part in drawing(cell)])
                assert not any(text_box(item).intersects(drawn) for item in words(cell))
                rows = [item.at[1] for item in words(cell)]
                assert all(b > a for a, b in pairwise(rows))

    def test_every_drawing_is_large_enough_to_be_read(self, printed: Card) -> None:
        for page in printed.pages:
            for cell in cells(page):
                number = cell.name.removeprefix("way-")
                belt = group_of(cell, f"way-{number}-belt").box
                assert max(belt.width, belt.height) >= 35.0

    def test_every_pulley_is_drawn_under_a_name_of_its_way(self, printed: Card) -> None:
        for page in printed.pages:
            for cell, way in zip(cells(page), _of(page), strict=True):
                number = cell.name.removeprefix("way-")
                names = {part.name for part in drawing(cell)}
                wheels = {
                    f"way-{number}-pulley-{i}" for i in range(1, 1 + len(way.study.layout.pulleys))
                }
                assert wheels | {f"way-{number}-belt", f"way-{number}-labels"} <= names

    def test_the_belt_meets_every_pulley_of_its_way(self, printed: Card) -> None:
        for page in printed.pages:
            for cell, way in zip(cells(page), _of(page), strict=True):
                number = cell.name.removeprefix("way-")
                belt = shapely.union_all(
                    [
                        inked(p.item)
                        for p in pieces(group_of(cell, f"way-{number}-belt").items)
                        if not isinstance(p.item, Words)
                    ]
                )
                met = {contact.pulley for contact in way.study.path.contacts}
                for i, name in enumerate(way.study.layout.pulleys, start=1):
                    wheel = group_of(cell, f"way-{number}-pulley-{i}")
                    rims = [p.item for p in pieces(wheel.items) if isinstance(p.item, Disc)]
                    rim = max(rims, key=lambda disc: disc.radius)
                    gap = belt.distance(circle(rim.centre, rim.radius))
                    assert (gap < 0.5) or name not in met, name


class TestWords:
    """Its number, its verdict and every reason stand with each way."""

    def test_all_of_them(self, printed: Card) -> None:
        for page in printed.pages:
            for cell, way in zip(cells(page), _of(page), strict=True):
                text = " ".join(item.text for item in words(cell))
                number = cell.name.removeprefix("way-")
                faults = [f for f in way.study.findings if f.level == "fault"]
                head = f"{number}. {'NOT VERIFIED' if faults else 'Checked: no fault'}"
                assert text.startswith(head)
                for reason in way.reasons:
                    assert reason in text
                bold = [item.text for item in words(cell) if item.bold]
                assert " ".join(bold).startswith(head)
                assert not any(reason in " ".join(bold) for reason in way.reasons)

    def test_heading_on_the_first_page_only_and_a_footer_on_each(self, printed: Card) -> None:
        count = len(printed.pages)
        for number, page in enumerate(printed.pages, start=1):
            assert ("ways that the belt can go" in said(page)) == (number == 1)
            assert f"page {number} of {count}" in said(page)
        assert "Seen from the front" in said(printed.pages[0])
        assert search().summary in said(printed.pages[0])

    def test_seen_from_behind(self) -> None:
        heading = said(made("a4", mirrored=True).pages[0])
        assert "from behind" in heading
        assert "Seen from the front" not in heading


class TestPlaces:
    """As many stand side by side as the paper is wide enough for."""

    @pytest.mark.parametrize(
        ("paper", "landscape", "columns", "pages"),
        [
            ("a4", False, 2, 1),
            ("a4", True, 3, 2),
            ("a5", False, 1, 4),
            ("a6", False, 1, 4),
            ("a6", True, 1, 4),
        ],
    )
    def test_columns(self, paper: PaperName, landscape: bool, columns: int, pages: int) -> None:
        card = made(paper, landscape=landscape)
        lefts = {round(frame(cell).box.x, 3) for page in card.pages for cell in cells(page)}
        assert len(lefts) == columns
        assert len(card.pages) == pages

    def test_no_page_is_without_a_way(self, printed: Card) -> None:
        assert all(cells(page) for page in printed.pages)

    def test_words_stand_below_where_there_is_room_and_else_beside(self) -> None:
        for landscape in (False, True):
            for page in made("a6", landscape=landscape).pages:
                for cell in cells(page):
                    x, y, right, bottom = shapely.union_all(
                        [shape(part.box) for part in drawing(cell)]
                    ).bounds
                    first = text_box(words(cell)[0]).bounds
                    assert (first[0] > right) == landscape
                    assert (first[1] > bottom) != landscape
                    assert x < right
                    assert y < bottom

    def test_a_row_is_as_high_as_its_longest_text(self) -> None:
        [page] = made("a4").pages
        first, second, third, fourth = (frame(cell).box for cell in cells(page))
        for a, b in ((first, second), (third, fourth)):
            assert (a.y, a.height) == (b.y, b.height)
        assert second.y < third.y

    def test_one_way_alone(self) -> None:
        card = ways_card(ways()[:1], Options(paper="a5"), summary="1 way found.")
        [page] = card.pages
        assert [cell.name for cell in cells(page)] == ["way-1"]

    def test_ids_are_unique_on_a_page(self, printed: Card) -> None:
        for page in printed.pages:
            names = [name for item in page.items if isinstance(item, Group) for name in below(item)]
            assert len(names) == len(set(names))

    def test_ink(self) -> None:
        black = ways_card(ways(), Options(paper="a4", ink="black"), summary="x")
        assert black.ink == "black"
        assert "#124f8c" not in "".join(black.svg_pages)
        assert "#124f8c" in "".join(replace(black, ink="colour").svg_pages)


def _of(page: Page) -> list[RankedRoute]:
    """The ways that a page shows."""
    return [ways()[int(cell.name.removeprefix("way-")) - 1] for cell in cells(page)]


def group_of(cell: Group, name: str) -> Group:
    [found] = [part for part in drawing(cell) if part.name == name]
    return found


def below(item: Group) -> list[str]:
    """The names of a group and of all groups in it."""
    inner = [name for part in item.items if isinstance(part, Group) for name in below(part)]
    return [item.name, *inner]
