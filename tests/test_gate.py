"""The gate's own reckoning: which files are the core, and when coverage falls short."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import settings

from tests.conftest import HERE, UNTRACED

ROOT = Path(__file__).resolve().parent.parent
GATE = ROOT / ".ci" / "gate.py"


def gate() -> ModuleType:
    spec = importlib.util.spec_from_file_location("gate", GATE)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def file(covered: int, of: int, missing: list[list[int]] | None = None) -> dict[str, Any]:
    """What coverage's JSON report says of one file without branches but those missing."""
    branches = len(missing or ())
    return {
        "summary": {
            "covered_lines": covered,
            "num_statements": of,
            "covered_branches": 0,
            "num_branches": branches,
        },
        "missing_lines": list(range(of - covered)),
        "missing_branches": missing or [],
    }


@pytest.mark.parametrize(
    ("path", "edge"),
    [
        ("beltpath/cli/app.py", True),
        ("beltpath/cards/svg.py", True),
        ("beltpath/board/server.py", True),
        ("beltpath/solve/path.py", False),
        ("beltpath/checks/contact.py", False),
        ("beltpath/survey/cli.py", False),
    ],
)
def test_the_core_is_all_that_neither_draws_nor_prints(path: str, edge: bool) -> None:
    assert gate().is_edge(path) is edge


@pytest.mark.parametrize(
    ("files", "passed"),
    [
        ({"beltpath/solve/path.py": file(10, 10), "beltpath/cli/app.py": file(9, 10)}, True),
        ({"beltpath/solve/path.py": file(10, 10), "beltpath/cli/app.py": file(8, 10)}, False),
        ({"beltpath/solve/path.py": file(999, 1000), "beltpath/cli/app.py": file(10, 10)}, False),
        (
            {"beltpath/solve/path.py": file(9, 9, [[3, 5]]), "beltpath/cli/app.py": file(10, 10)},
            False,
        ),
        ({"beltpath/solve/path.py": file(10, 10)}, False),
        ({"beltpath/cli/app.py": file(10, 10)}, False),
        ({}, False),
    ],
)
def test_floors_are_kept(files: dict[str, Any], passed: bool, tmp_path: Path) -> None:
    figures = tmp_path / "coverage.json"
    figures.write_text(json.dumps({"files": files}), encoding="utf-8")
    assert gate().coverage(figures).passed is passed


def test_gaps_in_the_core_are_named(tmp_path: Path) -> None:
    figures = tmp_path / "coverage.json"
    files = {"beltpath/solve/path.py": file(8, 9, [[3, 5]])}
    figures.write_text(json.dumps({"files": files}), encoding="utf-8")
    assert gate().coverage(figures).said == "beltpath/solve/path.py: never run: [0] 3->5"


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ("....\n12 passed in 3.45s\n", "12 passed in 3.45s"),
        ("==== 1 failed, 2 passed in 0.10s ====\n\n", "1 failed, 2 passed in 0.10s"),
        ("no tests ran in 0.01s\n", ""),
        ("", ""),
    ],
)
def test_the_summary_line_of_the_tests_is_found(said: str, line: str) -> None:
    assert gate().summary_line(said) == line


def test_a_failing_program_fails_its_step_and_is_heard() -> None:
    outcome = gate().command("sh", "-c", "echo broken; exit 3")
    assert (outcome.passed, outcome.said) == (False, "broken\n")


def test_a_gallery_that_is_not_there_fails_its_step(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = gate()
    monkeypatch.setattr(made, "ROOT", tmp_path)
    assert not made.gallery().passed


def test_a_slow_machine_fails_no_property_test() -> None:
    assert settings(max_examples=1).deadline is None


def test_the_files_that_coverage_does_not_trace_are_there() -> None:
    assert [name for name in UNTRACED if not (HERE / name).is_file()] == []


def test_everybody_runs_the_tests_by_the_same_command() -> None:
    texts = [
        (ROOT / name).read_text(encoding="utf-8")
        for name in ("README.md", "DEVELOPERS.md", ".ci/run")
    ]
    commands = [[line for line in text.splitlines() if line.endswith("gate.py")] for text in texts]
    assert [len(found) for found in commands] == [1, 1, 1]
    assert commands[0] == commands[1] == commands[2]
    assert (ROOT / ".ci" / "run").stat().st_mode & 0o111
