"""What people write in a layout file that is not TOML, and what to write instead.

A hint follows the sentence of a mistake and begins with a semicolon; it is empty where the slip is
of no known kind. A hint is no judgement: the file is refused with or without it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from beltpath.layout.toml import quoted

#: A number as people write it: with a comma, with marks between the thousands, or a fraction.
_WHOLE = r"\d{1,3}(?:[.,'’ \u00a0\u202f]\d{3})+|\d+"
_NUMBER = rf"[-−+]?(?:(?:\d+[ -])?\d+/\d+|(?:{_WHOLE})(?:[.,]\d*)?|[.,]\d+)"
_LENGTH_UNITS = {"mm": "mm", "in": "in", "inch": "in", "inches": "in", '"': "in", "″": "in"}
_UNITS = r"mm|cm|inches|inch|in|m|\"|″|°|degrees|degree|deg|rpm|1/min|kW|kw|N·m|Nm|N|kg|%"
_WITH_UNIT = re.compile(rf"({_NUMBER})\s*({_UNITS})?")
#: What may stand after a value.
_END = r"(?=\s*(?:[,}\]#]|$))"
_BARE = re.compile(r"[A-Za-z0-9_-]+(?:\s*\.\s*[A-Za-z0-9_-]+)*")
_STRINGS = re.compile(r'"(?:[^"\\]|\\.)*"|\'[^\']*\'')
_FRACTION = re.compile(r"([-−+]?)(?:(\d+)[ -])?(\d+)/(\d+)")
#: Longer lines and numbers are no slip of a person; looking through them would take long.
LONGEST_LINE, LONGEST_NUMBER = 1000, 40
#: What other programs save, by how it begins.
_FOREIGN = (
    ("{\\rtf", "this is a document of a word processor (RTF); save it as plain text"),
    ("<!doctype html", "this is a web page; save the layout itself as plain text"),
    ("<html", "this is a web page; save the layout itself as plain text"),
    ("{", 'this looks like JSON; a layout is TOML, with lines like title = "My drive"'),
)


class _Line(NamedTuple):
    """A line, the same without what stands in quotes and in its comment, and tomllib's words."""

    line: str
    plain: str
    message: str


def foreign(text: str) -> str:
    """What a text is that another program has written in its own way; empty for any other."""
    begins = text.lstrip()[:20].lower()
    return next((told for mark, told in _FOREIGN if begins.startswith(mark)), "")


def number_hint(text: str) -> str:
    """For text where a number must stand: what number to write."""
    found = _WITH_UNIT.fullmatch(text.strip()) if len(text) <= LONGEST_NUMBER else None
    return "" if found is None else _written(found[1], found[2])


def pair_hint(values: object) -> str:
    """For more numbers than a pair has: the pairs that decimal commas may have torn apart."""
    if not isinstance(values, list) or not all(type(v) is int for v in values):
        return ""
    if len(values) == 4:
        a, b, c, d = values
        return f"; write decimals with a point: [{a}.{b}, {c}.{d}]"
    if len(values) == 3:
        a, b, c = values
        return f"; write decimals with a point: [{a}.{b}, {c}] or [{a}, {b}.{c}]"
    return ""


def slip(text: str, number: int, message: str) -> str:
    """For a text that stops being TOML at a line: what to write there instead."""
    line = text.split("\n")[number - 1].rstrip("\r")[:LONGEST_LINE]
    plain = _STRINGS.sub('""', line).partition("#")[0].rstrip()
    at = _Line(line, plain, message)
    return next((hint for find in _SLIPS if (hint := find(at))), "")


def _written(number: str, unit: str | None) -> str:
    """The number to write for one written otherwise."""
    meant = _readings(number)
    alone = " or ".join(meant)
    if unit is None:
        if len(meant) > 1:
            return f"; write {alone}, whichever is meant: decimal point, no mark between thousands"
        return f"; write {alone}: decimal point, no unit, no quotes"
    if unit in _LENGTH_UNITS:
        return (
            f"; write the number alone, {alone} where the file's `units` are "
            f"{_LENGTH_UNITS[unit]}: decimal point, no unit"
        )
    if unit in ("cm", "m"):
        return "; write the number alone, in the file's `units`: decimal point, no unit"
    return f"; write the number alone, {alone}: decimal point, no unit"


def _readings(number: str) -> list[str]:
    """The numbers that may be meant, as TOML writes them: two where a mark can be read two ways."""
    text = number.replace("−", "-").removeprefix("+")
    if part := _FRACTION.fullmatch(text):
        return [_decimal(part)]
    text = re.sub(r"['’ \u00a0\u202f]", "", text)
    marks = re.findall(r"[.,]", text)
    whole, last, decimals = text.rpartition(marks[-1]) if marks else (text, "", "")
    whole = re.sub(r"[.,]", "", whole)
    together = _tidy(f"{whole}{decimals}")
    if len(marks) == 1 and last == "," and len(decimals) == 3 and whole.strip("-0"):
        return [together, _tidy(f"{whole}.{decimals}")]
    if len(set(marks)) == 1 and len(marks) > 1:
        return [together]
    return [_tidy(f"{whole}.{decimals}" if decimals else whole)]


