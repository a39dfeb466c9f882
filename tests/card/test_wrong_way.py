"""The crossed-out pictures of other ways that the belt fits: there when they must be, and clear.

The laws (`law_*`) are tried by `test_every_card`, on every paper.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from math import hypot

import pytest
import shapely

import beltpath
from beltpath.cards import Card, Options, Page, card, wrong_way
from beltpath.cards.paper import Ink
from beltpath.cards.routing_card import refit_numbers
from beltpath.cards.scene import Curve, Disc, Group, Words
from beltpath.checks.look_alike import OtherWay
from beltpath.geometry import Point
from beltpath.routing import look_alikes as search
from beltpath.solve.drive import Drive
from beltpath.studies import Study
from tests.card.judge import faults, unprintable
from tests.card.scenes import (
    DEMOS,
    LAYOUTS,
    Case,
    circle,
    composed,
    group,
    head_direction,
    heads,
    inked,
    painted,
    pieces,
    pulley_group,
    said,
    stroke,
    studied,
    text_box,
    turn_on_paper,
)
from tests.routes.test_look_alike import inside_out, mirror_twins, three_idlers, two_idlers

#: Every demo whose belt fits another way too.
ALIKE = tuple(
    demo for demo in DEMOS if any(f.check == "look-alike" for f in studied(demo).findings)
)
#: The least share by which a picture is smaller than the front's drawing.
SMALLER = 0.75


# --- the pictures of a card, taken apart ----------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Wrong:
    """One crossed-out picture: its page, the block that holds it, and what the check found."""

    page: Page
    block: Group
    drawn: Group
    finding: OtherWay

    @property
    def discs(self) -> dict[str, Disc]:
        """The rims by pulley: they are drawn in the order of the belt's travel."""
        rims = [i for i in self.drawn.items if isinstance(i, Disc) and i.pen.fill == "paper"]
        names = [contact.pulley for contact in self.finding.alike.drive.path.contacts]
        return dict(zip(names, rims, strict=True))

    @property
    def strokes(self) -> list[Curve]:
        """The cross: the two widest lines with ink."""
        lines = [
            item
            for item in self.drawn.items
            if isinstance(item, Curve) and not item.closed and item.pen.stroke == "fault"
        ]
        return sorted(lines, key=lambda item: -item.pen.width)[:2]

    @property
    def belt(self) -> Curve:
        """The belt: the closed dashed line."""
        [belt] = [i for i in self.drawn.items if isinstance(i, Curve) and i.closed and i.pen.dash]
        return belt

    def numbered(self) -> dict[str, tuple[Words, str]]:
        """Every number: its text, and the pulley that it stands on or that its leader ends at."""
        found: dict[str, tuple[Words, str]] = {}
        leader: Curve | None = None
        for item in self.drawn.items:
            if isinstance(item, Curve) and not item.closed and item.pen.width == 0.2:
                leader = item
            elif isinstance(item, Words):
                assert item.text not in found
                at = item.box.centre if leader is None else leader.pieces[0].end
                found[item.text] = item, self.nearest(at)
                leader = None
        return found

    def nearest(self, at: Point) -> str:
        """The pulley whose disc a point is on, or nearest to."""
        return min(self.discs, key=lambda n: apart(self.discs[n].centre, at) - self.discs[n].radius)


def apart(a: Point, b: Point) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])


def wrongs(made: Card, study: Study) -> list[Wrong]:
    """The crossed-out pictures of a card, in order, each with the finding that it belongs to."""
    told = [finding for finding in study.findings if isinstance(finding, OtherWay)]
    blocks = [
        (page, item)
        for page in made.pages
        for item in page.items
        if isinstance(item, Group) and item.name.startswith("not-like-")
    ]
    return [
        Wrong(page, block, group(page, f"wrong-way-{i}"), finding)
        for i, ((page, block), finding) in enumerate(zip(blocks, told, strict=False), start=1)
    ]


def of(case: Case) -> Iterator[Wrong]:
    found = wrongs(composed(case), studied(case.demo))
    assert found
    return iter(found)


# --- when they are there --------------------------------------------------------------------------


