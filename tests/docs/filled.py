"""The parts of pages that are written from data: tables of numbers, and output of commands."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from beltpath.data.tables import read_table
from tests.docs.pages import ROOT

BLOCK = re.compile(r"(?ms)^(<!-- begin (\w+) -->\n)(.*?)(^<!-- end \2 -->)")
CONSOLE = re.compile(r"(?ms)^(```console\n)(.*?)(^```)")
#: A Python example and what it prints.
PYTHON = re.compile(r"(?ms)^(```python\n)(.*?)(^```\n\n```text\n)(.*?)(^```)")
PROMPT = "$ "
#: Folding of sentences follows the terminal's width; pages are written for this one.
COLUMNS = "100"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """One command of a console block and what it printed."""

    command: str
    output: str


def with_tables(text: str) -> str:
    """A page with every data table written anew from its data file."""
    return BLOCK.sub(lambda m: f"{m[1]}{table(m[2])}{m[4]}", text)


def with_outputs(text: str, folder: Path) -> str:
    """A page with every console block and Python example run anew, in order, in `folder`."""
    outputs = iter(run([said.command for said in said_on(text)], folder))
    text = CONSOLE.sub(lambda m: f"{m[1]}{_rerun(m[2], outputs)}{m[3]}", text)
    printed = iter(python_printed([m[2] for m in PYTHON.finditer(text)], folder))
    return PYTHON.sub(lambda m: f"{m[1]}{m[2]}{m[3]}{next(printed)}{m[5]}", text)


def python_printed(blocks: Sequence[str], folder: Path) -> list[str]:
    """What each block of Python prints; they run in one process, as one program."""
    if not blocks:
        return []
    ends = "print(end=chr(0))\n"
    done = subprocess.run(
        [sys.executable, "-c", "".join(f"{code}{ends}" for code in blocks)],
        cwd=folder,
        env=environment(folder),
        capture_output=True,
        check=False,
        timeout=120,
    )
    if done.returncode:
        raise RuntimeError(done.stderr.decode("utf-8", "replace"))
    return done.stdout.decode("utf-8").split("\0")[: len(blocks)]


def said_on(text: str) -> list[Spoken]:
    """Every command of a page, in order."""
    return [said for block in CONSOLE.finditer(text) for said in spoken(block[2])]


def table(name: str) -> str:
    """One data file as a Markdown table."""
    rows = read_table(f"{name}.csv")
    head = list(rows[0])
    lines = [head, ["---"] * len(head), *([row[key] for key in head] for row in rows)]
    return "".join(
        f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in line)} |\n" for line in lines
    )


def spoken(block: str) -> Iterator[Spoken]:
    """The commands of a console block with the output that stands below each."""
    parts = re.split(r"(?m)^\$ ", block)
    for part in parts[1:]:
        command, _, output = part.partition("\n")
        yield Spoken(command=command, output=output)


def run(commands: Sequence[str], folder: Path) -> list[str]:
    """What each command prints, one after the other in `folder` (see `shell`)."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.docs.shell"],
        cwd=folder,
        env=environment(folder),
        input=json.dumps(list(commands)).encode(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        check=False,
        timeout=120,
    )
    if done.returncode:
        raise RuntimeError(done.stdout.decode("utf-8", "replace"))
    return done.stdout.decode("utf-8").split("\0")[: len(commands)]


def environment(folder: Path) -> dict[str, str]:
    """What the commands of the pages see of the world."""
    return {
        "PATH": os.environ["PATH"],
        "PYTHONPATH": str(ROOT),
        "COLUMNS": COLUMNS,
        "LANG": "C.UTF-8",
        "HOME": str(folder),
    }


def _rerun(block: str, outputs: Iterator[str]) -> str:
    return "".join(f"{PROMPT}{said.command}\n{next(outputs)}" for said in spoken(block))
