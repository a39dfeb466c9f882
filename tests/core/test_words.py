"""The words and numbers of sentences, and that they stand in one place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import beltpath
from beltpath.layout.reader import parse
from beltpath.words import counted, decimals, listed, mm, position, sentence, unit, whole
from tests.core.test_tensioner import ARM, SLIDE

PACKAGE = Path(beltpath.__file__).parent


@pytest.mark.parametrize(("number", "told"), [(0, "0 ribs"), (1, "1 rib"), (2, "2 ribs")])
def test_things_are_counted(number: int, told: str) -> None:
    assert counted(number, "rib") == told


@pytest.mark.parametrize(
    ("things", "told"), [(["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")]
)
def test_things_are_listed(things: list[str], told: str) -> None:
    assert listed(things) == told
    assert listed(things, "or") == told.replace("and", "or")


def test_no_minus_stands_before_a_nought() -> None:
    assert (decimals(-0.04), decimals(-0.06), decimals(-0.4, 0)) == ("0.0", "-0.1", "0")
    assert (mm(-0.04), mm(12.0), mm(-12.34)) == ("0", "12", "-12.3")
    assert (whole(-0.4), whole(-1.6)) == ("0", "−2")


def test_a_sign_is_shown_where_it_is_asked_for() -> None:
    assert [decimals(x, sign="+") for x in (1.26, -1.26, -0.01)] == ["+1.3", "-1.3", "+0.0"]


def test_a_position_has_the_unit_of_its_tensioner() -> None:
    arm, slide = (parse(text).tensioner for text in (ARM, SLIDE))
    assert arm is not None and slide is not None
    assert (unit(arm), unit(slide)) == ("°", " mm")
    assert (position(arm, 30.04), position(slide, -2.5)) == ("30°", "-2.5 mm")


def test_a_sentence_begins_with_a_capital() -> None:
    assert sentence("the belt on fan") == "The belt on fan"


@pytest.mark.parametrize(
    "copied",
    [
        r"""(== 1|> 1|!= 1) else 's'|'s' if [a-z_]+ (!=|>) 1""",
        r"""\{round\([^{}]+ \+ 0\.0""",
        r"""licensed\s+(" +f?")?practice come first""",
    ],
    ids=["plural", "nought", "disclaimer"],
)
def test_nobody_makes_them_again(copied: str) -> None:
    """In the reader of layouts, which stands below the words, one plural is left."""
    found = [
        path.relative_to(PACKAGE).as_posix()
        for path in sorted(PACKAGE.rglob("*.py"))
        if re.search(copied, path.read_text(encoding="utf-8"))
    ]
    assert "words.py" in found
    assert set(found) <= {"words.py", "layout/sentences.py"}
