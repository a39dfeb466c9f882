"""What can go wrong, as one small tree.

::

    BeltpathError
    ├── LayoutError     the layout file cannot be used; carries every problem found
    ├── PathError       no belt can be laid round these pulleys at all
    ├── UsageError      the call itself cannot be carried out (a file exists, an unknown view ...)
    └── ExportError     a picture cannot be written (cairo is not installed ...)

A drive that is wrong but can be computed is not an error: it is a finding of a check.
"""

from __future__ import annotations

from dataclasses import dataclass


class BeltpathError(Exception):
    """Base of every error that beltpath raises on purpose; its text is plain sentences."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake in a file: where it is and what to do about it.

    `path` is the key path (``pulleys.idler.diameter``), empty for the file as a whole; `line` is
    counted from 1, None where it cannot be known. `place` is another place than a line: an option
    of the call (``--with crank.diameter=0``).
    """

    path: str
    message: str
    line: int | None = None
    place: str = ""

    def __str__(self) -> str:
        place = f"{self.place}: " if self.place else ""
        place += f"line {self.line}: " if self.line is not None else ""
        return f"{place}{self.path}: {self.message}" if self.path else f"{place}{self.message}"


class LayoutError(BeltpathError):
    """The layout file cannot be used. `problems` holds every mistake found, in file order."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in problems))

    def __reduce__(self) -> tuple[type[LayoutError], tuple[list[Problem]]]:
        """What it is made from: an exception would be copied from its text alone."""
        return type(self), (list(self.problems),)


class PathError(BeltpathError):
    """No belt can be laid: two pulleys that the route joins have no common tangent."""


class UsageError(BeltpathError):
    """The call cannot be carried out as it was made."""


class ExportError(BeltpathError):
    """A picture or document cannot be written."""
