"""Strips longer than the stock: by hand, in each style, and on random boards by their wood put together."""

from __future__ import annotations

import itertools
import math
import os
import random
from typing import Any

import pytest
import shapely
from any_shapes import board_of

from boardwright import Notes
from boardwright.plan.model import Device, Point, Ring, Track
from boardwright_stages.assembly.stages import steps
from boardwright_stages.checks.reassembly import Solid, solid
from boardwright_stages.framing.girder import l_girder
from boardwright_stages.framing.girder_open import l_girder_open
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.open_top import open_top
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.hardware.glueing import glue_lines
from boardwright_stages.hardware.screwing import screw_lines
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_stages.joists.lengths import in_lengths
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.parts.stages import parts
from boardwright_stages.strength.settings import StrengthSettings, SupportSettings
from boardwright_stages.strength.stages import strength
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardStrength,
    BoardWiring,
    Frame,
    Joists,
    MemberRole,
    StepKind,
)

FRAMING = FramingSettings()
SCREWED = HardwareSettings()
LONG: Ring = ((0.0, 0.0), (3200.0, 0.0), (3200.0, 500.0), (0.0, 500.0))
TRACK = Track(id="T1", points=((0.0, 250.0), (3200.0, 250.0)))
SEEDS = 300 if os.environ.get("BOARDWRIGHT_DEEP") else 4
TRIM_MM = CuttingSettings().trim_mm
STYLES: dict[str, Any] = {
    "box": lambda board, plan, notes: frame(board, FRAMING, notes),
    "l-girder": lambda board, plan, notes: l_girder(board, plan, FRAMING, GirderSettings(), notes),
    "l-girder-open": lambda board, plan, notes: l_girder_open(
        board, plan, FRAMING, GirderSettings(), OpenTopSettings(), notes
    ),
    "open-top": lambda board, plan, notes: open_top(board, plan, FRAMING, OpenTopSettings(), notes),
}


class Built:
    """A board whose 12 mm strips come from sheets that give ``longest`` mm, its deck from one sheet."""

    def __init__(
        self,
        style: str = "box",
        longest: float = 2000.0,
        ring: Ring = LONG,
        joints: tuple[tuple[Point, Point], ...] = (),
        devices: tuple[Device, ...] = (),
        spacing: JoistSettings | None = None,
    ) -> None:
        self.notes = Notes()
        self.board: Board = board_of(ring, joints=joints)
        own = tuple(d.id for d in devices)
        self.plan = BoardPlan(board="B01", tracks=(TRACK,), devices=devices, own_devices=own)
        sheet = {"material": "birch ply", "width_mm": 1000.0}
        stock = StockSettings(
            sheets=(
                StockSheet(name="strips", thickness_mm=12.0, length_mm=longest + 2 * TRIM_MM, **sheet),
                StockSheet(name="decks", thickness_mm=9.0, length_mm=9000.0, **sheet),
            )
        )
        self.frame: Frame = STYLES[style](self.board, self.plan, self.notes)
        self.joists: Joists = joists(
            self.board, self.plan, self.frame, FRAMING, spacing or JoistSettings(), self.notes, stock=stock
        )
        fixings, wiring = BoardFixings(board="B01"), BoardWiring(board="B01")
        self.parts: BoardParts = parts(
            self.board, self.plan, self.frame, self.joists, fixings, wiring, FRAMING, self.notes
        )

    @property
    def told(self) -> list[str]:
        return [f.code for f in self.notes.findings]

    def strength(self) -> BoardStrength:
        limits, stand = StrengthSettings(), SupportSettings()
        return strength(self.board, self.frame, self.joists, self.parts, limits, stand, self.notes)


