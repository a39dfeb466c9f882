"""Build the gallery: a card of every layout, and an index that shows them.

``python gallery/build.py`` writes NAME.svg (NAME-2.svg for a further page) and NAME.png for every
layouts/NAME.toml, for the ways found in every layouts/found/NAME.toml and for the sheet of every
layouts/measure/NAME.toml, and README.md, the index. ``--check`` writes nothing; it compares what
would be written with what is there and fails with the names of the files that differ. SVG and index
are compared byte for byte. The bytes of a PNG depend on the renderer that made it, so of PNGs only
presence and size in pixels are compared.
"""

from __future__ import annotations

import html
import struct
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from beltpath import Study, read, study
from beltpath.cards import Card, Options, card
from beltpath.cli.measure import sheet
from beltpath.cli.routes import ways_of
from beltpath.files.reading import read_text
from beltpath.files.writing import write_whole
from beltpath.output.measure_text import remarks
from beltpath.ranking.find import find_routes
from beltpath.survey import Measurement
from beltpath.survey import parse as parse_measurements
from beltpath.survey import solve as solve_measurements

ROOT = Path(__file__).resolve().parents[1]
OPTIONS = Options()
LARGE = Options(paper="a4")
#: What may be left out of a drive whose belt goes no way round all of it.
OPTIONAL = {"spare-belt": ("idler",)}
DPI = 110.0
MM_PER_INCH = 25.4
PNG_MAGIC = b"\x89PNG\r\n\x1a\n"

OPENING = """\
# Gallery

A card of every layout in [layouts/](../layouts/). Each picture is the first page; a further page
holds what did not fit. The card of a drive with faults is drawn too, and says NOT VERIFIED. At the
end stand the ways found for belts without a diagram, and sheets of what was measured.

Written by `python gallery/build.py`; do not edit by hand.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One card, made in memory: its name, what the index says of it, and the command for it."""

    name: str
    title: str
    source: str
    command: str
    status: str
    told: tuple[str, ...]
    card: Card

    @property
    def svg_files(self) -> dict[str, bytes]:
        """File name to bytes, one file a page: NAME.svg, NAME-2.svg ..."""
        pages = enumerate(self.card.svg_pages, start=1)
        return {f"{self.name}{_suffix(i)}.svg": text.encode() for i, text in pages}

    @property
    def png_file(self) -> str:
        """The name of its PNG picture, which shows the first page."""
        return f"{self.name}.png"

    def png(self) -> bytes:
        """The first page as a PNG picture. Raises ExportError when cairo cannot be loaded."""
        return self.card.png_pages(dpi=DPI)[0]

    @property
    def pixels(self) -> tuple[float, float]:
        """Width and height that the PNG should have."""
        paper = self.card.pages[0].paper
        return (paper.width * DPI / MM_PER_INCH, paper.height * DPI / MM_PER_INCH)


def pictures(layouts: Path) -> list[Picture]:
    """The card of every layout of a folder, by name; then the ways found, and what was measured."""
    return [
        *(_card(path, study(read(path))) for path in sorted(layouts.glob("*.toml"))),
        *(_ways(path) for path in sorted(layouts.glob("found/*.toml"))),
        *(_sheet(path) for path in sorted(layouts.glob("measure/*.toml"))),
    ]


def _card(path: Path, studied: Study) -> Picture:
    findings = (f"{f.level}, `{f.check}`: {f.message}" for f in studied.findings)
    return Picture(
        name=path.stem,
        title=studied.layout.title,
        source=path.name,
        command=f"card layouts/{path.name} --out {path.stem}.svg",
        status=f"Verdict: **{studied.verdict}**",
        told=tuple(findings),
        card=card(studied, OPTIONS),
    )


def _ways(path: Path) -> Picture:
    optional = OPTIONAL.get(path.stem, ())
    search = find_routes(read(path), optional=optional)
    options = "".join(f" --optional {name}" for name in optional)
    return Picture(
        name=path.stem,
        title=search.layout.title,
        source=f"found/{path.name}",
        command=f"routes layouts/found/{path.name}{options} --card {path.stem}.svg",
        status=search.summary,
        told=(),
        card=ways_of(search, LARGE),
    )


