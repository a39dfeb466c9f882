"""The JSON Schema of ``routes --json``: what ships is what is built, and answers obey it."""

from __future__ import annotations

from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

import beltpath
from beltpath.output import schemas
from beltpath.output.routes_answer import routes_answer
from beltpath.ranking.find import find_routes
from tests.schema.test_check_schema import closed
from tests.schema.test_layout_schema import ROOT

BUILT = schemas.written()["routes"]
#: A field that nobody described is a mistake too.
VALIDATOR = Draft202012Validator(closed(BUILT))
FOUND = sorted((ROOT / "layouts").glob("found/*.toml"))
OTHERS = [ROOT / "layouts" / f"{name}.toml" for name in ("water-wheel", "cider-mill", "wrong-side")]


def complaints(value: object) -> list[str]:
    return [error.message for error in VALIDATOR.iter_errors(value)]


def test_the_shipped_schema_is_the_one_that_is_built() -> None:
    Draft202012Validator.check_schema(BUILT)
    shipped = (ROOT / "docs" / "routes.schema.json").read_text(encoding="utf-8")
    assert shipped == schemas.text_of(BUILT), "run: python -m beltpath.output.schemas"


@pytest.mark.parametrize("path", [*FOUND, *OTHERS], ids=lambda path: path.stem)
def test_every_answer_obeys(path: Path) -> None:
    assert complaints(routes_answer(find_routes(beltpath.read(path)))) == []


def test_a_field_taken_away_or_of_another_kind_is_noticed() -> None:
    whole = routes_answer(find_routes(beltpath.read(FOUND[0])))
    for field in whole:
        assert complaints({key: value for key, value in whole.items() if key != field}), field
    first = whole["candidates"][0]
    for field in first:
        less = {key: value for key, value in first.items() if key != field}
        assert complaints({**whole, "candidates": [less]}), field
        assert complaints({**whole, "candidates": [{**first, field: None}]}), field
