"""The program: its commands, and one place where every error becomes sentences and a status.

A command is a function in a file of its own. Its annotations declare its options, its docstring is
its help, and it returns a `Reply`, which `run` prints. What `check` needs is loaded first; what
only another command needs, inside that command.

Exit status 0: no fault; 1: at least one fault; 2: the input or the call is unusable; 130:
interrupted; 141: the reader of a pipe went away; 128 and its number: ended by another signal.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence
from typing import Annotated, NoReturn

import typer

from beltpath.cli.card import card
from beltpath.cli.check import check
from beltpath.cli.compare import compare
from beltpath.cli.measure import measure
from beltpath.cli.new import new
from beltpath.cli.routes import routes
from beltpath.cli.size import size
from beltpath.cli.terminal import (
    INTERRUPTED,
    PIPE_CLOSED,
    UNABLE,
    Reply,
    Stopped,
    complain,
    heed_signals,
    require_output,
    settle_streams,
    tell,
)
from beltpath.errors import BeltpathError

#: In the order in which the help tells them.
COMMANDS = (new, check, compare, size, routes, measure, card)

app = typer.Typer(
    name="beltpath",
    rich_markup_mode=None,
    add_completion=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit status: 0 no fault, 1 at least one fault, 2 the input or the call is unusable.",
)
for command in COMMANDS:
    app.command()(command)


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


def _misuse(error: typer.TyperException) -> str:
    context = getattr(error, "ctx", None)
    called = "beltpath" if context is None else context.command_path
    return f"{called}: {error.format_message().rstrip('.')}. See {called} --help"
