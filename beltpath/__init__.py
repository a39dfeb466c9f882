"""Belt-routing diagrams and proofs.

import beltpath

layout = beltpath.read("layouts/orchard-sprayer.toml")
study = beltpath.study(layout)
print(study.verdict, study.path.length)
pages = beltpath.card(study, beltpath.Options(paper="a5")).pdf()
"""

from beltpath.cards import Card, Options, card
from beltpath.checks.findings import Finding
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
from beltpath.output.check_answer import answer
from beltpath.studies import Study, study

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
