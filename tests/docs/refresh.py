"""Write the data tables and the command output of every page anew: python -m tests.docs.refresh.

Look at the difference before you commit it: this writes what the program says, right or wrong.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from tests.docs.filled import with_outputs, with_tables
from tests.docs.pages import ROOT, pages


def workplace(folder: Path) -> Path:
    """A copy of what the commands of a page work on: the layouts."""
    shutil.copytree(ROOT / "layouts", folder / "layouts")
    return folder


def refresh(page: Path) -> bool:
    """Rewrite one page; whether it changed."""
    before = page.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        after = with_outputs(with_tables(before), workplace(Path(folder)))
    if after != before:
        page.write_text(after, encoding="utf-8")
    return after != before


def main() -> None:
    """Rewrite every page."""
    for page in pages():
        if refresh(page):
            print(f"{page.relative_to(ROOT)} is rewritten")


if __name__ == "__main__":
    main()
