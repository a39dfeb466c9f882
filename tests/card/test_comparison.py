"""The card of two drawings: what it shows, where it shows it, and that nothing lies on anything."""

from __future__ import annotations

from functools import cache
from math import dist

import pytest
import shapely

from beltpath.cards import Card, Options
from beltpath.cards.comparison import comparison_card
from beltpath.cards.paper import PaperName
from beltpath.cards.scene import Curve, Disc, Words
from beltpath.comparison import Comparison, compare
from tests.card.scenes import group, has_group, pieces, said, studied, text_box
from tests.compare.test_compare import what_if

SPRAYER = "orchard-sprayer"


@cache
def comparison(name: str) -> Comparison:
    match name:
        case "moved":
            return what_if("pump.at=[224,150]", "alternator.over_balls=60")
        case "left out":
            return what_if(without=("fan",))
        case "same":
            return compare(studied("water-wheel"), studied("water-wheel"))
    return compare(studied(SPRAYER), studied(name))


@cache
def made(name: str, paper: PaperName = "a5", landscape: bool = False) -> Card:
    return comparison_card(comparison(name), Options(paper=paper, landscape=landscape))


CASES: list[tuple[str, PaperName, bool]] = [
    ("moved", "a4", True),
    ("left out", "a5", False),
    ("same", "a6", False),
    ("orchard-sprayer-wrong-belt", "a5", True),
]


@pytest.mark.parametrize(("name", "paper", "landscape"), CASES)
class TestEveryCard:
    def test_everything_lies_on_the_paper(
        self, name: str, paper: PaperName, landscape: bool
    ) -> None:
        for page in made(name, paper, landscape).pages:
            for item in page.items:
                assert page.paper.printable.holds(item.box, slack=0.5), item

    def test_no_text_lies_on_another(self, name: str, paper: PaperName, landscape: bool) -> None:
        for page in made(name, paper, landscape).pages:
            lines = [p.item for p in pieces(page.items) if isinstance(p.item, Words)]
            tree = shapely.STRtree([text_box(line).buffer(-0.35) for line in lines])
            hits = tree.query(tree.geometries, predicate="intersects").T
            assert [(lines[i].text, lines[j].text) for i, j in hits if i < j] == []

    def test_every_pulley_has_its_name_in_both_drawings(
        self, name: str, paper: PaperName, landscape: bool
    ) -> None:
        found = comparison(name)
        page = made(name, paper, landscape).pages[0]
        for which, study in (("before", found.before), ("after", found.after)):
            told = " ".join(
                p.item.text
                for p in pieces(group(page, f"{which}-labels").items)
                if isinstance(p.item, Words)
            )
            for pulley in study.layout.pulleys.values():
                assert pulley.title in told

    def test_every_sentence_is_there(self, name: str, paper: PaperName, landscape: bool) -> None:
        found = comparison(name)
        told = " ".join(said(page) for page in made(name, paper, landscape).pages)
        for finding in (*found.new, *found.gone, *found.still):
            assert finding.message in told
        assert "This card answers for geometry and statics only." in told


def test_side_by_side_or_one_above_the_other() -> None:
    wide, high = made("moved", "a4", True).pages[0], made("moved").pages[0]
    one, other = group(wide, "before").box, group(wide, "after").box
    assert one.right < other.x
    assert one.y == pytest.approx(other.y)
    one, other = group(high, "before").box, group(high, "after").box
    assert one.bottom < other.y
    assert one.x == pytest.approx(other.x)


def test_changed_pulleys_wear_a_frame_round_their_number_and_name() -> None:
    page = made("moved").pages[0]
    assert comparison("moved").changed_pulleys == ("alternator", "pump")
    for which in ("before", "after"):
        frames = [i for i in group(page, f"{which}-marks").items if isinstance(i, Curve)]
        labels = [p.item for p in pieces(group(page, f"{which}-labels").items)]
        for frame, text in zip(frames, ("1 alternator", "2 pump"), strict=True):
            (label,) = [i for i in labels if isinstance(i, Words) and i.text == text]
            assert frame.box.holds(label.box)
    assert group(page, "entry-1").items
    assert said(page).count("1 alternator: diameter 56.01 mm → 59.01 mm") == 1


def test_a_pulley_left_out_is_marked_before_only() -> None:
    page = made("left out").pages[0]
    assert len(group(page, "before-marks").items) == 1
    assert not has_group(page, "after-marks")
    assert "NOT VERIFIED" in said(page)
    assert group(page, "after-faults").items


def test_it_carries_the_layout_after() -> None:
    for page in made("moved").pages:
        assert page.layout is comparison("moved").after.layout


def test_the_same_comparison_gives_the_same_text() -> None:
    again = comparison_card(comparison("same"), Options(paper="a6"))
    assert again.svg_pages == made("same", "a6").svg_pages


@pytest.mark.parametrize(("name", "paper", "landscape"), CASES)
def test_both_drawings_are_to_one_scale_and_say_so(
    name: str, paper: PaperName, landscape: bool
) -> None:
    """The crank is the same in both, and so are its places against another pulley that stays."""
    page = made(name, paper, landscape).pages[0]
    assert "Both drawings are to one scale." in said(page)
    found = comparison(name)
    scales = []
    for which, study in (("before", found.before), ("after", found.after)):
        rim = [
            max(
                (i for i in group(page, f"{which}-pulley-{n}").items if isinstance(i, Disc)),
                key=lambda disc: disc.radius,
            ).centre
            for n in (1, 2)
        ]
        first, second = (study.drive.centre(pulley) for pulley in list(study.layout.pulleys)[:2])
        scales.append(dist(*rim) / dist(first, second))
    assert scales[0] == pytest.approx(scales[1], rel=1e-6)