class TestPresence:
    """A picture for each look-alike, two at most; none without one."""

    @pytest.mark.parametrize("demo", DEMOS)
    def test_exactly_where_the_check_finds_one(self, demo: str) -> None:
        study = studied(demo)
        told = [f for f in study.findings if f.check == "look-alike" and f.level == "caution"]
        made = composed(Case(demo, "a5", False, "front"))
        assert len(wrongs(made, study)) == min(2, len(told))
        assert ("NOT like this" in everything(made)) == bool(told)

    def test_the_demos_hold_both_kinds(self) -> None:
        assert {"found-tiller", "orchard-sprayer", "snow-groomer"} <= set(ALIKE)
        assert len(set(DEMOS) - set(ALIKE)) >= 5

    def test_of_many_two_are_drawn_and_the_others_counted(self) -> None:
        study = beltpath.study(three_idlers())
        told = [f for f in study.findings if isinstance(f, OtherWay)]
        assert [f.many for f in told] == [7, 7, 7]
        made = card(study)
        drawn = wrongs(made, study)
        # Those that turn most pulleys the wrong way.
        assert [len(wrong.finding.alike.wrong) for wrong in drawn] == [3, 2]
        assert "5 more ways that this belt fits are not drawn." in everything(made)
        assert "5 more ways" in block_words(drawn[-1])

    def test_one_more_is_one_way(self) -> None:
        study = beltpath.study(three_idlers())
        told = [f for f in study.findings if isinstance(f, OtherWay)]
        made = card(replace(study, findings=tuple(replace(f, many=3) for f in told)))
        assert "1 more way that this belt fits is not drawn." in everything(made)

    def test_none_more_is_not_told(self) -> None:
        assert "not drawn" not in everything(card(studied("found-tiller")))

    def test_a_drive_that_failed_has_them_too(self) -> None:
        study = studied("orchard-sprayer-wrong-belt")
        assert study.verdict == "fail"
        assert len(wrongs(card(study), study)) == 2

    def test_the_search_runs_once(self, monkeypatch: pytest.MonkeyPatch) -> None:
        found: list[Drive] = []
        search_once = search.look_alikes

        def counted(drive: Drive) -> search.LookAlikes:
            found.append(drive)
            return search_once(drive)

        monkeypatch.setattr(search, "look_alikes", counted)
        study = beltpath.study(beltpath.read(LAYOUTS / "found-tiller.toml"))
        assert wrongs(card(study), study)
        assert len(found) == 1


# --- what they say --------------------------------------------------------------------------------


