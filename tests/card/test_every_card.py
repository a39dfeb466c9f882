"""Laws that every card keeps: every demo on every paper, held both ways, in every view.

The whole product is tried for the demo with the least room; for the others, orientation and view go
round so that every pair of choices occurs. Everything is judged on the primitives of the page.
"""

from __future__ import annotations

from itertools import product
from math import hypot

import pytest
import shapely

from beltpath.cards import Card, Page
from beltpath.cards.paper import PAPER_NAMES
from beltpath.cards.scene import Arc, Curve, Disc, Words
from beltpath.studies import Study
from tests.card.judge import faults, hidden_signs, unprintable
from tests.card.scenes import (
    DEMOS,
    DRAWN_ALREADY,
    HARDEST,
    VIEWS,
    Case,
    arcs,
    belt_curves,
    circle,
    composed,
    every_pair,
    every_way,
    group,
    has_group,
    head_direction,
    heads,
    paper_direction,
    paper_point,
    points,
    pulley_group,
    rim_of,
    said,
    stroke,
    studied,
    turn_on_paper,
)

#: A rim smaller than this on paper has no room for ticks, mm.
TINY = 1.6
#: The least arrow head that can be told from a blot, mm.
LEAST_HEAD = 1.0
CASES = sorted({*every_pair(), *every_way(HARDEST)}, key=str)


class TestCases:
    def test_every_pair_of_choices_occurs(self) -> None:
        cases = every_pair()
        for left, right, wanted in (
            ("demo", "paper", set(product(DEMOS, PAPER_NAMES))),
            ("demo", "landscape", set(product(DEMOS, (False, True)))),
            ("demo", "view", set(product(DEMOS, VIEWS))),
            ("paper", "landscape", set(product(PAPER_NAMES, (False, True)))),
            ("paper", "view", set(product(PAPER_NAMES, VIEWS))),
            ("landscape", "view", set(product((False, True), VIEWS))),
        ):
            assert {(getattr(c, left), getattr(c, right)) for c in cases} == wanted, (left, right)

    def test_no_demo_is_forgotten(self) -> None:
        assert len(DEMOS) + len(DRAWN_ALREADY) >= 17
        assert HARDEST in DEMOS

    def test_the_hardest_demo_is_printed_in_every_way(self) -> None:
        assert len(set(every_way(HARDEST))) == 40
        assert set(every_way(HARDEST)) <= set(CASES)


# A parametrised fixture of module scope keeps the tests of one card together, so that it is
# composed once.
@pytest.fixture(scope="module", params=CASES, ids=str)
def case(request: pytest.FixtureRequest) -> Case:
    """One way to print one demo."""
    found: Case = request.param
    return found


def of(case: Case) -> tuple[Card, Study]:
    """The card of a case and its study."""
    return composed(case), studied(case.demo)


class TestPlacement:
    def test_everything_on_the_front_has_a_place_of_its_own(self, case: Case) -> None:
        made, study = of(case)
        assert list(faults(made.pages[0], study)) == []

    def test_everything_overleaf_has_a_place_of_its_own(self, case: Case) -> None:
        made, study = of(case)
        found = [
            f"page {number}: {fault}"
            for number, page in enumerate(made.pages[1:], start=2)
            for fault in faults(page, study)
        ]
        assert found == []

    def test_texts_and_lines_can_be_printed(self, case: Case) -> None:
        made, _ = of(case)
        assert [fault for page in made.pages for fault in unprintable(page)] == []

    def test_every_page_carries_the_layouts_name_and_digest(self, case: Case) -> None:
        made, study = of(case)
        for number, page in enumerate(made.pages, start=1):
            name, _, digest = group_words(page, "footer")[0].partition(" · ")
            assert digest == study.layout.digest
            assert study.layout.name.startswith(name.removesuffix("…"))
            assert len(name) > 8 or name == study.layout.name
            assert f"page {number} of {len(made.pages)}" in said(page)

    def test_every_pulleys_name_stands_in_full_in_the_table(self, case: Case) -> None:
        made, study = of(case)
        everything = "".join(said(page) for page in made.pages).replace(" ", "")
        for contact in study.path.contacts:
            title = study.layout.pulleys[contact.pulley].title
            assert title.replace(" ", "") in everything


