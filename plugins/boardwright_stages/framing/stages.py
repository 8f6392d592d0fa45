"""The framing stage: a box frame of straight strips on edge under a board of any shape.

Claim: every member lies under the deck; a member on a joint stands with its outer face exactly on the joint's
line; the members fill the band between ``Frame.outer`` and ``Frame.inner`` (and round each well the band
between ``wells`` and ``inner_wells``) exactly once. Where that cannot be, a fault says where.

Numbering: edges are counted anticlockwise from the lower left corner of the board's own axes; sides S1, S2 …,
ends E1, E2 …, sides of wells W1, W2 …, each after the board's name: ``B01-E1``.

What this does not know: joists, devices, strength, and girders, risers or open tops: this is the box frame.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from boardwright import Notes, stage
from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import lower_left_first, oriented, snap_point, without_repeats
from boardwright_timber.model import Bed, Bent, Board, Frame, FrameSize, Member, MemberRole

from ..nesting.settings import CuttingSettings, StockSettings
from .sandwich_settings import SOLID, SandwichSettings
from .settings import FramingSettings
from .sized import AS_SET, sized

if TYPE_CHECKING:
    from .band import Band

STOCK, CUTTING = StockSettings(), CuttingSettings()


@stage(each=True, style="box", chosen_by="framing.style")
def frame(
    board: Board,
    settings: FramingSettings,
    notes: Notes,
    size: FrameSize = AS_SET,
    sandwich: SandwichSettings = SOLID,
    stock: StockSettings = STOCK,
    cutting: CuttingSettings = CUTTING,
) -> Frame:
    """Frame one board.

    A straight edge gets one member whether joints cover all of it or a part. It is an END when joints cover
    at least half of it, else a SIDE; either way boards can be bolted to it.
    """
    from .band import round_ring
    from .bent import edged, longest_layer_mm
    from .complaints import Complaints
    from .diagonals import diagonals
    from .members import Spot, Strip

    settings = sized(settings, size)
    complaints = Complaints(board, settings, notes)
    joints = tuple(
        (board.to_local(a), board.to_local(b)) for a, b in map(board.face, (*board.joints, *board.ends))
    )

    hollow = settings.sides == "sandwich"
    mixed = settings.joist_wood != (settings.member_material, settings.member_thickness_mm)
    thick = sandwich.thickness_mm if hollow else settings.member_thickness_mm
    strip = Strip(thick, settings.depth_mm, settings.member_material)
    edge, bent = _local_ring(board, board.ring, well=False), tuple[Bent, ...]()
    holes = tuple(_local_ring(board, w, well=True) for w in board.wells)
    if settings.curved_edge != "chords":
        longest_mm = longest_layer_mm(stock, cutting, settings)
        made = edged(board.id, edge, joints, settings, holes, longest_mm)
        edge, holes, bent = made.ring, made.wells, made.strips
        complaints.about_bends(made)
    outer = round_ring(edge, joints, settings, strip, well=False)
    wells = [round_ring(hole, (), settings, strip, well=True) for hole in holes]
    bands: list[Band] = [outer, *sorted(wells, key=lambda band: band.outline.corners[0])]

    members: list[Member] = []
    numbers: dict[str, int] = {}
    for band in bands:
        places = []
        for role in band.roles:
            letter = _LETTERS[role]
            numbers[letter] = numbers.get(letter, 0) + 1
            places.append(Spot(f"{board.id}-{letter}{numbers[letter]}", role))
        members += complaints.heard(band, band.members(places))
    if hollow:
        members = [sandwich.made(m) for m in members]
    complaints.about_overhang(bands)
    complaints.about_collisions(members)
    return Frame(
        board=board.id,
        outer=outer.outline.corners,
        inner=outer.inner,
        wells=tuple(b.outline.corners for b in bands[1:]),
        inner_wells=tuple(b.inner for b in bands[1:]),
        members=tuple(members),
        diagonals=diagonals(outer.outline.corners),
        bed=_bed(bands, settings) if hollow or mixed else None,
        bent=bent,
    )


def _bed(bands: list[Band], settings: FramingSettings) -> Bed:
    """Where joists stand that are made of other wood than the sides, or of solid wood between hollow ones."""
    material, thickness_mm = settings.joist_wood
    return Bed(
        room=bands[0].inner,
        wells=tuple(b.inner for b in bands[1:]),
        depth_mm=settings.depth_mm,
        thickness_mm=thickness_mm,
        material=material,
    )


_LETTERS = {MemberRole.SIDE: "S", MemberRole.END: "E", MemberRole.WELL_SIDE: "W"}


def _local_ring(board: Board, ring: Ring, *, well: bool) -> Ring:
    """The ring in the board's own axes, deck on the left, from its lower left corner on."""
    points: list[Point] = [snap_point(board.to_local(p)) for p in ring]
    return lower_left_first(oriented(without_repeats(points), anticlockwise=not well))
