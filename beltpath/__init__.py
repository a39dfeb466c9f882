"""Belt-routing diagrams and proofs.

import beltpath

layout = beltpath.read("layouts/orchard-sprayer.toml")
study = beltpath.study(layout)
print(study.verdict, study.path.length)
pages = beltpath.card(study, beltpath.Options(paper="a5")).pdf()
"""

from beltpath.answers import answer
from beltpath.card import Card, Options, card
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

__all__ = [
    "BeltpathError",
    "Card",
    "ExportError",
    "Finding",
    "Layout",
    "LayoutError",
    "Options",
    "PathError",
    "Problem",
    "Study",
    "UsageError",
    "answer",
    "card",
    "parse",
    "read",
    "study",
]
