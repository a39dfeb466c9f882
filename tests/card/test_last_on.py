"""The front marks the last one on, notes stand by the first step, a swing has its own words."""

from __future__ import annotations

import pytest

from beltpath.cards import Options, card
from beltpath.cards.paper import PAPER_NAMES, PaperName
from beltpath.cards.routing_card import faces
from beltpath.cards.scene import Group, Words
from beltpath.errors import BeltpathError
from beltpath.layout.reader import parse
from beltpath.studies import Study, study
from tests.card.scenes import said, studied
from tests.checks.test_fitting import BRACKET
from tests.core.test_way_on import PRESSED, SLIDE

NOTES = 'notes = """The guard comes off first.\\nA hose crosses in front of the idler."""\n'


def made(text: str) -> Study:
    return study(parse(text))


def pressed(belt: str = "", tensioner: str = "") -> Study:
    return made(PRESSED.format(belt=belt, tensioner=tensioner, x=58))


def front(one: Study) -> str:
    return said(card(one, Options(paper="a5")).pages[0])


def test_on_fixed_centres_the_front_marks_the_last_one() -> None:
    words = front(pressed())
    assert "last on, first off" in words


def test_a_stretch_belt_is_cut_and_only_its_last_one_is_marked() -> None:
    words = front(pressed("elastic = true"))
    assert "last on" in words
    assert "first off" not in words


def test_a_failed_drive_marks_none() -> None:
    failed = studied("wrong-side")
    assert failed.verdict == "fail"
    assert "last on" not in front(failed)


def test_a_swing_prints_its_tool_on_the_front_and_in_the_steps() -> None:
    one = made(BRACKET)
    assert "13 mm spanner" in front(one)
    for kind in ("slacken", "tighten"):
        steps = [s for s in (*one.refit.off, *one.refit.on) if s.kind == kind]
        assert steps
        assert all("Tool: 13 mm spanner." in step.text for step in steps)


def test_without_a_tool_none_is_named() -> None:
    one = made(BRACKET.replace('lever = "13 mm spanner"\n', ""))
    assert "Tool" not in " ".join(s.text for s in (*one.refit.off, *one.refit.on))


def test_the_facts_of_a_swing_are_tight_and_slack() -> None:
    words = front(made(BRACKET))
    assert "stands at 19 % from tight to slack;" in words
    assert "load" not in words


def many_findings() -> Study:
    """Findings enough for half a page, and steps that want nearly a whole one."""
    text = PRESSED.format(
        belt="length = 1130\ntolerance = 4", tensioner=SLIDE.format(load=-20), x=58
    )
    return made(text.replace('title = "Test bench"\n', f'title = "Test bench"\n{NOTES}'))


@pytest.mark.parametrize("landscape", [False, True])
@pytest.mark.parametrize("paper", PAPER_NAMES)
@pytest.mark.parametrize("demo", ["snow-groomer", "quarry"])
def test_notes_stand_on_the_face_of_the_first_step(
    demo: str, paper: PaperName, landscape: bool
) -> None:
    one = many_findings() if demo == "quarry" else studied(demo)
    first, backs = faces(one, Options(paper=paper, landscape=landscape))
    for face in (first, *backs):
        names = [block.name for block in face]
        if "notes" in names:
            after = names[names.index("notes") + 1]
            assert after.startswith(("how", "caution"))


def test_captions_are_bold_to_their_end() -> None:
    made_ = card(studied("orchard-sprayer"), Options(paper="a5", steps=True))
    pictures = [
        item
        for page in made_.pages
        for item in page.items
        if isinstance(item, Group) and item.name.startswith("step-")
    ]
    captions = [
        [i for i in picture.items if isinstance(i, Words) and i.anchor == "start"]
        for picture in pictures
    ]
    assert any(len(lines) == 2 for lines in captions)
    assert all(words.bold for lines in captions for words in lines)


@pytest.mark.parametrize("load", [-2.5, -20])
def test_pictures_of_one_rim_and_of_two(load: float) -> None:
    one = pressed(tensioner=SLIDE.format(load=load))
    assert len(one.refit.slipped) == (2 if load == -2.5 else 1)
    try:
        pages = card(one, Options(paper="a5", steps=True)).pages
    except BeltpathError as error:  # pragma: no cover
        pytest.fail(str(error))
    words = " ".join(said(page) for page in pages)
    assert "on here last" in words
