"""Assembly by hand on one box; on any board every part once, every screw counted, every head reached.

With ``BOARDWRIGHT_DEEP=1`` 200 boards of each kind, otherwise 6.
"""

from __future__ import annotations

import math
import os
from collections import Counter
from itertools import pairwise
from typing import Any

import pytest
import shapely
from any_shapes import board_of, curved_rings, star_rings
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from boardwright import Notes
from boardwright.plan.model import Device, Point, Ring, Track
from boardwright_stages.assembly.stages import steps
from boardwright_stages.fastening.stages import fastening
from boardwright_stages.framing.girder import l_girder
from boardwright_stages.framing.girder_open import l_girder_open
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.open_top import open_top
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.hardware.blocking import block_lines
from boardwright_stages.hardware.glueing import glue_lines
from boardwright_stages.hardware.screwing import screw_lines
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.parts.butts import butts
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardSteps,
    BoardWiring,
    Frame,
    Joists,
    Member,
    StepKind,
)

MANY = settings(
    max_examples=200 if os.environ.get("BOARDWRIGHT_DEEP") else 6, deadline=None, derandomize=True
)
FRAMING = FramingSettings()
SCREWED = HardwareSettings()
OBLONG: Ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 600.0), (0.0, 600.0))
TRACK = Track(id="T1", points=((0.0, 250.0), (1200.0, 250.0)))
STYLES: dict[str, Any] = {
    "box": lambda board, plan, notes: frame(board, FRAMING, notes),
    "l-girder": lambda board, plan, notes: l_girder(board, plan, FRAMING, GirderSettings(), notes),
    "l-girder-open": lambda board, plan, notes: l_girder_open(
        board, plan, FRAMING, GirderSettings(), OpenTopSettings(), notes
    ),
    "open-top": lambda board, plan, notes: open_top(board, plan, FRAMING, OpenTopSettings(), notes),
}
type Wood = tuple[Frame, Joists, BoardParts]


def cut(made: Frame, found: Joists, board: Board, plan: BoardPlan) -> BoardParts:
    fixings, wiring = BoardFixings(board=board.id), BoardWiring(board=board.id)
    return parts(board, plan, made, found, fixings, wiring, FRAMING, Notes())


def wood(style: str, board: Board, plan: BoardPlan) -> Wood:
    made = STYLES[style](board, plan, Notes())
    found = joists(board, plan, made, FRAMING, JoistSettings(), Notes())
    return made, found, cut(made, found, board, plan)


def told(wood: Wood) -> BoardSteps:
    made, found, all_parts = wood
    return steps(made, found, all_parts, SCREWED)


def test_a_box_by_hand(boxes: Any) -> None:
    """Two sides, two ends, two joists, 12 mm, 90 deep: ends butt at four corners, joists at four places,
    two screws each; glue 12 × 90 mm² a butt at 200 ml a square metre = 0.216 ml."""
    made = boxes.box("A", OBLONG, (), (400.0, 800.0))
    answer = told((made.frame, made.joists, cut(made.frame, made.joists, made.board, BoardPlan(board="A"))))
    first, second, third = answer.steps
    assert [s.kind for s in answer.steps] == [StepKind.FRAME, StepKind.JOISTS, StepKind.DECK]
    assert first.adds[0] in ("A-S0", "A-S2")  # the longest strip stands first
    assert set(first.adds) == {"A-S0", "A-E1", "A-S2", "A-E3"}
    assert (second.adds, third.adds) == (("A-J1", "A-J2"), ("A-D",))
    assert [(u.item, u.quantity) for u in first.uses] == [("screw-4x50", 8), ("wood-glue", 0.864)]
    assert [(u.item, u.quantity) for u in second.uses] == [("screw-4x50", 8), ("wood-glue", 0.864)]
    said = " ".join(line.says for line in second.do)
    assert "its nearer face 394.0 mm from the datum end" in said
    assert "2 screws 4 × 50 through A-S0" in said
    ties = {t.part: t.to for t in answer.ties}
    assert set(ties["A-J1"]) == {"A-S0", "A-S2"}
    assert set(ties["A-S0"]) == {"A-E1", "A-E3", "A-J1", "A-J2"}
    assert set(ties["A-D"]) == {"A-S0", "A-S2", "A-E1", "A-E3", "A-J1", "A-J2"}
    assert first.checks[0].says.startswith("Tops flush")


