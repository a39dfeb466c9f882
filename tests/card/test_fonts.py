"""The card's font on machines that have none, and characters that it lacks."""

from __future__ import annotations

import hashlib
import io
import os
import re
import subprocess
import sys
import tomllib
from dataclasses import replace
from importlib import import_module, metadata
from pathlib import Path
from typing import Any

import pypdf
import pytest

import beltpath
from beltpath.cards import Card, card, font
from beltpath.cards.font import texts
from beltpath.cards.scene import Group, Words
from beltpath.errors import ExportError
from beltpath.layout.reader import parse
from beltpath.studies import Study
from tests.card.scenes import LAYOUTS, plain, studied
from tests.card.test_metrics import measured

ROOT = LAYOUTS.parent
#: A machine's fonts as the operator may have set them up: none at all.
NO_FONTS = "<fontconfig></fontconfig>"
DRAWN = """
import hashlib, sys
import beltpath
study = beltpath.study(beltpath.read(sys.argv[1]))
made = beltpath.card(study, beltpath.Options(paper="a6"))
parts = ["".join(made.svg_pages).encode(), made.pdf(), *made.png_pages(50.0)]
for part in parts:
    print(hashlib.sha256(part).hexdigest())
"""
#: Scripts that run from right to left or need shaping, pictures, and marks set over a letter.
LACKING = {
    "hebrew": ("גלגלת", "“ג” (U+05D2, HEBREW LETTER GIMEL)"),
    "arabic": ("بكرة", "“ب” (U+0628, ARABIC LETTER BEH)"),
    "chinese": ("皮带", "“皮” (U+76AE, CJK UNIFIED IDEOGRAPH-76AE)"),
    "emoji": ("fan 🚜", "“🚜” (U+1F69C, TRACTOR)"),
    "combining": ("Zu\u0308g", "(U+0308, COMBINING DIAERESIS)"),
    "box": ("a□b", "“□” (U+25A1, WHITE SQUARE)"),
}


def drive(**changed: str) -> Study:
    """The water wheel's drive with other texts."""
    text = (LAYOUTS / "water-wheel.toml").read_text("utf-8")
    for key, value in changed.items():
        text, count = re.subn(rf"(?m)^{key} = .*$", f'{key} = "{value}"', text, count=1)
        if not count:
            text = f'{key} = "{value}"\n{text}'
    return beltpath.study(beltpath.parse(text, name="wheel"))


@measured
class TestAMachineWithoutFonts:
    def test_every_card_comes_out_in_the_same_bytes(self, tmp_path: Path) -> None:
        """SVG, PDF and PNG, as here; nothing is drawn in a fallback face."""
        config = tmp_path / "fonts.conf"
        config.write_text(NO_FONTS)
        done = subprocess.run(
            [sys.executable, "-c", DRAWN, str(LAYOUTS / "orchard-sprayer.toml")],
            env={**os.environ, "FONTCONFIG_FILE": str(config), "HOME": str(tmp_path)},
            cwd=ROOT,
            capture_output=True,
            check=True,
            timeout=120,
        )
        made = plain("orchard-sprayer", paper="a6")
        parts = ["".join(made.svg_pages).encode(), made.pdf(), *made.png_pages(50.0)]
        here = [hashlib.sha256(part).hexdigest() for part in parts]
        assert done.stdout.decode().split() == here

    def test_minus_degrees_and_plus_or_minus_are_in_the_pdf(self) -> None:
        """No line of a card has a minus of its own: the title has one."""
        text = (LAYOUTS / "orchard-sprayer.toml").read_text(encoding="utf-8")
        cold = parse(text.replace("pump end", "to −20 °C"))
        pages = pypdf.PdfReader(io.BytesIO(card(beltpath.study(cold)).pdf())).pages
        text = pages[0].extract_text()
        for sign in "−°±":
            assert sign in text


