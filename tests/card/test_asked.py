"""What is asked of a card from Python, and is no card: one sentence, never a crash."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan
from pathlib import Path
from typing import Any

import pytest

import beltpath
from beltpath.cards import Card, Options, card
from beltpath.cards.document import FEWEST_DOTS, MOST_DOTS
from beltpath.errors import UsageError
from beltpath.layout.reader import parse

WHEEL = Path(__file__).parents[2] / "layouts" / "water-wheel.toml"


@pytest.fixture(scope="module")
def study() -> beltpath.Study:
    return beltpath.study(beltpath.read(WHEEL))


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"paper": "a7"}, "paper must be one of 'a4', 'a5', 'a6', 'letter', 'half-letter'"),
        ({"paper": None}, "paper must be one of"),
        ({"paper": ["a5"]}, "paper must be one of"),
        ({"ink": "red"}, "ink must be one of 'colour', 'black'; found 'red'"),
        ({"ink": None}, "ink must be one of"),
        ({"turned": nan}, "turned must be a finite number; found nan"),
        ({"turned": -inf}, "turned must be a finite number; found -inf"),
        ({"turned": "90"}, "turned must be a finite number; found '90'"),
        ({"turned": True}, "turned must be a finite number; found True"),
        ({"turned": None}, "turned must be a finite number; found None"),
        ({"mirrored": "no"}, "mirrored must be one of False, True; found 'no'"),
        ({"landscape": 1}, "landscape must be one of False, True; found 1"),
        ({"true_scale": None}, "true_scale must be one of"),
        ({"steps": "yes"}, "steps must be one of"),
        ({"code": 0}, "code must be one of"),
        ({"loads": []}, "loads must be one of"),
    ],
)
def test_options_that_there_are_not(asked: dict[str, Any], says: str) -> None:
    with pytest.raises(UsageError) as caught:
        Options(**asked)
    assert str(caught.value).startswith(says)


@pytest.mark.parametrize("turned", [0, -90, 359.5, 1e6])
def test_any_finite_turn_is_taken(turned: float) -> None:
    assert Options(turned=turned).turned == turned


@pytest.mark.parametrize("asked", [[], (), None, "x", [None], 5, WHEEL])
def test_a_card_of_no_study(asked: Any) -> None:
    with pytest.raises(UsageError, match="a card is drawn of one study"):
        card(asked)


def test_a_card_of_a_layout_that_nobody_studied(study: beltpath.Study) -> None:
    for asked in (study.layout, [study, study.layout]):
        with pytest.raises(UsageError, match="a card is drawn of one study"):
            card(asked)  # type: ignore[arg-type]


def test_options_that_are_none(study: beltpath.Study) -> None:
    with pytest.raises(UsageError, match="the options of a card are Options; found dict"):
        card(study, {"paper": "a5"})  # type: ignore[arg-type]


def test_a_finished_card_with_another_ink_or_no_page(study: beltpath.Study) -> None:
    made = card(study)
    with pytest.raises(UsageError, match="ink must be one of"):
        replace(made, ink="red")  # type: ignore[arg-type]
    with pytest.raises(UsageError, match="one page at least"):
        Card(title="none", pages=())


@pytest.mark.parametrize("dpi", [nan, inf, 0.0, -1.0, FEWEST_DOTS - 1, MOST_DOTS + 1, "200", None])
def test_dots_that_no_picture_has(study: beltpath.Study, dpi: Any) -> None:
    with pytest.raises(UsageError, match="dpi must be"):
        card(study).png_pages(dpi)


@pytest.mark.parametrize("asked", [None, 5, "two pulleys", {}])
def test_what_is_no_layout_is_not_studied(asked: Any) -> None:
    with pytest.raises(UsageError, match="a study is of a Layout; found"):
        beltpath.study(asked)


@pytest.mark.parametrize("asked", [None, 5, "two pulleys", {}])
def test_what_is_no_study_is_not_answered(asked: Any) -> None:
    with pytest.raises(UsageError, match=r"an answer is of what study, size, .* returned; found"):
        beltpath.answer(asked)


@pytest.mark.parametrize("asked", [None, 5, b"title = 1", {}, WHEEL])
def test_what_is_no_text_is_not_parsed(asked: Any) -> None:
    with pytest.raises(UsageError, match="a layout is read from text; found"):
        parse(asked)


@pytest.mark.parametrize("asked", [None, 0, b"layouts/water-wheel.toml", [], 1.5])
def test_what_is_no_name_is_not_read(asked: Any) -> None:
    with pytest.raises(UsageError, match="a layout is read from a file's name; found"):
        beltpath.read(asked)