def test_diagonals_stand_where_the_frame_closes() -> None:
    """√(1200² + 600²) = 1341.6 mm, both ways, its corners named by the two strips that meet there."""
    made, found, all_parts = wood("box", board_of(OBLONG), BoardPlan(board="B01"))
    (closing,) = (s for s in told((made, found, all_parts)).steps if s.kind is StepKind.FRAME)
    measured = [c.says for c in closing.checks if "outer corner" in c.says]
    assert len(measured) == 2
    assert all("1341.6 mm" in says for says in measured)
    names = {m.id for m in made.members}
    corners = [
        set(says.split("corner ")[1].split(":")[0].replace(" to ", "/").split("/")) for says in measured
    ]
    assert all(c == names for c in corners)


def test_risers_under_a_climb_are_told_one_by_one() -> None:
    """1 in 20 up to 60 mm: risers past x = 800 stand more than 60 + 40 mm above joists, and want holding;
    over 1200 mm the deck is 1200 · (√(1 + 1/400) - 1) = 1.5 mm short."""
    climbs = Track(id="T1", points=TRACK.points, heights_mm=(0.0, 60.0))
    plan = BoardPlan(board="B01", tracks=(climbs,))
    made, found, all_parts = wood("open-top", board_of(OBLONG), plan)
    *_, stood, deck = told((made, found, all_parts)).steps
    assert (stood.kind, deck.kind) == (StepKind.RISERS, StepKind.DECK)
    said = [line.says for line in stood.do]
    assert all("its foot 30.0 mm below the top edge" in line.says for line in stood.do if line.part)
    tall = [m.id for m in found.members if m.role.value == "riser" and m.top_mm > 40]
    assert tall
    assert any(
        says.startswith(f"More than 100 mm above what holds them: {', '.join(tall)}.") for says in said
    )
    assert any("up to 1.5 mm are lacking in all" in line.says for line in deck.do)


def test_a_narrow_riser_is_counted_and_told_with_one_screw() -> None:
    """Of n risers one is narrow: onto joists go 2 n - 1 screws, and as many through the deck into cleats."""
    made, found, all_parts = wood("open-top", board_of(OBLONG), BoardPlan(board="B01", tracks=(TRACK,)))
    n = sum(m.role.value == "riser" for m in found.members)
    assert n > 1
    narrow = replace(found, narrow=("B01-R2",))
    for joists_, onto, each in ((found, 2 * n, "2 each"), (narrow, 2 * n - 1, "2 each but one in 1 narrow")):
        lines = list(screw_lines(made, joists_, all_parts, SCREWED))
        (risers,) = (line for line in lines if "risers onto" in line.why)
        assert (risers.quantity, risers.why) == (onto, f"{n} risers onto the faces of joists, {each}")
        (deck,) = (line for line in lines if "cleats on" in line.why)
        assert f" {onto} into cleats on {n} risers" in deck.why
        answer = told((made, joists_, all_parts))
        check_what_is_used(answer, made, joists_, all_parts)
        said = {line.part: line.says for s in answer.steps for line in s.do if line.part}
        alone = [p for p, says in said.items() if "narrow: one screw, in a pilot hole in its middle" in says]
        assert alone == list(joists_.narrow)


