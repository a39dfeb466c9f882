"""Failed drives are drawn too: NOT VERIFIED across the verdict, a mark where each fault is."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
import shapely

import beltpath
from beltpath.cards import Card, Options, Page, card
from beltpath.cards.paper import PaperName
from beltpath.cards.scene import Curve, Disc, Words
from beltpath.checks.findings import Finding
from beltpath.studies import Study
from tests.card.judge import faults
from tests.card.scenes import (
    DEMOS,
    LAYOUTS,
    fill,
    group,
    has_group,
    paper_point,
    plain,
    said,
    studied,
    text_box,
)

FAILED = [demo for demo in DEMOS if studied(demo).verdict == "fail"]
SOUND = [demo for demo in DEMOS if studied(demo).verdict != "fail"]


def changed(demo: str, *changes: tuple[str, str]) -> Study:
    """A demo studied with some of its text changed."""
    text = (LAYOUTS / f"{demo}.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return beltpath.study(beltpath.parse(text, name=demo))


def marks(page: Page) -> list[Disc]:
    return [item for item in group(page, "faults").items if isinstance(item, Disc)]


def test_some_demos_fail_and_most_do_not() -> None:
    assert {"wrong-side", "wrong-sense"} <= set(FAILED)
    assert len(SOUND) > len(FAILED)


class TestVerdict:
    @pytest.mark.parametrize("demo", FAILED)
    def test_not_verified_stands_across_its_box(self, demo: str) -> None:
        items = group(plain(demo).pages[0], "verdict").items
        [box] = [item for item in items if isinstance(item, Curve)]
        [text] = [item for item in items if isinstance(item, Words)]
        assert text.text.startswith("NOT VERIFIED")
        assert (box.pen.fill, text.colour, text.bold) == ("ink", "paper", True)
        area, letters = fill(box), text_box(text)
        assert area.covers(letters)
        # Across: the words fill more of the box's height than any line of the card is high.
        assert text.size >= 1.5 * 3.2
        assert area.bounds[2] - area.bounds[0] == pytest.approx(148.0 - 2 * 7.0)
        assert area.centroid.distance(letters.centroid) < 1.0

    @pytest.mark.parametrize("demo", SOUND)
    def test_other_cards_do_not_say_so(self, demo: str) -> None:
        pages = plain(demo).pages
        assert not any("NOT VERIFIED" in said(page) for page in pages)
        assert said(pages[0]).count("Checked: no fault") == 1

    @pytest.mark.parametrize("demo", DEMOS)
    def test_the_count_is_right(self, demo: str) -> None:
        study = studied(demo)
        front = said(plain(demo).pages[0])
        counts = {
            level: sum(f.level == level for f in study.findings) for level in ("fault", "caution")
        }
        one = "" if counts["fault"] == 1 else "s"
        two = "" if counts["caution"] == 1 else "s"
        wanted = {
            "fail": f"NOT VERIFIED: {counts['fault']} fault{one}",
            "caution": f"Checked: no fault, {counts['caution']} caution{two}",
            "pass": "Checked: no fault found",
        }[study.verdict]
        assert wanted in front

    def test_several_faults_are_counted(self) -> None:
        study = studied("wrong-side")
        twice = replace(study, findings=(*study.findings, *study.findings))
        assert "NOT VERIFIED: 2 faults" in said(card(twice).pages[0])


class TestFindings:
    @pytest.mark.parametrize("demo", [d for d in DEMOS if studied(d).findings])
    def test_every_finding_stands_on_the_card_with_its_number(self, demo: str) -> None:
        whole = " ".join(said(page) for page in plain(demo).pages)
        for number, finding in enumerate(studied(demo).findings, start=1):
            assert f"{number} {finding.level}, {finding.check}:" in whole
            assert " ".join(finding.message.split()) in whole

    @pytest.mark.parametrize("demo", [d for d in DEMOS if not studied(d).findings])
    def test_a_sound_card_has_no_findings(self, demo: str) -> None:
        assert not any(has_group(page, "findings") for page in plain(demo).pages)


class TestMarks:
    @pytest.mark.parametrize("demo", FAILED)
    def test_a_mark_lies_at_every_place_of_a_fault(self, demo: str) -> None:
        page, study = plain(demo).pages[0], studied(demo)
        places = [p for f in study.findings if f.level == "fault" for p in f.where]
        if not places:
            assert not has_group(page, "faults")
            return
        assert [disc.centre for disc in marks(page)] == [
            pytest.approx(paper_point(page, place)) for place in places
        ]

    @pytest.mark.parametrize("view", ["front", "mirrored", "turned90", "turned37"])
    def test_marks_follow_the_view(self, view: str) -> None:
        study = studied("wrong-side")
        options = {
            "front": Options(),
            "mirrored": Options(mirrored=True),
            "turned90": Options(turned=90.0),
            "turned37": Options(turned=37.0),
        }[view]
        page = card(study, options).pages[0]
        idler = study.layout.pulleys["idler"].at
        [mark] = marks(page)
        assert mark.centre == pytest.approx(paper_point(page, idler))

    def test_a_mark_names_its_finding(self) -> None:
        page = plain("wrong-side").pages[0]
        assert page.diagram is not None
        [label] = [x for x in page.diagram.labels if x.request.key.startswith("finding")]
        assert label.text.lines == ("fault 1",)
        assert label.text.bold
        assert "1 fault, side:" in " ".join(said(p) for p in plain("wrong-side").pages)

    def test_a_caution_carries_no_mark(self) -> None:
        assert not has_group(plain("orchard-sprayer-worn-belt").pages[0], "faults")

    def test_a_mark_is_not_hidden_by_its_pulleys_own_label(self) -> None:
        study = changed(
            "orchard-sprayer",
            ('role = "fan", turns = "clockwise"', 'role = "fan", turns = "counterclockwise"'),
        )
        page = card(study, Options(paper="a4")).pages[0]
        assert has_group(page, "faults")
        assert list(faults(page, study)) == []


CROSSED = """
title = "A belt that crosses itself"
route = ["crank", "low", "high", "far"]
[belt]
section = "PK"
ribs = 6
[pulleys]
crank = { at = [0, 0], diameter = 100, face = "grooved", role = "crank" }
low = { at = [300, 0], diameter = 100, face = "grooved", role = "other" }
high = { at = [0, 300], diameter = 100, face = "grooved", role = "other" }
far = { at = [300, 300], diameter = 100, face = "grooved", role = "other" }
"""
OVERLAPPING = """
title = "Two pulleys in one place"
route = ["crank", "pump", "fan"]
[belt]
section = "PK"
ribs = 6
[pulleys]
crank = { at = [0, 0], diameter = 120, face = "grooved", role = "crank" }
fan = { at = [260, 40], diameter = 120, face = "grooved", role = "fan" }
pump = { at = [120, 230], diameter = 120, face = "grooved", role = "pump" }
lamp = { at = [150, 215], diameter = 90, face = "smooth", role = "other" }
post = { at = [130, 20], diameter = 60, face = "smooth", role = "other" }
"""


@cache
def wrong(text: str, paper: PaperName) -> tuple[Card, Study]:
    """The card of a drive that cannot run."""
    study = beltpath.study(beltpath.parse(text))
    assert study.verdict == "fail"
    return card(study, Options(paper=paper)), study


@pytest.mark.parametrize("paper", ["a4", "a6"])
@pytest.mark.parametrize("text", [CROSSED, OVERLAPPING], ids=["crossed", "overlapping"])
class TestImpossibleDrives:
    """What can be computed is drawn, however wrong it is."""

    def test_it_is_drawn_and_marked(self, text: str, paper: PaperName) -> None:
        made, study = wrong(text, paper)
        page = made.pages[0]
        assert "NOT VERIFIED" in said(page)
        places = [p for f in study.findings if f.level == "fault" for p in f.where]
        assert places
        assert len(marks(page)) == len(places)

    def test_marks_lie_in_the_drawing(self, text: str, paper: PaperName) -> None:
        page = wrong(text, paper)[0].pages[0]
        assert page.diagram is not None
        box = page.diagram.box
        room = shapely.box(box.x, box.y, box.right, box.bottom)
        for disc in marks(page):
            assert room.contains(shapely.Point(disc.centre))

    def test_every_pulley_of_the_route_is_numbered(self, text: str, paper: PaperName) -> None:
        made, study = wrong(text, paper)
        assert made.pages[0].diagram is not None
        keys = {label.request.key for label in made.pages[0].diagram.labels}
        assert {f"pulley:{contact.pulley}" for contact in study.path.contacts} <= keys

    def test_everything_has_a_place_of_its_own(self, text: str, paper: PaperName) -> None:
        made, study = wrong(text, paper)
        assert [fault for page in made.pages for fault in faults(page, study)] == []


def test_a_fault_without_a_place_has_no_mark() -> None:
    study = studied("wrong-side")
    placeless = Finding(
        check="length", level="fault", pulleys=(), message="It does not fit.", source="computed"
    )
    page = card(replace(study, findings=(placeless,))).pages[0]
    assert not has_group(page, "faults")
    assert "NOT VERIFIED: 1 fault" in said(page)
