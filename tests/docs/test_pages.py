"""The pages say what is so: links lead somewhere, commands print what stands below them."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Mapping
from datetime import date
from importlib import import_module
from pathlib import Path

import pytest

from beltpath import checks
from beltpath.data.tables import limits
from tests.docs.filled import CONSOLE, environment, run, said_on, table, with_tables
from tests.docs.pages import DOCS, ROOT, anchor, code, headings, links, pages, tables
from tests.docs.refresh import workplace

PAGES = pages()
NAMES = [path.relative_to(ROOT).as_posix() for path in PAGES]


def text_of(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", NAMES)
class TestLinks:
    def test_files_and_headings_are_there(self, name: str) -> None:
        here = ROOT / name
        for link in links(text_of(name)):
            if link.startswith(("https://", "http://")):
                continue
            target, _, heading = link.partition("#")
            path = (here.parent / target).resolve() if target else here
            assert path.is_relative_to(ROOT), link
            assert path.exists(), link
            if heading:
                there = headings(path.read_text(encoding="utf-8"))
                assert heading in map(anchor, there), link

    def test_foreign_links_are_few_and_safe(self, name: str) -> None:
        """Only to the homes of formats; nothing that could vanish with a shop."""
        hosts = {re.sub(r"https://([^/]+).*", r"\1", x) for x in links(text_of(name)) if "//" in x}
        assert hosts <= {"toml.io", "keepachangelog.com", "semver.org"}


@pytest.mark.parametrize("name", [n for n in NAMES if "$ beltpath" in text_of(n)])
def test_every_command_prints_what_stands_below_it(name: str, tmp_path: Path) -> None:
    """Run in order, in one temporary copy of layouts/ for each page."""
    said = said_on(text_of(name))
    printed = run([one.command for one in said], workplace(tmp_path))
    for one, output in zip(said, printed, strict=True):
        assert output == one.output, f"{name}: $ {one.command}; see python -m tests.docs.refresh"


def test_the_small_shell_speaks_as_the_program_does(tmp_path: Path) -> None:
    """The same command as a process of its own, with its exit status."""
    folder = workplace(tmp_path)
    here = run(["beltpath check layouts/wrong-side.toml nowhere.toml", "echo $?"], folder)
    program = [sys.executable, "-c", "from beltpath.cli.app import main; main()"]
    alone = subprocess.run(
        [*program, "check", "layouts/wrong-side.toml", "nowhere.toml"],
        cwd=folder,
        env=environment(folder),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    assert here[0] == alone.stdout
    assert here[1] == f"{alone.returncode}\n" == "2\n"


def test_each_user_has_commands_to_follow() -> None:
    for name in ("technician", "parts-person", "hobbyist"):
        commands = [said.command for said in said_on(text_of(f"docs/{name}.md"))]
        assert sum("beltpath" in command for command in commands) >= 4, name


def test_console_blocks_are_the_only_ones_with_prompts() -> None:
    """A prompt in any other fence would never be run."""
    for name in NAMES:
        bare = CONSOLE.sub("", text_of(name))
        assert not re.search(r"(?m)^\$ ", bare), name


def test_the_index_links_every_page_and_every_demo() -> None:
    linked = {link.split("#")[0] for link in links(text_of("docs/index.md"))}
    assert {path.name for path in DOCS.glob("*.md")} - {"index.md"} <= linked
    demos = {f"../layouts/{path.name}" for path in (ROOT / "layouts").glob("*.toml")}
    assert demos <= linked


def test_the_index_tells_the_verdict_of_every_demo() -> None:
    from tests.demos.test_demos import PROMISES

    (listed,) = [t for t in tables(text_of("docs/index.md")) if "verdict" in t.rows[0]]
    told = {re.sub(r"\[(.*?)\].*", r"\1", row["demo"]): row["verdict"] for row in listed.rows}
    assert told == {name: promise[0] for name, promise in PROMISES.items()}


class TestChecksPage:
    PAGE = text_of("docs/checks.md")

    def test_every_registered_check_has_its_heading(self) -> None:
        here: list[str] = re.findall(r"(?m)^### (.+)$", self.PAGE)
        assert sorted(here) == sorted(checks.names())

    def test_every_limit_is_named_where_it_is_used(self) -> None:
        prose = self.PAGE.split("## Limits")[0]
        assert {key for key in limits() if f"`{key}`" not in prose} == set()

    def test_the_table_holds_every_limit_with_its_value(self) -> None:
        (listed,) = [t for t in tables(self.PAGE) if t.heading == "Limits"]
        told = {row["key"]: float(row["value"]) for row in listed.rows}
        assert told == {key: limit.value for key, limit in limits().items()}


class TestSourcesPage:
    PAGE = text_of("docs/sources.md")
    FILES = sorted(path.stem for path in (ROOT / "beltpath" / "data").glob("*.csv"))
    #: Rooms whose numbers set out paper and terminal text: they need no row.
    OUTPUT = frozenset({"cards", "cli", "output"})

    @pytest.mark.parametrize("name", FILES)
    def test_every_data_file_stands_there_whole(self, name: str) -> None:
        assert table(name) in self.PAGE

    def test_no_page_holds_an_old_table(self) -> None:
        for name in NAMES:
            assert with_tables(text_of(name)) == text_of(name), "python -m tests.docs.refresh"

    def test_every_status_is_one_of_the_four_words(self) -> None:
        known = {"published", "computed", "common practice", "from memory"}
        found = {row["status"] for t in tables(self.PAGE) for row in t.rows if "status" in row}
        assert found == known

    def test_every_number_of_the_code_is_there_with_its_value(self) -> None:
        told: dict[str, float] = {}
        for listed in tables(self.PAGE):
            for row in listed.rows:
                name = row.get("number", row.get("setting", ""))
                if code(name) and code(row["value"]):
                    told[code(name)[0]] = float(code(row["value"])[0])
        found = dict(self.numbers())
        assert set(found) - set(told) == set(), "give each a row in docs/sources.md"
        assert set(told) - set(found) == set(), "no longer in the code; take the row out"
        assert told == pytest.approx(found, rel=1e-6)

    def numbers(self) -> list[tuple[str, float]]:
        """Every named number of the core: module.NAME and its value."""
        package = ROOT / "beltpath"
        found: list[tuple[str, float]] = []
        for path in sorted(package.rglob("*.py")):
            name = ".".join(path.relative_to(package).with_suffix("").parts)
            if name.split(".")[0] in self.OUTPUT or path.name == "__init__.py":
                continue
            text = path.read_text(encoding="utf-8")
            module = import_module(f"beltpath.{name}")
            names = re.findall(r"(?m)^([A-Z][A-Z0-9_]+(?:, [A-Z][A-Z0-9_]+)*)(?:: \S+)? = ", text)
            for constant in ", ".join(names).split(", "):
                value = getattr(module, constant, None)
                if isinstance(value, int | float) and constant != "TAU":
                    here = constant if constant.startswith("MM_PER_") else f"{name}.{constant}"
                    found.append((here, float(value)))
        return found


class TestChangelog:
    """The form of Keep a Changelog: Unreleased on top, then versions with dates, newest first."""

    PAGE = text_of("docs/changelog.md")

    def test_unreleased_stands_on_top(self) -> None:
        versions = re.findall(r"(?m)^## (.+)$", self.PAGE)
        assert versions[0] == "[Unreleased]"
        dated = [re.fullmatch(r"\[(\d+\.\d+\.\d+)\] - (\d{4}-\d\d-\d\d)", v) for v in versions[1:]]
        assert all(dated)
        days = [date.fromisoformat(m[2]) for m in dated if m]
        assert days == sorted(days, reverse=True)

    def test_the_kinds_of_change_are_the_six(self) -> None:
        kinds = set(re.findall(r"(?m)^### (.+)$", self.PAGE))
        assert kinds <= {"Added", "Changed", "Deprecated", "Removed", "Fixed", "Security"}
        assert kinds

    def test_it_names_every_check(self) -> None:
        assert [name for name in checks.names() if name not in self.PAGE] == []


class TestCautions:
    """Signal words are used as ANSI Z535.4 defines them, and every user's page defers."""

    MEANING: Mapping[str, str] = {
        "DANGER": "will cause death or serious injury",
        "WARNING": "could cause death or serious injury",
        "CAUTION": "could cause minor or moderate injury",
        "NOTICE": "no injury",
    }

    @pytest.mark.parametrize("name", NAMES)
    def test_each_signal_word_comes_with_its_meaning(self, name: str) -> None:
        for word, meaning in re.findall(r"(?m)^> \*\*([A-Z]+)\*\*(?: \((.*?)\))?", text_of(name)):
            assert meaning == self.MEANING[word]

    @pytest.mark.parametrize("name", ["technician", "parts-person", "hobbyist", "checks", "theory"])
    def test_the_page_defers(self, name: str) -> None:
        text = " ".join(text_of(f"docs/{name}.md").split()).lower()
        assert "maker's" in text
        assert "come first" in text or "comes first" in text


def test_the_python_of_the_readme_runs(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    blocks = re.findall(r"(?ms)^```python\n(.*?)^```", text_of("README.md"))
    assert blocks
    monkeypatch.chdir(ROOT)
    for block in blocks:
        exec(compile(block, "README.md", "exec"), {})
    assert capsys.readouterr().out == "caution 1877.0\n"


def test_no_page_tells_of_one_machine() -> None:
    """No path of a home or working directory."""
    for name in NAMES:
        assert not re.search(r"(?<![\w.])/(home|root|work|tmp|Users)/", text_of(name)), name