def test_girders_first_then_what_lies_on_them() -> None:
    plan = BoardPlan(board="B01", tracks=(TRACK,))
    kinds = [s.kind for s in told(wood("l-girder", board_of(OBLONG, joints=ENDS), plan)).steps]
    first = [k for n, k in enumerate(kinds) if k not in kinds[:n]]
    assert first == [StepKind.GIRDERS, StepKind.FLANGES, StepKind.FRAME, StepKind.JOISTS, StepKind.DECK]
    girders = told(wood("l-girder", board_of(OBLONG, joints=ENDS), plan)).steps
    said = {line.part: line.says for s in girders for line in s.do if line.part}
    assert said["B01-F1"] == "flat on B01-G1."
    assert said["B01-J1"].endswith("across B01-F1 and B01-F2.")
    risers = told(wood("open-top", board_of(OBLONG, joints=ENDS), plan)).steps
    said = {line.part: line.says for s in risers for line in s.do if line.part}
    up = [says for part, says in said.items() if part.startswith("B01-R")]
    assert up
    assert all(says.startswith("from 210.0 to 290.0 mm from the lower edge") for says in up)
    assert all("on the face of B01-" in says for says in up)
    kinds = [s.kind for s in told(wood("open-top", board_of(OBLONG, joints=ENDS), plan)).steps]
    assert [k for n, k in enumerate(kinds) if k not in kinds[:n]][-2:] == [StepKind.RISERS, StepKind.DECK]


ENDS: tuple[tuple[Point, Point], ...] = (((0.0, 0.0), (0.0, 600.0)), ((1200.0, 0.0), (1200.0, 600.0)))


def a_motor(x: float, y: float) -> Device:
    size = {"length_mm": 400.0, "width_mm": 120.0, "depth_mm": 60.0, "clearance_mm": 10.0}
    return Device(id="M", kind="point_motor", x_mm=x, y_mm=y, **size)


@MANY
@given(
    st.sampled_from(sorted(STYLES)),
    st.one_of(star_rings(), curved_rings()),
    st.booleans(),
)
def test_any_board(style: str, ring: Ring, motor: bool) -> None:
    """Each part in one step; screws, blocks and glue of all steps are the board's; heads can be reached."""
    board = board_of(ring)
    motors = (a_motor(board.length_mm / 2, board.width_mm / 2),) if motor else ()
    plan = BoardPlan(board="B01", tracks=(TRACK,), devices=motors, own_devices=("M",) if motor else ())
    made, found, all_parts = wood(style, board, plan)
    answer = told((made, found, all_parts))
    assert Counter(p for s in answer.steps for p in s.adds) == Counter(p.id for p in all_parts.parts)
    assert [s.number for s in answer.steps] == list(range(1, len(answer.steps) + 1))
    assert sorted(b.part for b in answer.bodies) == sorted(p.id for p in all_parts.parts)
    assert [t.part for t in answer.ties] == [p for s in answer.steps for p in s.adds]
    check_what_is_used(answer, made, found, all_parts)
    check_reach(answer, (*made.members, *found.members))


def check_what_is_used(answer: BoardSteps, made: Frame, found: Joists, all_parts: BoardParts) -> None:
    needed: Counter[str] = Counter()
    for line in (*screw_lines(made, found, all_parts, SCREWED), *block_lines(made, found, all_parts)):
        needed[line.item] += round(line.quantity, 3)
    used: Counter[str] = Counter()
    for use in (u for s in answer.steps for u in s.uses):
        used[use.item] += use.quantity
    glue = used.pop("wood-glue", 0.0)
    assert {k: pytest.approx(v) for k, v in needed.items()} == dict(used)
    listed = fastening(made, found, all_parts, SCREWED).lines
    assert sum(line.quantity for line in listed) == sum(
        line.quantity for line in screw_lines(made, found, all_parts, SCREWED)
    )
    lines = list(glue_lines(made, found, all_parts, SCREWED))
    rounding = 0.0005 * len(answer.steps)
    assert sum(line.quantity for line in lines) - 1 - rounding <= glue
    assert glue <= sum(line.quantity for line in lines) + rounding


