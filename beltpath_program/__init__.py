"""The door of the program: it loads the rest, and lets an interrupt end the loading quietly.

It stands outside the package, for whatever lies inside is loaded after all of that.
"""

from __future__ import annotations

import signal
from typing import NoReturn


def main() -> NoReturn:
    """The entry point of the program."""
    # Python's own answer to Ctrl-C would print in which module the loading was.
    loud = signal.getsignal(signal.SIGINT) is signal.default_int_handler
    if loud:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    from beltpath.cli.app import main as beltpath

    if loud:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    beltpath()
