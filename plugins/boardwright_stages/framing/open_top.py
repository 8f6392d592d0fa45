"""The framing style open-top: a deck only where tracks are, on risers above a box of lower sides and joists.

Claim: the deck is every point within ``beside_track_mm`` of a track's centreline or within a turnout or a
device that touches that strip, cut at the board's edge (where a device stands far out, as much more as wood
needs that holds the deck beyond it); ends and sides that stand on a joint reach up to it,
the others stay ``rise_mm`` lower. A board without track gets a whole deck on a box frame.

Glossary
    riser   an upright on a joist's face that carries the deck (placed with the joists)

Where a track of the layout climbs, decks follow it (``climbing``); an end on a joint over which no deck lies
at the board's own level then stays lower too, and its decks stand on risers.

What this does not know: scenery.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import UNSET
from msgspec.structs import replace

from boardwright import Notes, Place, stage
from boardwright.plan.model import Device, Point, Ring, Turnout
from boardwright_timber.geometry import lower_left_first, oriented, snap_point, without_repeats
from boardwright_timber.model import Bed, Board, BoardPlan, Frame, FrameSize, Member, Panel
from boardwright_timber.rising import Way, underside_mm

from ..nesting.settings import CuttingSettings, StockSettings
from ..offsets import inset
from .clashes import about_clashes
from .climbing import LEVEL_MM, about_low_decks, climbing, rising_decks, ways_of
from .open_settings import OpenTopSettings
from .parting import SLIT_MM
from .runs import runs_of
from .sandwich_settings import SOLID, SandwichSettings
from .settings import FramingSettings
from .sized import AS_SET, sized

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

ARC_STEPS = 8  # chords in a quarter turn round the end of a track
SLIVER_MM2 = 100.0  # smaller scraps of deck are left away
STOCK, CUTTING = StockSettings(), CuttingSettings()
ON_JOINT_MM = 1.0
TOUCH_MM = 0.05
BESIDE_MM = 5.0  # deck beyond the wood that holds a lobe's edge
LOBE_MM = 50.0  # deck that stands out so far under a device is held at its far edge


@stage(name="frame", each=True, style="open-top", chosen_by="framing.style")
def open_top(
    board: Board,
    board_plan: BoardPlan,
    settings: FramingSettings,
    open_: OpenTopSettings,
    notes: Notes,
    size: FrameSize = AS_SET,
    sandwich: SandwichSettings = SOLID,
    stock: StockSettings = STOCK,
    cutting: CuttingSettings = CUTTING,
) -> Frame:
    """Frame one board with an open top."""
    from .stages import frame as box

    boxed = box(board, settings, notes, size, sandwich, stock, cutting)
    settings = sized(settings, size)
    deck = deck_of(board, board_plan, settings, open_, notes)
    return raised(board, board_plan, boxed, deck, "open-top", settings, open_, notes) or boxed


def deck_of(
    board: Board, plan: BoardPlan, settings: FramingSettings, open_: OpenTopSettings, notes: Notes
) -> tuple[Panel, ...]:
    """The pieces of a board's deck under its tracks, as they climb."""
    held_mm = 2 * settings.member_thickness_mm + BESIDE_MM
    return deck_under_tracks(board, plan, open_.beside_track_mm, held_mm, ways_of(board, plan), notes)


def raised(
    board: Board,
    board_plan: BoardPlan,
    made: Frame,
    deck: tuple[Panel, ...],
    style: str,
    settings: FramingSettings,
    open_: OpenTopSettings,
    notes: Notes,
) -> Frame | None:
    """A frame set lower, with a deck only under tracks above it; None: there is no track, or no frame. A box
    gets the bed that its joists would have had."""
    bed = made.bed or Bed(
        room=made.inner,
        wells=made.inner_wells,
        depth_mm=settings.depth_mm,
        thickness_mm=settings.joist_wood[1],
        material=settings.joist_wood[0],
    )
    if not deck or not made.members:
        if not deck:
            notes.note(
                "BW-FRAME-008",
                f"Board {board.id} holds no track, so it gets a whole deck on "
                f"{'girders' if bed.across else 'a box frame'}.",
                Place(board=board.id),
                "Nothing, if it is for scenery.",
            )
        return None
    _tell_bare_devices(board, board_plan, deck, notes)
    if any(panel.ways is not UNSET for panel in deck):
        about_low_decks(board, deck, open_.rise_mm, notes)
    return replace(
        made,
        style=style,
        members=tuple(_set(m, board, open_.rise_mm, deck) for m in made.members),
        bed=replace(bed, top_mm=bed.top_mm - open_.rise_mm),
        deck=deck,
    )


def _set(member: Member, board: Board, rise_mm: float, deck: Sequence[Panel]) -> Member:
    """Lower a member; one on a joint line is made deeper instead, to carry the deck there."""
    if stands_on_joint(member, board) and level_at(member, deck):
        return replace(member, depth_mm=member.depth_mm + rise_mm)
    return replace(member, top_mm=member.top_mm - rise_mm)


def level_at(member: Member, deck: Sequence[Panel]) -> bool:
    """Whether a deck lies at the board's own level over a member's outer face, and none lower."""
    import shapely

    if all(panel.ways is UNSET for panel in deck):
        return True
    face = shapely.LineString((member.outer_start, member.outer_end)).buffer(TOUCH_MM)
    found = []
    for panel in deck:
        over = shapely.Polygon(panel.ring, panel.wells).intersection(face)
        found += [underside_mm(panel, (x, y)) for x, y in shapely.get_coordinates(over).tolist()]
    return any(abs(z) <= LEVEL_MM for z in found) and all(z >= -LEVEL_MM for z in found)


