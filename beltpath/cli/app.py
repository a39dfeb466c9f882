"""The command line: reads, calls, prints. Heavy imports stand inside the commands.

Every command returns a `Reply`; `run` prints it and turns every error into its sentences. Exit
status 0: no fault; 1: at least one fault; 2: the input or the call is unusable; 130: interrupted;
141: the reader of a pipe went away; 128 and its number: ended by another signal.
"""

from __future__ import annotations

import gc
import json
import shlex
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from typing import Annotated, Any, NoReturn

import typer

from beltpath.cli.compare import compare
from beltpath.cli.options import STDIN, Force, Json, With, Without, load, parse_paper, saved
from beltpath.cli.terminal import (
    INTERRUPTED,
    PIPE_CLOSED,
    Reply,
    Stopped,
    complain,
    fold_width,
    heed_signals,
    require_output,
    settle_streams,
    tell,
    watched,
)
from beltpath.errors import BeltpathError, LayoutError, UsageError
from beltpath.files.writing import vacant, write_whole
from beltpath.layout.characters import inert
from beltpath.layout.keys import Units
from beltpath.output.check_answer import answer
from beltpath.output.check_text import UNUSABLE, Outcome, report, row, summary, unusable_row
from beltpath.studies import Study, study

DONE, FAULTY, UNABLE = 0, 1, 2

app = typer.Typer(
    name="beltpath",
    rich_markup_mode=None,
    add_completion=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit status: 0 no fault, 1 at least one fault, 2 the input or the call is unusable.",
)

Files = Annotated[
    list[str],
    typer.Argument(
        metavar="FILE", help="Layout files, or cards that carry theirs; - is standard input."
    ),
]


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


def main() -> NoReturn:
    """The entry point of the program."""
    # What is loaded by now stays to the end: no search for garbage need go through it again.
    gc.freeze()
    heed_signals()
    sys.exit(run(sys.argv[1:]))


def run(args: Sequence[str]) -> int:
    """Carry out one command line and return its exit status."""
    settle_streams()
    try:
        require_output()
        reply = typer.main.get_command(app)(list(args), prog_name="beltpath", standalone_mode=False)
        return tell(reply) if isinstance(reply, Reply) else int(reply)
    except typer.TyperException as error:
        complain([_misuse(error)])
    except BeltpathError as error:
        complain([str(error)])
    except OSError as error:
        complain([f"{error.filename or 'input or output'}: {error.strerror or error}"])
    except KeyboardInterrupt:
        return INTERRUPTED
    except Stopped as stop:
        return stop.status
    except SystemExit:
        # Typer's own answer when the reader of its help goes away.
        return PIPE_CLOSED
    return UNABLE


@app.callback(invoke_without_command=True)
def beltpath(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="Tell the version.")] = False,
) -> Reply:
    """Belt-routing diagrams and proofs: a layout of pulleys becomes a checked routing card."""
    if version:
        from importlib.metadata import version as installed

        return Reply(text=f"beltpath {installed('beltpath')}\n")
    if context.invoked_subcommand is None:
        return Reply(problems=(context.get_help(),), status=UNABLE)
    return Reply()


@app.command()
def new(
    file: Annotated[str, typer.Argument(metavar="FILE", help="The layout file to write.")],
    units: Annotated[Units, typer.Option(help="The unit of its lengths.")] = "mm",
) -> Reply:
    """Write a commented starter layout.

    Never over a file that exists; - shows it instead.
    """
    from beltpath.cli.starter import starter

    if file == STDIN:
        return Reply(text=starter(units))
    other = "choose another name"
    write_whole(
        vacant(Path(file), force=False, otherwise=other), starter(units).encode(), otherwise=other
    )
    name = inert(file)
    told = f"{name} is written. Change its numbers to yours, then: beltpath check"
    return Reply(text=f"{told} {shlex.quote(name)}\n")


