"""Standard streams: how a command's reply reaches the person, the pipe or the file behind them.

Nothing here knows about belts. A stream that cannot show a character gets a plain spelling of it,
so that output never breaks on a terminal without UTF-8.
"""

from __future__ import annotations

import codecs
import io
import json
import os
import shutil
import signal
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from time import monotonic
from typing import NoReturn, TextIO, TypeVar

from beltpath.errors import UsageError
from beltpath.files.writing import ENDING
from beltpath.layout.characters import inert

#: Exit status: no fault; at least one fault; the input or the call is unusable.
DONE, FAULTY, UNABLE = 0, 1, 2
#: Exit status of a command whose reader went away, as shells count it: 128 + SIGPIPE.
PIPE_CLOSED = 141
INTERRUPTED = 130
#: A bar is worth showing when there is still work after this many seconds.
PATIENCE = 1.0
#: Sentences are folded between these widths.
WIDTHS = (60, 110)

_PLAIN = {
    "±": "+/-",
    "°": " deg",
    "·": "*",
    "×": "x",
    "−": "-",
    "–": "-",
    "—": "-",
    "…": "...",
    "→": "->",
    "≤": "<=",
    "≥": ">=",
    "µ": "u",
    "²": "^2",
    "‘": "'",
    "’": "'",
    "“": '"',
    "”": '"',
}
Item = TypeVar("Item")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """What a command has to say: text for standard output, problems for standard error."""

    text: str = ""
    problems: tuple[str, ...] = ()
    status: int = DONE


class Stopped(BaseException):
    """A signal asks the program to end: no error, and nothing to be caught on the way."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.status = 128 + number


def heed_signals() -> None:
    """Let signals that would kill end the program in order, so that it sweeps behind itself.

    What the caller told it to ignore stays ignored.
    """
    for number in ENDING:
        if signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, _stop)


def _stop(number: int, _: object) -> NoReturn:
    raise Stopped(number)


def require_output() -> None:
    """Raise UsageError where standard output is closed, before anything is done."""
    if sys.stdout is None:
        raise UsageError("standard output is closed, so nothing can be told; nothing is done")


def settle_streams() -> None:
    """Let both output streams spell out what they cannot show."""
    codecs.register_error("beltpath.plain", _spell_out)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="beltpath.plain")


def tell(reply: Reply) -> int:
    """Print a reply, problems first, and return its exit status.

    Raises UsageError when standard output is closed or full; a reader that has gone away only
    changes the status.
    """
    complain(reply.problems)
    if not reply.text:
        return reply.status
    require_output()
    try:
        sys.stdout.write(reply.text)
        sys.stdout.flush()
    except BrokenPipeError:
        _abandon(sys.stdout)
        return PIPE_CLOSED
    except OSError as error:
        _abandon(sys.stdout)
        raise UsageError(
            f"standard output: cannot be written: {(error.strerror or str(error)).lower()}"
        ) from error
    return reply.status


def complain(problems: Iterable[str]) -> None:
    """Print sentences on standard error, if anybody listens there."""
    if sys.stderr is None:
        return
    try:
        sys.stderr.writelines(f"{inert(line)}\n" for line in "\n".join(problems).splitlines())
        sys.stderr.flush()
    except OSError:
        _abandon(sys.stderr)


def json_text(value: object) -> str:
    """JSON in plain ASCII, which no terminal or pipe can break."""
    return json.dumps(value, indent=2, allow_nan=False) + "\n"


def fold_width() -> int | None:
    """At how many characters to fold sentences; None unless a person reads standard output."""
    if sys.stdout is None or not sys.stdout.isatty():
        return None
    low, high = WIDTHS
    return min(max(shutil.get_terminal_size().columns, low), high)


def watched(items: Sequence[Item], what: str) -> Iterator[Item]:
    """Hand out items one by one; show a bar once it takes long, if stderr is a terminal."""
    started = monotonic()
    for done, item in enumerate(items):
        if monotonic() - started > PATIENCE and sys.stderr is not None and sys.stderr.isatty():
            yield from _with_bar(items, done, what)
            return
        yield item


def _with_bar(items: Sequence[Item], done: int, what: str) -> Iterator[Item]:
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    console = Console(stderr=True)
    with Progress(
        *columns, console=console, transient=True, redirect_stdout=False, redirect_stderr=False
    ) as bar:
        task = bar.add_task(what, total=len(items), completed=done)
        for item in items[done:]:
            yield item
            bar.advance(task)


def _spell_out(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    spelt = (
        _PLAIN.get(character) or character.encode("ascii", "backslashreplace").decode("ascii")
        for character in error.object[error.start : error.end]
    )
    return "".join(spelt), error.end


def _abandon(stream: TextIO) -> None:
    """Point a stream that cannot be written to nowhere, so that closing it at exit is silent."""
    with suppress(OSError, ValueError), Path(os.devnull).open("wb") as nowhere:
        os.dup2(nowhere.fileno(), stream.fileno())
