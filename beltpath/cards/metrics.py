"""Build the table of glyph widths from the card's faces: ``python -m beltpath.cards.metrics``.

The table ships with the package, so that a text is set without a font being opened. It names every
character that a card can show. A test compares it with the faces and with cairo.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path

from beltpath.cards import face
from beltpath.cards.text import WIDTHS_FILE


def tables() -> Iterator[tuple[str, dict[str, int]]]:
    """Advance widths of both weights in thousandths of an em, by code point."""
    for name, bold in (("regular", False), ("bold", True)):
        yield name, {str(code): wide for code, wide in face.advances(bold=bold).items()}


def main() -> None:
    """Write the table where the package reads it."""
    target = Path(__file__).parents[1] / "data" / WIDTHS_FILE
    target.write_text(json.dumps(dict(tables()), separators=(",", ":")) + "\n", encoding="utf-8")
    sys.stdout.write(f"{target.name} written\n")


if __name__ == "__main__":
    main()
