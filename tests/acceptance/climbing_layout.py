"""Cuckoo Bank: a small layout of our own, over two boards, with a line that climbs 1 in 40 beside a level one
and round a bend; drawn here, for tests of decks that climb.

The main line runs level at y = 150. At x = 250 the branch leaves it, from x = 815 it is parallel, 120 mm off.
At x = 850 it begins to climb; then it bears off to the left and meets the far end some 35 mm up.
"""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import ezdxf

type Spot = tuple[float, float, float]

GRADE = 1 / 40
LEAVES_MM, FOOT_MM, BEND_MM = 250.0, 850.0, 1500.0
LONG_MM, WIDE_MM, JOINT_MM = 2200.0, 620.0, 1100.0
NEAR_MM, AWAY_MM = 150.0, 120.0
TURN = math.radians(24)
RADIUS_MM = AWAY_MM / (2 * (1 - math.cos(TURN)))  # two arcs of 24° lead 120 mm aside
BEND_RADIUS_MM = 1200.0


def branch() -> list[Spot]:
    """Points along the branch, at their heights."""
    flat = [(LEAVES_MM, NEAR_MM)]
    reach = RADIUS_MM * math.sin(TURN)
    for k in range(1, 11):
        a = TURN * k / 10
        flat.append((LEAVES_MM + RADIUS_MM * math.sin(a), NEAR_MM + RADIUS_MM * (1 - math.cos(a))))
    for k in range(9, -1, -1):
        a = TURN * k / 10
        off = (2 * reach - RADIUS_MM * math.sin(a), AWAY_MM - RADIUS_MM * (1 - math.cos(a)))
        flat.append((LEAVES_MM + off[0], NEAR_MM + off[1]))
    flat += [(FOOT_MM, NEAR_MM + AWAY_MM), (BEND_MM, NEAR_MM + AWAY_MM)]
    far_mm = math.asin((LONG_MM - BEND_MM) / BEND_RADIUS_MM)
    for k in range(1, 41):
        a = far_mm * k / 40
        y = NEAR_MM + AWAY_MM + BEND_RADIUS_MM * (1 - math.cos(a))
        flat.append((BEND_MM + BEND_RADIUS_MM * math.sin(a), y))
    found = [(*flat[0], 0.0)]
    far = 0.0
    for a, b in pairwise(flat):
        far += math.dist(a, b) if a[0] >= FOOT_MM - 1e-6 else 0.0
        found.append((*b, far * GRADE))
    return found


def draw(folder: Path, extra: str = "", climb: float = 1.0) -> Path:
    """The project in a folder; ``climb``: heights as a share of those meant, 0 for a level layout."""
    doc = ezdxf.new("R2010")
    doc.units = ezdxf.units.MM
    space = doc.modelspace()
    edge = [(0, 0), (LONG_MM, 0), (LONG_MM, WIDE_MM), (0, WIDE_MM)]
    space.add_lwpolyline(edge, close=True, dxfattribs={"layer": "Edge"})
    space.add_line((0, NEAR_MM), (LONG_MM, NEAR_MM), dxfattribs={"layer": "Track"})
    space.add_polyline3d([(x, y, z * climb) for x, y, z in branch()], dxfattribs={"layer": "Track"})
    space.add_line((JOINT_MM, 0), (JOINT_MM, WIDE_MM), dxfattribs={"layer": "Joints"})
    doc.saveas(folder / "plan.dxf")
    (folder / "devices.csv").write_text("id,kind,x_mm,y_mm\nPM1,point_motor,300,150\n")
    (folder / "layout.toml").write_text(
        '[layout]\nname = "Cuckoo Bank"\n\n[drawing]\nfile = "plan.dxf"\nscale = "1:87"\n\n'
        '[drawing.layers]\noutline = ["Edge"]\ntracks = ["Track"]\njoints = ["Joints"]\n\n'
        '[devices]\nfile = "devices.csv"\n\n[splitting]\nmax_length_mm = 1300\n\n'
        f'[framing]\nstyle = "open-top"\n{extra}'
    )
    return folder
