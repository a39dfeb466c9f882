"""The strip of small pictures: one for each step, in order, each inside its own frame."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TypeGuard

import pytest
import shapely

from beltpath.cards import Card, Options, Page, card
from beltpath.cards import step_pictures as strip
from beltpath.cards.belt import SMALL
from beltpath.cards.page import body
from beltpath.cards.paper import Box, PaperName
from beltpath.cards.scene import Curve, Disc, Group, Item, Words, sampled
from beltpath.cards.step_looks import looks
from beltpath.cards.text import CAPITAL
from beltpath.cards.view import Frame, View
from beltpath.refit.steps import Step
from beltpath.studies import Study
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

#: One of each: an arm, a slide, a swing, fixed centres, an elastic belt, a blocked wheel.
NUMBERED = (
    "snow-groomer",
    "cider-mill",
    "sawmill-alternator",
    "dough-sheeter",
    "greenhouse-fogger",
    "water-wheel",
    "workshop-compressor",
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


@pytest.mark.parametrize("paper", ["a4", "a6"])
@pytest.mark.parametrize("demo", NUMBERED)
class TestState:
    """One picture is one state, and only what the step changes is dark."""

    def test_every_number_of_the_text_is_in_the_picture_once(
        self, demo: str, paper: PaperName
    ) -> None:
        study = studied(demo)
        for picture, step in pictured(demo, paper):
            wanted = sorted(str(study.refit.numbers[name]) for name in step.pulleys)
            told = sorted(
                p.item.text
                for p in pieces(picture.items)
                if isinstance(p.item, Words) and p.item.text.isdecimal()
            )
            assert told == wanted, step.text

    def test_numbers_stand_on_nothing_that_is_not_theirs(self, demo: str, paper: PaperName) -> None:
        for picture, step in pictured(demo, paper):
            every = flat(picture)
            for item in every:
                if isinstance(item, Words) and item.text.isdecimal():
                    box = digits(item)
                    for other in filter(is_inked, every[covered(every, box) :]):
                        # A number may stand in a disc, not across its edge.
                        if not inside(other, box):
                            assert not box.intersects(painted(other)), (step, other)

    def test_the_belt_is_where_the_step_has_it(self, demo: str, paper: PaperName) -> None:
        last = studied(demo).refit.last_on
        for picture, step in pictured(demo, paper):
            line = belt_line(picture)
            if step.belt == "none":
                assert line is None
                continue
            assert line is not None
            study = placed(demo, step)
            frame_ = strip_frame(demo, paper, picture)
            for name, centre, radius in strip.discs(study, frame_):
                near = shapely.Point(centre).distance(line) - radius
                # Round every pulley, but beside the last one when it hangs loose.
                assert (near < SMALL.ribs + 0.3) == (step.belt == "on" or name != last)

    def test_the_belt_is_dark_only_where_the_step_is_about_it(
        self, demo: str, paper: PaperName
    ) -> None:
        fixed = studied(demo).stand is None
        for picture, step in pictured(demo, paper):
            teeth = [c for c in curves(picture) if c.pen.dash[:1] == (SMALL.tooth,)]
            about = step.kind in ("compare", "cut", "off", "rest", "thread", "on", "walk", "run")
            about |= fixed and step.kind in ("slacken", "tighten")
            assert bool(teeth) == about, (step.half, step.number)

    def test_only_the_pulleys_that_the_step_is_about_are_dark(
        self, demo: str, paper: PaperName
    ) -> None:
        study = studied(demo)
        for picture, step in pictured(demo, paper):
            dark = sum(isinstance(i, Disc) and i.pen.width == 0.6 for i in flat(picture))
            wanted = len(step.pulleys)
            if step.kind in ("spin", "check"):
                wanted = len(study.refit.order)
            if step.kind == "thread":
                wanted = 0
            assert dark == wanted, (step.half, step.number)

    def test_no_lever_is_over_before_its_step(self, demo: str, paper: PaperName) -> None:
        study = studied(demo)
        if study.stand is None:
            return
        t, usable = study.stand.tensioner, study.stand.usable
        free, load = sorted(usable, key=lambda end: abs(end - t.free))
        expected = {"stands": study.stand.position, "free": free, "slack": load}
        over = False
        for _, step in pictured(demo, paper):
            over = (over or step.kind == "slacken") and step.kind not in ("settle", "tighten")
            assert (step.place == "slack") == over
            assert standing(demo, step) == expected[step.place]


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


def test_a_failed_paper_is_no_paper() -> None:
    """The lever's three pictures go together, so that paper for two of them gets none."""
    study = studied("orchard-sprayer")
    wide, high = strip.LEAST_WIDTH, strip.LEAST_WIDTH * strip.PICTURE_SHARE + 8.2
    for count, room in ((2, 0), (3, 3)):
        box = Box(x=0.0, y=0.0, width=count * wide + (count - 1) * strip.GAP, height=high)
        assert len(strip.places_for(study, box)) == room


