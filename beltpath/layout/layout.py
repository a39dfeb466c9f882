"""The measured facts of one belt drive, as a frozen record. Everything in it is in mm and degrees.

Front view, x to the right, y up; angles in degrees anticlockwise from +x. However a layout is
made, by the reader, by hand or with `Layout.replace`, it is judged by the rules of its file.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from types import MappingProxyType
from typing import Any, NamedTuple

from beltpath.errors import LayoutError, Problem
from beltpath.layout.convert import ACCURACY, tables_of
from beltpath.layout.keys import (
    Driver,
    Sense,
    Units,
)
from beltpath.layout.problems import fit_problems, judged, record_problems
from beltpath.layout.records import (
    Belt,
    Pulley,
    Running,
    Tensioner,
)
from beltpath.layout.toml import write


class Source(NamedTuple):
    """The text that a layout was read from, its digest, and the values that were read."""

    text: str
    digest: str
    values: tuple[Any, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """One belt drive as measured. `route` is None when it is to be found.

    `driver` is what turns the crank: the steps and their cautions follow from it. `units` is how
    its file is written, and `name` what the file is called. Its `text` and `digest`
    are the file's as long as the values are. Raises LayoutError, with the sentences of the reader,
    when the values are no layout.
    """

    title: str
    units: Units = "mm"
    crank_turns: Sense = "clockwise"
    driver: Driver = "engine"
    accuracy: float = ACCURACY
    notes: str = ""
    route: tuple[str, ...] | None = None
    belt: Belt
    pulleys: Mapping[str, Pulley]
    tensioner: Tensioner | None = None
    running: Running | None = None
    name: str = "layout"
    source: Source | None = field(default=None, compare=False, repr=False)

    def __post_init__(self) -> None:
        """Close the record to changes, and judge it."""
        if isinstance(self.pulleys, Mapping):
            object.__setattr__(self, "pulleys", MappingProxyType(dict(self.pulleys)))
        if isinstance(self.route, list):
            object.__setattr__(self, "route", tuple(self.route))
        if not isinstance(self.source, Source | None):
            found = f"must be a Source or None; found {type(self.source).__name__}"
            raise LayoutError([Problem("source", found)])
        problems = list(record_problems(self)) or judged(tables_of(self))[1]
        if problems := problems or list(fit_problems(self.belt, self.pulleys, self.units)):
            raise LayoutError(problems)

    def __reduce__(self) -> tuple[Any, ...]:
        """Pickle and copy it as its values: a view of a mapping cannot be pickled."""
        return _restored, ({**_facts(self), "pulleys": dict(self.pulleys), "source": self.source},)

    def replace(self, **changes: Any) -> Layout:
        """The layout with some of its fields changed, judged anew; its text tells the new values.

        Raises LayoutError when the values are no layout.
        """
        return replace(self, **changes)

    def __repr__(self) -> str:
        """One line: its title and how many pulleys it has."""
        return f"<Layout {self.title!r}: {len(self.pulleys)} pulleys>"

    @property
    def text(self) -> str:
        """The file's text, or one written from the values where they are no longer the file's."""
        known = self._known
        return write(tables_of(self)) if known is None else known.text

    @property
    def digest(self) -> str:
        """A short digest of the text, which traces a card to its file."""
        known = self._known
        return digest_of(self.text) if known is None else known.digest

    @property
    def _known(self) -> Source | None:
        """The text that was read, where it still says what the values are."""
        source = self.source
        return source if source is not None and source.values == _values(self) else None

    @property
    def crank(self) -> Pulley:
        """The one pulley whose role is crank."""
        return next(p for p in self.pulleys.values() if p.role == "crank")


def digest_of(text: str) -> str:
    """A short digest of a layout's text."""
    return hashlib.sha256(text.encode()).hexdigest()[:8]


def from_text(layout: Layout, text: str, digest: str) -> Layout:
    """The layout with the text that it was read from."""
    return _restored({**_facts(layout), "source": Source(text, digest, _values(layout))})


def stand_in(layout: Layout, **changes: Any) -> Layout:
    """A layout with values changed for a drawing or a calculation alone.

    It is not judged, and its text and digest stay those of the layout that it stands for.
    """
    text, digest, _ = layout._known or (layout.text, layout.digest, ())
    return from_text(_restored({**_facts(layout), **changes}), text, digest)


def without_text(layout: Layout, *, name: str) -> Layout:
    """The layout for a sheet that carries none, since its values are not to be relied on."""
    return from_text(_restored({**_facts(layout), "name": name}), "", "no layout")


def _restored(facts: Mapping[str, Any]) -> Layout:
    """A layout of values that were judged before, or that need not be."""
    layout = object.__new__(Layout)
    for name, value in {"source": None, **facts}.items():
        closed = MappingProxyType(dict(value)) if name == "pulleys" else value
        object.__setattr__(layout, name, closed)
    return layout


def _facts(layout: Layout) -> dict[str, Any]:
    return {name: getattr(layout, name) for name in (*_NAMES, "name")}


def _values(layout: Layout) -> tuple[Any, ...]:
    """What the text says; the pulleys in their order, for the text has one."""
    return tuple(
        tuple(layout.pulleys.items()) if name == "pulleys" else getattr(layout, name)
        for name in _NAMES
    )


#: What the text of a layout says: all but the name of its file, and where it was read.
_NAMES = tuple(one.name for one in fields(Layout) if one.name not in ("name", "source"))