class TestWords:
    """The caption says what is wrong and what is right, with the numbers of the front."""

    def test_a_pulley_turned_the_wrong_way(self) -> None:
        study = studied("found-tiller")
        [wrong] = wrongs(card(study), study)
        assert block_words(wrong) == (
            "NOT like this: 1 Water pump would turn the wrong way. Right: the belt's back on 1 "
            "Water pump. See finding 2."
        )
        assert study.findings[1] is wrong.finding

    def test_several_pulleys(self) -> None:
        study = beltpath.study(two_idlers())
        [wrong] = wrongs(card(study), study)
        # The belt is too short for its own route: a fault, so that numbers follow the travel.
        i, j = 2, 3
        assert f"NOT like this: {i} i and {j} j would turn the wrong way." in block_words(wrong)
        assert f"Right: the belt's ribs on {i} i, the belt's ribs on {j} j." in block_words(wrong)

    def test_another_order(self) -> None:
        study = beltpath.study(mirror_twins())
        [wrong] = wrongs(card(study), study)
        numbers = study.refit.numbers
        crank, i, a = (f"{numbers[name]} {name}" for name in ("crank", "i", "a"))
        order = "-".join(str(numbers[name]) for name in ("crank", "i", "a", "j", "b", "crank"))
        assert block_words(wrong).startswith(
            f"NOT like this: from {crank} to {i} (order {order}). "
            f"Right: from {crank} to {a}. See finding "
        )

    def test_a_belt_that_does_not_fit_the_right_way(self) -> None:
        study = studied("orchard-sprayer-wrong-belt")
        first, second = wrongs(card(study), study)
        wrong_end = "2 tensioner would turn the wrong way."
        another = "That takes another belt: the one in hand is too long."
        assert block_words(first) == (
            f"NOT like this: from 2 tensioner to 5 right idler (order 2-5-3-4-6); {wrong_end} "
            "Right: from 2 tensioner to 3 alternator, the belt's back on 2 tensioner. "
            f"{another} See finding 2."
        )
        assert block_words(second) == (
            f"NOT like this: from 1 crank to 3 alternator (order 1-3-2-5-4-6); {wrong_end} "
            "Right: from 1 crank to 2 tensioner, the belt's back on 2 tensioner. "
            f"{another} See finding 3."
        )

    def test_the_other_side_on_a_pulley_that_turns_as_it_should(self) -> None:
        study = beltpath.study(inside_out())
        [wrong] = wrongs(card(study), study)
        n = {name: f"{number} {name}" for name, number in study.refit.numbers.items()}
        said = block_words(wrong)
        assert f"; the belt's back on {n['crank']}; {n['c']} and {n['a']} and {n['b']} wo" in said
        assert f"Right: from {n['crank']} to {n['b']}, the belt's ribs on {n['crank']}. " in said

    def test_the_same_order_is_no_other_way_to_go(self) -> None:
        study = beltpath.study(three_idlers())
        drawn = wrongs(card(study), study)
        assert not any("order" in block_words(wrong) for wrong in drawn)
        assert len({block_words(wrong) for wrong in drawn}) == len(drawn) == 2

    def test_a_belt_too_short_for_another_order(self) -> None:
        study = beltpath.study(mirror_twins())
        told = tuple(replace(f, off=-3.0) if isinstance(f, OtherWay) else f for f in study.findings)
        [wrong] = wrongs(card(replace(study, findings=told)), study)
        assert "That takes another belt: the one in hand is too short. See" in block_words(wrong)

    def law_the_caption_is_bold_and_the_group_has_a_title(self, case: Case) -> None:
        for wrong in of(case):
            [*_, first] = [i for i in wrong.block.items if isinstance(i, Words) and i.bold][:1]
            assert first.text.startswith("NOT like this:")
            assert "must not" in wrong.drawn.title
            assert wrong.drawn.description == wrong.finding.message


class TestNumbers:
    """The numbers are those of the front, on the same pulleys."""

    def law_every_pulley_of_the_way_has_one_and_they_agree(self, case: Case) -> None:
        front = composed(case).pages[0].diagram
        assert front is not None
        numbers = {
            label.request.key.partition(":")[2]: label.text.lines[0].split()[0]
            for label in front.labels
        }
        for wrong in of(case):
            found = {name: text for text, (_, name) in wrong.numbered().items()}
            assert found == {name: numbers[name] for name in wrong.discs}

    def test_where_no_number_finds_a_place_they_stand_on_their_pulleys(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        study = studied("snow-groomer")
        monkeypatch.setattr(wrong_way, "place", lambda requests, ground: None)
        [wrong] = wrongs(card(study), study)
        found = {name: text for text, (_, name) in wrong.numbered().items()}
        assert found == {name: str(study.refit.numbers[name]) for name in wrong.discs}
        for text, name in wrong.numbered().values():
            assert apart(text.box.centre, wrong.discs[name].centre) < 0.01

    def law_each_pulley_stands_where_it_stands_on_the_front_and_smaller(self, case: Case) -> None:
        front = composed(case).pages[0].diagram
        assert front is not None
        tensioner = studied(case.demo).layout.tensioner
        for wrong in of(case):
            still = [n for n in wrong.discs if tensioner is None or n != tensioner.pulley]
            ratios = set()
            for one, other in combinations(still, 2):
                a, b = front.discs[one][0], front.discs[other][0]
                c, d = wrong.discs[one].centre, wrong.discs[other].centre
                # The same direction, and every distance smaller by one and the same ratio.
                cross = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])
                assert cross == pytest.approx(0.0, abs=1e-6)
                assert (b[0] - a[0]) * (d[0] - c[0]) + (b[1] - a[1]) * (d[1] - c[1]) > 0.0
                ratios.add(round(apart(c, d) / apart(a, b), 6))
            assert len(ratios) == 1
            assert ratios.pop() < SMALLER


# --- how they look --------------------------------------------------------------------------------


