"""The judge itself: for every law, a page that breaks it is found out, and by that law alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from beltpath.cards import Page
from beltpath.cards.labels import Placed
from beltpath.cards.paper import Box
from beltpath.cards.scene import Disc, Group, Item, Pen, Words, line
from beltpath.geometry import Point
from tests.card.judge import faults, hidden_signs, unprintable
from tests.card.scenes import group, paper_point, plain, studied, words

DEMO = "wrong-sense"


def page() -> Page:
    """A sound page to spoil: four pulleys with a fault's mark."""
    return plain(DEMO, paper="a5").pages[0]


def swapped(page: Page, name: str, change: Callable[[Group], Group]) -> Page:
    """The page with one group changed, in the page and in its diagram."""
    group(page, name)
    items = tuple(_swapped(page.items, name, change))
    assert page.diagram is not None
    groups = tuple(g for g in _swapped(page.diagram.groups, name, change) if isinstance(g, Group))
    return replace(page, items=items, diagram=replace(page.diagram, groups=groups))


def _swapped(
    items: tuple[Item, ...], name: str, change: Callable[[Group], Group]
) -> Iterator[Item]:
    for item in items:
        if not isinstance(item, Group):
            yield item
        elif item.name == name:
            yield change(item)
        else:
            yield replace(item, items=tuple(_swapped(item.items, name, change)))


def added(page: Page, name: str, *items: Item) -> Page:
    """The page with more primitives in one of its groups."""
    return swapped(page, name, lambda g: replace(g, items=(*g.items, *items)))


def moved_label(page: Page, key: str, to: Point) -> Page:
    """The page with a label, its text included, centred somewhere else and without its leader."""
    assert page.diagram is not None
    label = next(found for found in page.diagram.labels if found.request.key == key)
    dx, dy = to[0] - label.box.centre[0], to[1] - label.box.centre[1]
    box = replace(label.box, x=label.box.x + dx, y=label.box.y + dy)

    def change(g: Group) -> Group:
        return replace(
            g,
            items=tuple(
                replace(item, at=(item.at[0] + dx, item.at[1] + dy))
                if isinstance(item, Words) and item.text in label.text.lines
                else item
                for item in g.items
            ),
        )

    made = swapped(page, "labels", change)
    return with_label(made, key, replace(label, box=box, leader=None))


def with_label(page: Page, key: str, label: Placed) -> Page:
    """The page with one record of a label changed."""
    assert page.diagram is not None
    labels = tuple(label if old.request.key == key else old for old in page.diagram.labels)
    return replace(page, diagram=replace(page.diagram, labels=labels))


def found(page: Page) -> list[str]:
    return list(faults(page, studied(DEMO)))


def label(page: Page, key: str) -> Placed:
    assert page.diagram is not None
    return next(found for found in page.diagram.labels if found.request.key == key)


def span_middle(page: Page) -> Point:
    span = studied(DEMO).path.spans[0]
    a, b = paper_point(page, span.leave), paper_point(page, span.enter)
    return ((a[0] * 3 + b[0]) / 4.0, (a[1] * 3 + b[1]) / 4.0)


def centre(page: Page, pulley: str) -> Point:
    return paper_point(page, studied(DEMO).layout.pulleys[pulley].at)


def test_a_sound_page_has_no_fault() -> None:
    assert found(page()) == []
    assert list(unprintable(page())) == []


class TestPages:
    def test_text_outside_the_printable_box(self) -> None:
        bad = added(page(), "heading", Words(text="astray", at=(3.0, 120.0), size=3.2))
        [fault] = found(bad)
        assert fault.startswith("outside the printable box: heading: 'astray'")

    def test_a_line_outside_the_printable_box(self) -> None:
        bad = added(page(), "heading", line((20.0, 6.0), (30.0, 6.0), Pen()))
        [fault] = found(bad)
        assert fault.startswith("outside the printable box: heading: Curve")

    def test_text_on_text(self) -> None:
        first = words(page())[0]
        bad = added(page(), "heading", replace(first, text="twice", at=(first.at[0], first.at[1])))
        assert f"{first.text!r} lies on 'twice'" in found(bad)

    def test_text_on_ink(self) -> None:
        at = group(page(), "verdict").box
        bad = added(page(), "footer", Words(text="x", at=(at.x + 1.0, at.y + 5.0), size=3.2))
        assert "on ink: 'x'" in found(bad)

    def test_white_text_on_white(self) -> None:
        bad = added(page(), "footer", Words(text="x", at=(70.0, 201.0), size=3.2, colour="paper"))
        assert "white on white: 'x'" in found(bad)

    def test_a_drawing_outside_its_box(self) -> None:
        bad = added(page(), "belt", Disc(centre=(20.0, 14.0), radius=2.0, pen=Pen()))
        assert any("outside the drawing's box: belt: Disc" in fault for fault in found(bad))


