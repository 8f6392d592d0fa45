"""Write docs/devices.md from the catalogue and the list of columns: python docs/make_devices.py"""

from __future__ import annotations

from pathlib import Path

from boardwright.plan.column_names import MEANINGS
from boardwright.plan.kinds import KINDS, OTHER_WORDS, Kind

PAGE = Path(__file__).with_name("devices.md")
HEAD = """# Devices

A device is anything that hangs below the deck and needs room there. Boardwright keeps joists, ends and
joints out of its footprint and clearance. Devices come from block inserts on the device layers of your
drawing, from the device list, or from both: a row and an insert of one id are one device, and the row
changes only what it fills.

This page is made from the code (`python docs/make_devices.py`).

## In the drawing

An insert on a device layer is a device. Its attributes `NAME` (or `ID`), `KIND`, `LENGTH_MM`, `WIDTH_MM`,
`DEPTH_MM`, `CLEARANCE_MM`, `HOLE_MM`, `SLOT_MM` and `NOTE` are read; without `KIND`, the block's name is
searched for one of the words below (`POINT MOTOR 3` is a point motor). Without a name it is
numbered by place: D01, D02, …

A block that tells no kind but holds blocks that do (a row of motors, made a block for copying) is a
group: each block in it is a device, turned and mirrored as the group is; a name given inside follows the
group's own (`NORTH-PM1`), and where one group stands several times its devices are numbered. A turnout's
block may hold its motor as a block on a device layer.

A point or circle is a device too if a text on a device layer within 60 mm tells its kind: `PM3 point
motor` beside a circle is a point motor called PM3.

## In the device list

A CSV file (commas, semicolons or tabs), or the first sheet of an XLSX file holding values, not formulas.
The first row, or the first below a title, names the columns, in any order; only `id` and `kind` must be
there. Case and spaces do not matter.

| column | meaning |
|---|---|
"""
KINDS_HEAD = """
### A list with headings and units of its own

A list you have already need not be written anew: say which of its headings are which columns, and give the
unit of its lengths if the headings do not.

```toml
[devices]
file = "motors.csv"
units = "in"                                                # of headings that tell no unit
columns = { id = "Name", kind = "Type", x_mm = "East", y_mm = "North" }
```

A heading may tell its unit itself: `x_in`, `X (in)`, `Depth, cm`, `Width in mm` need not be named under
`columns`, and hold whatever `units` says; each that is not in millimetres is told (`Level` must tell one,
since levels have names as well). Units are `mm`, `cm`, `m`, `in` and `ft`. Where neither heading nor `units`
tells the unit, lengths are read in millimetres, which is told too. In inches and feet a cell may be `12.5`,
`12 1/2`, `12½`, `3' 6"` or `3 ft 6 1/2 in`; an inch is 25.4 mm, exactly.
Two headings for one column are refused.

### Counting from something drawn

Boards cannot be counted from, since they get their names only when the layout is parted; a drawn joint is
where a board ends, so `from` with a joint's name does the same.

With `snap_to_turnout_mm` under `[devices]` (or for one kind under `[devices.kinds.NAME]`) devices that
work a turnout are moved to the nearest turnout's point, and each move is told.

## Kinds

Length × width is the footprint, depth reaches down from the deck's underside, clearance is free room for
a hand all round (– is `clearance_mm` under `[devices]`). Hole is drilled through the deck over the device's
middle: for a throw pin, a signal's rod, a feed's wires; give `slot_mm` as well for a slot across the device's
length. It is drawn on the deck and listed for drilling. A turntable's well is cut as its own outline says,
not from here. Change any of it, or add kinds, under
`[devices.kinds.NAME]` ([project-file.md](project-file.md)). Mains is never counted: that is for a
licensed person.

| kind | other words | length × width mm | depth mm | clearance mm | hole mm | wires | mA | turnout | source |
|---|---|---|---|---|---|---|---|---|---|
"""


def page() -> str:
    columns = "".join(f"| `{name}` | {meaning} |\n" for name, meaning in MEANINGS.items())
    return HEAD + columns + KINDS_HEAD + "".join(_row(name, kind) for name, kind in sorted(KINDS.items()))


def _row(name: str, kind: Kind) -> str:
    words = ", ".join(f"`{w}`" for w, k in OTHER_WORDS.items() if k == name)
    clearance = "–" if kind.clearance_mm is None else f"{kind.clearance_mm:g}"
    cells = (
        f"`{name}`",
        words,
        f"{kind.length_mm:g} × {kind.width_mm:g}",
        f"{kind.depth_mm:g}",
        clearance,
        f"{kind.hole_mm:g}" if kind.hole_mm else "",
        str(kind.conductors),
        f"{kind.current_ma:g}",
        "yes" if kind.at_turnout else "",
        kind.source,
    )
    return f"| {' | '.join(cells)} |\n"


if __name__ == "__main__":
    PAGE.write_text(page())