def test_sides_of_a_box() -> None:
    """3200 from strips of 2000: two lengths each, seams of the two sides 300 mm apart, plates 4 × 90 long."""
    made = Built()
    assert [j.member for j in made.joists.joined] == ["B01-S1", "B01-S3"]
    assert made.told.count("BW-JOIST-015") == 2
    by_id = {p.id: p for p in made.parts.parts}
    for seam in made.joists.joined:
        first, second, plate = (by_id[n] for n in (seam.member, f"{seam.member}-2", seam.plate))
        assert (first.length_mm, second.length_mm) == (seam.at_mm, 3200 - seam.at_mm)
        assert max(first.length_mm, second.length_mm) <= 2000
        assert (second.of, second.from_mm) == (first.id, first.length_mm)
        assert (plate.role, plate.length_mm, plate.width_mm, plate.thickness_mm) == ("fishplate", 360, 90, 12)
    near, far = made.joists.joined
    assert abs(near.at_mm - (3200 - far.at_mm)) >= 300, "the far side runs back along the board"
    whole = made.parts.by_member["B01-S1"]
    assert whole.length_mm == 3200
    assert len(whole.holes) == sum(len(by_id[n].holes) for n in ("B01-S1", "B01-S1-2"))
    assert whole.mass_kg == pytest.approx(sum(by_id[n].mass_kg for n in ("B01-S1", "B01-S1-2")))


def test_seams_keep_from_the_middle_of_the_board() -> None:
    """Held by its ends a board bends 4·x·(L - x) / L² of the most at x: ¾ of it a quarter from an end. Strips
    of 2600 for 3200 mm let seams lie nearer to one. In bays of 342 mm a plate of 3.5 depths finds room."""
    made = Built(longest=2600.0)
    assert all(min(j.at_mm, 3200 - j.at_mm) <= 800 for j in made.joists.joined)
    (used,) = (line.measured for line in made.strength().lines if line.key == "plates")
    (middle,) = (line.measured for line in Built().strength().lines if line.key == "plates")
    assert used < middle
    closer = Built(spacing=JoistSettings(spacing_mm=370.0))
    assert {p.length_mm for p in closer.parts.parts if p.role == "fishplate"} == {315}


def test_holes_of_joists_stay_where_they_were() -> None:
    long, short = Built(longest=4000.0), Built()
    assert long.joists.joined == ()
    one, other = (b.parts.by_member["B01-S3"].holes for b in (long, short))
    assert len(one) == len(other)
    for a, b in zip(one, other, strict=True):
        assert math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) < 1e-5


def test_girders_and_their_flanges() -> None:
    """A flange has no plate; its seam keeps 300 mm from that of its web, and is under no joist."""
    made = Built("l-girder")
    seams = {j.member: j for j in made.joists.joined}
    assert {"B01-G1", "B01-G2", "B01-F1", "B01-F2"} == set(seams)
    for web, flange in (("B01-G1", "B01-F1"), ("B01-G2", "B01-F2")):
        assert seams[web].plate
        assert not seams[flange].plate
        by_id = {m.id: m for m in made.frame.members}
        at = [by_id[n].datum[0] + seams[n].at_mm * by_id[n].direction[0] for n in (web, flange)]
        assert abs(at[0] - at[1]) >= 300
        assert min(abs(at[1] - x) for j in made.joists.joists for x, _ in j.outline) >= 30
    assert all(p.length_mm == 6 * 70 for p in made.parts.parts if p.role == "fishplate")


def test_no_plate_where_boards_meet_or_a_device_hangs() -> None:
    """A joint along the near side's right half, a device by the left one: the seam goes between them."""
    device = Device(
        id="D1",
        kind="point motor",
        x_mm=1150,
        y_mm=60,
        length_mm=200,
        width_mm=80,
        depth_mm=40,
        clearance_mm=10,
    )
    made = Built(joints=(((1700.0, 0.0), (3200.0, 0.0)),), devices=(device,))
    seam = next(j for j in made.joists.joined if j.member == "B01-S1")
    plate = next(m for m in made.joists.members if m.id == seam.plate)
    xs = [x for x, _ in plate.outline]
    assert max(xs) <= 1700 - 40 + 1e-6
    assert not shapely.Polygon(plate.outline).intersects(shapely.Polygon(device.keepout()))


