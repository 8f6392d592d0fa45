"""Devices: block inserts on the device layers and rows of the device list, put together by id.

A row whose id is in the drawing changes what it fills and leaves the rest as drawn; a row with an id of its
own adds a device and needs a place. Inserts may carry attributes NAME (or ID), KIND and the sizes of
the device list; without KIND the block's name is searched for a kind.
"""

from __future__ import annotations

import difflib
from collections.abc import Sequence

import msgspec

from ..findings import Notes, Place
from . import device_list, device_places, rings
from .column_names import NUMBERS
from .device_columns import Columns
from .device_list import Listed
from .drawn import Block, Drawn
from .kinds import Catalogue
from .model import Device, DrawnJoint, Point, Turnout
from .names import number_rest
from .settings import DeviceSettings


class _Draft(msgspec.Struct):
    """A device being put together; ``numbers`` are what drawing and list say, the kind fills the rest."""

    id: str
    kind: str
    numbers: dict[str, float]
    place: Place
    counted_from: str = ""
    note: str = ""


def devices(
    drawn: Drawn,
    blocks: Sequence[Block],
    listed: Listed,
    settings: DeviceSettings,
    notes: Notes,
    problems: Notes,
    turnouts: Sequence[Turnout] = (),
    joints: Sequence[DrawnJoint] = (),
) -> tuple[Device, ...]:
    """All devices in order of id. Rows may count from, or be moved to, ``turnouts`` and ``joints``."""
    catalogue = Catalogue(settings, problems)
    drafts = _drawn(drawn, blocks, catalogue, problems)
    seen: dict[str, device_list.Row] = {}
    for row in listed.rows:
        if row.id in seen:
            problems.fault(
                "BW-READ-045",
                f"two rows of the device list are called {row.id}",
                (seen[row.id].place, row.place),
                "Give each device a name of its own.",
            )
            continue
        seen[row.id] = row
        _lay_over(drafts, _from_origin(row, drawn.origin), listed.columns, problems)
    device_places.settle(
        {n: (d.numbers, d.counted_from, d.place) for n, d in drafts.items()}, turnouts, joints, problems
    )
    made = [_device(d, catalogue, problems) for _, d in sorted(drafts.items())]
    moved = device_places.to_turnouts([d for d in made if d], turnouts, catalogue, notes)
    device_places.beside(moved, turnouts, catalogue, listed.columns, notes)
    device_places.overlaps(moved, notes)
    return tuple(moved)


def _drawn(drawn: Drawn, blocks: Sequence[Block], catalogue: Catalogue, problems: Notes) -> dict[str, _Draft]:
    drafts: dict[str, _Draft] = {}
    for block, name in number_rest(blocks, "D"):
        place = msgspec.structs.replace(drawn.place(block), item=name)
        if name in drafts:
            problems.fault(
                "BW-READ-045",
                f"two devices of the drawing are called {name}",
                (drafts[name].place, place),
                "Give each device a name of its own.",
            )
            continue
        numbers = {"x_mm": block.x_mm, "y_mm": block.y_mm, "angle_deg": block.angle_deg}
        for column in NUMBERS[3:]:
            text = block.attributes.get(column.upper(), "")
            value = device_list.number_in(column, text) if text else None
            if isinstance(value, str):
                problems.fault(
                    "BW-READ-043",
                    f"{column} of {name} {value}: {text!r}",
                    place,
                    "Write a plain number of millimetres in that attribute.",
                )
            elif value is not None:
                numbers[column] = value
        kind = block.attributes.get("KIND", "") or catalogue.in_name(block.name) or block.name
        drafts[name] = _Draft(name, kind, numbers, place, note=block.attributes.get("NOTE", ""))
    return drafts


def _from_origin(row: device_list.Row, origin: Point) -> device_list.Row:
    """Rows are counted from the drawing's origin, which may not be that of the plan."""
    if origin == (0.0, 0.0) or row.counted_from:
        return row
    shift = {"x_mm": origin[0], "y_mm": origin[1]}
    numbers = {name: value - shift.get(name, 0.0) for name, value in row.numbers.items()}
    return msgspec.structs.replace(row, numbers=numbers)


def _lay_over(drafts: dict[str, _Draft], row: device_list.Row, columns: Columns, problems: Notes) -> None:
    draft = drafts.get(row.id)
    if draft:
        draft.kind = row.kind or draft.kind
        there = {"x_mm": 0.0, "y_mm": 0.0} if row.counted_from else {}
        draft.numbers = {**draft.numbers, **there, **row.numbers}
        draft.place = msgspec.structs.replace(draft.place, row=row.place.row)
        draft.counted_from, draft.note = row.counted_from, row.note or draft.note
        return
    placeless = "x_mm" not in row.numbers and "y_mm" not in row.numbers and not row.counted_from
    if placeless and not row.place_is_wrong:
        near = difflib.get_close_matches(row.id, list(drafts), n=1, cutoff=0.6)
        x, y = columns.called("x_mm"), columns.called("y_mm")
        problems.fault(
            "BW-READ-047",
            f"{row.id} has no place: {x} and {y} are empty and the drawing has no such device",
            row.place,
            (f"Did you mean {near[0]!r}? " if near else "")
            + f"Fill {x} and {y}, or name the insert in the drawing.",
        )
    drafts[row.id] = _Draft(row.id, row.kind, dict(row.numbers), row.place, row.counted_from, row.note)


def _where_kinds_are_told(draft: _Draft) -> str:
    how = (
        "Write it as the kind in the device list"
        if draft.place.row is not None
        else f"Give its block an attribute KIND that says so, or the device list a row for {draft.id}"
    )
    return f"{how}; or describe the kind under [devices.kinds]."


def _device(draft: _Draft, catalogue: Catalogue, problems: Notes) -> Device | None:
    found = catalogue.find(draft.kind)
    if not found:
        says = f"{draft.id} is of an unknown kind {draft.kind!r}" if draft.kind else f"{draft.id} has no kind"
        problems.fault(
            "BW-READ-046",
            says,
            draft.place,
            f"{catalogue.nearest(draft.kind)} {_where_kinds_are_told(draft)}",
        )
        return None
    name, kind = found
    n = draft.numbers
    clearance = catalogue.default_clearance_mm if kind.clearance_mm is None else kind.clearance_mm
    x, y = rings.snap(n.get("x_mm", 0.0), n.get("y_mm", 0.0))
    return Device(
        id=draft.id,
        kind=name,
        x_mm=x,
        y_mm=y,
        length_mm=n.get("length_mm", kind.length_mm),
        width_mm=n.get("width_mm", kind.width_mm),
        depth_mm=n.get("depth_mm", kind.depth_mm),
        clearance_mm=n.get("clearance_mm", clearance),
        angle_deg=round(n.get("angle_deg", 0.0) % 360, 6) % 360 + 0.0,
        conductors=kind.conductors,
        current_ma=kind.current_ma,
        note=draft.note,
        hole_mm=n.get("hole_mm", kind.hole_mm),
        slot_mm=n.get("slot_mm", kind.slot_mm),
        level_mm=None if "level_mm" not in n else round(n["level_mm"], 6),
        place=msgspec.structs.replace(draft.place, x_mm=x, y_mm=y),
    )
