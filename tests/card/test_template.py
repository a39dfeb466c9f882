"""True-scale sheets: a millimetre is a millimetre, sheets overlap, and there are not too many."""

from __future__ import annotations

from functools import cache
from math import ceil

import pytest
import shapely

import beltpath
from beltpath.cards import Card, Options, Page, card
from beltpath.cards.diagram import extent
from beltpath.cards.paper import PaperName
from beltpath.cards.scene import Curve, Disc, Group, To, Words
from beltpath.cards.true_scale import MOST_SHEETS, OVERLAP
from beltpath.cards.view import View
from beltpath.errors import UsageError
from beltpath.layout.records import rim_diameter
from beltpath.studies import Study
from tests.card.judge import off_the_page, texts_on_texts, unprintable
from tests.card.scenes import group, has_group, painted, points, said, stroke, studied

DEMO = "cider-mill"


@cache
def printed(demo: str, paper: PaperName = "a4", *, mirrored: bool = False) -> Card:
    return card(studied(demo), Options(paper=paper, true_scale=True, mirrored=mirrored))


def sheets(made: Card) -> list[Page]:
    return [page for page in made.pages if has_group(page, "template")]


def grid(made: Card) -> tuple[int, int]:
    """Rows and columns, as the last sheet's head says them."""
    words = said(sheets(made)[-1]).split()
    row, column = words.index("row"), words.index("column")
    assert words[row + 1] == words[row + 3].rstrip(",")
    return int(words[row + 3].rstrip(",")), int(words[column + 3].rstrip(";"))


def tile(page: Page) -> Group:
    found = group(page, "template")
    assert found.clip is not None
    return found


def discs(page: Page) -> list[Disc]:
    return [item for item in tile(page).items if isinstance(item, Disc)]


class TestScale:
    def test_the_bar_is_50_mm_long(self) -> None:
        for page in sheets(printed(DEMO)):
            lines = [i for i in group(page, "head").items if isinstance(i, Curve)]
            [bar] = [i for i in lines if i.start[1] == i.pieces[0].end[1]]
            [left, right] = [i for i in lines if i is not bar]
            assert bar.pieces[0].end[0] - bar.start[0] == pytest.approx(50.0, abs=1e-9)
            assert right.start[0] - left.start[0] == pytest.approx(50.0, abs=1e-9)
            assert "must measure 50 mm" in said(page)

    @pytest.mark.parametrize("demo", ["cider-mill", "cider-mill-inch", "snow-groomer"])
    def test_rims_have_their_true_radius_and_distance(self, demo: str) -> None:
        study = studied(demo)
        page = sheets(printed(demo))[0]
        pulleys = list(study.layout.pulleys.values())
        found = discs(page)
        assert len(found) == len(pulleys)
        for pulley, disc in zip(pulleys, found, strict=True):
            assert disc.radius == rim_diameter(pulley, study.layout.belt.section) / 2.0
        for (p, a), (q, b) in zip(
            zip(pulleys, found, strict=True),
            zip(pulleys[1:], found[1:], strict=False),
            strict=False,
        ):
            apart = shapely.Point(a.centre).distance(shapely.Point(b.centre))
            true = shapely.Point(study.drive.centre(p.name)).distance(
                shapely.Point(study.drive.centre(q.name))
            )
            assert apart == pytest.approx(true, abs=1e-9)

    def test_the_effective_line_has_its_true_length(self) -> None:
        study = studied(DEMO)
        line, outer, inner = belt_lines(sheets(printed(DEMO))[0])
        # Arcs drawn in steps of two degrees are 0.005 % short.
        assert line.length == pytest.approx(study.path.length, rel=1e-4)
        belt = study.layout.belt
        turn = 2.0 * 3.141592653589793
        assert outer.length == pytest.approx(
            line.length - turn * (belt.height - belt.back), rel=1e-3
        )
        assert inner.length == pytest.approx(line.length + turn * belt.back, rel=1e-3)

    def test_the_outline_is_as_far_apart_as_the_belt_is_high(self) -> None:
        study = studied(DEMO)
        _, ribs, back = belt_lines(sheets(printed(DEMO))[0])
        assert ribs.distance(back) == pytest.approx(study.layout.belt.height, abs=0.02)


