"""Cards as an enemy, a broken disk or a careless program would make them, always alike."""

from __future__ import annotations

import random
import zlib
from collections.abc import Iterator

SPACE = "urn:beltpath:layout"
LAYOUT = f'<l:layout xmlns:l="{SPACE}">%s</l:layout>'


def svgs() -> Iterator[tuple[str, bytes, str]]:
    """Name, bytes, and words of the answer."""
    yield (
        "attribute-defaults",
        _declared(
            "".join(f'<!ATTLIST a b{i} CDATA "{"x" * 9000}">' for i in range(10)), "<a/>" * 9000
        ),
        "declares a document type",
    )
    entities = '<!ENTITY e0 "xxxxxxxxxx">' + "".join(
        f'<!ENTITY e{i} "{f"&e{i - 1};" * 10}">' for i in range(1, 10)
    )
    yield "entities", _declared(entities, "<a>&e9;</a>"), "declares a document type"
    yield "from-outside", _declared("", "", 'SYSTEM "file:///etc/passwd"'), "document type"
    yield "elements", b"<svg>" + b"<a/>" * 900_000 + b"</svg>", "more than a card does"
    yield "depth", b"<svg>" + b"<a>" * 900_000, "more than a card does"
    attributes = " ".join(f'a{i}=""' for i in range(350_000)).encode()
    yield "attributes", b"<svg " + attributes + b"/>", "carries no layout"
    yield "names", b"<svg " + b"a" * 3_900_000 + b'=""/>', "carries no layout"
    many = "".join(LAYOUT % i for i in range(2000))
    yield "layouts", f"<svg>{many}</svg>".encode(), "more than a card does"
    yield "text", f"<svg>{LAYOUT % ('#' * 3_000_000)}</svg>".encode(), "too large to be one"
    yield "large", b"<svg>" + b" " * 5_000_000, "larger than 4 MB"
    for name in ("utf-7", "latin-1", "no-such", "utf-16", "hex", "idna", "\x1b[2J"):
        head = f'<?xml version="1.0" encoding="{name}"?><svg/>'
        yield f"encoding-{name[:3].strip(chr(27))}", head.encode(), "encoding"
    yield "not-utf-8", b"<svg>\xff</svg>", "not SVG as it stands"


def pdfs() -> Iterator[tuple[str, bytes]]:
    """Name and bytes; every one of them cannot be read."""
    zeros = zlib.compress(zlib.compress(b"\0" * 100_000_000, 9), 9)
    yield "unpacks-twice", attached([(zeros, "[/FlateDecode /FlateDecode]")])
    one = zlib.compress(b"\0" * 60_000_000, 9)
    yield "unpacks", attached([(one, "/FlateDecode")] * 40)
    yield "many-files", attached([(b"x", "")] * 500)
    yield "names-of-names", _name_tree(levels=12, wide=12)
    yield "names-round", _name_tree(levels=1, wide=1, back=True)
    steering = b"1 0 obj\n<< /\x1b[2J\x1b]0;mine\x07 /Type /Catalog >>\nstartxref\n9\n%%EOF"
    yield "steering", b"%PDF-1.7\n" + steering
    yield "no-references", b"%PDF-1.7\n" + b"1 0 obj\n<<>>\nendobj\n" * 30_000


def attached(files: list[tuple[bytes, str]]) -> bytes:
    """A PDF with these streams attached as layouts, each with its filter."""
    streams = [
        b"<< /Type /EmbeddedFile /Length %d %s>>\nstream\n%s\nendstream"
        % (len(data), b"/Filter " + how.encode() if how else b"", data)
        for data, how in files
    ]
    first = 3
    names = " ".join(
        f"(f{i}.toml) << /Type /Filespec /F (f{i}.toml) /EF << /F {first + i} 0 R >> >>"
        for i in range(len(files))
    )
    catalog = (
        f"<< /Type /Catalog /Pages 2 0 R /Names << /EmbeddedFiles << /Names [{names}] >> >> >>"
    )
    return _pdf([catalog.encode(), b"<< /Type /Pages /Kids [] /Count 0 >>", *streams])


def mangled(data: bytes, seed: int) -> bytes:
    """The bytes with some of them changed, cut out, doubled or put elsewhere."""
    chosen = random.Random(seed)
    made = bytearray(data)
    for _ in range(chosen.randint(1, 6)):
        at = chosen.randrange(len(made))
        length = chosen.choice([1, 1, 4, 40, 400])
        match chosen.randrange(4):
            case 0:
                made[at : at + length] = chosen.randbytes(length)
            case 1:
                del made[at : at + length]
            case 2:
                made[at:at] = made[at : at + length]
            case _:
                made[at:at] = chosen.choice([b"<", b"&#0;", b">>", b"endobj", b"\x1b[2J", b"R 0 R"])
        made = made or bytearray(data)
    return bytes(made)


def _declared(inside: str, body: str, outside: str = "") -> bytes:
    return f'<?xml version="1.0"?><!DOCTYPE svg {outside}[{inside}]><svg>{body}</svg>'.encode()


def _name_tree(*, levels: int, wide: int, back: bool = False) -> bytes:
    """A tree of names whose branches are the same one, level by level, or the root again."""
    catalog = b"<< /Type /Catalog /Pages 2 0 R /Names << /EmbeddedFiles 3 0 R >> >>"
    nodes = [
        b"<< /Kids [%s] >>" % (b" ".join([b"%d 0 R" % (3 if back else 4 + level)] * wide))
        for level in range(levels)
    ]
    leaf = b"<< /Names [(a.toml) << /Type /Filespec /EF << /F 2 0 R >> >>] >>"
    return _pdf([catalog, b"<< /Type /Pages /Kids [] /Count 0 >>", *nodes, leaf])


def _pdf(objects: list[bytes]) -> bytes:
    out, places = bytearray(b"%PDF-1.7\n"), []
    for number, data in enumerate(objects, start=1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, data)
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"trailer << /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (
        len(objects) + 1,
        start,
    )
    return bytes(out)
