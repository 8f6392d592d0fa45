"""The framing style l-girder: two girders along a board, joists across on top of them, a whole deck.

Claim: each girder is a web on edge with a flange glued flat on it, straight along the board, from end to end;
every joist that may come (anywhere between the ends) crosses two of them at least. Where a board's shape does
not allow that it is framed as a box, and a note says so. Members on a joint line, and those
across a free end, where the deck would end in the open, stand as deep as joists and girders together; there
are no sides along the board.

Girders go ``from_edge`` of the width from each edge, or as near to that as devices that hang deeper than
the joists allow, and where both ends of a web stand flat against one member each, if that can be: one before
a corner of the frame (of a round end, say) would be cut short and stand against nothing.

What this does not know: girders that follow a taper or a bend, and strength (see ``strength``).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from boardwright import Notes, Place, stage
from boardwright.plan.model import Device, Ring
from boardwright_timber.geometry import snap_point
from boardwright_timber.model import Bed, Board, BoardPlan, Diagonal, Frame, FrameSize, Member, MemberRole

from ..joists.pieces import Piece, pieces_at
from ..joists.region import Region, as_region, region_of
from ..nesting.settings import CuttingSettings, StockSettings
from .diagonals import diagonals
from .girder_settings import GirderSettings
from .open_top import stands_on_joint
from .sandwich_settings import SOLID, SandwichSettings
from .settings import FramingSettings
from .sized import AS_SET, sized

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

STOCK, CUTTING = StockSettings(), CuttingSettings()
STEP_MM, TOUCH_MM = 5.0, 0.05
SEARCH_SHARE = 0.15  # how far from its place a girder may go, as a share of the width
NEAR_END_MM = 60.0  # no joist stands this near the end of a board


class Girder(NamedTuple):
    web: Member
    flange: Member


@stage(name="frame", each=True, style="l-girder", chosen_by="framing.style")
def l_girder(
    board: Board,
    board_plan: BoardPlan,
    settings: FramingSettings,
    girder: GirderSettings,
    notes: Notes,
    size: FrameSize = AS_SET,
    sandwich: SandwichSettings = SOLID,
    stock: StockSettings = STOCK,
    cutting: CuttingSettings = CUTTING,
) -> Frame:
    """Frame one board on girders. A size that was chosen is that of their webs."""
    from .stages import frame as box

    boxed = box(board, settings, notes, size, sandwich, stock, cutting)
    return on_girders(board, boxed, board_plan.devices, settings, girder, size, notes)


def on_girders(
    board: Board,
    boxed: Frame,
    devices: Iterable[Device],
    settings: FramingSettings,
    girder: GirderSettings,
    size: FrameSize,
    notes: Notes,
    rise_mm: float = 0.0,
) -> Frame:
    """The frame of a board that is ``boxed`` where girders do not suit it. ``rise_mm``: how much lower than
    here its joists will be, for devices to hang in."""
    settings = sized(settings, size)
    if size.strip is not None:
        girder = girder.changed(web_depth_mm=size.strip.depth_mm)
    room = region_of(boxed)
    if room is None or not boxed.members:
        return boxed
    taken = _deep_devices(board, devices, girder.joist_depth_mm + rise_mm)
    deep = girder.joist_depth_mm + girder.flange_thickness_mm + girder.web_depth_mm
    ends = tuple(
        replace(m, depth_mm=deep)
        for m in boxed.members
        if stands_on_joint(m, board) or (m.role is not MemberRole.WELL_SIDE and _runs_across(m))
    )
    found = _girders(board.id, room, settings, girder, taken, ends)
    if found is None:
        notes.note(
            "BW-FRAME-010",
            f"Board {board.id} is framed as a box: its shape or a deep device leaves no place for two "
            "straight girders that carry every joist.",
            Place(board=board.id),
            "Nothing, if a box will do; else straighten the board or move the device.",
        )
        return boxed
    return replace(
        boxed,
        style="l-girder",
        members=(*ends, *(g.web for g in found), *(g.flange for g in found)),
        diagonals=_diagonals(ends),
        bed=Bed(
            room=boxed.inner,
            wells=boxed.inner_wells,
            depth_mm=girder.joist_depth_mm,
            thickness_mm=settings.joist_wood[1],
            material=settings.joist_wood[0],
            across=True,
        ),
    )


def _diagonals(ends: tuple[Member, ...]) -> tuple[Diagonal, ...]:
    """Between the outer corners of two ends; other boards are held square by what they are bolted to."""
    if len(ends) != 2:
        return ()
    one, other = ends
    return diagonals((one.outer_start, one.outer_end, other.outer_start, other.outer_end))


def _runs_across(member: Member) -> bool:
    return abs(member.direction[1]) > abs(member.direction[0])


def _girders(
    board: str,
    room: Region,
    settings: FramingSettings,
    girder: GirderSettings,
    taken: list[Ring],
    ends: Sequence[Member],
) -> list[Girder] | None:
    """The lower and the upper girder (two each, where a well or a bend parts them); None: no way."""
    turned = as_region(_turned(room))
    if turned is None:
        return None
    low, high = turned.low_x, turned.high_x
    aside = girder.from_edge * (high - low)
    for against in (ends, ()):  # where those with firm ends miss a joist, the nearest may not
        lines = [
            _line(turned, wanted, inward, settings, girder, taken, against)
            for wanted, inward in ((low + aside, 1.0), (high - aside, -1.0))
        ]
        named = [
            Girder(replace(g.web, id=f"{board}-G{n}"), replace(g.flange, id=f"{board}-F{n}"))
            for n, g in enumerate((g for line in lines for g in line), 1)
        ]
        if all(lines) and _apart(named) and _carries_all(room, named):
            return named
    return None


def _apart(found: Sequence[Girder]) -> bool:
    """Whether no two girders are in each other's way, as their flanges are on a board hardly wider."""
    import shapely

    woods = [shapely.union_all([shapely.Polygon(m.outline) for m in g]) for g in found]
    return not any(a.intersects(b) for a, b in combinations(woods, 2))


