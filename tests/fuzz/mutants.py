"""Damaged files, each decided by its number alone: the same number is the same file on every machine."""

from __future__ import annotations

import io
import random
import re
import zipfile
from collections.abc import Callable

import seeds

_ANY = [
    *b"0|-1|nan|inf|1e308|-1e999|99999999999|1e-300|0.0000001|".split(b"|"),
    *(b"\x00", b"\xff\xfe", b"\x1b[31m", "\u202e\U0001f6a2".encode(), b"\r\n", b"\t", b'"', b"'"),
    *(b"../../etc/passwd", b"/dev/zero", b"=1+1", b"A" * 5000),
]
_WORDS = {
    form: [word.encode() for line in lines for word in line.split("|")]
    for form, lines in {
        "dxf": [
            "LINE|INSERT|SPLINE|ELLIPSE|LWPOLYLINE|ENDSEC|SECTION|EOF|  0| 10| 70|ENDBLK|POLYLINE|VERTEX",
            "SEQEND|HATCH|MTEXT|SOLID|210| 42| 41|  2|servo",
        ],
        "svg": [
            "<g>|</g>|<use href='#t'/>|<use href='#servo'/>|<!ENTITY x 'y'>|&x;|<![CDATA[|]]>|<!--|<defs>",
            "</defs>|<svg viewBox='0 0 1 1'>|transform='skewX(90)'|id='t'",
        ],
        "value": [
            "z|A1 1 0 0 0 5 5|matrix(|scale(1e200)|rotate(9)|#t|#servo|#rail|#T1|none|%|C|T|q|h|,|0 0 1 1",
            "xMaxYMin slice|skewX(90)|translate(|M0 0|1e9|servo|turnouts",
        ],
        "csv": [",|;|\n|id|x_mm|servo|1,5|-|1_0|\xa0|joint:J1|T1"],
        "xlsx": [
            "<c r='A1' t='s'><v>99</v></c>|<row>|</row>|<f>1+1</f>|t='e'|t='d'|<v>1e999</v>",
            "r='XFD1048576'|<!DOCTYPE x [<!ENTITY a 'b'>]>",
        ],
        "toml": [
            "[|]|[[|=|{|}|true|1979-05-27|[drawing]|file|units = 'ft'|drawn_at = '1:9'|file = '/dev/zero'",
            "0x10|[devices.kinds.servo]|" + "[" * 3000 + "|" + "9" * 5000,
            'file = "a\\u0000b"|"\\u202e"',
        ],
    }.items()
}


def damaged(data: bytes, luck: random.Random, words: list[bytes]) -> bytes:
    """Bytes changed at a few places: overwritten, cut, repeated, swapped, filled with words of the format."""
    out = bytearray(data)
    for _ in range(luck.choice((1, 1, 2, 4, 12))):
        at = luck.randrange(len(out) + 1)
        long = luck.choice((1, 1, 2, 4, 8, 30, 200))
        match luck.randrange(9):
            case 0:
                out[at : at + long] = luck.randbytes(long)
            case 1:
                del out[at : at + long]
            case 2:
                start = luck.randrange(len(out) + 1)
                out[at:at] = out[start : start + long * luck.choice((1, 1, 50))]
            case 3 if luck.random() < 0.3:
                del out[at:]
            case 4:
                _number(out, luck)
            case 5:
                _line(out, luck, luck.choice(words + _ANY))
            case _:
                out[at : at + luck.choice((0, long))] = luck.choice(words if luck.random() < 0.6 else _ANY)
    return bytes(out)


def _number(out: bytearray, luck: random.Random) -> None:
    """Put another value where a number stands."""
    digits = [i for i, c in enumerate(out) if 48 <= c <= 57]
    if not digits:
        return
    start = end = luck.choice(digits)
    while end < len(out) and out[end] in b"0123456789.eE+-":
        end += 1
    out[start:end] = luck.choice((*_ANY[:10], b"%d" % luck.randint(-3000, 3000)))


def _line(out: bytearray, luck: random.Random, text: bytes) -> None:
    """Put other words in place of a whole line."""
    lines = bytes(out).split(b"\n")
    lines[luck.randrange(len(lines))] = text
    out[:] = b"\n".join(lines)


def _inside(data: bytes, luck: random.Random) -> bytes:
    """A spreadsheet with one of its parts damaged and packed again."""
    with zipfile.ZipFile(io.BytesIO(data)) as old:
        parts = {name: old.read(name) for name in old.namelist()}
    victim = luck.choice([n for n in sorted(parts) if "sheet" in n or luck.random() < 0.3] or sorted(parts))
    parts[victim] = damaged(parts[victim], luck, _WORDS["xlsx"])
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as new:
        for name, content in parts.items():
            new.writestr(name, content)
    return stream.getvalue()


def dxf(luck: random.Random) -> bytes:
    """Damaged anywhere; or, more often, in pairs of code and value, so that the file still has its form."""
    seed = luck.choice((seeds.dxf_r12, seeds.dxf_r12, seeds.dxf_r12, seeds.dxf_new, seeds.dxf_binary))()
    if seed is seeds.dxf_binary() or luck.random() < 0.25:
        return damaged(seed, luck, _WORDS["dxf"])
    lines = seed.split(b"\n")
    first = seed[: seed.index(b"ENTITIES")].count(b"\n") + 1  # most of a new file are tables: aim at the plan
    for _ in range(luck.choice((1, 1, 2, 4, 10))):
        at = luck.randrange(first // 2, len(lines) // 2) * 2
        match luck.randrange(4):
            case 0:
                del lines[at : at + 2 * luck.choice((1, 2, 8))]
            case 1:
                lines[at:at] = lines[at // 2 // 2 * 2 :][: 2 * luck.choice((1, 4, 20))]
            case 2:
                lines[at : at + 1] = [
                    luck.choice((b"10", b"20", b"70", b"42", b"0", b"2", b"8", b"40", b"210", b"999"))
                ]
            case _:
                lines[at + 1 : at + 2] = [luck.choice(_WORDS["dxf"] + _ANY)]
    return b"\n".join(lines)


def xlsx(luck: random.Random) -> bytes:
    return _inside(seeds.xlsx(), luck) if luck.random() < 0.8 else damaged(seeds.xlsx(), luck, _WORDS["xlsx"])


_QUOTED = re.compile(rb'="([^"]*)"')


def svg(luck: random.Random) -> bytes:
    """Damaged anywhere; or, more often, in the values of attributes, so that it is still XML."""
    out = seeds.SVG
    if luck.random() < 0.25:
        return damaged(out, luck, _WORDS["svg"])
    for _ in range(luck.choice((1, 1, 2, 4, 10))):
        value = luck.choice(list(_QUOTED.finditer(out)))
        start, end = value.span(1)
        kept = bytes(c for c in damaged(value[1], luck, _WORDS["value"]) if 32 <= c < 127 and c not in b'<&"')
        out = out[:start] + kept + out[end:]
    return out


FORMATS: dict[str, Callable[[random.Random], bytes]] = {
    "dxf": dxf,
    "svg": svg,
    "csv": lambda luck: damaged(seeds.CSV, luck, _WORDS["csv"]),
    "xlsx": xlsx,
    "toml": lambda luck: damaged(seeds.TOML, luck, _WORDS["toml"]),
}


def mutant(form: str, number: int) -> bytes:
    return FORMATS[form](random.Random(f"{form} {number}"))