class TestCross:
    """Nobody can take the picture for the way to go."""

    def law_it_covers_the_whole_drive(self, case: Case) -> None:
        for wrong in of(case):
            strokes = wrong.strokes
            assert all(s.pen.width >= 1.0 for s in strokes)
            one, other = (shapely.LineString([s.start, s.pieces[0].end]) for s in strokes)
            assert one.crosses(other)
            spanned = shapely.union(one, other).envelope
            drive: list[Curve | Disc] = [wrong.belt, *wrong.discs.values()]
            assert all(spanned.covers(painted(item)) for item in drive)
            # From corner to corner: each stroke is a diagonal of what both span.
            corners = {(round(x, 6), round(y, 6)) for x, y in spanned.exterior.coords}
            ends = {(round(x, 6), round(y, 6)) for line in (one, other) for x, y in line.coords}
            assert ends == corners

    def law_it_meets_the_belt(self, case: Case) -> None:
        for wrong in of(case):
            assert any(stroke(s).intersects(stroke(wrong.belt)) for s in wrong.strokes)

    def law_it_is_bolder_than_anything_else_and_little_of_it_is_hidden(self, case: Case) -> None:
        for wrong in of(case):
            items = list(wrong.drawn.items)
            strokes = wrong.strokes
            rest = [
                i
                for i in items
                if isinstance(i, Curve | Disc) and not i.pen.dash and i not in strokes
                if i.pen.stroke not in (None, "paper")
            ]
            assert max(i.pen.width for i in rest) <= 0.7 * strokes[0].pen.width
            last = max(items.index(s) for s in strokes)
            over = shapely.union_all(
                [painted(i) for i in items[last + 1 :] if isinstance(i, Curve | Disc)]
            )
            cross = shapely.union_all([stroke(s) for s in strokes])
            assert cross.intersection(over).area < 0.1 * cross.area

    def law_the_belt_is_dashed_and_on_the_front_it_is_not(self, case: Case) -> None:
        solid = [
            item
            for item in group(composed(case).pages[0], "belt").items
            if isinstance(item, Curve) and not item.pen.dash
        ]
        assert len(solid) == 1
        for wrong in of(case):
            assert wrong.belt.pen.dash[0] > wrong.belt.pen.dash[1] > wrong.belt.pen.width
            closed = [
                i
                for i in wrong.drawn.items
                if isinstance(i, Curve) and i.closed and not i.pen.dash and len(i.pieces) > 3
            ]
            assert closed == []

    def law_frame_and_caption_hold_it_together(self, case: Case) -> None:
        for wrong in of(case):
            frame = wrong.block.items[0]
            assert isinstance(frame, Curve)
            assert frame.pen.width >= 0.5
            inside = shapely.box(*shapely.LineString([frame.start, *ends(frame)]).bounds)
            for piece in pieces(wrong.block.items[1:]):
                shape = (
                    text_box(piece.item) if isinstance(piece.item, Words) else painted(piece.item)
                )
                assert inside.covers(shape)


class TestArrows:
    """An arrow shows how each pulley would wrongly turn: against its arrow on the front."""

    def law_the_wrong_pulleys_and_no_others(self, case: Case) -> None:
        made, study = composed(case), studied(case.demo)
        for wrong in of(case):
            drawn = [h for h in heads(wrong.drawn.items) if h.pen.fill == "fault"]
            assert len(drawn) == len(wrong.finding.alike.wrong)
            for head, name in zip(drawn, wrong.finding.alike.wrong, strict=True):
                tip, way = head_direction(head)
                assert wrong.nearest(tip) == name
                there = turn_on_paper(wrong.discs[name].centre, tip, way)
                [front] = heads(pulley_group(made.pages[0], study, name).items)
                diagram = made.pages[0].diagram
                assert diagram is not None
                here = turn_on_paper(diagram.discs[name][0], *head_direction(front))
                assert there == -here

    def law_the_cross_cuts_no_arrow_of_travel(self, case: Case) -> None:
        for wrong in of(case):
            travel = [h for h in heads(wrong.drawn.items) if h.pen.fill == "accent"]
            assert len(travel) >= 2
            for head in travel:
                assert not any(inked(head).intersects(stroke(s)) for s in wrong.strokes)

    @pytest.mark.parametrize("demo", ["found-tiller", "snow-groomer"])
    def test_an_arrow_beside_its_pulley_keeps_off_the_cross_where_it_can(self, demo: str) -> None:
        study = studied(demo)
        [wrong] = wrongs(card(study), study)
        turning = [h for h in heads(wrong.drawn.items) if h.pen.fill == "fault"]
        assert len(turning) == 1
        for head in turning:
            at = wrong.drawn.items.index(head)
            shaft = wrong.drawn.items[at - 1]
            assert isinstance(shaft, Curve)
            for item in (head, shaft):
                assert not any(inked(item).intersects(stroke(s)) for s in wrong.strokes)

    def test_another_order_has_its_wrong_span_marked(self) -> None:
        study = beltpath.study(mirror_twins())
        [wrong] = wrongs(card(study), study)
        [lead] = [
            i
            for i in wrong.drawn.items
            if isinstance(i, Curve) and not i.closed and i.pen.dash and i.pen.stroke == "fault"
        ]
        assert lead.pen.width > wrong.belt.pen.width
        assert wrong.nearest(lead.start) == "crank"
        assert wrong.nearest(lead.pieces[0].end) == "i"


