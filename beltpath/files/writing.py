"""Writing files whole: several as one, and never over a file without leave.

Data is laid ready in temporary neighbours; then names are changed, which a file system does at
once. A signal that comes meanwhile is answered afterwards.
"""

from __future__ import annotations

import os
import signal
import stat
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path
from secrets import token_hex
from typing import NamedTuple

from beltpath.errors import UsageError
from beltpath.layout.characters import shown

#: How the name of a file begins until it is whole.
PREFIX = ".beltpath-"
#: Signals that ask the program to end; not every system has them all.
ENDING = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)
_FORCE = "say --force to write over it"


class _Ready(NamedTuple):
    """A file that is whole under another name. `stands` tells whether one is to be replaced."""

    temporary: Path
    target: Path
    stands: bool


def write_whole(path: Path, data: bytes, *, force: bool = False, otherwise: str = _FORCE) -> None:
    """Write one file as `write_set` writes several."""
    write_set([(path, data)], force=force, otherwise=otherwise)


def write_set(
    files: Sequence[tuple[Path, bytes]], *, force: bool = False, otherwise: str = _FORCE
) -> None:
    """Write files as one: all of them whole, or everything stays as it was.

    Without `force` no file may stand there, not even one that another process makes meanwhile;
    `otherwise` tells what to do then. With it a file keeps its mode, a link is followed, and what
    is no ordinary file is left alone. Raises UsageError.
    """
    spare: list[Path] = []
    try:
        ready = [_laid_ready(path, data, force, otherwise, spare) for path, data in files]
        with undisturbed():
            spare += _put_in_place(ready, force, otherwise)
    finally:
        with undisturbed():
            _sweep(spare)


def vacant(path: Path, *, force: bool, otherwise: str = _FORCE) -> Path:
    """The path, if it may be written to. Raises UsageError where something stands there."""
    if not force and os.path.lexists(path):
        raise _exists(path, otherwise)
    return path


@contextmanager
def undisturbed() -> Iterator[None]:
    """Put off signals that ask the program to end until these few steps are done."""
    came: list[int] = []
    before = {}
    try:
        # Only the main thread is told of signals, and only it may change what they do.
        if threading.current_thread() is threading.main_thread():
            for number in ENDING:
                if signal.getsignal(number) not in (signal.SIG_IGN, None):
                    before[number] = signal.signal(number, lambda n, _: came.append(n))
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        for number in came:
            signal.raise_signal(number)


def named(path: str | os.PathLike[str]) -> str:
    """A path in a sentence; ``-`` is standard input."""
    return "standard input" if str(path) == "-" else printable(str(path))


def printable(name: str) -> str:
    """A file's name for paper and screen: what does not print is shown as a question mark."""
    return "".join(c if c.isprintable() else "?" for c in shown(name, "?"))


def reason(error: OSError | ValueError) -> str:
    """Why a file cannot be read or written, as the system says it."""
    return ((error.strerror if isinstance(error, OSError) else None) or str(error)).lower()


def _laid_ready(path: Path, data: bytes, force: bool, otherwise: str, spare: list[Path]) -> _Ready:
    """Write the data beside its place, with the mode that it will have."""
    try:
        target, mode = _target(vacant(path, force=force, otherwise=otherwise), force)
        temporary = target.with_name(PREFIX + token_hex(8))
        spare.append(temporary)
        with temporary.open("xb") as stream:
            stream.write(data)
        if mode is not None:
            temporary.chmod(mode)
    except (OSError, ValueError) as error:
        raise _unwritable(path, reason(error)) from error
    return _Ready(temporary, target, mode is not None)


def _target(path: Path, force: bool) -> tuple[Path, int | None]:
    """Where to write, links followed, and the mode of the file that stands there."""
    if not force:
        return path, None
    target = Path(os.path.realpath(path))
    try:
        mode = target.stat().st_mode
    except FileNotFoundError:
        return target, None
    if stat.S_ISDIR(mode):
        raise _unwritable(path, "is a folder")
    if not stat.S_ISREG(mode):
        raise _unwritable(path, "it is no ordinary file (a pipe or a device) and is left alone")
    return target, stat.S_IMODE(mode)


def _put_in_place(ready: Sequence[_Ready], force: bool, otherwise: str) -> list[Path]:
    """Give every file its name, or none; returns the files replaced, under names to be swept."""
    undo: list[Callable[[], object]] = []
    kept: list[Path] = []
    for one in ready:
        try:
            if force:
                kept += _replace(one, undo, alone=len(ready) == 1)
            else:
                _create(one, undo)
        except OSError as error:
            for step in reversed(undo):
                step()
            if isinstance(error, FileExistsError):
                raise _exists(one.target, otherwise) from error
            raise _unwritable(one.target, reason(error)) from error
    return kept


def _create(one: _Ready, undo: list[Callable[[], object]]) -> None:
    """Give a file its name where nothing stands; raises FileExistsError where something does."""
    try:
        os.link(one.temporary, one.target)
    except FileExistsError:
        raise
    except OSError:
        # A file system without second names: hold the place with an empty file first.
        one.target.open("xb").close()
        undo.append(one.target.unlink)
        one.temporary.replace(one.target)
    else:
        undo.append(one.target.unlink)


def _replace(one: _Ready, undo: list[Callable[[], object]], *, alone: bool) -> list[Path]:
    """Put a file in the place of the one that stands there, which is kept in case of trouble."""
    kept: list[Path] = []
    if one.stands and not alone:
        old = one.target.with_name(PREFIX + token_hex(8))
        try:
            os.link(one.target, old)
        except OSError:
            one.target.rename(old)
        kept.append(old)
        undo.append(partial(_put_back, old, one.target))
    elif not one.stands:
        undo.append(partial(one.target.unlink, missing_ok=True))
    one.temporary.replace(one.target)
    return kept


def _put_back(old: Path, target: Path) -> None:
    old.replace(target)
    # Two names of one file: the system leaves both and calls it done.
    old.unlink(missing_ok=True)


def _sweep(paths: Sequence[Path]) -> None:
    for path in paths:
        with suppress(OSError, ValueError):
            path.unlink(missing_ok=True)


def _exists(path: Path, otherwise: str) -> UsageError:
    return UsageError(f"{printable(str(path))}: exists already; {otherwise}")


def _unwritable(path: Path, why: str) -> UsageError:
    return UsageError(f"{printable(str(path))}: cannot be written: {why}")