def _sheet(path: Path) -> Picture:
    text = read_text(path)
    measured: Measurement = solve_measurements(parse_measurements(text, name=path.stem))
    found = measured.layout_text() if measured.usable else ""
    return Picture(
        name=path.stem,
        title=measured.survey.layout.title,
        source=f"measure/{path.name}",
        command=f"measure layouts/measure/{path.name} --picture {path.stem}.svg",
        status=f"Measured: {measured.survey.readings}",
        told=tuple(f"{kind}: {words}" for kind, words in remarks(measured)),
        card=sheet(measured, found, path.stem, LARGE),
    )


def build(folder: Path, layouts: Path) -> list[str]:
    """Write the gallery of `layouts` into `folder`, and return the names of the files written."""
    made = pictures(layouts)
    files = dict(_compared(made))
    for picture in made:
        files[picture.png_file] = picture.png()
    for name, content in files.items():
        write_whole(folder / name, content, force=True)
    return sorted(files)


def differences(folder: Path, layouts: Path) -> list[str]:
    """What differs between the gallery in `folder` and what `layouts` would give, one line each."""
    made = pictures(layouts)
    expected = _compared(made)
    found = [line for name, text in expected.items() for line in _difference(folder / name, text)]
    for picture in made:
        found += _png_difference(folder / picture.png_file, picture.pixels)
    known = {*expected, *(picture.png_file for picture in made)}
    strays = {
        path.name for path in folder.iterdir() if path.suffix in (".svg", ".png", ".md")
    } - known
    return found + [f"{name}: no layout gives this picture any more" for name in sorted(strays)]


def index(made: Sequence[Picture]) -> str:
    """The page that shows every picture, its title, its verdict and the command that made it."""
    return OPENING + "".join(_entry(picture) for picture in made)


def main(arguments: Sequence[str]) -> int:
    """Build, or compare with ``--check``; 1 when something differs."""
    folder, layouts = ROOT / "gallery", ROOT / "layouts"
    if list(arguments) not in ([], ["--check"]):
        print("usage: python gallery/build.py [--check]", file=sys.stderr)
        return 2
    if not arguments:
        print(f"{len(build(folder, layouts))} files are written")
        return 0
    found = differences(folder, layouts)
    for line in found:
        print(line)
    if found:
        print("build the gallery anew (python gallery/build.py) and look at the pictures")
    return 1 if found else 0


def _compared(made: Sequence[Picture]) -> Mapping[str, bytes]:
    """The files whose bytes must be equal."""
    files = {name: text for picture in made for name, text in picture.svg_files.items()}
    return files | {"README.md": index(made).encode()}


def _entry(picture: Picture) -> str:
    pages = " · ".join(f"[{name}]({name})" for name in picture.svg_files)
    told = "".join(f"- {_plain(line)}\n" for line in picture.told)
    return f"""
## {picture.name}

{_plain(picture.title)}

{_plain(picture.status)} · [layout](../layouts/{picture.source}) · {pages}

```sh
beltpath {picture.command}
```

{told}{chr(10) if told else ""}![Routing card of {picture.name}]({picture.png_file})
"""


def _plain(text: str) -> str:
    return html.escape(text, quote=False)


def _suffix(page: int) -> str:
    return "" if page == 1 else f"-{page}"


def _difference(path: Path, expected: bytes) -> list[str]:
    if not path.is_file():
        return [f"{path.name}: is missing"]
    return [] if path.read_bytes() == expected else [f"{path.name}: differs"]


def _png_difference(path: Path, expected: tuple[float, float]) -> list[str]:
    if not path.is_file():
        return [f"{path.name}: is missing"]
    size = _png_size(path.read_bytes())
    if size is None or any(abs(a - b) > 1.0 for a, b in zip(size, expected, strict=True)):
        return [f"{path.name}: is not a picture of {expected[0]:.0f} by {expected[1]:.0f} pixels"]
    return []


def _png_size(data: bytes) -> tuple[int, int] | None:
    """Width and height by the picture's first chunk, IHDR."""
    if not data.startswith(PNG_MAGIC) or len(data) < 24:
        return None
    width, height = struct.unpack(">II", data[16:24])
    return (width, height)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
