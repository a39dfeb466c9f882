"""Warnings in the pages: the right word by ANSI Z535.4, and before the step that they belong to."""

from __future__ import annotations

import re

import pytest

from beltpath.cli.new import starter
from beltpath.refit.cautions import AFTER
from tests.docs.pages import DOCS

PAGES = sorted(path.name for path in DOCS.glob("*.md") if path.name != "changelog.md")
#: Where a reader is told to find the load stop, with the lever held over: page and words.
HELD_OVER = (
    ("technician.md", "On the tensioner: its pivot, the two stops"),
    ("found-a-belt.md", "Measure the tensioner's two stops"),
    ("layout-file.md", "Load stop: where it is with the lever held fully over"),
)


def text_of(page: str) -> str:
    return (DOCS / page).read_text(encoding="utf-8")


def blocks(text: str) -> list[str]:
    """The quoted blocks of a page, each in one line."""
    found = re.findall(r"(?:^>.*\n?)+", text, re.MULTILINE)
    return [" ".join(line.lstrip("> ") for line in block.splitlines()) for block in found]


@pytest.mark.parametrize(("page", "words"), HELD_OVER)
def test_a_warning_stands_before_a_sprung_arm_is_held_over(page: str, words: str) -> None:
    before, found, _ = text_of(page).partition(words)
    assert found, "the page says it in other words now: look where its warning stands"
    warnings = [block for block in blocks(before) if "sprung" in block]
    assert warnings
    assert warnings[-1].startswith("**WARNING**")
    for told in ("held fully over", "hold it both ways", "let it back slowly"):
        assert told in warnings[-1]


def test_the_starter_warns_before_its_stops() -> None:
    for units in ("mm", "in"):
        text = starter("mm" if units == "mm" else "in")
        assert 0 < text.index("WARNING: the arm is sprung") < text.index("\nfree =")


def test_the_parts_person_is_sent_to_the_warning() -> None:
    text = text_of("parts-person.md")
    assert text.index("reads the [warning]") < text.index("both stops in degrees")


@pytest.mark.parametrize("page", PAGES)
def test_guards_and_hands_before_a_start_are_a_warning(page: str) -> None:
    for block in blocks(text_of(page)):
        if re.search(r"[Gg]uard", block) and re.search(r"start|run", block):
            assert block.startswith("**WARNING**"), block


def test_the_card_uses_the_same_word_as_the_page() -> None:
    [block] = [block for block in blocks(text_of("technician.md")) if AFTER.text in block]
    assert block.startswith(f"**{AFTER.signal}** (could cause death or serious injury)")


def test_the_engine_is_not_the_only_thing_that_drives() -> None:
    first = blocks(text_of("technician.md"))[0]
    for words in ("start-stop", "isolate every energy source", "water, wind or a weight"):
        assert words in first
