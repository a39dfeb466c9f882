"""The texts attached to a PDF, read in a process of its own with little memory and time.

A PDF from outside can unpack to anything, and no reader of PDF promises a bound. The process is
started by `embedded` from this file alone, so nothing of beltpath is imported here.
"""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Iterator
from contextlib import suppress

#: Bytes of memory and seconds of computing that a PDF may take; a card takes a tenth of each.
MEMORY, SECONDS = 200_000_000, 4
#: A card holds a layout a page or so.
MOST_ATTACHED = 100


def main() -> None:
    """Read a PDF from standard input; write the texts, or what went wrong, as JSON.

    The first argument is the largest size of a text in bytes.
    """
    _bind()
    try:
        answer: dict[str, object] = {
            "texts": list(texts(sys.stdin.buffer.read(), int(sys.argv[1])))
        }
    except (MemoryError, RecursionError):
        answer = {"error": "it unpacks to more than a card can hold"}
    except Exception as error:  # a damaged PDF makes the library raise nearly anything
        answer = {"error": str(error)[:200]}
    sys.stdout.write(json.dumps(answer))


def texts(data: bytes, largest: int) -> Iterator[str]:
    """Every attached layout. Raises whatever the library does, and ValueError for too much."""
    from pypdf import PdfReader

    count = 0
    for name, contents in PdfReader(io.BytesIO(data)).attachments.items():
        for content in contents if name.endswith(".toml") else ():
            count += 1
            if count > MOST_ATTACHED or len(content) > largest:
                raise ValueError("it holds more than a card can hold")
            yield content.decode("utf-8")


def _bind() -> None:
    """Bound this process, where the system can."""
    with suppress(ImportError):
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