class TestFontconfig:
    """Where the font cannot be made known nothing is drawn: one sentence, and the SVG instead."""

    @pytest.fixture(autouse=True)
    def _afresh(self, monkeypatch: pytest.MonkeyPatch) -> Any:
        monkeypatch.setattr(font, "make_known", font.make_known.__wrapped__)

    def refused(self, tmp_path: Path, kind: str) -> str:
        paint = import_module("beltpath.cards.cairo")
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(paint, "make_known", font.make_known)
            with pytest.raises(ExportError, match="cannot be made known") as caught:
                plain("water-wheel", paper="a6").save(tmp_path / f"card.{kind}")
        assert list(tmp_path.iterdir()) == []
        return str(caught.value)

    @measured
    @pytest.mark.parametrize("kind", ["pdf", "png"])
    def test_no_library(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
        monkeypatch.setattr(font, "LIBRARIES", ("libnothing-of-this-name.so.1",))
        told = self.refused(tmp_path, kind)
        assert "write the card as SVG" in told
        assert "\n" not in told

    @measured
    def test_a_file_that_is_no_font(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(font, "path", lambda *, bold: Path(__file__).parent / "none.ttf")
        self.refused(tmp_path, "pdf")

    @measured
    def test_cairo_draws_in_another_face(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """As where cairo does not ask fontconfig for its faces."""
        monkeypatch.setattr(font, "FAMILY", "monospace")
        self.refused(tmp_path, "pdf")

    @measured
    def test_it_is_known_once_told(self) -> None:
        font.make_known()
        font.make_known()


class TestDependency:
    def test_the_release_of_the_font_is_fixed(self) -> None:
        """Another release may have other outlines: then a card has other bytes."""
        name = "fontpkg-fira-sans-condensed"
        project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
        assert f"{name}=={metadata.version(name)}" in project["dependencies"]


class TestLacking:
    @pytest.mark.parametrize("kind", LACKING)
    def test_a_title_is_refused_by_the_characters_name(self, kind: str) -> None:
        text, name = LACKING[kind]
        with pytest.raises(ExportError, match=re.escape(name)) as caught:
            card(drive(title=f"Mill {text}"))
        told = str(caught.value)
        assert re.match(r"wheel: line \d+: title: the card's font has no ", told)
        assert "\n" not in told
        advice = "as one character" if kind == "combining" else "Latin, Greek or Cyrillic letters"
        assert told.endswith(advice) or advice in told

    def test_many_are_counted(self) -> None:
        with pytest.raises(ExportError, match=r"LAMED\)?.* and 2 more; write"):
            card(drive(title="גלתאב"))

    @pytest.mark.parametrize(
        ("demo", "key"),
        [("water-wheel", "notes"), ("long-names", "label"), ("long-names", "lever")],
    )
    def test_the_key_is_told(self, demo: str, key: str) -> None:
        text = re.sub(rf'(\b{key} *= *")', r"\g<1>手", studied(demo).layout.text, count=1)
        told = {"notes": "notes", "lever": r"tensioner\.lever", "label": r"pulleys\.\S+\.label"}[
            key
        ]
        with pytest.raises(ExportError, match=rf"x: line \d+: {told}: the card.*U\+624B"):
            card(beltpath.study(beltpath.parse(text, name="x")))

    def test_a_pulleys_own_name(self) -> None:
        layout = drive().layout
        text = layout.text.replace('"wheel"', '"手"').replace("\nwheel ", '\n"手" ')
        with pytest.raises(ExportError, match=r'pulleys\."手": the card.s font has no'):
            card(beltpath.study(beltpath.parse(text, name="x")))

    def test_the_files_own_name(self) -> None:
        layout = replace(drive().layout, name="手")
        with pytest.raises(ExportError, match="the file's name, 手: the card's font has no"):
            card(beltpath.study(layout))

    def test_a_text_from_elsewhere_is_quoted(self) -> None:
        made = plain("water-wheel", paper="a6")
        page = made.pages[0]
        words = Words(text="from 手 elsewhere", at=(20.0, 20.0), size=3.4)
        strange = replace(page, items=(Group(name="part", items=(words,)),))
        with pytest.raises(ExportError, match="“from 手 elsewhere”: the card's font has no"):
            Card(title="t", pages=(strange,))

    def test_letters_of_greek_and_cyrillic_are_drawn(self) -> None:
        made = card(drive(title="Größe Łódź Ωμέγα Кириллица"))
        assert "Größe Łódź Ωμέγα Кириллица" in " ".join(texts(made.pages[0].items))

    def test_tabs_and_wide_blanks_of_the_notes_are_drawn_as_blanks(self) -> None:
        made = card(drive(notes="Look:\\ttwice\u2003round"))
        assert "Look:\ttwice\u2003round" in "".join(made.svg_pages)
        text = pypdf.PdfReader(io.BytesIO(made.pdf())).pages[-1].extract_text()
        assert "Look: twice round" in text