def test_no_room_for_a_plate_is_told() -> None:
    """Joists 3188 / 22 = 144.9 mm apart leave 132.9, less 5 on each side: room for a plate of 120, not for
    one of 1.5 · 90 = 135. The strip stays whole, the cutting tells that it is too long."""
    made = Built(spacing=JoistSettings(spacing_mm=150.0, min_gap_mm=20.0))
    assert made.joists.joined == ()
    told = [f for f in made.notes.findings if f.code == "BW-JOIST-016"]
    assert len(told) == 2
    for finding in told:
        assert "3200 mm long, is longer than any such strip in the stock (2000 mm)" in finding.says
        assert "a plate 135 mm long behind it (for one of 120 mm there is)" in finding.says
        assert "no longer than 2000 mm" in finding.mend
        assert "set joists.spacing_mm higher" in finding.mend
    assert made.parts.by_member["B01-S1"].length_mm == 3200


def test_a_strip_by_itself() -> None:
    """Nothing beside it: butted as far from the middle as lengths of 2000 allow, at 3200 - 2000 = 1200. There
    it bends 4 · 0.375 · 0.625 = 0.94 of the most; up to 1220 that is the same, and more even."""
    side = Built().frame.members[0]
    stock = StockSettings(
        sheets=(
            StockSheet(
                name="strips",
                material="birch ply",
                thickness_mm=12.0,
                length_mm=2000 + 2 * TRIM_MM,
                width_mm=1000.0,
            ),
        )
    )
    made = in_lengths(board_of(LONG), (side,), (), (), stock, CuttingSettings())
    (seam,) = made.joined
    assert seam.at_mm == 1220
    assert [p.length_mm for p in made.plates] == [360]


def test_steps_make_it_first_and_use_what_is_bought() -> None:
    for style in STYLES:
        made = Built(style)
        told = steps(made.frame, made.joists, made.parts, SCREWED)
        plates = [p.id for p in made.parts.parts if p.role == "fishplate"]
        first = told.steps[0]
        assert first.kind is StepKind.LENGTHS
        assert {j.member for j in made.joists.joined if j.plate} | set(plates) == set(first.adds)
        lines = [
            *screw_lines(made.frame, made.joists, made.parts, SCREWED),
            *glue_lines(made.frame, made.joists, made.parts, SCREWED),
        ]
        for item in {line.item for line in lines}:
            bought = sum(line.quantity for line in lines if line.item == item)
            used = sum(u.quantity for s in told.steps for u in s.uses if u.item == item)
            assert bought - (1 if item == "wood-glue" else 0) <= used <= bought + 1e-3, (style, item)
        (screws,) = (u for u in first.uses if u.item == "screw-3.5x20")
        assert screws.quantity == 8 * len(plates), "two rows of two on each side of each seam"
        ties = {t.part: t.to for t in told.ties}
        for seam in made.joists.joined:
            if seam.plate:
                assert ties[seam.plate] == (seam.member,)


def test_the_glue_is_judged() -> None:
    """By hand: what bends where the seam is, on the glue of 180 × 90 mm, against 0.8 N/mm²; the shear there
    turns it as well, its middle being 90 mm away."""
    made = Built()
    lines = {line.key: line for line in made.strength().lines}
    plates, bending = lines["plates"], max(lines["bending"].measured, lines["carried-bending"].measured)
    assert plates.passed
    turning = 180 * 90 * (180**2 + 90**2) / 12
    bent = bending * 33.2 * 12 * 90**2 / 6 * math.hypot(180, 90) / 2 / turning / 0.8
    force = lines["shear"].measured * 9.5 * 12 * 90 / 1.5
    sheared = force * (1 / (180 * 90) + 90 * math.hypot(180, 90) / 2 / turning) / 0.8
    assert plates.measured <= bent + sheared, "the seam bears no more than the worst place"
    assert plates.measured >= 0.2 * bent
    whole = {line.key: line.measured for line in Built(longest=4000.0).strength().lines}
    assert "plates" not in whole
    assert lines["frame-sag"].measured == pytest.approx(whole["frame-sag"], abs=0.11), "a plate more to carry"


