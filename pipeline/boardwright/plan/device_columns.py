"""Which column of a device list a heading is, and the unit its lengths are in.

Glossary
    column     by our own name for it: id, x_mm, … (``column_names.py``)
    heading    what stands in the list's first row: ``x_mm``, ``X (in)``, ``Width, cm``, ``Name``
    own        a heading that [devices] columns names for a column
    told       the unit that the heading itself tells; else it is [devices] units, else millimetres

Order of belief: an own heading is its column, whatever else is called like that column. Case and spaces do
not matter. A unit told by a heading holds for that column alone, and is told of unless it is millimetres.

What this does not know: cells.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable

import msgspec

from ..findings import Notes, Place
from .column_names import COLUMNS, LENGTHS
from .settings import DeviceSettings
from .units import WORDS

_UNITS = {
    "mm": r"mm|millimet(?:re|er)s?",
    "cm": r"cm|centimet(?:re|er)s?",
    "m": r"m|met(?:re|er)s?",
    "in": r"in|inch|inches|\"|''|″",
    "ft": r"ft|feet|foot|'|′",
}
_ANY = "|".join(f"(?P<{unit}{{0}}>{words})" for unit, words in _UNITS.items())
_TAIL = re.compile(
    rf"(.*?)(?:\s*[(\[]\s*(?:{_ANY.format(1)})\.?\s*[)\]]|[\s_,/]\s*(?:{_ANY.format(2)})\.?)\s*"
)
_USUAL = {"id": ("name", "device", "label", "number", "no", "#"), "kind": ("type", "what", "device type")}
"""Words that other lists have for the columns that must be there. Only ever suggested."""


class Columns(msgspec.Struct, frozen=True, kw_only=True):
    """The first row, understood.

    ``at``: position -> column; ``headings`` and ``units``: column -> its own; ``told``: columns whose heading
    tells the unit.
    """

    at: dict[int, str] = {}
    headings: dict[str, str] = {}
    units: dict[str, str] = {}
    told: frozenset[str] = frozenset()

    def called(self, column: str) -> str:
        """A column as the list's owner knows it."""
        heading = self.headings.get(column, column)
        return heading if heading == column else f"'{heading}'"

    def unit(self, column: str) -> str:
        """The unit of a length; millimetres where the list has no such column."""
        return self.units.get(column, "mm")


NO_LIST = Columns()


def understood(
    cells: list[str], where: Place, settings: DeviceSettings, notes: Notes, problems: Notes
) -> Columns | None:
    """What the first row says; None when a column that must be there is missing."""
    headings = {i: " ".join(cell.split()) for i, cell in enumerate(cells) if cell.strip()}
    own = _own(headings, where, settings, problems)
    found: dict[int, tuple[str, str | None]] = {}
    for i, heading in headings.items():
        column, told = _column(heading, own)
        if column:
            found[i] = column, told
    for column in COLUMNS:
        same = [headings[i] for i in found if found[i][0] == column]
        if len(same) > 1:
            which = f"say which it is under [devices]: columns = {{ {column} = {_toml(same)} }}"
            alike = len({_same(h) for h in same}) == 1
            problems.fault(
                "BW-READ-091",
                f"{' and '.join(map(repr, same))} are both the column {column} of the device list",
                where,
                f"Keep one of them, or {'give the other another heading' if alike else which}.",
            )
    at = {i: column for i, (column, _) in found.items()}
    columns = Columns(
        at=at,
        headings={column: headings[i] for i, column in at.items()},
        units=_units(found, headings, where, settings, notes, problems),
        told=frozenset(column for column, told in found.values() if told),
    )
    for heading in (h for i, h in headings.items() if i not in found):
        _not_read(heading, own, columns, where, notes, problems)
    missing = [c for c in ("id", "kind") if c not in columns.headings]
    for column in missing:
        _missing(
            column, [h for i, h in headings.items() if i not in found], headings.values(), where, problems
        )
    return None if missing else columns


def are_headings(cells: list[str], settings: DeviceSettings) -> bool:
    """Does the row name all columns that must be there?"""
    return understood(cells, Place(), settings, Notes(), Notes()) is not None


def _same(text: str) -> str:
    """A heading as it is compared."""
    return re.sub(r"[\s_]+", "", unicodedata.normalize("NFKC", text).casefold())


def _told(heading: str) -> tuple[str, str | None]:
    """A heading without the unit it ends in, and that unit."""
    plain = unicodedata.normalize("NFKC", heading).casefold()
    found = _TAIL.fullmatch(plain)
    if not found or not found[1].strip(" _,/"):
        return plain, None
    unit = next(u for u in _UNITS if found[f"{u}1"] or found[f"{u}2"])
    return re.sub(r"[\s_]in$", "", found[1].strip(" _,/")), unit


_BARE = {_same(c.removesuffix("_mm")): c for c in LENGTHS}
_NAMES = {_same(c): c for c in COLUMNS if c not in LENGTHS}
_WORDY = ("level_mm",)  # "Level" is a word's column as often ("upper"): it must tell a unit
_ANGLES = ("angle", "angledeg", "angledegrees", "angledegree")


def _column(heading: str, own: dict[str, str]) -> tuple[str | None, str | None]:
    """The column a heading is, and the unit it tells."""
    bare, unit = _told(heading)
    if column := own.get(_same(heading)):
        return column, unit if column in LENGTHS else None
    column = _usual(heading, bare, unit)
    return (
        (None, None)
        if column is None or column in own.values()
        else (column, unit if column in LENGTHS else None)
    )


