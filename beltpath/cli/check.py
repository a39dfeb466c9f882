"""The command `check`: solves layouts and tells what the checks find."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from beltpath.cli.options import STDIN, Files, Json, With, Without, load, once
from beltpath.cli.terminal import DONE, FAULTY, UNABLE, Reply, fold_width, json_text, watched
from beltpath.errors import BeltpathError, LayoutError, UsageError
from beltpath.layout.characters import inert
from beltpath.output.check_answer import answer
from beltpath.output.check_text import UNUSABLE, Outcome, report, row, summary, unusable_row
from beltpath.studies import Study, study


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One file of the call: its study, or the problems that make it unusable."""

    file: str
    study: Study | None = None
    problems: tuple[str, ...] = ()

    @property
    def outcome(self) -> Outcome:
        """The verdict of its study, or `unusable`."""
        return UNUSABLE if self.study is None else self.study.verdict


def check(
    files: Files, as_json: Json = False, changed: With = None, without: Without = None
) -> Reply:
    """Solve and check layouts.

    One file: tables, findings and a verdict. Several: a line each, and a summary.
    """
    judged = judged_files(files, changed, without)
    return Reply(
        text=_documents(judged) if as_json else _words(judged),
        problems=problems_of(judged),
        status=status_of(judged),
    )


def judged_files(files: Sequence[str], changed: With, without: Without) -> list[Judged]:
    """Every file of a call studied, or found unusable."""
    once(*files)
    return [_judge(file, changed, without) for file in watched(files, "checking")]


def problems_of(judged: Iterable[Judged]) -> tuple[str, ...]:
    """What makes files unusable, a sentence each."""
    return tuple(problem for one in judged for problem in one.problems)


def status_of(judged: Iterable[Judged]) -> int:
    """The exit status: the worst file decides."""
    outcomes = {one.outcome for one in judged}
    return UNABLE if UNUSABLE in outcomes else FAULTY if "fail" in outcomes else DONE


def _judge(file: str, changed: With, without: Without) -> Judged:
    name = "standard input" if file == STDIN else file
    try:
        return Judged(file=file, study=study(load(file, changed, without)))
    except LayoutError as error:
        told = [f"{name}: {problem}" for problem in error.problems]
    except UsageError as error:
        told = [str(error)]
    except BeltpathError as error:
        told = [f"{name}: {error}"]
    return Judged(file=file, problems=tuple(map(inert, told)))


def _words(judged: Sequence[Judged]) -> str:
    if len(judged) == 1:
        only = judged[0].study
        return "" if only is None else report(only, width=fold_width())
    wide = max(len(inert(one.file)) for one in judged)
    rows = [
        unusable_row(inert(one.file), wide=wide)
        if one.study is None
        else row(inert(one.file), one.study, wide=wide)
        for one in judged
    ]
    return "\n".join([*rows, "", summary(one.outcome for one in judged)]) + "\n"


def _documents(judged: Sequence[Judged]) -> str:
    """One layout: its answer. Several: a list of answers, each with its file."""
    documents: list[dict[str, Any]] = [
        {"file": one.file, "error": "\n".join(one.problems)}
        if one.study is None
        else {"file": one.file, **answer(one.study)}
        for one in judged
    ]
    if len(documents) > 1:
        return json_text(documents)
    only = judged[0].study
    return json_text(documents[0] if only is None else answer(only))