class TestNumbers:
    def test_drawing_and_table_give_a_pulley_the_same_number(self, case: Case) -> None:
        made, study = of(case)
        diagram = made.pages[0].diagram
        assert diagram is not None
        drawn = {x.request.key: x.text.lines[0].split()[0] for x in diagram.labels}
        told = table_numbers(made)
        assert len(told) == len(study.path.contacts)
        for number, contact in zip(told, study.path.contacts, strict=True):
            assert drawn[f"pulley:{contact.pulley}"] == number
        if study.verdict == "fail":
            # Not to be put on: numbered along the belt's travel.
            assert told == [str(i) for i in range(1, len(told) + 1)]
        else:
            assert told == [str(study.refit.numbers[c.pulley]) for c in study.path.contacts]

    def test_the_last_on_is_marked_unless_the_drive_failed(self, case: Case) -> None:
        made, study = of(case)
        diagram = made.pages[0].diagram
        assert diagram is not None
        marked = [
            x.request.owner
            for x in diagram.labels
            if any("last on" in line for line in x.text.lines)
        ]
        known = study.verdict != "fail"
        assert marked == ([study.refit.last_on] if known else [])

    def test_no_other_pulley_is_marked_so(self, case: Case) -> None:
        made, study = of(case)
        diagram = made.pages[0].diagram
        assert diagram is not None
        for label in diagram.labels:
            if "last on, first off" in label.text.lines:
                assert label.request.owner == study.refit.last_on
                assert study.verdict != "fail"


class TestTheDrawnBelt:
    """What is drawn is the computed path, each pulley in its place, the belt round it."""

    def test_body_and_pulleys_lie_where_they_were_computed(self, case: Case) -> None:
        made, study = of(case)
        page = made.pages[0]
        assert page.diagram is not None
        body = belt_curves(made)[-1]
        line = shapely.LineString(points(body))
        for span in study.path.spans:
            for world in (span.leave, span.enter):
                assert line.distance(shapely.Point(paper_point(page, world))) < 0.01
        # An arc drawn in steps of two degrees is 0.02 % short.
        assert line.length == pytest.approx(study.path.length * page.diagram.frame.scale, rel=5e-4)
        for name in study.layout.pulleys:
            rim = rim_of(made, study, name)
            centre = paper_point(page, study.drive.centre(name))
            assert hypot(rim.centre[0] - centre[0], rim.centre[1] - centre[1]) < 0.01

    def test_the_belt_lies_round_its_pulleys_and_not_on_them(self, case: Case) -> None:
        made, study = of(case)
        band = shapely.union_all([stroke(curve) for curve in belt_curves(made)])
        for contact in study.path.contacts:
            rim = rim_of(made, study, contact.pulley)
            inner = circle(rim.centre, rim.radius - rim.pen.width / 2.0)
            gap = band.distance(inner)
            assert 0.0 <= gap < 0.6, contact.pulley
            assert band.intersection(inner).area < 0.02, contact.pulley

    def test_teeth_lie_on_the_pulleys_side_where_the_ribs_touch(self, case: Case) -> None:
        """And away from the pulley where the back does; a double-sided belt has them on both."""
        made, study = of(case)
        *teeth, body = belt_curves(made)
        assert len(teeth) == (2 if study.layout.belt.double_sided else 1)
        for curve in teeth:
            assert curve.pen.dash
        assert not body.pen.dash
        for i, side in enumerate(study.path.sides):
            middle = arcs(body)[i].radius
            towards = [arcs(curve)[i].radius < middle for curve in teeth]
            if study.layout.belt.double_sided:
                assert sorted(towards) == [False, True]
            else:
                assert towards == [side == "ribs"], study.path.contacts[i].pulley


class TestFaces:
    """Grooved and smooth are told apart without colour."""

    def test_a_grooved_rim_wears_ticks_and_a_smooth_one_a_second_circle(self, case: Case) -> None:
        made, study = of(case)
        for name, pulley in study.layout.pulleys.items():
            rim, inner = rim_of(made, study, name), second_circles(made, study, name)
            if rim.radius < TINY:
                assert inner == [], name
                continue
            assert len(inner) == 1, name
            assert bool(inner[0].pen.dash) == (pulley.face == "grooved"), name

    def test_the_table_tells_every_face(self, case: Case) -> None:
        """In a word, or where that finds no room by the sign that the drawing has for it.

        A rim too small for ticks or a second circle has its face told nowhere else.
        """
        made, study = of(case)
        faces = [study.layout.pulleys[c.pulley].face for c in study.path.contacts]
        [table] = [group(page, "table") for page in made.pages if has_group(page, "table")]
        words = [item for item in table.items if isinstance(item, Words)]
        [head] = [item for item in words if item.text == "face"]
        below = [item for item in words if abs(item.box.x - head.box.x) < 0.01 and item != head]
        signs = [item for item in table.items if isinstance(item, Disc) and item.radius < 1.5]
        assert all(head.box.x < sign.box.x and sign.box.right < head.box.right for sign in signs)
        told = [item.text for item in below]
        assert told + ["grooved" if sign.pen.dash else "smooth" for sign in signs] == faces

    def test_every_arrow_can_be_seen(self, case: Case) -> None:
        """Heads as long as a capital is wide at the least, common practice."""
        made, study = of(case)
        page = made.pages[0]
        for name in study.path.contacts:
            [head] = heads(pulley_group(page, study, name.pulley).items)
            assert max(head.box.width, head.box.height) >= LEAST_HEAD, name.pulley

    def test_the_crank_has_the_heaviest_rim(self, case: Case) -> None:
        made, study = of(case)
        rims = {name: rim_of(made, study, name).pen.width for name in study.layout.pulleys}
        crank = rims.pop(study.layout.crank.name)
        assert crank >= 1.9 * max(rims.values())