class TestPlaces:
    """Nothing lies on anything, and nothing leaves the paper."""

    def law_a_block_is_as_high_as_it_says(self, case: Case) -> None:
        study = studied(case.demo)
        for block in wrong_way.blocks(study, case.options, refit_numbers(study)):
            for wide in (62.0, 91.0, 196.0):
                column = block.set(3.0, 5.0, wide)
                height = column.y - 5.0
                assert height == pytest.approx(block.height(wide))
                frame = column.items[0].box
                assert 5.0 < frame.y < frame.bottom <= 5.0 + height + 0.3

    def law_blocks_keep_off_each_other(self, case: Case) -> None:
        for wrong in of(case):
            mine = box_of(wrong.block)
            others = [
                g.name
                for g in wrong.page.items
                if isinstance(g, Group) and g is not wrong.block and box_of(g).intersects(mine)
            ]
            assert others == []

    def law_numbers_lie_on_nothing(self, case: Case) -> None:
        for wrong in of(case):
            band = stroke(wrong.belt)
            arrows = [inked(head) for head in heads(wrong.drawn.items)]
            boxes = []
            for text, name in wrong.numbered().values():
                box = text_box(text)
                boxes.append(box)
                assert not box.intersects(band), text.text
                for other, disc in wrong.discs.items():
                    whole = circle(disc.centre, disc.radius)
                    assert not box.intersects(whole) or (other == name and whole.covers(box))
                assert not any(box.intersects(stroke(s)) for s in wrong.strokes), text.text
                assert not any(box.intersects(arrow) for arrow in arrows), text.text
            assert not any(a.intersection(b).area > 1e-6 for a, b in combinations(boxes, 2))

    def test_three_wrong_pulleys_on_the_smallest_paper(self) -> None:
        study = beltpath.study(three_idlers())
        for landscape in (False, True):
            made = card(study, Options(paper="a6", landscape=landscape))
            assert len(wrongs(made, study)) == 2
            for page in made.pages:
                assert [*faults(page, study), *unprintable(page)] == []


class TestInk:
    @pytest.mark.parametrize(("ink", "colour"), [("colour", "#b00020"), ("black", "#000000")])
    def test_in_black_the_cross_is_black(self, ink: Ink, colour: str) -> None:
        made = replace(card(studied("found-tiller")), ink=ink)
        drawn = "".join(made.svg_pages).partition("wrong-way-1")[2].partition("</g>")[0]
        bold = re.findall(rf'<[^>]*stroke-width="{wrong_way.CROSS}"[^>]*>', drawn)
        assert len(bold) == 2
        assert all(f'stroke="{colour}"' in line for line in bold)


def box_of(item: Group) -> shapely.Polygon:
    """What a group covers."""
    return shapely.box(item.box.x, item.box.y, item.box.right, item.box.bottom)


def ends(curve: Curve) -> list[Point]:
    return [piece.end for piece in curve.pieces]


def block_words(wrong: Wrong) -> str:
    """The words beside a picture."""
    return " ".join(" ".join(i.text for i in wrong.block.items if isinstance(i, Words)).split())


def everything(made: Card) -> str:
    return " ".join(said(page) for page in made.pages)