def _usual(heading: str, bare: str, unit: str | None) -> str | None:
    """The column that a heading is by its usual name; ``bare`` without the ``unit`` it tells."""
    if re.sub(r"[\W_]+", "", heading.casefold()) in _ANGLES:
        return "angle_deg"
    column = _NAMES.get(_same(heading)) or _BARE.get(_same(bare))
    return None if column in _WORDY and not unit else column


def _own(headings: dict[int, str], where: Place, settings: DeviceSettings, problems: Notes) -> dict[str, str]:
    """Own heading, as compared -> the column it is named for. Slips of the setting are told."""
    own: dict[str, str] = {}
    there = {_same(h): h for h in headings.values()}
    for column, heading in settings.columns.named().items():
        key = Place(file=where.file, row=where.row, key=f"[devices] columns.{column}")
        if _same(heading) in own:
            problems.fault(
                "BW-READ-093",
                f"{heading!r} is named for two columns, {own[_same(heading)]} and {column}",
                key,
                "Name one heading for one column.",
            )
        elif _same(heading) not in there:
            near = difflib.get_close_matches(_same(heading), list(there), n=1, cutoff=0.6)
            problems.fault(
                "BW-READ-093",
                f"the device list has no heading {heading!r}, which is named for the column {column}",
                key,
                f"Did you mean {there[near[0]]!r}?" if near else f"There are: {_listed(there.values())}.",
            )
        own.setdefault(_same(heading), column)
    return own


def _not_read(
    heading: str, own: dict[str, str], columns: Columns, where: Place, notes: Notes, problems: Notes
) -> None:
    if _same(heading) in ("board", "onboard"):
        problems.fault(
            "BW-READ-063",
            f"column {heading!r} cannot be read: boards are named only when the layout is parted",
            where,
            f"Count {columns.called('x_mm')} and {columns.called('y_mm')} from the drawing's origin, or from "
            "what a column 'from' names: a drawn joint, a turnout or a device.",
        )
        return
    bare = _same(_told(heading)[0])
    taken = _usual(heading, *_told(heading))
    known = {_same(c): c for c in COLUMNS} | {b: c for b, c in _BARE.items() if len(b) > 1}
    known = {name: c for name, c in known.items() if c not in own.values()}
    near = [n for text in (_same(heading), bare) for n in difflib.get_close_matches(text, known, 1, 0.6)]
    why = f": [devices] columns names another for {taken}" if taken else ""
    notes.caution(
        "BW-READ-042",
        f"column {heading!r} is not read{why}",
        where,
        f"Did you mean {known[near[0]]!r}?" if near and not taken else f"Columns read: {', '.join(COLUMNS)}.",
    )


def _units(
    found: dict[int, tuple[str, str | None]],
    headings: dict[int, str],
    where: Place,
    settings: DeviceSettings,
    notes: Notes,
    problems: Notes,
) -> dict[str, str]:
    """The unit of every length, and how it was come by, if that is not a matter of course."""
    lengths = {i: (column, told) for i, (column, told) in found.items() if column in LENGTHS}
    stated = None if settings.units == "auto" else settings.units
    units = {column: told or stated or "mm" for column, told in lengths.values()}
    silent = [headings[i] for i, (_, told) in lengths.items() if not told]
    other = [i for i, (_, told) in lengths.items() if told and told != stated]
    if stated and other and not silent and len(other) == len(lengths):
        problems.fault(
            "BW-READ-092",
            f"[devices] units says {stated}, and every heading of the device list tells another unit: "
            f"{_listed(headings[i] for i in other)}",
            where,
            f"Write the headings without a unit (x, y, …) if the lengths are in {WORDS[stated]}; "
            'else write units = "auto".',
        )
    elif told := [i for i in other if stated or lengths[i][1] != "mm"]:
        each = [f"{headings[i]!r} in {WORDS[lengths[i][1] or 'mm']}" for i in told]
        rest = f"; all other lengths in {WORDS[stated]}" if stated else ""
        notes.note(
            "BW-READ-089",
            f"lengths of the device list are read as their headings say: {', '.join(each)}{rest}",
            where,
            "Correct the heading if that is not its unit.",
        )
    if silent and not stated:
        notes.mended(
            "BW-READ-090",
            f"headings of the device list tell no unit, and millimetres are assumed: {_listed(silent)}",
            where,
            "Set units under [devices], or write the unit into the heading: x_mm, X (in).",
        )
    return units


def _missing(column: str, unread: list[str], all_: Iterable[str], where: Place, problems: Notes) -> None:
    usual = next((h for h in unread if h.casefold() in _USUAL[column]), None)
    problems.fault(
        "BW-READ-041",
        f"the device list has no column {column!r}",
        where,
        f"Columns wanted in the first row: {', '.join(COLUMNS)} (id and kind must be there). "
        f"There are: {', '.join(all_) or 'none'}. Yours are named under [devices]: "
        f"columns = {{ {column} = {_toml([usual]) if usual else '"your heading"'} }}.",
    )


def _listed(headings: Iterable[str]) -> str:
    return ", ".join(map(repr, headings))


def _toml(headings: list[str]) -> str:
    return " or ".join('"' + h.replace("\\", "\\\\").replace('"', '\\"') + '"' for h in headings)
