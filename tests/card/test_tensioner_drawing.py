"""How the tensioner is drawn: its arrow slackens, its stops and window are where they are.

The arrow is read off the paper and carried back to the drive: the pulley moved that way must give
a shorter path, for then the belt is slack.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, radians, sin

import pytest
import shapely

import beltpath
from beltpath.cards import Card, Options, Page, card
from beltpath.cards.scene import Arc, Curve, Disc, Item
from beltpath.cards.view import View
from beltpath.geometry import Point
from beltpath.layout.records import SIGN
from beltpath.solve.tensioner import Stand
from beltpath.studies import Study
from tests.card.scenes import (
    DEMOS,
    VIEWS,
    Case,
    ViewName,
    composed,
    group,
    has_group,
    head_direction,
    heads,
    paper_direction,
    paper_point,
    said,
    studied,
    turn_on_paper,
)

ARMS = [d for d in DEMOS if (s := studied(d).stand) is not None and s.tensioner.kind == "arm"]
SLIDES = [d for d in DEMOS if (s := studied(d).stand) is not None and s.tensioner.kind == "slide"]
SWINGS = [d for d in DEMOS if (s := studied(d).stand) is not None and s.tensioner.kind == "swing"]
FIXED = [d for d in DEMOS if studied(d).stand is None]


def printed(demo: str, view: ViewName) -> Card:
    return composed(Case(demo, "a5", False, view))


def standing(study: Study) -> Stand:
    assert study.stand is not None
    return study.stand


def arrow(made: Card) -> tuple[Point, Point]:
    """Tip and direction of the one arrow of the tensioner."""
    [head] = heads(page_items(made.pages[0]))
    return head_direction(head)


def pivot_of(study: Study) -> Point:
    pivot = standing(study).tensioner.pivot
    assert pivot is not None
    return pivot


def test_the_demos_have_every_kind() -> None:
    assert ARMS
    assert SLIDES
    assert SWINGS
    assert FIXED


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("demo", ARMS)
class TestArm:
    def test_the_arrow_turns_the_way_that_slackens(self, demo: str, view: ViewName) -> None:
        study, made = studied(demo), printed(demo, view)
        stand = standing(study)
        assert isinstance(stand.release, str)
        tip, way = arrow(made)
        pivot = paper_point(made.pages[0], pivot_of(study))
        seen = turn_on_paper(pivot, tip, way)
        assert seen == SIGN[stand.release] * VIEWS[view].handed

    def test_the_belt_is_slack_when_the_pulley_follows_the_arrow(
        self, demo: str, view: ViewName
    ) -> None:
        study, made = studied(demo), printed(demo, view)
        stand, pivot = standing(study), pivot_of(study)
        tip, way = arrow(made)
        seen = turn_on_paper(paper_point(made.pages[0], pivot), tip, way)
        # A small turn of the arm about its pivot, in the sense that the paper shows.
        step = 0.01 * seen * VIEWS[view].handed
        rx, ry = stand.at[0] - pivot[0], stand.at[1] - pivot[1]
        there = (stand.at[0] - step * ry, stand.at[1] + step * rx)
        assert study.path.moved(stand.tensioner.pulley, there).length < study.path.length

    def test_the_lever_is_told(self, demo: str, view: ViewName) -> None:
        study, page = studied(demo), printed(demo, view).pages[0]
        assert "this way slackens" in said(page)
        lever = standing(study).tensioner.lever
        if lever is not None:
            assert lever[:12] in said(page)

    def test_the_arm_reaches_from_pivot_to_pulley(self, demo: str, view: ViewName) -> None:
        study, page = studied(demo), printed(demo, view).pages[0]
        pivot, at = paper_point(page, pivot_of(study)), paper_point(page, standing(study).at)
        arm = shapely.Polygon(
            [p.end for p in curves(page_items(page))[0].pieces]
            + [curves(page_items(page))[0].start]
        )
        assert arm.buffer(0.01).covers(shapely.LineString([pivot, at]))
        assert any(
            isinstance(item, Disc) and item.centre == pytest.approx(pivot)
            for item in page_items(page)
        )

    def test_the_dial_covers_travel_and_window(self, demo: str, view: ViewName) -> None:
        study, page = studied(demo), printed(demo, view).pages[0]
        t = standing(study).tensioner
        dials = [
            piece
            for curve in curves(page_items(page))
            if curve.pen.stroke == "ink"
            for piece in curve.pieces
            if isinstance(piece, Arc)
        ]
        wanted = [(t.free, t.load), *([t.window] if t.window is not None else [])]
        assert len(dials) == len(wanted)
        for dial, (start, end) in zip(dials, wanted, strict=True):
            assert dial.centre == pytest.approx(paper_point(page, pivot_of(study)))
            for point, degrees in ((dial.at(0.0), start), (dial.at(1.0), end)):
                way = directed(dial.centre, point)
                assert way == pytest.approx(direction(page, degrees), abs=1e-9)
            # The dial runs over the travel and not the other way round.
            middle = directed(dial.centre, dial.at(0.5))
            assert middle == pytest.approx(direction(page, (start + end) / 2.0), abs=1e-9)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("demo", SLIDES)
class TestSlide:
    def test_the_arrow_points_the_way_that_slackens(self, demo: str, view: ViewName) -> None:
        study, made = studied(demo), printed(demo, view)
        stand = standing(study)
        assert isinstance(stand.release, float)
        _, way = arrow(made)
        assert way == pytest.approx(direction(made.pages[0], stand.release), abs=1e-9)

    def test_the_belt_is_slack_when_the_pulley_follows_the_arrow(
        self, demo: str, view: ViewName
    ) -> None:
        study, made = studied(demo), printed(demo, view)
        stand = standing(study)
        _, way = arrow(made)
        world = carried_back(VIEWS[view], way)
        there = (stand.at[0] + world[0], stand.at[1] + world[1])
        assert study.path.moved(stand.tensioner.pulley, there).length < study.path.length

    def test_the_gauge_is_as_long_as_the_travel(self, demo: str, view: ViewName) -> None:
        study, page = studied(demo), printed(demo, view).pages[0]
        assert page.diagram is not None
        t = standing(study).tensioner
        gauge = next(c for c in curves(page_items(page)) if c.pen.dash)
        x, y = gauge.pieces[-1].end
        assert hypot(x - gauge.start[0], y - gauge.start[1]) == pytest.approx(
            abs(t.load - t.free) * page.diagram.frame.scale
        )


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("demo", [*SWINGS, *FIXED])
def test_what_is_not_sprung_has_no_lever(demo: str, view: ViewName) -> None:
    """An accessory that is swung and bolted, and a drive on fixed centres."""
    page = printed(demo, view).pages[0]
    assert "lever" not in said(page)
    assert ("pivot bolt: this way slackens" in said(page)) == (demo in SWINGS)
    assert has_group(page, "tensioner") == (demo in SWINGS)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("demo", SWINGS)
def test_a_swing_shows_the_way_that_slackens_between_tight_and_slack(
    demo: str, view: ViewName
) -> None:
    page = printed(demo, view).pages[0]
    assert len(heads(page_items(page))) == 1
    words = said(page)
    assert " tight " in words
    assert " slack " in words
    assert " free " not in words
    assert " load " not in words


@pytest.mark.parametrize("demo", DEMOS)
def test_the_warning_of_a_sprung_tensioner(demo: str) -> None:
    """Stands on the front of every card with a spring or lever, and on no other."""
    sprung = "The tensioner is sprung." in said(printed(demo, "front").pages[0])
    assert sprung == (demo in (*ARMS, *SLIDES))


ROUND = """
title = "Either way round"
crank_turns = "{sense}"
route = [{route}]
[belt]
section = "PK"
ribs = 6
[pulleys]
crank = {{ at = [0, 0], diameter = 165, face = "grooved", role = "crank" }}
tensioner = {{ at = [-45, 150], diameter = 76, face = "smooth", role = "tensioner" }}
alternator = {{ at = [-180, 235], diameter = 60, face = "grooved", role = "alternator" }}
pump = {{ at = [120, 260], diameter = 140, face = "grooved", role = "pump" }}
[tensioner]
pulley = "tensioner"
kind = "arm"
pivot = [-130, 130]
free = 40
load = -5
"""
FORWARD = ("crank", "tensioner", "alternator", "pump")


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("sense", ["clockwise", "counterclockwise"])
def test_the_lever_does_not_care_which_way_the_crank_turns(sense: str, view: ViewName) -> None:
    """Running the same loop backwards leaves the lever's way and turns every pulley's arrow."""
    names = FORWARD if sense == "clockwise" else (FORWARD[0], *FORWARD[:0:-1])
    text = ROUND.format(sense=sense, route=", ".join(f'"{name}"' for name in names))
    study = beltpath.study(beltpath.parse(text))
    assert study.path.proper
    seen = VIEWS[view]
    made = card(study, Options(paper="a5", mirrored=seen.mirrored, turned=seen.turned))
    page = made.pages[0]
    tip, way = arrow(made)
    lever = turn_on_paper(paper_point(page, pivot_of(study)), tip, way)
    # Pulling the arm down takes the pulley out of the belt: clockwise from the front.
    assert lever == -seen.handed
    [head] = heads(group(page, "pulley-1").items)
    tip, way = head_direction(head)
    crank = turn_on_paper(paper_point(page, (0.0, 0.0)), tip, way)
    assert crank == (-1 if sense == "clockwise" else 1) * seen.handed


def page_items(page: Page) -> tuple[Item, ...]:
    """What draws the tensioner, without the paper-white edges that set its marks off."""
    marks = group(page, "tensioner").items
    arm = group(page, "arm").items if has_group(page, "arm") else ()
    return (*arm, *(i for i in marks if not isinstance(i, Curve) or i.pen.stroke != "paper"))


def curves(items: Sequence[Item]) -> list[Curve]:
    return [item for item in items if isinstance(item, Curve)]


def direction(page: Page, degrees: float) -> Point:
    """The unit vector on paper of a direction in the front view."""
    return paper_direction(page, (cos(radians(degrees)), sin(radians(degrees))))


def directed(a: Point, b: Point) -> Point:
    length = hypot(b[0] - a[0], b[1] - a[1])
    return ((b[0] - a[0]) / length, (b[1] - a[1]) / length)


def carried_back(view: View, way: Point) -> Point:
    """The front view's direction that lies on paper along `way`: unturn, then unmirror."""
    x, y = way[0], -way[1]
    c, s = cos(radians(view.turned)), sin(radians(view.turned))
    x, y = c * x + s * y, -s * x + c * y
    return (-x if view.mirrored else x, y)
