"""The JSON Schemas of a file of measurements and of ``measure --json``: shipped, built, obeyed."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from beltpath.output import schemas
from beltpath.survey import measurement_answer, parse, solve
from tests.measure.demos import FOLDER
from tests.schema.test_layout_schema import ROOT

BUILT = schemas.written()["measured"]
FILE = schemas.measure_schema()
VALIDATOR = Draft202012Validator(BUILT)
READS = Draft202012Validator(FILE)
DEMOS = sorted(FOLDER.glob("*.toml"))


def complaints(value: object) -> list[str]:
    return [error.message for error in VALIDATOR.iter_errors(value)]


def answer(path: Path) -> dict[str, Any]:
    return measurement_answer(solve(parse(path.read_text(encoding="utf-8"))))


@pytest.mark.parametrize(("name", "built"), [("measure", FILE), ("measured", BUILT)])
def test_the_shipped_schema_is_the_one_that_is_built(name: str, built: dict[str, Any]) -> None:
    Draft202012Validator.check_schema(built)
    shipped = (ROOT / "docs" / f"{name}.schema.json").read_text(encoding="utf-8")
    assert shipped == schemas.text_of(built), "run: python -m beltpath.output.schemas"


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
class TestEveryDemo:
    def test_the_answer_obeys(self, path: Path) -> None:
        assert complaints(answer(path)) == []

    def test_the_file_obeys(self, path: Path) -> None:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        assert [error.message for error in READS.iter_errors(data)] == []


def properties(schema: dict[str, Any]) -> set[str]:
    """Every field that a schema knows, in whatever table."""
    tables = [schema, *schema["$defs"].values()]
    return {key for table in tables for key in table["properties"]}


def fields(value: object) -> set[str]:
    """Every field of an answer, in whatever table; names that a person gave are none."""
    if isinstance(value, list):
        return set().union(*map(fields, value))
    if not isinstance(value, dict):
        return set()
    by_name = {"pulleys", "points", "depth_effect_mm"}
    inner = (
        [*v.values()] if key in by_name and isinstance(v, dict) else v for key, v in value.items()
    )
    return set(value).union(*map(fields, inner))


def test_the_schema_and_the_answers_know_the_same_fields() -> None:
    """Neither may hold a field that the other does not: what the records leave out stays out."""
    whole = answer(FOLDER / "sprayer-slip.toml") | {
        "points": answer(FOLDER / "sprayer-tape.toml")["points"]
    }
    both = answer(FOLDER / "workboat-both.toml")
    found = fields(whole) | fields(both) | fields(answer(FOLDER / "workboat-photo.toml"))
    assert found == properties(BUILT)


def test_a_field_taken_away_or_of_another_kind_is_noticed() -> None:
    whole = answer(FOLDER / "workboat-both.toml")
    for field in whole:
        assert complaints({key: value for key, value in whole.items() if key != field}), field
        assert complaints({**whole, field: 7}) or field in ("rms_mm", "rms_px"), field
    for i, residual in enumerate(whole["residuals"]):
        for key in residual:
            spoilt = [*whole["residuals"]]
            spoilt[i] = {k: v for k, v in residual.items() if k != key}
            assert complaints({**whole, "residuals": spoilt}), key


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('role = "tensioner" }', 'role = "tensioner", at = [1, 2] }'),
        ("[level]", "[levels]"),
        ('over = "gap"', 'over = "between"'),
        ("distance = 27.0", "distance = -27.0"),
        ('above = "fan"', "above = 7"),
        ('pivot = "bolt"', "pivot = true"),
    ],
)
def test_mistakes_are_seen(old: str, new: str) -> None:
    text = (FOLDER / "sprayer-tape.toml").read_text(encoding="utf-8")
    assert old in text
    data = tomllib.loads(text.replace(old, new, 1))
    assert not READS.is_valid(data)
