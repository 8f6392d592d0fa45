"""Settings two by two: every value of each with every value of each other stands in some pack of a curved,
climbing pair of boards; each is made, and proved from its files.

That faults of software mostly take two things together, seldom more, and that so few runs cover all pairs, is
known from combinatorial testing (NIST SP 800-142, from memory); the rows are chosen here, greedily.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator, Mapping
from itertools import combinations, product
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from .climbing_layout import LONG_MM, NEAR_MM, WIDE_MM, branch
from .running import here

CHOICES: dict[str, list[Any]] = {
    "framing.style": ["box", "l-girder", "open-top", "l-girder-open"],
    "framing.sides": ["solid", "sandwich"],
    "framing.curved_edge": ["chords", "laminated", "kerfed"],
    "framing.wood": [("birch ply", 12, 90), ("softwood", 18, 70), ("birch ply", 18, 120)],
    "framing.deck_thickness_mm": [9, 12, 6.5],
    "framing.max_overhang_mm": [25, 0],
    "joints.fastening": [
        ("cup bolt", "hex nut"),
        ("cup bolt", "wing nut"),
        ("hex bolt", "tee nut"),
        ("hex bolt", "wing nut"),
        ("toggle catch", "hex nut"),
    ],
    "joints.bolt_size": ["M8", "M6", "M10"],
    "joints.bolt_fit": ["medium", "fine", "coarse"],
    "joints.jigs": [False, True],
    "joints.pattern": ["symmetric", "handed"],
    "joists.trim": [True, False],
    "joists.by_deck": [True, False],
    "joists.spacing_mm": [400, 200, 600],
    "supports.kind": ["legs", "trestles", "brackets"],
    "supports.shared": [False, True],
    "series.copies": [1, 2],
    "series.spare_ends": [0, 1],
    "cutting.kerf_mm": [3, 0],
    "cutting.trim_mm": [10, 0],
    "cutting.stages": [3, 0, 2],
    "cutting.tool": ["guide", "table saw", "wall saw"],
    "cutting.grain": [True, False],
    "cutting.share_blanks": ["when cheaper", "always", "never"],
    "router.thicknesses_mm": [[], [9], [12], [9, 12]],
    "router.relieve": [True, False],
    "display.units": ["mm", "in", "mm and in"],
    "display.decimal_sign": [".", ","],
    "display.paper": ["A4", "A3", "A1", "Letter"],
    "templates.print": ["decks and ends", "all parts", "nothing"],
    "templates.paper": ["office", "A3", "roll"],
    "sizing.choose": ["fixed", "lightest", "cheapest"],
    "sizing.advise": [False, True],
    "strength.deck_counts": ["no", "glued", "screwed"],
    "strength.service_class": [2, 1],
    "hardware.washer": ["timber", "plain"],
    "hardware.rail_fixing": ["plates", "screws", "none"],
    "fascia.edges": ["none", "free"],
    "backscene.near": [[], [[LONG_MM / 3, WIDE_MM + 5]]],
    "wiring.hole_zone": ["span", "whole"],
    "wiring.made_to_measure": [True, False],
    "drawing.mirrored": [False, True],
    "splitting.people": [0, 1, 2],
}
TOGETHER = {  # what is set by one choice
    "framing.wood": ("member_material", "member_thickness_mm", "depth_mm"),
    "joints.fastening": ("fastener", "nut"),
}
TOLD = {"BW-VERIFY-040", "BW-VERIFY-050", "BW-VERIFY-090"}
"""What is found in a pack that says of itself that a joint has no hole, or a part no sheet."""

BOW_MM = 60.0
DEVICES = """id,kind,x_mm,y_mm,angle_deg
M1,point_motor,300,150,0
M2,servo,1500,330,20
P1,panel,700,480,0
F1,feed,1800,150,0
"""

type Row = dict[str, int]


def fits(row: Mapping[str, int]) -> bool:
    """Only boxes have hollow sides; only ply is milled."""
    hollow = row.get("framing.sides", 0) == 1
    return not (hollow and row.get("framing.style", 0) != 0)


def rows() -> Iterator[Row]:
    """Rows of choices, each the one that covers most pairs left, as far as one look at a time finds it."""
    left = {
        ((a, i), (b, j))
        for a, b in combinations(CHOICES, 2)
        for i in range(len(CHOICES[a]))
        for j in range(len(CHOICES[b]))
        if fits({a: i, b: j})
    }
    while left:
        first, second = min(left)
        row: Row = dict((first, second))
        for name in sorted(CHOICES, key=lambda n: (-len(CHOICES[n]), n)):
            if name not in row:
                ways = [i for i in range(len(CHOICES[name])) if fits({**row, name: i})]
                row[name] = max(ways, key=lambda i: sum(_pair((name, i), one) in left for one in row.items()))
        left -= {_pair(a, b) for a, b in combinations(row.items(), 2)}
        yield row


ORDER = list(CHOICES)


def _pair(a: tuple[str, int], b: tuple[str, int]) -> tuple[tuple[str, int], tuple[str, int]]:
    return (a, b) if ORDER.index(a[0]) < ORDER.index(b[0]) else (b, a)


ROWS = list(rows())
LOOKED_AT = ROWS if "BOARDWRIGHT_DEEP" in os.environ else ROWS[::9]  # all of them take some minutes


def project(folder: Path, row: Row) -> None:
    """Cuckoo Bank's tracks on a board with a bowed front, 60 mm at its middle, and things below it."""
    tables: dict[str, dict[str, Any]] = {
        "drawing": {"file": "plan.dxf"},
        "drawing.layers": {"outline": ["EDGE"], "tracks": ["TRACK"]},
        "devices": {"file": "devices.csv"},
    }
    for name, i in row.items():
        table, key = name.split(".")
        given = CHOICES[name][i]
        pairs = zip(TOGETHER[name], given, strict=True) if name in TOGETHER else [(key, given)]
        tables.setdefault(table, {}).update(pairs)
    lines = []
    for table, keys in tables.items():
        lines += [f"[{table}]", *(f"{key} = {json.dumps(value)}" for key, value in keys.items())]
    (folder / "layout.toml").write_text("\n".join(lines))
    document = ezdxf.new()
    document.units = ezdxf.units.MM
    space = document.modelspace()
    edge = [(0, 0, 4 * BOW_MM / (2 * LONG_MM)), (LONG_MM, 0, 0), (LONG_MM, WIDE_MM, 0), (0, WIDE_MM, 0)]
    space.add_lwpolyline(edge, format="xyb", close=True, dxfattribs={"layer": "EDGE"})
    space.add_line((0, NEAR_MM), (LONG_MM, NEAR_MM), dxfattribs={"layer": "TRACK"})
    space.add_polyline3d(branch(), dxfattribs={"layer": "TRACK"})
    document.saveas(folder / "plan.dxf")
    (folder / "devices.csv").write_text(DEVICES)