def belt_lines(page: Page) -> list[shapely.LineString]:
    """Effective line, rib side and back of the belt."""
    curves = [
        item
        for item in tile(page).items
        if isinstance(item, Curve)
        and not (len(item.pieces) == 1 and isinstance(item.pieces[0], To))
    ]
    assert len(curves) == 3
    return [shapely.LineString(points(curve)) for curve in curves]


class TestSheets:
    @pytest.mark.parametrize("paper", ["a4", "a5", "letter"])
    def test_there_are_as_many_as_the_drive_takes(self, paper: PaperName) -> None:
        made = printed(DEMO, paper)
        rows, columns = grid(made)
        assert 1 < len(sheets(made)) < rows * columns
        world = extent(studied(DEMO), View())
        clip = tile(sheets(made)[0]).clip
        assert clip is not None
        # Each sheet but the first brings its size less the overlap.
        assert columns == max(1, ceil((world.width + 8.0 - OVERLAP) / (clip.width - OVERLAP)))
        assert rows == max(1, ceil((world.height + 8.0 - OVERLAP) / (clip.height - OVERLAP)))

    def test_together_they_show_all_of_the_drive(self) -> None:
        """Carried back into the drive's place, the sheets cover every rim and the belt."""
        made, study = printed(DEMO), studied(DEMO)
        seen = shapely.union_all([moved_back(page, window(page), study) for page in sheets(made)])
        for pulley in study.layout.pulleys.values():
            at = study.drive.centre(pulley.name)
            rim = shapely.Point(at).buffer(study.drive.rim_radius(pulley))
            assert seen.buffer(1e-6).covers(rim)

    def test_neighbours_overlap_by_what_the_head_says(self) -> None:
        made, study = printed(DEMO), studied(DEMO)
        rows, columns = grid(made)
        assert columns > 1
        assert rows > 1
        windows = [moved_back(page, window(page), study) for page in sheets(made)]
        across = windows[0].intersection(windows[1]).bounds
        assert across[2] - across[0] == pytest.approx(OVERLAP)
        below = next(
            i for i, page in enumerate(sheets(made)) if "row 2 of 2, column 1 of" in said(page)
        )
        down = windows[0].intersection(windows[below]).bounds
        assert down[3] - down[1] == pytest.approx(OVERLAP)
        assert f"sheets overlap by {OVERLAP:.0f} mm" in said(sheets(made)[0])

    def test_every_sheet_tells_its_row_and_column(self) -> None:
        made = printed(DEMO)
        rows, columns = grid(made)
        pages, study = sheets(made), studied(DEMO)
        area = tile(pages[0]).clip
        assert area is not None
        first = moved_back(pages[0], window(pages[0]), study).bounds
        for i, page in enumerate(pages, start=1):
            here = moved_back(page, window(page), study).bounds
            column = round((here[0] - first[0]) / (area.width - OVERLAP)) + 1
            row = round((first[3] - here[3]) / (area.height - OVERLAP)) + 1
            assert f"Sheet {i} of {len(pages)} row {row} of {rows}, column {column} of " in said(
                page
            )
            assert column <= columns

    def test_no_sheet_is_blank_and_none_that_carries_ink_is_left_out(self) -> None:
        made, study = printed(DEMO), studied(DEMO)
        shown = shapely.union_all([moved_back(p, window(p), study) for p in sheets(made)])
        for page in sheets(made):
            assert any(
                painted(item).intersects(window(page))
                for item in tile(page).items
                if not isinstance(item, Words | Group)
            )
        page = sheets(made)[0]
        for item in tile(page).items:
            if not isinstance(item, Words | Group):
                assert shown.buffer(0.2).covers(moved_back(page, stroke(item), study))

    def test_marks_of_neighbours_lie_on_one_another(self) -> None:
        made, study = printed(DEMO), studied(DEMO)
        places: dict[str, list[list[tuple[float, float]]]] = {}
        for page in sheets(made):
            mine: dict[str, list[tuple[float, float]]] = {}
            items = group(page, "marks").items
            for disc, words in zip(
                [i for i in items if isinstance(i, Disc)],
                [i for i in items if isinstance(i, Words)],
                strict=True,
            ):
                at = moved_back(page, shapely.Point(disc.centre), study)
                mine.setdefault(words.text, []).append((round(at.x, 6), round(at.y, 6)))
            for text, found in mine.items():
                places.setdefault(text, []).append(sorted(found))
        assert places
        for text, both in places.items():
            assert len(both) == 2, text
            assert both[0] == both[1], text

    def test_the_map_shows_this_sheet_among_the_others(self) -> None:
        pages = sheets(printed(DEMO))
        filled = []
        for page in pages:
            cells = [i for i in group(page, "map").items if isinstance(i, Curve)]
            assert len(cells) == len(pages)
            filled += [i for i, cell in enumerate(cells) if cell.pen.fill == "ink"]
        assert filled == list(range(len(pages)))

    def test_a_mirrored_template_is_the_mirror_image(self) -> None:
        front, behind = sheets(printed(DEMO))[0], sheets(printed(DEMO, mirrored=True))[0]
        a, b = ([disc.centre for disc in discs(page)][:2] for page in (front, behind))
        assert a[0][0] - a[1][0] == pytest.approx(b[1][0] - b[0][0])
        assert a[0][1] - a[1][1] == pytest.approx(b[0][1] - b[1][1])

    def test_an_arms_pivot_is_marked(self) -> None:
        study = studied("orchard-sprayer")
        assert study.layout.tensioner is not None
        assert study.layout.tensioner.pivot is not None
        page = sheets(printed("orchard-sprayer"))[0]
        crank = discs(page)[list(study.layout.pulleys).index("crank")]
        x, y = study.layout.tensioner.pivot
        place = shapely.Point(crank.centre[0] + x, crank.centre[1] - y)
        crosses = [i for i in tile(page).items if isinstance(i, Curve) and len(i.pieces) == 1]
        assert sum(shapely.LineString(points(i)).distance(place) < 1e-9 for i in crosses) == 2

    def test_without_being_asked_for_there_are_none(self) -> None:
        assert not sheets(card(studied(DEMO), Options(paper="a4")))

    def test_nothing_leaves_the_page_and_all_can_be_printed(self) -> None:
        for page in sheets(printed("long-names", "a5")):
            assert list(off_the_page(page)) == []
            assert list(unprintable(page)) == []
            heads = [i for i in group(page, "head").items if isinstance(i, Words)]
            assert len(heads) == 3
            assert not [told for told in texts_on_texts(page) if any(h.text in told for h in heads)]