def _line(
    turned: Region,
    wanted: float,
    inward: float,
    settings: FramingSettings,
    girder: GirderSettings,
    taken: list[Ring],
    ends: Sequence[Member],
) -> list[Girder]:
    """The girder (its web's middle at a height across the board) that is clear of ``taken``: of all with the
    fewest ends that do not stand flat against one of ``ends`` the nearest to ``wanted``."""
    import shapely

    reach = int(SEARCH_SHARE * (turned.high_x - turned.low_x) / STEP_MM)
    shapes = [shapely.Polygon(ring) for ring in taken]
    faces = shapely.union_all([shapely.LineString((m.inner_start, m.inner_end)) for m in ends])
    held = faces.buffer(TOUCH_MM)
    found: dict[int, list[Girder]] = {}
    for n in range(reach + 1):
        for across in (wanted + n * STEP_MM, wanted - n * STEP_MM)[: 2 if n else 1]:
            line = _at(turned, across, inward, settings, girder)
            wood = [shapely.Polygon(m.outline) for g in line for m in g]
            if line and not any(w.intersects(shape) for w in wood for shape in shapes):
                found.setdefault(_loose_ends([g.web for g in line], held) if ends else 0, line)
        if 0 in found:
            break
    return found[min(found)] if found else []


def _loose_ends(webs: Sequence[Member], held: Geometry) -> int:
    """How many ends of webs do not lie on ``held`` with their whole width."""
    import shapely

    each = [end for w in webs for end in ((w.outer_start, w.inner_start), (w.outer_end, w.inner_end))]
    return sum(not held.covers(shapely.LineString(end)) for end in each)


def _at(
    turned: Region, across: float, inward: float, settings: FramingSettings, girder: GirderSettings
) -> list[Girder]:
    """Web and flange along the board at ``across``; the flange's edge is flush with the web's outer face."""
    t, wide = settings.member_thickness_mm, girder.flange_width_mm
    over = across + inward * (wide - t) / 2
    webs, flanges = pieces_at(turned, across, t), pieces_at(turned, over, wide)
    if len(webs) != len(flanges):
        return []
    top = -girder.joist_depth_mm
    return [
        Girder(
            _along(
                web, t, MemberRole.GIRDER, top - girder.flange_thickness_mm, girder.web_depth_mm, settings
            ),
            replace(
                _along(flange, wide, MemberRole.FLANGE, top, girder.flange_thickness_mm, settings),
                material=girder.flange_material,
                flat=True,
            ),
        )
        for web, flange in zip(webs, flanges, strict=True)
    ]


def _along(
    piece: Piece, width: float, role: MemberRole, top: float, depth: float, settings: FramingSettings
) -> Member:
    """A member along the board from a piece of the turned room."""
    low, high = piece.x - width / 2, piece.x + width / 2
    return Member(
        id="",
        role=role,
        outer_start=snap_point((piece.left[0], low)),
        outer_end=snap_point((piece.left[1], low)),
        inner_start=snap_point((piece.right[0], high)),
        inner_end=snap_point((piece.right[1], high)),
        thickness_mm=width,
        depth_mm=depth,
        material=settings.member_material,
        top_mm=top,
    )


def _turned(room: Region) -> Polygon:
    """The room with its axes changed about: what ran along the board runs across it."""
    import shapely

    return shapely.transform(room.shape, lambda points: points[:, ::-1])


def _carries_all(room: Region, girders: list[Girder]) -> bool:
    """Whether a joist anywhere but at the very ends would cross two girders."""
    first, last = room.low_x + NEAR_END_MM, room.high_x - NEAR_END_MM
    stops = {first, last} | {p[0] for ring in room.rings for p in ring if first < p[0] < last}
    for x in sorted(stops):
        for from_left in (True, False):
            for lower, upper in room.section(x, from_left=from_left):
                crossed = [g for g in girders if _crosses(g.web, x, lower.y_at(x), upper.y_at(x))]
                if len(crossed) < 2:
                    return False
    return True


def _crosses(web: Member, x: float, low: float, high: float) -> bool:
    ends = max(web.outer_start[0], web.inner_start[0]), min(web.outer_end[0], web.inner_end[0])
    return ends[0] <= x <= ends[1] and low <= web.outer_start[1] and web.inner_start[1] <= high


def _deep_devices(board: Board, devices: Iterable[Device], deep_mm: float) -> list[Ring]:
    """Keep-outs of devices that hang lower than the joists reach, in local coordinates."""
    return [
        tuple(board.to_local(p) for p in d.keepout())
        for d in sorted(devices, key=lambda d: d.id)
        if d.depth_mm > deep_mm
    ]