class TestArrows:
    """Arrows agree with the computed path, and with each other, in every view."""

    def test_travel_arrows_point_along_their_spans(self, case: Case) -> None:
        made, study = of(case)
        page = made.pages[0]
        assert page.diagram is not None
        drawn = heads(group(page, "travel").items)
        long = [s for s in study.path.spans if s.length * page.diagram.frame.scale >= 7.0]
        assert len(drawn) == len(long)
        for head, span in zip(drawn, long, strict=True):
            tip, way = head_direction(head)
            along = paper_direction(page, span.direction)
            assert way[0] * along[0] + way[1] * along[1] > 0.9999
            a, b = paper_point(page, span.leave), paper_point(page, span.enter)
            assert shapely.LineString([a, b]).distance(shapely.Point(tip)) < 0.01

    def test_pulleys_turn_the_way_the_belt_takes_their_rim(self, case: Case) -> None:
        made, study = of(case)
        page = made.pages[0]
        for i, contact in enumerate(study.path.contacts):
            centre = paper_point(page, contact.centre)
            into = paper_direction(page, study.path.spans[i - 1].direction)
            expected = turn_on_paper(centre, paper_point(page, contact.enter), into)
            [head] = heads(pulley_group(page, study, contact.pulley).items)
            tip, way = head_direction(head)
            assert turn_on_paper(centre, tip, way) == expected, contact.pulley
            shaft = next(
                piece
                for item in pulley_group(page, study, contact.pulley).items
                if isinstance(item, Curve)
                for piece in item.pieces
                if isinstance(piece, Arc)
            )
            # Paper has y down: a positive sweep is clockwise.
            assert (shaft.sweep < 0.0) == (expected > 0), contact.pulley

    def test_pulleys_without_belt_carry_no_arrow(self, case: Case) -> None:
        made, study = of(case)
        for name in study.layout.pulleys.keys() - {*(study.layout.route or ())}:
            assert heads(pulley_group(made.pages[0], study, name).items) == []

    def test_the_crank_turns_as_the_heading_says(self, case: Case) -> None:
        made, study = of(case)
        page = made.pages[0]
        [head] = heads(pulley_group(page, study, study.layout.crank.name).items)
        tip, way = head_direction(head)
        centre = paper_point(page, study.layout.crank.at)
        sense = "counterclockwise" if turn_on_paper(centre, tip, way) > 0 else "clockwise"
        assert f" turns {sense} in this picture." in said(page)
        mirrored = VIEWS[case.view].mirrored
        assert (sense == study.layout.crank_turns) != mirrored

    def test_nothing_hides_the_levers_arrow(self, case: Case) -> None:
        made, _ = of(case)
        assert list(hidden_signs(made.pages[0], lever=True)) == []

    def test_nothing_hides_stops_window_and_mark(self, case: Case) -> None:
        made, _ = of(case)
        assert list(hidden_signs(made.pages[0], lever=False)) == []


def group_words(page: Page, name: str) -> list[str]:
    """The lines of text in a group, [] where the page has none of that name."""
    if not has_group(page, name):
        return []
    return [item.text for item in group(page, name).items if isinstance(item, Words)]


def table_numbers(card: Card) -> list[str]:
    """The numbers of the table's rows, from the top."""
    [table] = [group(page, "table") for page in card.pages if has_group(page, "table")]
    left = min(item.box.x for item in table.items if isinstance(item, Words))
    return [
        item.text
        for item in table.items
        if isinstance(item, Words) and item.box.x < left + 0.01 and item.text.isdecimal()
    ]


def second_circles(card: Card, study: Study, name: str) -> list[Disc]:
    """The circles of a pulley near to its rim and inside it."""
    rim = rim_of(card, study, name)
    return [
        item
        for item in pulley_group(card.pages[0], study, name).items
        if isinstance(item, Disc)
        and item.pen.stroke is not None
        and 0.5 * rim.radius < item.radius < rim.radius
    ]
