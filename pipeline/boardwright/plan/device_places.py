"""Where devices stand: counted from something drawn, moved to a turnout where asked, and not on one another.

Glossary
    counted from   x_mm and y_mm of a row start at a named thing: a drawn joint, a turnout, a drawn device
    turnout point  the turnout's own place (x_mm, y_mm): the insertion point of its block, or its toe

Boards cannot be counted from: they get their names only when the layout is parted, long after devices are
read. A drawn joint is where a board will end, so counting from it does the same.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence

import msgspec

from ..findings import Notes, Place
from .device_columns import Columns
from .kinds import Catalogue
from .model import Device, DrawnJoint, Turnout

TOUCH_MM = 0.01


def settle(
    drafts: Mapping[str, tuple[dict[str, float], str, Place]],
    turnouts: Sequence[Turnout],
    joints: Sequence[DrawnJoint],
    problems: Notes,
) -> None:
    """Turn places counted from something into plan places, in each draft's numbers.

    ``drafts``: id -> (numbers, name of what they count from, place). Only devices that count from nothing can
    be counted from.
    """
    spots = {n: _spot(d[0]) for n, d in drafts.items() if not d[1] and "x_mm" in d[0] and "y_mm" in d[0]}
    spots |= {t.id: (t.x_mm, t.y_mm) for t in turnouts}
    lines = {j.id: j for j in joints}
    for name, (numbers, start, place) in sorted(drafts.items()):
        if not start:
            continue
        if "x_mm" not in numbers and "y_mm" not in numbers:
            numbers["x_mm"] = numbers["y_mm"] = 0.0
        elif "x_mm" not in numbers or "y_mm" not in numbers:
            continue
        x, y = _spot(numbers)
        if start in lines:
            (ax, ay), (bx, by) = lines[start].start, lines[start].end
            length = math.dist((ax, ay), (bx, by))
            ux, uy = (bx - ax) / length, (by - ay) / length
            numbers["x_mm"], numbers["y_mm"] = ax + x * ux - y * uy, ay + x * uy + y * ux
        elif start in spots:
            numbers["x_mm"], numbers["y_mm"] = spots[start][0] + x, spots[start][1] + y
        elif start in drafts:
            why = (
                "which counts from something else itself" if drafts[start][1] else "which has no whole place"
            )
            problems.fault(
                "BW-READ-064",
                f"{name} counts from itself" if start == name else f"{name} counts from {start}, {why}",
                place,
                "Count from a drawn joint, a turnout or a device that counts from nothing.",
            )
        else:
            known = [*lines, *spots]
            near = difflib.get_close_matches(start, known, n=1, cutoff=0.5)
            problems.fault(
                "BW-READ-064",
                f"{name} counts from {start!r}, and the drawing has no such joint, turnout or device",
                place,
                f"Did you mean {near[0]!r}?" if near else f"There are: {', '.join(sorted(known)) or 'none'}.",
            )


def _spot(numbers: Mapping[str, float]) -> tuple[float, float]:
    return numbers["x_mm"], numbers["y_mm"]


def to_turnouts(
    devices: Sequence[Device], turnouts: Sequence[Turnout], catalogue: Catalogue, notes: Notes
) -> list[Device]:
    """Devices of kinds that work a turnout, moved to the nearest one where the project file asks for it."""
    moved = []
    for device in devices:
        found = catalogue.find(device.kind)
        reach = catalogue.snap_mm(found[1]) if found else 0.0
        near = min(
            (
                (math.dist((device.x_mm, device.y_mm), (t.x_mm, t.y_mm)), t.id, t)
                for t in turnouts
                if not t.crossing
            ),
            key=lambda n: n[:2],
            default=None,
        )
        if reach <= 0 or near is None or not TOUCH_MM < near[0] <= reach:
            moved.append(device)
            continue
        x, y = near[2].x_mm, near[2].y_mm
        place = msgspec.structs.replace(device.place, x_mm=x, y_mm=y)
        moved.append(msgspec.structs.replace(device, x_mm=x, y_mm=y, place=place))
        notes.mended(
            "BW-READ-061",
            f"{device.id} ({device.kind}) was moved {near[0]:.1f} mm to turnout {near[1]}",
            place,
            "Set snap_to_turnout_mm under [devices] to 0 to leave devices where they are.",
        )
    return moved


BESIDE_MM = 15.0
"""A motor this far off a turnout's ground still reaches its tie bar. Common practice, no source."""
NOT_ITS_MM = 150.0
"""A servo farther than this from every turnout works something else. Common practice, no source."""


def beside(
    devices: Sequence[Device],
    turnouts: Sequence[Turnout],
    catalogue: Catalogue,
    columns: Columns,
    notes: Notes,
) -> None:
    """Tell of turnout motors that stand beside the ground of every turnout: moved, or mistyped."""
    import shapely

    ground = [(shapely.Polygon(t.ring), t.id) for t in turnouts if not t.crossing]
    told: list[tuple[str, Device]] = []
    for device in devices:
        found = catalogue.find(device.kind)
        if not ground or not found or not found[1].at_turnout:
            continue
        at = shapely.Point(device.x_mm, device.y_mm)
        apart, name = min((area.distance(at), name) for area, name in ground)
        if apart > BESIDE_MM and (found[0] != "servo" or apart <= NOT_ITS_MM):
            told.append((f"{device.id} by {apart:.0f} mm (nearest: {name})", device))
    if told:
        notes.caution(
            "BW-READ-087",
            f"{len(told)} turnout motor{'s stand' if len(told) > 1 else ' stands'} beside the turnouts: "
            + "; ".join(says for says, _ in told[:6])
            + ("; and more" if len(told) > 6 else ""),
            [device.place for _, device in told[:6]],
            f"Correct {columns.called('x_mm')} and {columns.called('y_mm')}, or write the turnout's name "
            f"under {columns.called('from')} in the device list. Where a rod or wire leads from the motor to "
            "the turnout, leave it.",
        )


def overlaps(devices: Sequence[Device], notes: Notes) -> None:
    """Tell of every two devices whose footprints lie on one another."""
    import shapely

    shapes = [shapely.Polygon(d.footprint()) for d in devices]
    if len(shapes) < 2:
        return
    first, second = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    for i, j in sorted((int(i), int(j)) for i, j in zip(first, second, strict=True) if i < j):
        if shapes[i].intersection(shapes[j]).area <= TOUCH_MM:
            continue
        a, b = devices[i], devices[j]
        same = math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) <= TOUCH_MM and a.kind == b.kind
        notes.caution(
            "BW-READ-060",
            f"{a.id} and {b.id} ({a.kind}) are at one place: perhaps one device written twice"
            if same
            else f"{a.id} ({a.kind}) and {b.id} ({b.kind}) overlap below the deck",
            (a.place, b.place),
            "Delete one."
            if same
            else "Move one, or correct its size; they may also hang at different depths.",
        )
