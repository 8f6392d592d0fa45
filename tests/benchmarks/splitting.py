"""Measure the splitting: python tests/benchmarks/splitting.py [--write]

Nothing here is asserted: machines differ. A line gives boards, the seconds taken here, the bar, what a board
of it costs against a board of the first line (a ratio that should stay near 1 however long the layout is),
and the least that any splitting could cost. ``--write`` makes docs/benchmarks-splitting.md.
"""

from __future__ import annotations

import math
import sys
import time
from itertools import pairwise
from pathlib import Path

import msgspec

from boardwright import Notes
from boardwright.plan.model import Device, DrawnJoint, Outline, Point, Ring, Track, TrackPlan, Turnout
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.stages import split

WIDTH_MM = 600.0
CORNER: Ring = ((0.0, 0.0), (2300.0, 0.0), (2300.0, 900.0), (1900.0, 1300.0), (0.0, 1300.0))
TAPER: Ring = ((0.0, 0.0), (2200.0, 0.0), (2200.0, 1300.0), (0.0, 1220.0))


def straight(length_mm: float) -> TrackPlan:
    """A shelf with five tracks and ten devices a metre, in groups between which joints find room."""
    devices = int(length_mm / 100)
    places = [(200 + (i // 5) * 500 * (1 - 400 / length_mm), 150.0 + (i * 137) % 350) for i in range(devices)]
    ring = ((0.0, 0.0), (length_mm, 0.0), (length_mm, WIDTH_MM), (0.0, WIDTH_MM))
    tracks = [((0.0, 150.0 + k * 60), (length_mm, 150.0 + k * 60)) for k in range(5)]
    return plan(ring, tracks, places)


def round_the_room(length_mm: float) -> TrackPlan:
    """A U of three walls with curved corners, a track along its middle and a device every half metre."""
    wall = length_mm / 3
    middle = bent(wall, 0.0)
    outer, inner = corners_of(bent(wall, -WIDTH_MM / 2)), corners_of(bent(wall, WIDTH_MM / 2))
    places = [p for k, p in enumerate(middle) if k % 20 == 10]
    return plan((*outer, *reversed(inner)), [tuple(middle)], places)


def round_a_well(length_mm: float) -> TrackPlan:
    """A closed ring of shelves round a well, a track along its middle and a device every half metre."""
    x, y = 0.3 * length_mm, 0.2 * length_mm
    made = plan(box(0.0, 0.0, x, y), [], [])
    well = box(WIDTH_MM, WIDTH_MM, x - WIDTH_MM, y - WIDTH_MM)
    half = WIDTH_MM / 2
    loop = (*box(half, half, x - half, y - half), (half, half))
    places = [
        (a[0] + (b[0] - a[0]) * k / n, a[1] + (b[1] - a[1]) * k / n)
        for a, b in pairwise(loop)
        for n in (int(math.dist(a, b) / 500),)
        for k in range(1, n)
    ]
    ring = plan(box(0.0, 0.0, x, y), [loop], places)
    return msgspec.structs.replace(ring, outlines=(msgspec.structs.replace(made.outlines[0], wells=(well,)),))


def round_two_wells(length_mm: float) -> TrackPlan:
    """Shelves round two wells side by side, a track all round them and a device every half metre along it."""
    x, y = 0.24 * length_mm, 0.16 * length_mm
    ring = round_a_well(length_mm)
    (outer,) = plan(box(0.0, 0.0, x, y), [], []).outlines
    half, d = x / 2, WIDTH_MM
    wells = (box(d, d, half - d / 2, y - d), box(half + d / 2, d, x - d, y - d))
    loop = (*box(d / 2, d / 2, x - d / 2, y - d / 2), (d / 2, d / 2))
    track = msgspec.structs.replace(ring.tracks[0], points=loop)
    places = [d.x_mm for d in ring.devices if d.y_mm < WIDTH_MM and d.x_mm < x - WIDTH_MM]
    devices = plan(outer.ring, [], [(at, WIDTH_MM / 2) for at in places]).devices
    outline = msgspec.structs.replace(outer, wells=wells)
    return msgspec.structs.replace(ring, outlines=(outline,), tracks=(track,), devices=devices)


def wide_places(length_mm: float) -> TrackPlan:
    """A shelf with wide places for side boards every four metres, ten devices a metre along the shelf."""
    shelf = straight(length_mm)
    ring: list[Point] = [(0.0, 0.0), (length_mm, 0.0), (length_mm, WIDTH_MM)]
    for k in reversed(range(int(length_mm / 4000))):
        left, right = 4000.0 * k + 1200, 4000.0 * k + 2300
        ring += [(right, WIDTH_MM), (right, WIDTH_MM + 500), (left, WIDTH_MM + 500), (left, WIDTH_MM)]
    outline = msgspec.structs.replace(shelf.outlines[0], ring=(*ring, (0.0, WIDTH_MM)))
    return msgspec.structs.replace(shelf, outlines=(outline,))


def box(x: float, y: float, right: float, top: float) -> Ring:
    return ((x, y), (right, y), (right, top), (x, top))


def corners_of(points: list[Point]) -> list[Point]:
    """The points where a line turns, and its ends."""
    turning = [b for a, b, c in zip(points, points[1:], points[2:], strict=False) if not _straight(a, b, c)]
    return [points[0], *turning, points[-1]]


def _straight(a: Point, b: Point, c: Point) -> bool:
    return abs((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])) < 0.1


def bent(wall: float, aside: float) -> list[Point]:
    """Points every 25 mm or so of a U's middle line, or of a line beside it."""
    radius = 1200.0
    found: list[Point] = []
    at, heading = (0.0, 0.0), 0.0
    for leg in range(3):
        d = math.cos(heading), math.sin(heading)
        steps = int((wall - 2 * radius) / 25)
        here = (at[0] - d[1] * aside, at[1] + d[0] * aside)
        found += [(here[0] + d[0] * 25 * k, here[1] + d[1] * 25 * k) for k in range(steps)]
        at = (at[0] + d[0] * 25 * steps, at[1] + d[1] * 25 * steps)
        if leg == 2:
            break
        centre = (at[0] - d[1] * radius, at[1] + d[0] * radius)
        for k in range(60):
            a = heading - math.pi / 2 + k / 60 * math.pi / 2
            r = radius - aside
            found.append((centre[0] + r * math.cos(a), centre[1] + r * math.sin(a)))
        heading += math.pi / 2
        at = (
            centre[0] + radius * math.cos(heading - math.pi / 2),
            centre[1] + radius * math.sin(heading - math.pi / 2),
        )
    return found


def drawn(boards: int) -> TrackPlan:
    """A shelf whose joints are all drawn."""
    length = boards * 1200.0
    joints = tuple(
        DrawnJoint(id=f"D{n}", start=(n * 1200.0, 0.0), end=(n * 1200.0, WIDTH_MM)) for n in range(1, boards)
    )
    turnouts = tuple(
        Turnout(
            id=f"P{n}",
            x_mm=n * 1200.0 + 300,
            y_mm=200.0,
            ring=tuple((n * 1200.0 + x, y) for x, y in ((300, 185), (480, 185), (480, 245), (300, 245))),
        )
        for n in range(boards)
    )
    ring = ((0.0, 0.0), (length, 0.0), (length, WIDTH_MM), (0.0, WIDTH_MM))
    places = [(n * 1200.0 + 600, 200.0) for n in range(boards)]
    made = plan(ring, [((0.0, 200.0), (length, 200.0))], places)
    return TrackPlan(
        name="drawn",
        drawing_file="",
        scale_ratio=76.2,
        outlines=made.outlines,
        tracks=made.tracks,
        devices=made.devices,
        turnouts=turnouts,
        drawn_joints=joints,
    )


def plan(ring: Ring, tracks: list[tuple[Point, ...]], places: list[Point]) -> TrackPlan:
    size = {"length_mm": 60.0, "width_mm": 40.0, "depth_mm": 50.0, "clearance_mm": 15.0}
    return TrackPlan(
        name="measured",
        drawing_file="",
        scale_ratio=76.2,
        outlines=(Outline(id="A", ring=ring),),
        tracks=tuple(Track(id=f"T{k}", points=t) for k, t in enumerate(tracks)),
        devices=tuple(
            Device(id=f"D{k}", kind="point_motor", x_mm=x, y_mm=y, **size) for k, (x, y) in enumerate(places)
        ),
    )


HEAD = """# Splitting: benchmarks

Made by `python tests/benchmarks/splitting.py --write`. Seconds are those of one processor core at
work, as the machine was busy with other things. The bars: a layout of 20 m with 200 devices in 2 s,
one of 200 m in 25 s. Cost and bound are counted in boards, with all weights of
`[splitting]`; no way of cutting costs less than the bound.

| layout | boards | seconds | bar | a board, against the first | cost | bound | proven over |
|---|---|---|---|---|---|---|---|
"""


def measured(layouts: list[tuple[str, TrackPlan, float | None]]) -> list[str]:
    """One line of the table a layout, in seconds of processor time."""
    first, lines = 0.0, []
    for name, layout, bar in layouts:
        start = time.process_time()
        made = split(layout, SplittingSettings(), Notes())
        seconds = time.process_time() - start
        each = seconds / len(made.boards)
        first = first or each
        cost, bound = sum(c.cost for c in made.costs), sum(c.at_least for c in made.costs)
        proofs = ", ".join(sorted({c.proof.value for c in made.costs}))
        wanted = f"{bar:g}" if bar else "–"
        lines.append(
            f"| {name} | {len(made.boards)} | {seconds:.2f} | {wanted} | {each / first:.2f} | {cost:.2f} | "
            f"{bound:.2f} | {proofs} |"
        )
        print(lines[-1], flush=True)
    return lines


if __name__ == "__main__":
    table = measured(
        [
            ("shelf, 20 m, 200 devices", straight(20_000), 2.0),
            ("shelf, 50 m, 500 devices", straight(50_000), None),
            ("shelf, 200 m, 2000 devices", straight(200_000), 25.0),
            ("three walls, 20 m", round_the_room(20_000), 2.0),
            ("three walls, 200 m", round_the_room(200_000), 25.0),
            ("ring round a well, 20 m", round_a_well(20_000), 2.0),
            ("shelves round two wells, 20 m", round_two_wells(20_000), 2.0),
            ("shelves round two wells, 40 m", round_two_wells(40_000), None),
            ("wide table with a corner at 45°", plan(CORNER, [], []), None),
            ("wide tapering table", plan(TAPER, [], []), None),
            ("shelf with side boards, 20 m, 200 devices", wide_places(20_000), 2.0),
            ("all joints drawn, 30 boards", drawn(30), None),
            ("all joints drawn, 120 boards", drawn(120), None),
        ]
    )
    if "--write" in sys.argv:
        page = Path(__file__).parents[2] / "docs" / "benchmarks-splitting.md"
        page.write_text(HEAD + "\n".join(table) + "\n", encoding="utf-8")