def codes(text: str, word: str) -> set[str]:
    return set(re.findall(rf"^{word} (BW-[A-Z]+-\d+)", text, re.MULTILINE))


def test_every_pair_is_there() -> None:
    there = {frozenset(pair) for row in ROWS for pair in combinations(row.items(), 2)}
    for a, b in combinations(CHOICES, 2):
        for i, j in product(range(len(CHOICES[a])), range(len(CHOICES[b]))):
            assert fits({a: i, b: j}) == (frozenset({(a, i), (b, j)}) in there), (a, i, b, j)


@pytest.mark.parametrize("row", LOOKED_AT, ids=[f"{ROWS.index(row):02}" for row in LOOKED_AT])
def test_it_packs_and_is_proved(tmp_path: Path, row: Row) -> None:
    project(tmp_path, row)
    made = here("pack", cwd=tmp_path)
    assert made.returncode in (0, 1), made.stdout + made.stderr
    faults = codes(made.stdout + made.stderr, "FAULT")
    assert not any(code.startswith(("BW-ENG", "BW-CHECK", "BW-BOOK")) for code in faults), made.stderr
    proved = here("verify", "pack", cwd=tmp_path)
    assert codes(proved.stdout + proved.stderr, "FAULT") <= (TOLD if faults else set()), proved.stderr
