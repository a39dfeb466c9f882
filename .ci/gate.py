"""The one command that says whether the project is sound: format, lint, types, tests, coverage.

    python .ci/gate.py

Each step prints one line with its time. The first step that fails prints all that it said and
ends the run with status 1. Nothing is written outside the tools' own caches.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from time import perf_counter
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parent.parent
#: What lies outside the core: it draws, prints or serves. Everything else needs every branch.
EDGE = ("cards/", "board/", "cli/", "output/check_text.py")
EDGE_FLOOR = 90.0
#: The suite is run by this many processes.
WORKERS = 2
SUMMARY = re.compile(r"\d+ (passed|failed|error)")


class Outcome(NamedTuple):
    """How a step went: what it said if that is needed, and a note for its line."""

    passed: bool
    said: str
    note: str = ""


class Floors(NamedTuple):
    """Coverage found: per cent of lines and branches outside the core, and the core's gaps."""

    edge: float
    core: float
    gaps: tuple[str, ...]


def main() -> int:
    """Run every step in order, stop at the first that fails."""
    summary = ""
    with tempfile.TemporaryDirectory(prefix="gate-") as folder:
        for name, step in steps(Path(folder) / "coverage.json"):
            began = perf_counter()
            outcome = step()
            told = "ok" if outcome.passed else "FAILED"
            print(f"{name:<12} {told:<7} {perf_counter() - began:6.1f} s  {outcome.note}")
            if not outcome.passed:
                print(outcome.said)
                return 1
            summary = outcome.note if name == "tests" else summary
            sys.stdout.flush()
    print(summary)
    return 0


def steps(figures: Path) -> Iterator[tuple[str, Callable[[], Outcome]]]:
    """Every step by its name; `figures` is where the tests leave their coverage."""
    yield "ruff format", lambda: tool("ruff", "format", "--check", ".")
    yield "ruff check", lambda: tool("ruff", "check", ".")
    yield "mypy", lambda: tool("mypy")
    yield "tests", lambda: tests(figures)
    yield "coverage", lambda: coverage(figures)
    yield "gallery", gallery


def tests(figures: Path) -> Outcome:
    """The whole suite with branch coverage; its note is pytest's own summary line."""
    outcome = tool(
        "pytest",
        f"--numprocesses={WORKERS}",
        "--dist=worksteal",
        "--cov",
        "--cov-branch",
        f"--cov-report=json:{figures}",
    )
    return outcome._replace(note=summary_line(outcome.said))


def coverage(figures: Path) -> Outcome:
    """The floors: every branch of the core, most of the rest."""
    found = floors(json.loads(figures.read_text(encoding="utf-8"))["files"])
    passed = found.core == 100.0 and found.edge >= EDGE_FLOOR
    note = f"core {found.core:.2f} % of 100, the rest {found.edge:.2f} % of {EDGE_FLOOR:g}"
    return Outcome(passed, "\n".join(found.gaps), note)


def floors(files: Mapping[str, Any]) -> Floors:
    """Coverage of core and edge from the figures of coverage's JSON report, by file."""
    totals = {"core": [0, 0], "edge": [0, 0]}
    gaps = []
    for path, figures in sorted(files.items()):
        part = "edge" if is_edge(path) else "core"
        numbers = figures["summary"]
        totals[part][0] += numbers["covered_lines"] + numbers["covered_branches"]
        totals[part][1] += numbers["num_statements"] + numbers["num_branches"]
        if part == "core" and (figures["missing_lines"] or figures["missing_branches"]):
            branches = [f"{a}->{b}" for a, b in figures["missing_branches"]]
            gaps.append(f"{path}: never run: {figures['missing_lines']} {' '.join(branches)}")
    core, edge = (100.0 * hit / count if count else 0.0 for hit, count in totals.values())
    return Floors(edge=edge, core=core, gaps=tuple(gaps))


def is_edge(path: str) -> bool:
    """Whether a file of the package lies outside the core."""
    inside = Path(path).as_posix().removeprefix("beltpath/")
    return inside.startswith(EDGE)


def gallery() -> Outcome:
    """The pictures that ship are those that the layouts give; without a builder this fails."""
    return command(sys.executable, str(ROOT / "gallery" / "build.py"), "--check")


def tool(name: str, *args: str) -> Outcome:
    """Run one of the tools of this environment."""
    return command(sys.executable, "-m", name, *args)


def command(*words: str) -> Outcome:
    """Run a program at the root of the project."""
    done = subprocess.run(
        words,
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
        check=False,
    )
    return Outcome(done.returncode == 0, done.stdout)


def summary_line(said: str) -> str:
    """Pytest's closing line, such as `12 passed in 3.45s`; empty when it never came to that."""
    lines = [line.strip("= ") for line in said.splitlines()]
    return next((line for line in reversed(lines) if SUMMARY.match(line)), "")


if __name__ == "__main__":
    sys.exit(main())