def window(page: Page) -> shapely.Polygon:
    clip = tile(page).clip
    assert clip is not None
    return shapely.box(clip.x, clip.y, clip.right, clip.bottom)


def moved_back(page: Page, shape: shapely.Geometry, study: Study) -> shapely.Geometry:
    """A shape on the sheet in the front view's millimetres (y up)."""
    name = next(iter(study.layout.pulleys))
    at, on_paper = study.drive.centre(name), discs(page)[0].centre
    return shapely.transform(
        shape,
        lambda xy: (xy - [on_paper[0], on_paper[1]]) * [1.0, -1.0] + [at[0], at[1]],
    )


TALL = """
title = "Two pulleys far apart"
route = ["crank", "drum"]
[belt]
section = "PK"
ribs = 6
[pulleys]
crank = {{ at = [0, 0], diameter = 120, face = "grooved", role = "crank" }}
drum = {{ at = [{x}, {y}], diameter = 120, face = "grooved", role = "other" }}
"""


def tall(x: float, y: float) -> Study:
    return beltpath.study(beltpath.parse(TALL.format(x=x, y=y)))


class TestTooLarge:
    def test_it_is_refused_with_the_number_of_sheets(self) -> None:
        with pytest.raises(UsageError, match=r"takes \d+ sheets of a6; choose larger paper"):
            card(tall(2400.0, 4000.0), Options(paper="a6", true_scale=True))

    def test_larger_paper_does(self) -> None:
        made = card(tall(900.0, 1500.0), Options(paper="a4", true_scale=True))
        assert 1 < len(sheets(made)) <= MOST_SHEETS

    @pytest.mark.parametrize("high", [900, 960, 1020, 1080])
    def test_there_are_never_more_than_that(self, high: float) -> None:
        try:
            made = card(tall(320.0, high), Options(paper="a6", true_scale=True))
        except UsageError:
            return
        assert len(sheets(made)) <= MOST_SHEETS
