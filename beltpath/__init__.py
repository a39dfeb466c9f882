"""Belt-routing diagrams and proofs.

    import beltpath

    layout = beltpath.read("layouts/orchard-sprayer.toml")
    study = beltpath.study(layout)
    print(study.verdict, study.path.length)
    beltpath.card(study).save("card.pdf")

Names are imported when they are first used, so that a script pays only for what it calls.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from beltpath.answers import answer
    from beltpath.errors import (
        BeltpathError,
        ExportError,
        LayoutError,
        PathError,
        Problem,
        UsageError,
    )
    from beltpath.files import read
    from beltpath.findings import Finding
    from beltpath.layout import Layout
    from beltpath.layout_file import parse
    from beltpath.study import Study, study

_HOMES = {
    "BeltpathError": "errors",
    "ExportError": "errors",
    "Finding": "findings",
    "Layout": "layout",
    "LayoutError": "errors",
    "PathError": "errors",
    "Problem": "errors",
    "Study": "study",
    "UsageError": "errors",
    "answer": "answers",
    "parse": "layout_file",
    "read": "files",
    "study": "study",
}

__all__ = [
    "BeltpathError",
    "ExportError",
    "Finding",
    "Layout",
    "LayoutError",
    "PathError",
    "Problem",
    "Study",
    "UsageError",
    "answer",
    "parse",
    "read",
    "study",
]


def __getattr__(name: str) -> object:
    if name not in _HOMES:
        raise AttributeError(f"module 'beltpath' has no attribute {name!r}")
    return getattr(import_module(f"beltpath.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return sorted(__all__)