@app.command()
def check(
    files: Files, as_json: Json = False, changed: With = None, without: Without = None
) -> Reply:
    """Solve and check layouts.

    One file: tables, findings and a verdict. Several: a line each, and a summary.
    """
    judged = _judged(files, changed, without)
    return Reply(
        text=_documents(judged) if as_json else _words(judged),
        problems=_problems(judged),
        status=_status(judged),
    )


app.command()(compare)


@app.command("size")
def which_belt(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="A layout file, or a card that carries one.")
    ],
    designations: Annotated[
        list[str] | None,
        typer.Argument(metavar="[DESIGNATION]...", help="Belts to judge: 6PK1795, 540J6 ..."),
    ] = None,
    catalogue: Annotated[
        str | None, typer.Option(metavar="CSV", help="A catalogue of belts to choose from.")
    ] = None,
    as_json: Json = False,
    monte_carlo: Annotated[
        int | None,
        typer.Option(metavar="N", help="Check the length's uncertainty by drawing N drives."),
    ] = None,
    changed: With = None,
    without: Without = None,
) -> Reply:
    """Tell which belt fits.

    The length needed with its uncertainty, the range to buy from, and every belt judged.
    """
    from beltpath.cli.size import size

    return size(
        file,
        designations or (),
        catalogue=catalogue,
        as_json=as_json,
        monte_carlo=monte_carlo,
        read=lambda named: load(named, changed, without),
    )


@app.command("routes")
def every_way(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="A layout file; its route may be left out.")
    ],
    optional: Annotated[
        list[str] | None,
        typer.Option("--optional", metavar="PULLEY", help="A pulley that may be left out."),
    ] = None,
    pick: Annotated[int, typer.Option(metavar="N", help="Which of the ways --write writes.")] = 1,
    write: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Write a copy of the layout with the way in it."),
    ] = None,
    card_file: Annotated[
        str | None,
        typer.Option("--card", metavar="CARD", help="Draw the best ways side by side."),
    ] = None,
    paper: Annotated[
        str, typer.Option(metavar="NAME", help="a4, a5, a6, letter or half-letter.")
    ] = "a4",
    proof: Annotated[
        bool, typer.Option("--proof", help="A proof in black and white, no colour at all.")
    ] = False,
    as_json: Json = False,
    force: Force = False,
) -> Reply:
    """Find every way that the belt can go.

    For a belt without a diagram: the ways ranked, with what tells them apart.
    """
    from beltpath.cards import Options
    from beltpath.cli.routes import routes

    return routes(
        file,
        optional=optional or (),
        pick=pick,
        write=write,
        card=card_file,
        options=Options(paper=parse_paper(paper), ink="black" if proof else "colour"),
        as_json=as_json,
        force=force,
    )


@app.command("measure")
def from_readings(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="A file of tape readings or clicked rims.")
    ],
    out: Annotated[
        str | None,
        typer.Option("--out", "-o", metavar="LAYOUT", help="The layout file to write."),
    ] = None,
    picture: Annotated[
        str | None,
        typer.Option(
            "--picture", metavar="SHEET", help="Draw what was measured: .svg, .pdf or .png."
        ),
    ] = None,
    paper: Annotated[
        str, typer.Option(metavar="NAME", help="a4, a5, a6, letter or half-letter.")
    ] = "a4",
    proof: Annotated[
        bool, typer.Option("--proof", help="A proof in black and white, no colour at all.")
    ] = False,
    as_json: Json = False,
    force: Force = False,
) -> Reply:
    """Find where the pulleys stand.

    From tape readings or points clicked on a photograph: a layout with its uncertainty.
    """
    from beltpath.cards import Options
    from beltpath.cli.measure import measure

    return measure(
        file,
        out=out,
        picture=picture,
        options=Options(paper=parse_paper(paper), ink="black" if proof else "colour"),
        as_json=as_json,
        force=force,
    )


