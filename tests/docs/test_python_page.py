"""The Python on the pages runs, and prints what stands below it."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.docs.filled import PYTHON, environment, python_printed
from tests.docs.pages import DOCS, ROOT
from tests.docs.refresh import workplace

PAGE = (DOCS / "python.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_every_example_prints_what_stands_below_it(tmp_path: Path) -> None:
    blocks = PYTHON.findall(PAGE)
    assert len(blocks) == 4
    assert PAGE.count("```python") == len(blocks), "each example tells what it prints"
    printed = python_printed([code for _, code, *_ in blocks], workplace(tmp_path))
    for (_, code, _, told, _), output in zip(blocks, printed, strict=True):
        assert output.strip(), code
        assert output == told, f"{code}; see python -m tests.docs.refresh"


def test_one_example_is_a_loop_over_a_hundred_variants() -> None:
    (low, high), *_ = re.findall(r"for \w+ in range\((\d+), (\d+)\)", PAGE)
    assert int(high) - int(low) == 100


def test_the_example_of_the_readme_runs(tmp_path: Path) -> None:
    (code,) = re.findall(r"(?ms)^```python\n(.*?)^```", README)
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=workplace(tmp_path),
        env=environment(tmp_path),
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("caution 1877.0")


@pytest.mark.parametrize("page", ["README.md", "docs/index.md"])
def test_the_page_is_linked(page: str) -> None:
    target = "docs/python.md" if page == "README.md" else "python.md"
    assert f"]({target})" in (ROOT / page).read_text(encoding="utf-8")
