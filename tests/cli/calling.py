"""Run one command line in this process, with streams of its own, or as a process of its own."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

from beltpath.cli.app import run
from beltpath.cli.new import starter

SOUND = starter("mm")
#: The same drive with one fault: its pump must turn against the belt.
FAULTY = SOUND.replace('role = "pump" }', 'role = "pump", turns = "counterclockwise" }')
#: The same drive with one caution: its pump wants more wrap than it gets.
CAUTIOUS = SOUND.replace('role = "pump" }', 'role = "pump", min_wrap = 170 }')
#: The same drive with a word where a number belongs.
UNUSABLE = SOUND.replace("diameter = 90", 'diameter = "wide"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What a call gave back."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """Standard output read as JSON."""
        return json.loads(self.out)


class Stream(io.TextIOWrapper):
    """An output stream that remembers its bytes and may say that it is a terminal."""

    def __init__(self, *, encoding: str = "utf-8", terminal: bool = False) -> None:
        self.raw_bytes = io.BytesIO()
        self.terminal = terminal
        super().__init__(self.raw_bytes, encoding=encoding, write_through=True)

    def isatty(self) -> bool:
        return self.terminal

    def text(self) -> str:
        return self.raw_bytes.getvalue().decode(self.encoding)


def call(
    *args: str | Path,
    stdin: bytes = b"",
    encoding: str = "utf-8",
    terminal: bool = False,
) -> Result:
    """Run a command line in this process, as fast as a function call."""
    out = Stream(encoding=encoding, terminal=terminal)
    err = Stream(encoding=encoding, terminal=terminal)
    source = io.TextIOWrapper(io.BytesIO(stdin), encoding="utf-8")
    with patch.object(sys, "stdin", source), patch.multiple(sys, stdout=out, stderr=err):
        status = run([str(arg) for arg in args])
    return Result(status=status, out=out.text(), err=err.text())


def program(
    *args: str | Path,
    cwd: Path,
    stdin: bytes = b"",
    env: Mapping[str, str] | None = None,
) -> Result:
    """Run the installed program as a process of its own."""
    done = subprocess.run(
        [Path(sys.executable).with_name("beltpath"), *map(str, args)],
        cwd=cwd,
        input=stdin,
        capture_output=True,
        env={**os.environ, **(env or {})},
        check=False,
        timeout=60,
    )
    return Result(
        status=done.returncode,
        out=done.stdout.decode("utf-8"),
        err=done.stderr.decode("utf-8"),
    )


def written(folder: Path, name: str, text: str) -> Path:
    """A file with that text in `folder`."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path
