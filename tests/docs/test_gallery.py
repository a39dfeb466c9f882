"""The gallery is built from layouts/, and a picture that differs is found."""

from __future__ import annotations

import importlib.util
import re
import shutil
import sys
from pathlib import Path
from types import ModuleType

import pytest

from tests.docs.filled import run
from tests.docs.pages import ROOT


def gallery() -> ModuleType:
    """gallery/build.py, which is a script and not part of a package."""
    spec = importlib.util.spec_from_file_location("gallery_build", ROOT / "gallery" / "build.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


BUILD = gallery()
DEMOS = ("wrong-side", "water-wheel")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the gallery of two demos, and those demos beside it."""
    folder = tmp_path_factory.mktemp("gallery")
    layouts = folder / "layouts"
    layouts.mkdir()
    for name in DEMOS:
        shutil.copy(ROOT / "layouts" / f"{name}.toml", layouts)
    (folder / "gallery").mkdir()
    BUILD.build(folder / "gallery", layouts)
    return folder


def different(made: Path, tmp_path: Path, name: str, content: bytes | None) -> list[str]:
    """The differences after one file of a copy was changed, or taken away."""
    copy = tmp_path / "gallery"
    shutil.copytree(made / "gallery", copy)
    if content is None:
        (copy / name).unlink()
    else:
        (copy / name).write_bytes(content)
    found: list[str] = BUILD.differences(copy, made / "layouts")
    return found


def test_what_was_built_does_not_differ(made: Path) -> None:
    assert BUILD.differences(made / "gallery", made / "layouts") == []


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("wrong-side.svg", b"<svg/>", "wrong-side.svg: differs"),
        ("README.md", b"# Gallery\n", "README.md: differs"),
        ("water-wheel.svg", None, "water-wheel.svg: is missing"),
        ("water-wheel.png", None, "water-wheel.png: is missing"),
        ("stray.svg", b"<svg/>", "stray.svg: no layout gives this picture any more"),
    ],
)
def test_every_difference_is_named(
    made: Path, tmp_path: Path, name: str, content: bytes | None, said: str
) -> None:
    assert different(made, tmp_path, name, content) == [said]


def test_a_picture_of_another_size_is_named(made: Path, tmp_path: Path) -> None:
    (said,) = different(made, tmp_path, "water-wheel.png", b"\x89PNG\r\n\x1a\n" + bytes(16))
    assert said.startswith("water-wheel.png: is not a picture of 641 by 909 pixels")


def test_the_index_shows_every_picture_with_its_verdict_and_command(made: Path) -> None:
    text = (made / "gallery" / "README.md").read_text(encoding="utf-8")
    for name in DEMOS:
        assert f"]({name}.png)" in text
        assert f"\nbeltpath card layouts/{name}.toml --out {name}.svg\n" in text
    assert text.count("Verdict: **fail**") == 1
    assert text.count("Verdict: **pass**") == 1


def test_the_command_in_the_index_makes_the_same_bytes(made: Path, tmp_path: Path) -> None:
    shutil.copytree(made / "layouts", tmp_path / "layouts")
    run(["beltpath card layouts/wrong-side.toml --out wrong-side.svg"], tmp_path)
    for path in sorted(tmp_path.glob("wrong-side*.svg")):
        assert path.read_bytes() == (made / "gallery" / path.name).read_bytes()
    assert (tmp_path / "wrong-side.svg").is_file()


def test_ways_and_sheets_are_shown_by_commands_that_make_the_same_bytes(tmp_path: Path) -> None:
    layouts = tmp_path / "layouts"
    for name in ("found/spare-belt.toml", "measure/sprayer-tape.toml"):
        (layouts / name).parent.mkdir(parents=True)
        shutil.copy(ROOT / "layouts" / name, layouts / name)
    (tmp_path / "gallery").mkdir()
    BUILD.build(tmp_path / "gallery", layouts)
    text = (tmp_path / "gallery" / "README.md").read_text(encoding="utf-8")
    commands = re.findall(r"(?m)^beltpath .*$", text)
    assert [command.split()[1] for command in commands] == ["routes", "measure"]
    run(commands, tmp_path)
    made = sorted(path.name for path in (tmp_path / "gallery").glob("*.svg"))
    assert made == ["spare-belt.svg", "sprayer-tape-2.svg", "sprayer-tape.svg"]
    for name in made:
        assert (tmp_path / name).read_bytes() == (tmp_path / "gallery" / name).read_bytes()


def test_the_title_stays_inert(tmp_path: Path) -> None:
    """A title with signs of HTML is printed, not obeyed."""
    layouts = tmp_path / "layouts"
    layouts.mkdir()
    shutil.copy(ROOT / "layouts" / "long-names.toml", layouts)
    text = BUILD.index(BUILD.pictures(layouts))
    assert "&lt;aft engine &amp; winch&gt;" in text
    assert "<aft" not in text


def test_a_wrong_call_is_refused() -> None:
    assert BUILD.main(["--chekc"]) == 2