@pytest.mark.parametrize("style", STYLES)
def test_any_board(style: str) -> None:
    """Random boards, devices, joists and stock: every length comes out of it, lengths fill their member,
    plates lie over seams and in nobody's way. With ``BOARDWRIGHT_DEEP=1`` 300 boards of each style."""
    several = 0
    for seed in range(SEEDS):
        rng = random.Random(f"{style} {seed}")
        made = any_board(style, rng)
        longest = made[1]
        built = made[0]
        several += len(built.joists.joined)
        whole = {f.where[0].item for f in built.notes.findings if f.code == "BW-JOIST-016"}
        lengths = [p for p in built.parts.parts if p.role not in ("deck", "riser")]
        assert all(p.length_mm <= longest + 1e-6 for p in lengths if p.id not in whole), seed
        as_built(built, str(seed))
    assert several


def test_plates_of_one_strip_do_not_lie_over_each_other() -> None:
    """Girders 1851 long of lengths up to 914 have two seams each, under plates of 6 × 70 = 420; those of one
    would lie 310 apart, both drawn to one side by what they cost."""
    built, _ = any_board("l-girder-open", random.Random("l-girder-open 116"))
    by_member: dict[str, list[float]] = {}
    for seam in built.joists.joined:
        if seam.plate:
            by_member.setdefault(seam.member, []).append(seam.at_mm)
    assert max(map(len, by_member.values())) == 2
    as_built(built, "116")


def any_board(style: str, rng: random.Random) -> tuple[Built, float]:
    long, wide = rng.uniform(1500, 4000), rng.uniform(350, 800)
    slant = rng.uniform(-80, 80) if "girder" not in style else 0.0
    ring = ((0.0, 0.0), (long, 0.0), (long + slant, wide), (0.0, wide))
    devices = tuple(
        Device(
            id=f"D{n}",
            kind="point motor",
            x_mm=rng.uniform(100, long - 100),
            y_mm=rng.uniform(60, wide - 60),
            length_mm=rng.uniform(40, 120),
            width_mm=rng.uniform(20, 60),
            depth_mm=40,
            clearance_mm=10,
            angle_deg=rng.uniform(0, 180),
        )
        for n in range(rng.randint(0, 6))
    )
    longest = rng.uniform(900, 2400)
    joists_apart = JoistSettings(spacing_mm=rng.uniform(250, 500))
    return Built(style, longest, ring, devices=devices, spacing=joists_apart), longest


def as_built(made: Built, seed: str) -> None:
    solids = [solid(made.board, p) for p in made.parts.parts if p.placement.stands]
    members = {m.id: m for m in (*made.frame.members, *made.joists.members)}
    together: dict[str, list[Solid]] = {}
    for s in solids:
        together.setdefault(s.part.of or s.part.id, []).append(s)
    for name, mine in together.items():
        whole = shapely.Polygon(members[name].outline)
        assert shapely.union_all([s.shape for s in mine]).symmetric_difference(whole).area < 0.01, (
            seed,
            name,
        )
        assert sum(s.shape.area for s in mine) == pytest.approx(whole.area, abs=0.01), (seed, name)
    for a, b in itertools.combinations(solids, 2):
        if min(a.high_mm, b.high_mm) - max(a.low_mm, b.low_mm) > 1e-6:
            assert a.shape.intersection(b.shape).area < 0.01, (seed, a.part.id, b.part.id)
    kept_off = [shapely.Polygon([made.board.to_local(p) for p in d.keepout()]) for d in made.plan.devices]
    for seam in (j for j in made.joists.joined if j.plate):
        plate, strip = members[seam.plate], members[seam.member]
        assert plate.role is MemberRole.FISHPLATE
        ends = sorted(strip.along(p) for p in plate.outline)
        assert (ends[0] + ends[-1]) / 2 == pytest.approx(seam.at_mm, abs=1e-3), seed
        assert ends[-1] - ends[0] >= 2 * strip.depth_mm - 1e-3
        assert shapely.Polygon(plate.outline).distance(shapely.Polygon(strip.outline)) < 1e-6
        assert not any(shapely.Polygon(plate.outline).intersects(k) for k in kept_off), seed
