"""What a study varies: read from a study file and from ``--vary``.

A study file is TOML::

    [vary]
    "framing.depth_mm" = [70, 90, 110]                           # a list
    "joists.spacing_mm" = { from = 300, to = 400, step = 50 }    # a range, both ends in it

    [[pairs]]                                                    # settings that go together
    keys = ["framing.member_material", "framing.member_thickness_mm"]
    values = [["birch ply", 12], ["softwood", 18]]

On the command line the same is ``--vary framing.depth_mm=70,90,110``,
``--vary joists.spacing_mm=300..400/50`` and
``--vary framing.member_material+framing.member_thickness_mm=birch ply+12,softwood+18``.

Every value of one is combined with every value of the others.

What this does not know: which settings exist. A wrong name is refused where the construction is read.
"""

from __future__ import annotations

import itertools
import math
import tomllib
from collections.abc import Iterable
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

import msgspec

from ..disk import read_file
from ..errors import InputError
from ..findings import Finding, Place, Severity
from ..house import NOT_FOR_RULES, Rule
from .model import Varied

MOST = 1000  # constructions of one study: more is a slip of the pen
MEND = "docs/many.md shows how a study is written."


class _Range(msgspec.Struct, frozen=True, forbid_unknown_fields=True, rename={"start": "from"}):
    start: float
    to: float
    step: float


class _Pairs(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    keys: tuple[str, ...]
    values: tuple[tuple[Any, ...], ...]


class _File(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    vary: dict[str, tuple[Any, ...] | _Range] = {}
    pairs: tuple[_Pairs, ...] = ()


def read_study(path: Path) -> list[Varied]:
    """What a study file varies. Raises InputError."""
    try:
        read = msgspec.convert(tomllib.loads(read_file(path).decode("utf-8-sig")), type=_File)
    except OSError as problem:
        raise _refused(f"the study cannot be read: {problem.strerror or problem}", path.name) from problem
    except (ValueError, RecursionError) as problem:  # TOML, encoding, what may stand there
        raise _refused(f"the study cannot be used: {str(problem).replace('`', '')}", path.name) from problem
    found = []
    for key, values in read.vary.items():
        if isinstance(values, _Range):
            values = tuple(
                _steps(
                    Decimal(repr(values.start)),
                    Decimal(repr(values.to)),
                    Decimal(repr(values.step)),
                    key,
                    path.name,
                )
            )
        found.append(_varied((key,), tuple((v,) for v in values), path.name))
    return found + [_varied(p.keys, p.values, path.name) for p in read.pairs]


def read_option(text: str) -> Varied:
    """What one ``--vary`` varies. Raises InputError."""
    named, sign, given = text.partition("=")
    keys = tuple(k.strip() for k in named.split("+"))
    if not sign or not given.strip():
        raise _refused(f"--vary {text}: it must be KEY=VALUE,VALUE,…", "--vary")
    rows: list[tuple[Any, ...]] = []
    for part in given.split(","):
        if len(keys) == 1 and ".." in part:
            rows += [(v,) for v in _range(part, keys[0])]
        else:
            rows.append(tuple(_value(v) for v in part.split("+")) if len(keys) > 1 else (_value(part),))
    return _varied(keys, tuple(rows), "--vary")


def constructions(varied: Iterable[Varied]) -> list[tuple[tuple[str, Any], ...]]:
    """Every combination, the last varied fastest. Raises InputError: none, too many, a key named twice."""
    varied = list(varied)
    keys = [k for v in varied for k in v.keys]
    if not varied:
        raise _refused("nothing is varied", "--vary")
    if doubled := sorted({k for k in keys if keys.count(k) > 1}):
        raise _refused(f"{', '.join(doubled)} is varied twice", "--vary")
    if (number := math.prod(len(v.rows) for v in varied)) > MOST:
        raise _refused(f"the study has {number} constructions; {MOST} is the most", "--vary")
    return [
        tuple(pair for v, row in zip(varied, rows, strict=True) for pair in zip(v.keys, row, strict=True))
        for rows in itertools.product(*(v.rows for v in varied))
    ]


def _varied(keys: tuple[str, ...], rows: tuple[tuple[Any, ...], ...], file: str) -> Varied:
    shown = " + ".join(keys)
    for key in keys:
        try:
            table, *inner = Rule(setting=key).keys
        except ValueError:
            table, inner = key, []
        if not inner:
            says = f"{key!r} is not the name of a setting: it is table.key, as in joists.spacing_mm"
            raise _refused(says, file)
        if table in NOT_FOR_RULES:
            raise _refused(f"{key} cannot be varied: it chooses code or rules", file)
    if not rows:
        raise _refused(f"{shown} has no value", file)
    for row in rows:
        if len(row) != len(keys):
            raise _refused(f"{shown} needs {len(keys)} values at a time, not {len(row)}", file)
    if len(set(map(repr, rows))) < len(rows):
        raise _refused(f"{shown} has a value twice", file)
    return Varied(keys=keys, rows=rows)


def _range(text: str, key: str) -> list[float | int]:
    ends, slash, step = text.partition("/")
    start, _, stop = ends.partition("..")
    try:
        return _steps(Decimal(start), Decimal(stop), Decimal(step if slash else 1), key, "--vary")
    except InvalidOperation as problem:
        raise _refused(f"{key}={text}: a range is FROM..TO/STEP", "--vary") from problem


def _steps(start: Decimal, stop: Decimal, step: Decimal, key: str, file: str) -> list[float | int]:
    """Both ends are in it; decimal, so that 0.1 ten times is 1."""
    if not all(n.is_finite() for n in (start, stop, step)) or step <= 0 or stop < start:
        raise _refused(f"{key}: a range goes up, by steps above 0", file)
    if (stop - start) / step > MOST:
        raise _refused(f"{key}: the range has more than {MOST} values", file)
    values = [start + n * step for n in range(int((stop - start) / step) + 1)]
    return [int(v) if v == v.to_integral_value() else float(v) for v in values]


def _value(text: str) -> Any:
    """A value as TOML writes it; anything else is a text."""
    try:
        return tomllib.loads(f"v = {text.strip()}")["v"]
    except tomllib.TOMLDecodeError:
        return text.strip()


def _refused(says: str, file: str) -> InputError:
    return InputError(
        [
            Finding(
                code="BW-MANY-001", severity=Severity.FAULT, says=says, where=(Place(file=file),), mend=MEND
            )
        ]
    )