@app.command("card")
def make_card(
    files: Files,
    out: Annotated[
        str,
        typer.Option("--out", "-o", metavar="CARD", help="The card to write: .svg, .pdf or .png."),
    ],
    paper: Annotated[
        str, typer.Option(metavar="NAME", help="a4, a5, a6, letter or half-letter.")
    ] = "a5",
    landscape: Annotated[
        bool, typer.Option("--landscape", help="Hold the paper wider than high.")
    ] = False,
    view: Annotated[
        str,
        typer.Option(
            metavar="VIEW",
            help="front; mirrored (from behind); turned:DEGREES (counterclockwise); or "
            "mirrored,turned:DEGREES.",
        ),
    ] = "front",
    true_scale: Annotated[
        bool, typer.Option("--true-scale", help="Add sheets that are drawn at 1:1.")
    ] = False,
    steps: Annotated[bool, typer.Option("--steps", help="Add a small picture for each step.")] = (
        False
    ),
    hub_loads: Annotated[
        bool, typer.Option("--hub-loads", help="Add a page of hub loads, where forces are known.")
    ] = False,
    code: Annotated[bool, typer.Option("--code", help="Add the layout as a QR code.")] = False,
    proof: Annotated[
        bool, typer.Option("--proof", help="A proof in black and white, no colour at all.")
    ] = False,
    force: Force = False,
    changed: With = None,
    without: Without = None,
) -> Reply:
    """Draw routing cards.

    Several layouts go behind one another. One unusable file stops them all.
    """
    from beltpath.cards import Options, card

    mirrored, turned = parse_view(view)
    options = Options(
        paper=parse_paper(paper),
        landscape=landscape,
        mirrored=mirrored,
        turned=turned,
        true_scale=true_scale,
        steps=steps,
        code=code,
        loads=hub_loads,
        ink="black" if proof else "colour",
    )
    judged = _judged(files, changed, without)
    problems = _problems(judged)
    if problems:
        return Reply(problems=(*problems, f"{out}: is not written"), status=UNABLE)
    lines = saved(card([one.study for one in judged if one.study], options), Path(out), force=force)
    lines += [
        f"{inert(one.file)}: fail; its card says NOT VERIFIED"
        f"{' and has no pictures of the steps' if steps else ''}, see beltpath check"
        for one in judged
        if one.outcome == "fail"
    ]
    return Reply(text="".join(f"{line}\n" for line in lines), status=_status(judged))


def parse_view(text: str) -> tuple[bool, float]:
    """Whether a view is mirrored, and by how many degrees counterclockwise it is turned."""
    mirrored, turned = False, 0.0
    for part in text.split(","):
        word, colon, angle = part.strip().partition(":")
        if word == "mirrored" and not colon:
            mirrored = True
        elif word == "turned" and (degrees := _degrees(angle)) is not None:
            turned = degrees
        elif part.strip() != "front":
            raise UsageError(
                f'no view is called "{text}"; choose front, mirrored, turned:DEGREES (-360 to '
                f"360) or mirrored,turned:DEGREES"
            )
    return mirrored, turned


def _degrees(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if isfinite(value) and abs(value) <= 360.0 else None


def _judged(files: Sequence[str], changed: With = None, without: Without = None) -> list[Judged]:
    if list(files).count(STDIN) > 1:
        raise UsageError("- is named twice, but standard input can be read once only")
    return [_judge(file, changed, without) for file in watched(files, "checking")]


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


def _problems(judged: Iterable[Judged]) -> tuple[str, ...]:
    return tuple(problem for one in judged for problem in one.problems)


def _status(judged: Iterable[Judged]) -> int:
    outcomes = {one.outcome for one in judged}
    return UNABLE if UNUSABLE in outcomes else FAULTY if "fail" in outcomes else DONE


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
        return _json(documents)
    only = judged[0].study
    return _json(documents[0] if only is None else answer(only))


def _json(value: object) -> str:
    """JSON in plain ASCII, which no terminal or pipe can break."""
    return json.dumps(value, indent=2, allow_nan=False) + "\n"


def _misuse(error: typer.TyperException) -> str:
    context = getattr(error, "ctx", None)
    command = "beltpath" if context is None else context.command_path
    return f"{command}: {error.format_message().rstrip('.')}. See {command} --help"