def check_reach(answer: BoardSteps, members: tuple[Member, ...]) -> None:
    """Behind each screw's head 150 mm are free of what was placed before, or its step says they are not.

    Reckoned apart from the stage: with shapes, along the butting strip's middle line.
    """
    at = {part: n for n, part in enumerate(p for s in answer.steps for p in s.adds)}
    short = {part for s in answer.steps for part in s.short_drill}
    for butt in butts(members):
        done = max(at[butt.through.id], at[butt.butting.id])
        b = butt.butting
        middle = [
            tuple((p + q) / 2 for p, q in zip(*pair, strict=True))
            for pair in ((b.outer_start, b.inner_start), (b.outer_end, b.inner_end))
        ]
        (x0, y0), (x1, y1) = middle if butt.at_end else middle[::-1]
        length = math.dist((x0, y0), (x1, y1))
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        wide = butt.through.thickness_mm / math.cos(math.radians(butt.skew_deg))
        way = shapely.LineString([(x1 + ux * (wide + n), y1 + uy * (wide + n)) for n in (0.5, 149.0)])
        for other in members:
            if other is butt.through or other is b or at[other.id] > done:
                continue
            low, high = max(other.bottom_mm, butt.top_mm - butt.depth_mm), min(other.top_mm, butt.top_mm)
            if high - low > 0.1 and shapely.Polygon(other.outline).buffer(-0.5).intersects(way):
                later = butt.through.id if at[butt.through.id] == done else b.id
                assert later in short, f"{later}: {other.id} stands behind the screws"


@MANY
@given(st.sampled_from(sorted(STYLES)), st.one_of(star_rings(), curved_rings()))
def test_what_is_nearer_is_painted_later(style: str, ring: Ring) -> None:
    """Each prism rebuilt from its member; where two cover each other on paper, the depth of both is taken at
    a point of the shared area, along the line of sight."""
    board = board_of(ring)
    made, found, all_parts = wood(style, board, BoardPlan(board="B01", tracks=(TRACK,)))
    members = {m.id: m for m in (*made.members, *found.members)}
    order = [b.part for b in told((made, found, all_parts)).bodies if b.part in members]
    shapes = {id_: solid(members[id_]) for id_ in order}
    for (n, far), near in ((a, b) for a in enumerate(order) for b in order[a[0] + 1 :]):
        del n
        shared = shapes[far].intersection(shapes[near]).buffer(-0.5)
        for piece in shapely.get_parts(shared):
            if piece.area > 4.0:
                point = piece.representative_point()
                a, b = (depth(members[id_], point.x, point.y) for id_ in (far, near))
                assert a is None or b is None or a <= b + 0.2, f"{far} covers {near}"


TOWARDS = tuple(n / math.sqrt(3) for n in (1.0, -1.0, 1.0))


def on_paper(x: float, y: float, z: float) -> Point:
    return ((x + y) / math.sqrt(2), (-x + y + 2 * z) / math.sqrt(6))


def solid(m: Member) -> Any:
    return shapely.MultiPoint(
        [on_paper(x, y, z) for x, y in m.outline for z in (m.bottom_mm, m.top_mm)]
    ).convex_hull


def depth(m: Member, u: float, v: float) -> float | None:
    """How near the viewer the ray through (u, v) on paper meets the member: halfspaces cut in turn."""
    x0, y0, z0 = (
        u / math.sqrt(2) - v / math.sqrt(6),
        u / math.sqrt(2) + v / math.sqrt(6),
        2 * v / math.sqrt(6),
    )
    low, high = -1e9, 1e9
    planes = [((0.0, 0.0, 1.0), m.top_mm), ((0.0, 0.0, -1.0), -m.bottom_mm)]
    for (ax, ay), (bx, by) in pairwise((*m.outline, m.outline[0])):
        nx, ny = by - ay, ax - bx
        planes.append(((nx, ny, 0.0), nx * ax + ny * ay))
    for (nx, ny, nz), limit in planes:
        along = nx * TOWARDS[0] + ny * TOWARDS[1] + nz * TOWARDS[2]
        room = limit - (nx * x0 + ny * y0 + nz * z0)
        if abs(along) < 1e-9:
            if room < 0:
                return None
        elif along > 0:
            high = min(high, room / along)
        else:
            low = max(low, room / along)
    return high if high > low else None
