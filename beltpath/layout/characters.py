"""Which characters a text of a file may hold: the one rule for layouts, measurements, catalogues.

Refused is what XML 1.0 cannot carry, what steers a terminal or the direction of text, and what the
eye cannot see: controls, surrogates, noncharacters, private use, zero-width characters, soft
hyphens, tags, variation selectors and fillers. The ranges stand here and are not asked of Python,
so that every version of it reads the same files.
"""

from __future__ import annotations

import re

#: First and last of every range that is refused.
RANGES = (
    (0x0000, 0x001F),
    (0x007F, 0x009F),
    (0x00AD, 0x00AD),
    (0x034F, 0x034F),
    (0x061C, 0x061C),
    (0x115F, 0x1160),
    (0x17B4, 0x17B5),
    (0x180B, 0x180F),
    (0x200B, 0x200F),
    (0x2028, 0x202E),
    (0x2060, 0x206F),
    (0x2800, 0x2800),
    (0x3164, 0x3164),
    (0xD800, 0xF8FF),
    (0xFDD0, 0xFDEF),
    (0xFE00, 0xFE0F),
    (0xFEFF, 0xFEFF),
    (0xFFA0, 0xFFA0),
    (0xFFF0, 0xFFFC),
    (0xFFFE, 0xFFFF),
    (0x13430, 0x13440),
    (0x1BCA0, 0x1BCA3),
    (0x1D173, 0x1D17A),
    *((plane << 16 | 0xFFFE, plane << 16 | 0xFFFF) for plane in range(1, 14)),
    (0xE0000, 0xE0FFF),
    (0xEFFFE, 0x10FFFF),
)
_REFUSED = re.compile("[" + "".join(f"{chr(low)}-{chr(high)}" for low, high in RANGES) + "]")
#: What a text of several lines may hold beside.
LINE_ENDS = "\n\t\r"


def unseen(text: str, allowed: str = "") -> str | None:
    """The first character of the text that no file may hold, None where there is none."""
    return next((c for c in _REFUSED.findall(text) if c not in allowed), None)


def shown(text: str, instead: str) -> str:
    """The text with `instead` in the place of every character that no file may hold."""
    return _REFUSED.sub(instead, text)


def escaped(character: str) -> str:
    """A character as TOML writes it where it cannot be seen."""
    code = ord(character)
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def inert(text: str) -> str:
    """One line of text without characters that would steer a terminal, line ends included."""
    return shown(text, "\ufffd")