def _decimal(part: re.Match[str]) -> str:
    """A fraction as a decimal: exact where it ends, else to six places."""
    sign, whole, over, under = part.groups()
    if int(under) == 0:
        return "a decimal"
    value = Fraction(int(whole or 0)) + Fraction(int(over), int(under))
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    shown = f"{exact:f}" if Fraction(exact) == value else f"{exact:.6f}"
    return sign.removeprefix("+") + shown


def _tidy(number: str) -> str:
    """No leading zeros but one before the point."""
    sign, digits = ("-", number[1:]) if number.startswith("-") else ("", number)
    whole, point, decimals = digits.partition(".")
    return f"{sign}{whole.lstrip('0') or '0'}{point}{decimals}"


# --- one slip a function ------------------------------------------------------------------------


def _quotes(at: _Line) -> str:
    marks = "“”„‟«»‘’‚`"
    if any(c in at.plain for c in marks) and not re.search(r"\d’\d", at.plain):
        return '; write straight quotes, "..."'
    return ""


def _blank_that_is_none(at: _Line) -> str:
    if "\r" in at.plain:
        return "; save it with the line ends of Windows or Unix"
    odd = [c for c in at.plain if c.isspace() and c not in " \t"]
    return f"; write a plain blank, not U+{ord(odd[0]):04X}" if odd else ""


def _twice(at: _Line) -> str:
    again = ("Cannot overwrite a value", "Cannot declare", "Duplicate inline table key")
    return "; it stands twice in the file, keep one" if at.message.startswith(again) else ""


def _colon(at: _Line) -> str:
    return (
        "; write = after a key, not :" if re.search(r"(?:^|[{,])\s*[\w\"-]+\s*:", at.plain) else ""
    )


def _key(at: _Line) -> str:
    header = re.fullmatch(r"\s*\[+([^\[\]]+)\]+", at.plain)
    for found in [header] if header else re.finditer(r"(?:^|[{,])\s*([^=\[\]{},]+?)\s*=", at.plain):
        key = found[1].strip()
        if '""' not in key and not _BARE.fullmatch(key):
            what = (
                "names with blanks" if " " in key else "names with other signs than a-z, 0-9, - _"
            )
            shown = ".".join(
                p if _BARE.fullmatch(p) else quoted(p) for p in map(str.strip, key.split("."))
            )
            return f"; put {what} in quotes: {shown}"
    return ""


def _key_that_ends_early(at: _Line) -> str:
    """A name with a blank, told before anything else that is wrong on its line."""
    return _key(at) if at.message.startswith("Expected '=' after a key") else ""


def _number(at: _Line) -> str:
    value = rf"(?:=|(?<=\[)|,)\s*({_NUMBER})\s*({_UNITS})?{_END}"
    strings = at.line if '"' in at.plain.replace('""', "") else at.plain
    for found in re.finditer(value, strings.partition("#")[0].rstrip()):
        if found[2] or not re.fullmatch(r"-?(?:0|[1-9]\d*)(?:\.\d+)?", found[1]):
            return _written(found[1], found[2])
    return ""


def _word(at: _Line) -> str:
    for found in re.finditer(rf"(?:=|(?<=\[)|,)\s*([^\W\d][\w .-]*?){_END}", at.plain):
        word = found[1]
        if word.lower() in ("yes", "no", "on", "off", "true", "false"):
            if word not in ("true", "false"):
                return "; write true or false, in small letters"
        elif word not in ("inf", "nan"):
            return f"; put words in quotes: {quoted(word)}"
    return ""


def _brackets(at: _Line) -> str:
    if "(" in at.plain:
        return "; write a pair in square brackets, such as at = [120, 85]"
    return "; write commas between values, not ;" if ";" in at.plain else ""


def _braces(at: _Line) -> str:
    if at.plain.count("{") > at.plain.count("}"):
        return "; a table in braces stands on one line and ends with }"
    if at.plain.count("[") > at.plain.count("]"):
        return "; end the list with ]"
    return "; leave out the comma before }" if re.search(r",\s*\}", at.plain) else ""


def _open(at: _Line) -> str:
    return '; end the text with "' if '"' in at.plain.replace('""', "") else ""


def _no_sign(at: _Line) -> str:
    if re.fullmatch(r"\s*[\w.-]+\s*=\s*", at.plain):
        return "; write a value after the ="
    if at.plain.strip() and "=" not in at.plain and "[" not in at.plain.strip()[:1]:
        return "; a line is KEY = VALUE"
    return ""


_SLIPS: tuple[Callable[[_Line], str], ...] = (
    _twice,
    _quotes,
    _blank_that_is_none,
    _colon,
    _key_that_ends_early,
    _braces,
    _number,
    _key,
    _brackets,
    _word,
    _open,
    _no_sign,
)
