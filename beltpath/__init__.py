"""Belt-routing diagrams and proofs.

import beltpath

layout = beltpath.read("layouts/orchard-sprayer.toml")
study = beltpath.study(layout)
print(study.verdict, study.path.length)
pages = beltpath.card(study, beltpath.Options(paper="a5")).pdf()

docs/python.md has examples. Every name below is loaded when it is first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from beltpath.cards import Card, Options, card
    from beltpath.checks.findings import Finding
    from beltpath.comparison import Comparison
    from beltpath.errors import (
        BeltpathError,
        ExportError,
        LayoutError,
        PathError,
        Problem,
        UsageError,
    )
    from beltpath.files.reading import read
    from beltpath.layout.layout import Layout
    from beltpath.layout.reader import parse
    from beltpath.library import (
        Study,
        answer,
        compare,
        measure,
        routes,
        rows,
        size,
        study,
        what_if,
    )
    from beltpath.output.rows import Rows
    from beltpath.output.size_answer import Sized
    from beltpath.ranking.find import Search
    from beltpath.survey import Measurement

    __version__: str

__all__ = [
    "BeltpathError",
    "Card",
    "Comparison",
    "ExportError",
    "Finding",
    "Layout",
    "LayoutError",
    "Measurement",
    "Options",
    "PathError",
    "Problem",
    "Rows",
    "Search",
    "Sized",
    "Study",
    "UsageError",
    "__version__",
    "answer",
    "card",
    "compare",
    "measure",
    "parse",
    "read",
    "routes",
    "rows",
    "size",
    "study",
    "what_if",
]

#: Where the public names live.
_HOMES = {
    "cards": ("Card", "Options", "card"),
    "checks.findings": ("Finding",),
    "comparison": ("Comparison",),
    "errors": (
        *("BeltpathError", "ExportError", "LayoutError", "PathError", "Problem", "UsageError"),
    ),
    "files.reading": ("read",),
    "layout.layout": ("Layout",),
    "layout.reader": ("parse",),
    "library": (
        *("Study", "answer", "compare", "measure", "routes", "rows", "size", "study", "what_if"),
    ),
    "output.rows": ("Rows",),
    "output.size_answer": ("Sized",),
    "ranking.find": ("Search",),
    "survey": ("Measurement",),
}

if not TYPE_CHECKING:  # pragma: no branch

    def __getattr__(name: str) -> object:
        """Load a public name from where it lives, the first time that it is used."""
        if name == "__version__":
            from importlib.metadata import version

            found = version("beltpath")
        else:
            from importlib import import_module

            home = next((home for home, names in _HOMES.items() if name in names), None)
            if home is None:
                raise AttributeError(f"module 'beltpath' has no attribute {name!r}")
            found = getattr(import_module(f"beltpath.{home}"), name)
        globals()[name] = found
        return found


def __dir__() -> list[str]:
    """The public names, loaded or not."""
    return sorted({*globals(), *__all__})