def stands_on_joint(member: Member, board: Board) -> bool:
    """Whether a member's outer face lies along one of its board's joints, for a part of it at least."""
    import shapely

    face = shapely.LineString((member.outer_start, member.outer_end))
    return any(
        face.intersection(
            shapely.LineString([board.to_local(p) for p in board.face(j)]).buffer(TOUCH_MM)
        ).length
        > ON_JOINT_MM
        for j in (*board.joints, *board.ends)
    )


def deck_under_tracks(
    board: Board,
    plan: BoardPlan,
    beside_mm: float,
    held_mm: float = 0.0,
    ways: Sequence[Way] = (),
    notes: Notes | None = None,
) -> tuple[Panel, ...]:
    """The pieces of deck, from left to right. ``held_mm``: what a noggin and its riser need beside a device
    that makes a lobe of the deck; ``ways``: how its tracks climb, if they do."""
    import shapely

    whole = shapely.Polygon(board.ring, board.wells)
    lines = [shapely.LineString(t.points) for t in plan.tracks if len(t.points) > 1]
    wide: list[Geometry] = [
        line.buffer(beside_mm, quad_segs=ARC_STEPS, cap_style="round") for line in lines if line.length
    ]
    turned = [(t, shapely.Polygon(t.ring).buffer(0)) for t in plan.turnouts]
    wide += [shape for _, shape in turned]
    if not wide:
        return ()
    strip = shapely.union_all(wide).intersection(whole)
    more: list[tuple[Device, Geometry]] = []
    for device in (d for d in plan.devices if d.id in plan.own_devices):
        foot = shapely.Polygon(device.footprint())
        if foot.intersects(strip):
            lobe = not foot.difference(strip).buffer(-LOBE_MM / 2).is_empty
            room = shapely.Polygon(device.keepout()).buffer(held_mm, join_style="mitre")
            more.append((device, (room if lobe else foot).intersection(whole)))
    if ways:
        return _rising(board, plan, ways, beside_mm, whole, turned, more, notes or Notes())
    return _panels(board, whole, shapely.union_all([strip, *(shape for _, shape in more)]))


def _panels(board: Board, whole: Polygon, strip: Geometry, sawn: Geometry | None = None) -> tuple[Panel, ...]:
    import shapely

    closed = inset(strip.buffer(SLIT_MM / 2), SLIT_MM / 2).union(strip)
    if closed.geom_type == "GeometryCollection":
        closed = shapely.multipolygons([p for p in shapely.get_parts(closed) if p.area])
    strip = (closed.difference(sawn) if sawn else closed).intersection(whole).simplify(0.05)
    found = [_panel(board, part) for part in shapely.get_parts(strip) if part.area > SLIVER_MM2]
    return tuple(sorted(found, key=lambda p: lower_left_first(p.ring)[0]))


def _rising(
    board: Board,
    plan: BoardPlan,
    ways: Sequence[Way],
    beside_mm: float,
    whole: Polygon,
    turnouts: Sequence[tuple[Turnout, Polygon]],
    lobes: Sequence[tuple[Device, Geometry]],
    notes: Notes,
) -> tuple[Panel, ...]:
    """The pieces of a deck that follows its tracks up and down; those of one piece of tracks from left to
    right."""
    import shapely

    reach = 2 * beside_mm + SLIT_MM
    runs = runs_of(ways, reach)
    strips = [
        shapely.LineString([p[:2] for p in run.way])
        .buffer(beside_mm, quad_segs=ARC_STEPS, cap_style="round")
        .intersection(whole)
        for run in runs
    ]
    found = rising_decks(runs, strips, turnouts, lobes, reach, plan.scale_ratio)
    about_clashes(board, plan, found.clashes, notes)
    panels: list[Panel] = []
    for piece in found.pieces:
        local = [tuple((*snap_point(board.to_local((x, y))), z) for x, y, z in way) for way in piece.ways]
        panels += [climbing(p, local) for p in _panels(board, whole, piece.shape, piece.sawn)]
    return tuple(panels)


def _panel(board: Board, shape: Polygon) -> Panel:
    return Panel(
        ring=_ring(board, shape.exterior.coords[:-1], anticlockwise=True),
        wells=tuple(sorted(_ring(board, hole.coords[:-1], anticlockwise=False) for hole in shape.interiors)),
    )


def _ring(board: Board, points: list[Point], *, anticlockwise: bool) -> Ring:
    local = without_repeats(snap_point(board.to_local(p)) for p in points)
    return lower_left_first(oriented(local, anticlockwise=anticlockwise))


def _tell_bare_devices(board: Board, plan: BoardPlan, deck: tuple[Panel, ...], notes: Notes) -> None:
    import shapely

    wood = shapely.union_all([shapely.Polygon(p.ring, p.wells) for p in deck])
    bare = [
        d
        for d in sorted(plan.devices, key=lambda d: d.id)
        if d.id in plan.own_devices
        and not wood.intersects(shapely.Polygon([board.to_local(p) for p in d.footprint()]))
    ]
    if bare:
        notes.caution(
            "BW-FRAME-009",
            f"Board {board.id}: no deck lies under {', '.join(d.id for d in bare)}, away from the tracks.",
            [Place(board=board.id, item=d.id, x_mm=d.x_mm, y_mm=d.y_mm) for d in bare],
            "Fasten each to a side, a joist or a block, or allow more in open_top.beside_track_mm.",
        )
