"""A few drives of the nightly comparison, and proof that it can fail."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from dataclasses import replace
from math import nan, pi
from pathlib import Path

import pytest

from tests.nightly import compare, drives, solver
from tests.nightly.__main__ import main
from tests.nightly.compare import BOUNDS, Difference, differences
from tests.nightly.solver import Wheel, solved


def test_some_drives_agree(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["6", "--seed", "100"]) == 0
    told = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in told[:-1]] == list(BOUNDS)
    assert told[-1] == "6 drives, 0 differences beyond their bound"


def test_a_wrong_number_is_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def other(seed: int) -> Iterator[Difference]:
        for one in differences(seed):
            yield one._replace(apart=nan) if one.what == "rate" else one

    monkeypatch.setattr(sys.modules[main.__module__], "differences", other)
    assert main(["2"]) == 1
    assert "drive 0: rate differs by nan" in capsys.readouterr().out


@pytest.mark.parametrize("what", list(BOUNDS))
def test_every_quantity_can_differ(monkeypatch: pytest.MonkeyPatch, what: str) -> None:
    """The solver is given a drive that is a hair off: the layout's back by a tenth of a mm."""
    made = drives.drive(3)
    text = made.text.replace(f"back = {drives.BACK}", f"back = {drives.BACK + 0.1}")
    if what == "tension":
        text = made.text.replace("rate = ", "rate = 1")
    monkeypatch.setattr(compare, "drive", lambda seed: replace(made, text=text))
    bad = {one.what for one in differences(3) if not one.sound}
    assert what in bad


def test_the_solver_knows_a_belt_that_anybody_can_reckon() -> None:
    belt = solved([Wheel("a", 0j, 50.0, True), Wheel("b", 300.0 + 0j, 50.0, True)])
    assert belt.length == pytest.approx(600.0 + 100.0 * pi, abs=1e-10)
    assert belt.wraps == pytest.approx({"a": 180.0, "b": 180.0}, abs=1e-10)


def test_the_solver_shares_nothing_with_beltpath() -> None:
    for module in (solver, drives):
        tree = ast.parse(Path(module.__file__ or "").read_text(encoding="utf-8"))
        names = {
            name
            for node in ast.walk(tree)
            for name in (
                [node.module or ""]
                if isinstance(node, ast.ImportFrom)
                else [alias.name for alias in node.names]
                if isinstance(node, ast.Import)
                else []
            )
        }
        assert not any(name.startswith("beltpath") for name in names)
