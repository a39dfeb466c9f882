"""The strip of small pictures: one for each step, in order, each inside its own frame."""

from __future__ import annotations

from functools import cache

import pytest
import shapely

from beltpath.card import Card, Options, Page, card, strip
from beltpath.card.paper import Box, PaperName
from beltpath.card.scene import Curve, Disc, Group, Words
from beltpath.card.view import View
from tests.card.judge import texts_on_texts, unprintable
from tests.card.scenes import (
    head_direction,
    heads,
    painted,
    pieces,
    said,
    studied,
    text_box,
)

DEMOS = ("orchard-sprayer", "cider-mill", "workshop-compressor", "dough-sheeter")


@cache
def printed(demo: str, paper: PaperName = "a5") -> Card:
    return card(studied(demo), Options(paper=paper, steps=True))


def pictures(page: Page) -> list[Group]:
    return [g for g in page.items if isinstance(g, Group) and g.name.startswith("step-")]


def every_picture(made: Card) -> list[Group]:
    return [picture for page in made.pages for picture in pictures(page)]


@pytest.mark.parametrize("paper", ["a4", "a6"])
@pytest.mark.parametrize("demo", DEMOS)
class TestStrip:
    def test_there_is_a_picture_for_every_step(self, demo: str, paper: PaperName) -> None:
        steps = [*studied(demo).refit.off, *studied(demo).refit.on]
        found = every_picture(printed(demo, paper))
        assert [picture.title for picture in found] == [step.text for step in steps]
        assert [picture.name for picture in found] == [
            f"step-{number}" for number in range(1, len(steps) + 1)
        ]

    def test_captions_name_half_and_step(self, demo: str, paper: PaperName) -> None:
        refit = studied(demo).refit
        captions = [words_of(picture)[0] for picture in every_picture(printed(demo, paper))]
        expected = [
            f"{half} {step.number}:"
            for half, steps in (("Off", refit.off), ("On", refit.on))
            for step in steps
        ]
        assert len(captions) == len(expected)
        for caption, start in zip(captions, expected, strict=True):
            assert caption.startswith(start)

    def test_nothing_is_cut_off_at_a_pictures_edge(self, demo: str, paper: PaperName) -> None:
        for picture in every_picture(printed(demo, paper)):
            for piece in pieces(picture.items):
                if not isinstance(piece.item, Words):
                    assert frame(picture).covers(painted(piece.item)), picture.name

    def test_pictures_keep_off_each_other_and_in_the_page(
        self, demo: str, paper: PaperName
    ) -> None:
        for page in printed(demo, paper).pages:
            if not pictures(page):
                continue
            assert list(texts_on_texts(page)) == []
            printable = page.paper.printable
            for picture in pictures(page):
                assert printable.holds(rectangles(picture)[0].box.shrunk(0.1))
            frames = [frame(picture) for picture in pictures(page)]
            for i, one in enumerate(frames):
                assert not any(one.intersects(other) for other in frames[i + 1 :])

    def test_everything_can_be_printed(self, demo: str, paper: PaperName) -> None:
        for page in printed(demo, paper).pages:
            if pictures(page):
                assert list(unprintable(page)) == []

    def test_captions_lie_inside_their_frames(self, demo: str, paper: PaperName) -> None:
        for picture in every_picture(printed(demo, paper)):
            for piece in pieces(picture.items):
                if isinstance(piece.item, Words):
                    assert frame(picture).covers(text_box(piece.item)), piece.item.text


class TestPointer:
    def test_off_points_away_from_the_marked_pulley_and_on_towards_it(self) -> None:
        study = studied("orchard-sprayer")
        found = every_picture(printed("orchard-sprayer"))
        steps = [*study.refit.off, *study.refit.on]
        for kind, sign in (("off", 1.0), ("on", -1.0)):
            [picture] = [p for p, s in zip(found, steps, strict=True) if s.kind == kind]
            # The pointer is drawn last, over everything.
            tip, way = head_direction(heads(picture.items)[-1])
            cx, cy = heaviest_rim(picture).centre
            outward = (tip[0] - cx) * way[0] + (tip[1] - cy) * way[1]
            assert sign * outward > 0.0


def test_paper_too_low_for_one_picture_gets_none() -> None:
    low = Box(x=0.0, y=0.0, width=80.0, height=30.0)
    assert list(strip.pages(studied("cider-mill"), low, View())) == []


def test_a_failed_drive_gets_no_steps() -> None:
    made = card(studied("wrong-side"), Options(paper="a5", steps=True))
    assert every_picture(made) == []
    assert not any("Slip the belt" in said(page) for page in made.pages)


def test_without_being_asked_for_there_are_none() -> None:
    assert every_picture(card(studied("cider-mill"))) == []


def words_of(picture: Group) -> list[str]:
    """The captions of a picture; pulleys' numbers are no caption."""
    texts = [p.item for p in pieces(picture.items) if isinstance(p.item, Words)]
    return [text.text for text in texts if text.bold and not text.text.isdecimal()]


def rectangles(picture: Group) -> list[Curve]:
    return [i for i in picture.items if isinstance(i, Curve) and i.closed and len(i.pieces) == 3]


def heaviest_rim(picture: Group) -> Disc:
    """The pulley that the step points out wears a heavy edge."""
    discs = [item for item in picture.items if isinstance(item, Disc)]
    return max(
        discs, key=lambda disc: (disc.pen.width, disc.radius) if not disc.pen.dash else (0, 0)
    )


def frame(picture: Group) -> shapely.Polygon:
    clip = picture.clip
    assert clip is not None
    return shapely.box(clip.x, clip.y, clip.right, clip.bottom)