def pictured(demo: str, paper: PaperName) -> list[tuple[Group, Step]]:
    refit = studied(demo).refit
    return list(zip(every_picture(printed(demo, paper)), (*refit.off, *refit.on), strict=True))


def flat(picture: Group) -> list[Item]:
    return [piece.item for piece in pieces(picture.items)]


def curves(picture: Group) -> list[Curve]:
    return [item for item in flat(picture) if isinstance(item, Curve)]


def digits(words: Words) -> shapely.Polygon:
    """What the figures of a number cover: capital height, no descender."""
    (x, y), half = words.at, words.length / 2.0
    return shapely.box(x - half, y - CAPITAL * words.size, x + half, y)


def inside(item: Item, box: shapely.Polygon) -> bool:
    return isinstance(item, Disc) and bool(
        shapely.Point(item.centre).buffer(item.radius - item.pen.width / 2.0).contains(box)
    )


def covered(every: list[Item], box: shapely.Polygon) -> int:
    """From which item on something can show there: a disc in paper white hides what is before."""
    over = [
        i
        for i, item in enumerate(every)
        if isinstance(item, Disc) and item.pen.fill == "paper" and inside(item, box)
    ]
    return max(over, default=0)


def is_inked(item: Item) -> TypeGuard[Curve | Disc]:
    """Lines and shapes in ink, but the frame, the paper-white edges and the number's own line."""
    if not isinstance(item, Curve | Disc):
        return False
    return item.pen.stroke in ("ink", "accent") or item.pen.fill in ("ink", "accent")


def belt_line(picture: Group) -> shapely.Geometry | None:
    """The closed line of the belt's body, dark or thin."""
    found = [
        shapely.LinearRing(sampled(c.start, c.pieces))
        for c in curves(picture)
        if c.closed and c.pen.fill is None and c.pen.width in (SMALL.body, strip.THIN)
    ]
    assert len(found) <= 1
    return found[0] if found else None


def placed(demo: str, step: Step) -> Study:
    """The study as a picture of a step has it."""
    [found] = [c.study for c in looks(studied(demo)) if c.step == step]
    return found


def standing(demo: str, step: Step) -> float:
    stand = placed(demo, step).stand
    assert stand is not None
    return stand.position


def strip_frame(demo: str, paper: PaperName, picture: Group) -> Frame:
    """The frame in which a picture is drawn, found from the page that it is on."""
    options = Options(paper=paper, steps=True)
    study = studied(demo)
    box = body(options.sheet)
    first = strip.places_for(study, box)[0]
    here = rectangles(picture)[0].box
    frame_ = strip.common_frame(looks(study), first, View())
    x, y = frame_.origin
    return replace(frame_, origin=(x + here.x + 0.1 - first.x, y + here.y + 0.1 - first.y))


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
