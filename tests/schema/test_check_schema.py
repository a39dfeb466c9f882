"""The JSON Schema of ``check --json``: what ships is what is built, and every answer obeys it."""

from __future__ import annotations

from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import beltpath
from beltpath.output import schemas
from tests.cli.calling import CAUTIOUS, FAULTY, SOUND, UNUSABLE, call, written
from tests.schema.test_layout_schema import LAYOUTS, ROOT, SOUND_ONES

BUILT = schemas.written()["check"]
VALIDATOR = Draft202012Validator(BUILT)


def closed(schema: Any) -> Any:
    """The same schema with no fields beyond those it names: stricter than what ships.

    What ships lets fields be added; here a field that nobody described is a mistake.
    """
    if isinstance(schema, list):
        return [closed(inner) for inner in schema]
    if not isinstance(schema, dict):
        return schema
    inner = {key: closed(value) for key, value in schema.items()}
    if inner.get("type") == "object":
        inner["additionalProperties"] = False
    return inner


ANSWER = Draft202012Validator(
    closed({"$ref": "#/$defs/CheckAnswer", "$defs": deepcopy(BUILT["$defs"])})
)


def answer(text: str) -> Any:
    return beltpath.answer(beltpath.study(beltpath.parse(text)))


def complaints(validator: Draft202012Validator, value: Any) -> list[str]:
    return [error.message for error in validator.iter_errors(value)]


class TestShipped:
    def test_the_shipped_schema_is_the_one_that_is_built(self) -> None:
        shipped = (ROOT / "docs" / "check.schema.json").read_text(encoding="utf-8")
        assert shipped == schemas.text_of(BUILT), "run: python -m beltpath.output.schemas"

    def test_it_is_a_schema(self) -> None:
        Draft202012Validator.check_schema(BUILT)


class TestAnswers:
    @pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
    def test_every_demo(self, path: Path) -> None:
        assert complaints(ANSWER, answer(path.read_text(encoding="utf-8"))) == []

    @pytest.mark.parametrize("name", sorted(SOUND_ONES.keys() - {"no route"}))
    def test_every_kind_of_drive(self, name: str) -> None:
        assert complaints(ANSWER, answer(SOUND_ONES[name])) == []

    @pytest.mark.parametrize("text", [CAUTIOUS, FAULTY], ids=["cautious", "faulty"])
    def test_every_verdict(self, text: str) -> None:
        assert complaints(ANSWER, answer(text)) == []

    def test_a_field_taken_away_or_of_another_kind_is_noticed(self) -> None:
        whole = answer(FAULTY)
        for field in whole:
            less = {key: value for key, value in whole.items() if key != field}
            assert complaints(ANSWER, less), field
            assert complaints(ANSWER, {**whole, field: 7}), field


class TestCommandLine:
    def test_one_file(self, tmp_path: Path) -> None:
        for text in (SOUND, UNUSABLE):
            shown = call("check", "--json", written(tmp_path, "drive.toml", text)).json
            assert complaints(VALIDATOR, shown) == []

    def test_several_files(self, tmp_path: Path) -> None:
        files = [
            written(tmp_path, f"{i}.toml", text) for i, text in enumerate((SOUND, FAULTY, UNUSABLE))
        ]
        shown = call("check", "--json", *files).json
        assert complaints(VALIDATOR, shown) == []
        del shown[0]["file"]
        assert complaints(VALIDATOR, shown) != []
