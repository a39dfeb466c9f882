"""What stands on which face: the steps whole, and never a page turn while a lever is held over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

import beltpath
from beltpath.cards import Options
from beltpath.cards.page import Block
from beltpath.cards.paper import PAPER_NAMES, Box, PaperName
from beltpath.cards.routing_card import faces
from beltpath.cards.scene import Group, Item, Words
from beltpath.cards.step_pictures import paged, places_for
from beltpath.cards.steps import BY_HAND
from beltpath.refit.order import Refit
from beltpath.refit.steps import held_runs
from tests.card.scenes import LAYOUTS, studied

#: Every demo that has a route, those with a fault for their notes and cautions.
ROUTED = sorted(p.stem for p in LAYOUTS.glob("*.toml") if beltpath.read(p).route is not None)
SOUND = [demo for demo in ROUTED if studied(demo).verdict != "fail"]
SPRUNG = [demo for demo in SOUND if any(step.held for step in studied(demo).refit.off)]
WAYS = [(paper, landscape) for paper in PAPER_NAMES for landscape in (False, True)]


@cache
def printed(demo: str, paper: PaperName, landscape: bool) -> tuple[tuple[Block, ...], ...]:
    front, backs = faces(studied(demo), Options(paper=paper, landscape=landscape))
    return tuple(map(tuple, [front, *backs]))


def steps_on(face: Iterable[Block]) -> list[str]:
    """The names of the steps on a face, as its groups have them."""
    names = [name for block in face for name in _names(block.set(0.0, 0.0, 134.0).items)]
    return [name for name in names if name.startswith(("step-off-", "step-on-"))]


def _names(items: Iterable[Item]) -> Iterator[str]:
    for item in items:
        if isinstance(item, Group):
            yield item.name
            yield from _names(item.items)


def said(block: Block) -> str:
    return " ".join(_texts(block.set(0.0, 0.0, 134.0).items))


def _texts(items: Iterable[Item]) -> Iterator[str]:
    for item in items:
        if isinstance(item, Group):
            yield from _texts(item.items)
        elif isinstance(item, Words):
            yield item.text


def turned_while_held(faces_: Iterable[list[str]], refit: Refit) -> list[str]:
    """Steps that begin a page while the lever of the step before is held over."""
    found = []
    every = list(faces_)
    for steps in (refit.off, refit.on):
        for before, after in pairwise(steps):
            names = [f"step-{s.half.lower()}-{s.number}" for s in (before, after)]
            where = [next(i for i, face in enumerate(every) if name in face) for name in names]
            if before.held and where[0] != where[1]:
                found.append(names[1])
    return found


def test_there_is_something_to_look_at() -> None:
    assert len(SPRUNG) >= 5
    assert len(SOUND) > len(SPRUNG)


def test_a_page_turn_would_be_found() -> None:
    refit = studied("orchard-sprayer").refit
    every = [f"step-{s.half.lower()}-{s.number}" for s in (*refit.off, *refit.on)]
    assert turned_while_held([every], refit) == []
    assert turned_while_held([every[:2], every[2:]], refit) == ["step-off-3"]


@pytest.mark.parametrize(("paper", "landscape"), WAYS)
@pytest.mark.parametrize("demo", SOUND)
class TestSteps:
    def test_every_step_stands_once_and_in_order(
        self, demo: str, paper: PaperName, landscape: bool
    ) -> None:
        refit = studied(demo).refit
        told = [name for face in printed(demo, paper, landscape) for name in steps_on(face)]
        wanted = [f"step-{s.half.lower()}-{s.number}" for s in (*refit.off, *refit.on)]
        assert told == wanted

    def test_no_page_is_turned_while_a_lever_is_held(
        self, demo: str, paper: PaperName, landscape: bool
    ) -> None:
        pages = [steps_on(face) for face in printed(demo, paper, landscape)]
        assert turned_while_held(pages, studied(demo).refit) == []

    def test_no_page_of_pictures_is_turned_while_a_lever_is_held(
        self, demo: str, paper: PaperName, landscape: bool
    ) -> None:
        study = studied(demo)
        sheet = Options(paper=paper, landscape=landscape).sheet.printable
        box = Box(x=sheet.x, y=sheet.y, width=sheet.width, height=sheet.height - 7.0)
        places = places_for(study, box)
        assert places
        pages = list(paged(study, len(places)))
        assert [s for page in pages for s in page] == [*study.refit.off, *study.refit.on]
        assert all(len(page) <= len(places) for page in pages)
        assert not any(page[-1].held for page in pages)

    def test_no_block_is_higher_than_a_page(
        self, demo: str, paper: PaperName, landscape: bool
    ) -> None:
        sheet = Options(paper=paper, landscape=landscape).sheet.printable
        for face in printed(demo, paper, landscape)[1:]:
            used = sum(block.height(sheet.width) + block.gap for block in face)
            assert used - face[-1].gap <= sheet.height - 4.0


#: Names of 60 characters fill two faces of small paper.
LONG = "long-names"


def test_longer_steps_than_a_face_holds_are_parted_between_runs() -> None:
    pages = [steps_on(face) for face in printed(LONG, "half-letter", True)]
    assert sum(bool(names) for names in pages) == 2


@pytest.mark.parametrize(
    ("demo", "paper"),
    [
        (demo, paper)
        for demo in SOUND
        for paper in ("a4", "a5", "letter", "half-letter")
        if demo != LONG or paper in ("a4", "letter")
    ],
)
def test_off_stands_beside_on_where_there_is_room(demo: str, paper: PaperName) -> None:
    pages = [steps_on(face) for face in printed(demo, paper, False)]
    [face] = [i for i, names in enumerate(pages) if names]
    [how] = [block for block in printed(demo, paper, False)[face] if block.name == "how"]
    sheet = Options(paper=paper).sheet.printable
    groups = [g for g in how.set(0.0, 0.0, sheet.width).items if isinstance(g, Group)]
    firsts = {g.name: min(w.at for w in _words(g)) for g in groups if g.name.endswith("-1")}
    assert firsts["step-on-1"][0] > firsts["step-off-1"][0] + 50.0


def _words(group: Group) -> Iterator[Words]:
    for item in group.items:
        if isinstance(item, Words):
            yield item


NOTED = [demo for demo in ROUTED if studied(demo).layout.notes]


@pytest.mark.parametrize(("paper", "landscape"), WAYS)
@pytest.mark.parametrize("demo", NOTED)
def test_notes_come_before_the_first_step(demo: str, paper: PaperName, landscape: bool) -> None:
    names = [block.name for face in printed(demo, paper, landscape) for block in face]
    first = next(i for i, name in enumerate(names) if name.startswith(("how", "caution")))
    assert names.count("notes") == 1
    assert names.index("notes") < first


def test_notes_are_printed_word_for_word() -> None:
    [notes] = [
        block
        for face in printed("snow-groomer", "a5", False)
        for block in face
        if block.name == "notes"
    ]
    assert said(notes) == f"Read first {studied('snow-groomer').layout.notes}"


def test_lines_to_write_on_cost_no_page_where_there_is_room() -> None:
    """The sprayer's second page ends after its finding; the steps take all of the third."""
    pages = printed("orchard-sprayer", "a5", False)
    assert len(pages) == 3
    [where] = [i for i, face in enumerate(pages) if BY_HAND in [block.name for block in face]]
    assert where in (1, 2)


def test_the_readme_shows_no_page_that_splits() -> None:
    """The README's own card, on its own paper."""
    text = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    assert "orchard-sprayer" in text
    pages = [steps_on(face) for face in printed("orchard-sprayer", "a5", False)]
    assert sum(bool(names) for names in pages) == 1


def test_held_runs_keep_every_step() -> None:
    for demo in SOUND:
        refit = studied(demo).refit
        for half in (refit.off, refit.on):
            assert [step for run in held_runs(half) for step in run] == list(half)
