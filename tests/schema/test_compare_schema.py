"""The JSON Schema of ``compare --json``: what ships is what is built, and answers obey it."""

from __future__ import annotations

import pytest
from jsonschema import Draft202012Validator

from beltpath.comparison import Comparison, compare
from beltpath.output import schemas
from beltpath.output.compare_answer import comparison_answer
from tests.compare.test_compare import DEMOS, SPRAYER, studied, what_if
from tests.schema.test_check_schema import closed
from tests.schema.test_layout_schema import ROOT

BUILT = schemas.written()["compare"]
#: A field that nobody described is a mistake too.
VALIDATOR = Draft202012Validator(closed(BUILT))


def complaints(value: object) -> list[str]:
    return [error.message for error in VALIDATOR.iter_errors(value)]


def test_the_shipped_schema_is_the_one_that_is_built() -> None:
    Draft202012Validator.check_schema(BUILT)
    shipped = (ROOT / "docs" / "compare.schema.json").read_text(encoding="utf-8")
    assert shipped == schemas.text_of(BUILT), "run: python -m beltpath.output.schemas"


@pytest.mark.parametrize("demo", DEMOS)
def test_every_demo_against_the_sprayer(demo: str) -> None:
    assert complaints(comparison_answer(compare(studied(SPRAYER), studied(demo)))) == []


@pytest.mark.parametrize(
    "found",
    [
        what_if(without=("fan",)),
        what_if("belt.length=1700"),
        what_if("belt.section=PJ", "pump.load={power_kw=2}"),
    ],
    ids=["no path", "misfit", "section"],
)
def test_what_ifs(found: Comparison) -> None:
    assert complaints(comparison_answer(found)) == []


def test_a_field_taken_away_or_of_another_kind_is_noticed() -> None:
    whole = comparison_answer(what_if("crank.diameter=140"))
    for field in whole:
        assert complaints({key: value for key, value in whole.items() if key != field}), field
        assert complaints({**whole, field: 7}), field
