"""A small shell for the commands of the pages: python -m tests.docs.shell, a JSON list on stdin.

It imports the program once and forks for each command, since a fresh interpreter for every command
of every page would take most of the suite's time. Pipes and `echo $?` are all it knows; programs
other than beltpath are the system's own.
"""

from __future__ import annotations

import json
import os
import shlex
import sys
from collections.abc import Sequence
from importlib import import_module

from beltpath.cli import app as cli

SEPARATOR = b"\0"
DRAWING = ("beltpath.cards.cairo", "cairocffi", "fontTools.ttLib", "pypdf", "svgwrite")
#: What a command loads by itself, slowly: it is loaded once, before the first fork.
LOADED = {
    "card": DRAWING,
    "compare": ("beltpath.cards.comparison", *DRAWING),
    "routes": ("beltpath.cards.found_routes", "networkx", *DRAWING),
    "measure": ("beltpath.cards.survey_sheet", "beltpath.survey"),
}


def main() -> None:
    """Run every command and print its output, standard error included, each ended by a NUL."""
    commands = json.loads(sys.stdin.buffer.read())
    for module in sorted(
        {name for word in " ".join(commands).split() for name in LOADED.get(word, ())}
    ):
        import_module(module)
    status = 0
    for command in commands:
        if command == "echo $?":
            os.write(1, f"{status}\n".encode())
        else:
            status = pipeline(stages(command))
        os.write(1, SEPARATOR)


def stages(command: str) -> list[list[str]]:
    """The programs of a pipeline with their arguments."""
    words = shlex.shlex(command, posix=True, punctuation_chars="|")
    words.whitespace_split = True
    split: list[list[str]] = [[]]
    for word in words:
        if word == "|":
            split.append([])
        else:
            split[-1].append(word)
    return split


def pipeline(programs: Sequence[Sequence[str]]) -> int:
    """Run programs, the output of each being the input of the next; the last one's exit status."""
    source = os.open(os.devnull, os.O_RDONLY)
    children = []
    for program in programs[:-1]:
        reading, writing = os.pipe()
        children.append(start(program, source, writing, reading))
        os.close(writing)
        os.close(source)
        source = reading
    children.append(start(programs[-1], source, 1))
    os.close(source)
    return [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children][-1]


def start(program: Sequence[str], source: int, target: int, unused: int | None = None) -> int:
    """Start one program with its input and output; standard error goes to this shell's output."""
    child = os.fork()
    if child:
        return child
    try:
        if unused is not None:
            os.close(unused)
        os.dup2(1, 2)
        os.dup2(source, 0)
        os.dup2(target, 1)
        if program[0] != "beltpath":
            os.execvp(program[0], list(program))
        status = cli.run(program[1:])
        sys.stdout.flush()
        os._exit(status)
    except BaseException as error:
        os.write(2, f"{program[0]}: {error!r}\n".encode())
    os._exit(127)


if __name__ == "__main__":
    main()
