"""Writing a layout's text: what is read back equals what was given."""

from __future__ import annotations

import math
import tomllib
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from beltpath.layout import reader as layout_file
from beltpath.layout.toml import write

_scalars = st.one_of(
    st.booleans(),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False),
    st.text(st.characters(exclude_categories=["Cs"])),
    st.dates(),
    st.times(),
)
_values = st.recursive(
    _scalars,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text("ab \"'.é\n"), inner),
    max_leaves=8,
)
_keys = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=8)


class TestRoundTrip:
    """For any values that TOML can hold, reading what was written gives them back."""

    @settings(max_examples=40)
    @given(st.dictionaries(_keys, _values, max_size=5))
    def test_any_values(self, data: dict[str, Any]) -> None:
        assert tomllib.loads(write(data)) == data

    @settings(max_examples=40)
    @given(st.text())
    def test_comments_stay_comments(self, remark: str) -> None:
        data = {"title": "x", "pulleys": {"crank": {"at": [0, 0]}}}
        comments = {"": remark, "title": remark, "pulleys": remark, "pulleys.crank": remark}
        assert tomllib.loads(write(data, comments=comments)) == data

    def test_demo_layouts(self) -> None:
        demos = sorted(Path("layouts").glob("*.toml"))
        assert demos
        for demo in demos:
            text = demo.read_text(encoding="utf-8")
            again = write(tomllib.loads(text))
            assert layout_file.parse(again) == layout_file.parse(text)


def test_order_and_shape() -> None:
    data = {
        "pulleys": {"crank": {"at": [0, 0.5], "load": {"power_kw": 2.0}}, "a b": {}},
        "belt": {"section": "PK"},
        "route": ["crank", "a b"],
        "title": "T",
    }
    assert write(data, comments={"": "One.\nTwo.", "pulleys.crank": "Origin."}) == (
        "# One.\n# Two.\n"
        'title = "T"\n'
        'route = ["crank", "a b"]\n'
        "\n[belt]\n"
        'section = "PK"\n'
        "\n[pulleys]\n"
        "# Origin.\n"
        "crank = { at = [0, 0.5], load = { power_kw = 2.0 } }\n"
        '"a b" = {}\n'
    )


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (math.inf, "inf"),
        (-math.inf, "-inf"),
        (math.nan, "nan"),
        (True, "true"),
        (1e-7, "1e-07"),
        (date(2024, 2, 29), "2024-02-29"),
        (datetime(2024, 2, 29, 1, 2, 3), "2024-02-29T01:02:03"),
        (time(1, 2, 3), "01:02:03"),
        ('a"\\\t\x7f\x01é', '"a\\"\\\\\\t\\u007f\\u0001é"'),
    ],
)
def test_single_values(value: object, text: str) -> None:
    assert write({"key": value}) == f"key = {text}\n"


def test_nothing_to_write() -> None:
    assert write({}) == "\n"
    assert write({"belt": {}}) == "[belt]\n"