class TestLabels:
    def test_on_the_belt(self) -> None:
        bad = moved_label(page(), "pulley:compressor", span_middle(page()))
        assert "label pulley:compressor lies on the belt" in found(bad)

    def test_on_another_pulley(self) -> None:
        bad = moved_label(page(), "pulley:compressor", centre(page(), "crank"))
        assert "label pulley:compressor lies on pulley crank" in found(bad)

    def test_partly_on_its_own_pulley(self) -> None:
        x, y = centre(page(), "water")
        assert page().diagram is not None
        bad = moved_label(page(), "pulley:water", (x + rim(page(), "water"), y))
        assert "label pulley:water lies on pulley water" in found(bad)

    def test_on_another_label(self) -> None:
        bad = moved_label(page(), "pulley:compressor", label(page(), "pulley:water").box.centre)
        assert any(
            fault.startswith("label pulley:") and "lies on label pulley:" in fault
            for fault in found(bad)
        )

    def test_on_a_faults_mark(self) -> None:
        mark = next(i for i in group(page(), "faults").items if isinstance(i, Disc))
        bad = moved_label(page(), "pulley:compressor", mark.centre)
        assert "label pulley:compressor lies on a fault's mark" in found(bad)

    def test_on_the_tensioner(self) -> None:
        study = studied("orchard-sprayer")
        sound = plain("orchard-sprayer", paper="a5").pages[0]
        assert study.layout.tensioner is not None
        assert study.layout.tensioner.pivot is not None
        bad = moved_label(sound, "pulley:fan", paper_point(sound, study.layout.tensioner.pivot))
        assert "label pulley:fan lies on the tensioner" in list(faults(bad, study))

    def test_a_pulley_without_label(self) -> None:
        good = page()
        assert good.diagram is not None
        labels = tuple(x for x in good.diagram.labels if x.request.key != "pulley:compressor")
        bad = replace(good, diagram=replace(good.diagram, labels=labels))
        assert "pulley compressor has no label" in found(bad)

    def test_two_pulleys_of_one_number(self) -> None:
        good = page()
        pump = label(good, "pulley:compressor")
        bad = with_label(
            good,
            "pulley:compressor",
            replace(pump, text=replace(pump.text, lines=("9 compressor",))),
        )
        assert any("not numbered through" in fault for fault in found(bad))
        assert any("painted labels differ" in fault for fault in found(bad))

    def test_text_outside_its_label(self) -> None:
        good = page()
        pump = label(good, "pulley:compressor")
        bad = with_label(good, "pulley:compressor", replace(pump, box=replace(pump.box, y=30.0)))
        assert any("painted outside its label's box" in fault for fault in found(bad))


class TestLeaders:
    def test_through_another_pulley(self) -> None:
        bad = led(page(), "pulley:compressor", centre(page(), "crank"))
        assert "the leader of pulley:compressor runs through pulley crank" in found(bad)

    def test_through_another_label(self) -> None:
        bad = led(page(), "pulley:compressor", label(page(), "pulley:water").box.centre)
        assert "the leader of pulley:compressor runs through label pulley:water" in found(bad)

    def test_crossing_another_leader(self) -> None:
        good = page()
        assert good.diagram is not None
        one, other = [x for x in good.diagram.labels if x.leader is not None][:2]
        assert other.leader is not None
        a, b = other.leader
        middle = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
        bad = led(good, one.request.key, middle)
        assert any(fault.startswith("the leaders of") for fault in found(bad))

    def test_that_does_not_end_at_its_pulley(self) -> None:
        good = page()
        box = label(good, "pulley:compressor").box
        bad = led(good, "pulley:compressor", (box.right + 2.0, box.y))
        assert "the leader of pulley:compressor does not end at its pulley" in found(bad)

    def test_that_does_not_end_at_its_mark(self) -> None:
        good = page()
        [key] = [x.request.key for x in labels_of(good) if x.request.key.startswith("finding")]
        box = label(good, key).box
        assert f"the leader of {key} does not end at a mark" in found(
            led(good, key, (box.right + 2.0, box.y))
        )

    def test_that_starts_elsewhere(self) -> None:
        good = page()
        pump = label(good, "pulley:compressor")
        away = Box(x=pump.box.x, y=pump.box.y, width=1.0, height=1.0)
        assert pump.leader is not None
        bad = with_label(
            good,
            "pulley:compressor",
            replace(pump, leader=((away.x - 3.0, away.y), pump.leader[1])),
        )
        assert "the leader of pulley:compressor does not start at its label" in found(bad)


class TestPrint:
    @pytest.mark.parametrize(
        ("item", "fault"),
        [
            (Words(text="x", at=(60.0, 60.0), size=3.0), "small text"),
            (line((60.0, 60.0), (61.0, 60.0), Pen(width=0.19)), "thin line"),
            (line((60.0, 60.0), (61.0, 60.0), Pen(dash=(0.1, 1.0))), "thin dashes"),
            (
                Disc(centre=(60.0, 60.0), radius=0.1, pen=Pen(stroke=None, fill="ink")),
                "small dot",
            ),
        ],
    )
    def test_what_cannot_be_printed_is_found(self, item: Item, fault: str) -> None:
        [told] = unprintable(added(page(), "footer", item))
        assert told.startswith(fault)

    def test_a_hidden_sign_is_found(self) -> None:
        sound = plain("snow-groomer", paper="a5").pages[0]
        assert list(hidden_signs(sound, lever=False)) == []
        assert sound.diagram is not None
        first = group(sound, "tensioner")
        others = (g for g in sound.diagram.groups if g.name != "tensioner")
        under = replace(sound, diagram=replace(sound.diagram, groups=(first, *others)))
        assert any("is hidden" in told for told in hidden_signs(under, lever=False))


def led(page: Page, key: str, end: Point) -> Page:
    """The page with a label's leader from the label's side to somewhere else."""
    found = label(page, key)
    box = found.box
    start = min(
        ((box.x, box.centre[1]), (box.right, box.centre[1])), key=lambda p: abs(p[0] - end[0])
    )
    return with_label(page, key, replace(found, leader=(start, end)))


def labels_of(page: Page) -> tuple[Placed, ...]:
    assert page.diagram is not None
    return page.diagram.labels


def rim(page: Page, pulley: str) -> float:
    """A pulley's radius on paper."""
    number = list(studied(DEMO).layout.pulleys).index(pulley) + 1
    return max(i.radius for i in group(page, f"pulley-{number}").items if isinstance(i, Disc))
