"""Fixings: the bolts and dowels of a board's joints, the very same ones for both boards of a joint.

Claim: ``joint_fixings`` is a pure function of a joint and what both boards put behind it, always called with
the boards in the joint's own order, so the two boards cannot disagree about a hole.

Bolts take the outermost places and pull; dowels come next, inside them, and locate; the middle is left for
wires. How many and in how many rows: ``holding``. Spanners and hands: ``access``. Edge distance 3d and end
distance 4d follow EN 1995-1-1 Table 8.4 (a4,c and a3,c, read), which is written for bolts loaded sideways in
structural joints: here it is a practical check. Bolt holes are ISO 273 clearance holes. Room behind the ends:
common practice, no source.

What this does not know: shear. Bolts in clearance holes do not locate; dowels must.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from boardwright import Near, Notes, Place, stage
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardPlan,
    EndPattern,
    Fixing,
    FixingKind,
    Frame,
    Joint,
    Joists,
    RailStrip,
)

from ..hardware.lengths import bought_mm
from ..hardware.settings import HardwareSettings
from ..strength.levels import AS_ALL, NO_LEVELS, BoardSupports
from ..strength.settings import StrengthSettings, SupportSettings
from .access import in_reach, turned
from .advice import why_none_fits
from .bores import bolt_bore, dowel_bore
from .catches import flush_ends
from .ends import places_of
from .holding import held_nmm, leaning_nmm, pull_n, rows
from .lifting import tell_held_fast
from .mating import Half, Mate, band_of, clear_for, mate_at, mates, mating_stretch, point_on
from .pattern import choose, fixed, handed
from .rails import rail_strips, taken_by_rails
from .settings import Fastener, JointSettings
from .shallow import tell_shallow
from .spans import common, holds, without
from .wall import wall_anchors

STRENGTH, SUPPORTS, NO_ENDS = StrengthSettings(), SupportSettings(), EndPattern()
HARDWARE = HardwareSettings()


@stage(each=True)
def fixings(
    board: Board,
    beside: Near[Board],
    board_plan: BoardPlan,
    plans_beside: Near[BoardPlan],
    frame: Frame,
    frames: Near[Frame],
    joists: Joists,
    joists_beside: Near[Joists],
    settings: JointSettings,
    notes: Notes,
    strength: StrengthSettings = STRENGTH,
    supports: SupportSettings = SUPPORTS,
    ends: EndPattern = NO_ENDS,
    hardware: HardwareSettings = HARDWARE,
    level: BoardSupports = AS_ALL,
    levels_beside: Near[BoardSupports] = NO_LEVELS,
) -> BoardFixings:
    """Bolts and dowels of all joints of one board, joint by joint, each joint's from its start to its end."""
    own = Half(board, frame, joists, board_plan.devices)
    made: list[Fixing] = []
    rails: list[RailStrip] = []
    for joint in board.joints:
        halves = halves_of(joint, own, beside, plans_beside, frames, joists_beside)
        heard = notes if board.id == joint.boards[0] else Notes()  # one board speaks for both
        plans = [board_plan if half is own else plans_beside[half.board.id] for half in halves]
        strips = [rail_strips(half, plan, joint, settings) for half, plan in zip(halves, plans, strict=True)]
        stood = (level if half is own else levels_beside.get(half.board.id, AS_ALL) for half in halves)
        moment = leaning_nmm(joint, halves, strength, [each.over(supports).from_end for each in stood])
        made += joint_fixings(joint, *halves, settings, heard, moment, (strips[0], strips[1]))
        rails += strips[halves.index(own)]
    tell_held_fast(board, made, notes)
    for end in board.ends:
        if end.id in ends.ends:
            made += end_fixings(end, own, ends, settings)
            rails += rail_strips(own, board_plan, end, settings)
    anchors = tuple(wall_anchors(board, frame, level.over(supports), notes))
    bought = tuple(_bought(f, hardware) for f in made)
    return BoardFixings(board=board.id, fixings=bought, rails=tuple(rails), anchors=anchors)


def _bought(fixing: Fixing, hardware: HardwareSettings) -> Fixing:
    """A bolt with the length that is bought for it."""
    if fixing.kind is not FixingKind.BOLT:
        return fixing
    length = bought_mm(fixing.fastener, fixing.nut, fixing.size, fixing.grip_mm, hardware)
    return replace(fixing, length_mm=length)


def halves_of(
    joint: Joint,
    own: Half,
    beside: Near[Board],
    plans: Near[BoardPlan],
    frames: Near[Frame],
    joists: Near[Joists],
) -> tuple[Half, Half]:
    """Both sides of a joint, in the joint's own order of boards."""
    other = next(b for b in joint.boards if b != own.board.id)
    theirs = Half(beside[other], frames[other], joists[other], plans[other].devices)
    return (own, theirs) if own.board.id == joint.boards[0] else (theirs, own)


def end_fixings(end: Joint, own: Half, ends: EndPattern, settings: JointSettings) -> Iterator[Fixing]:
    """Bolts and dowels of an end that mates with the next module, which is as thick there as this one."""
    faces = mates(end, own, settings.reach_mm)
    placed = sorted(
        [(t, FixingKind.BOLT, z) for t, z in places_of(end, ends.bolts)]
        + [(t, FixingKind.DOWEL, z) for t, z in places_of(end, ends.dowels)]
    )
    fastener: Fastener = "hex bolt" if ends.fastener == "hex bolt" else "cup bolt"
    for n, (t, kind, z) in enumerate(placed):
        yield _fixing(end, n, kind, t, z, faces, faces, fastener, settings)


def joint_fixings(
    joint: Joint,
    first: Half,
    second: Half,
    settings: JointSettings,
    notes: Notes,
    moment_nmm: float = 0.0,
    rails: tuple[tuple[RailStrip, ...], tuple[RailStrip, ...]] = ((), ()),
) -> tuple[Fixing, ...]:
    """Fixings of one joint, rising along it. ``first`` and ``second`` are in the joint's order."""
    here = Place(board=joint.boards[0], item=joint.id, x_mm=joint.start[0], y_mm=joint.start[1])
    halves = (first, second)
    ours, theirs = (mates(joint, half, settings.reach_mm) for half in halves)
    stretch = mating_stretch(ours, theirs)
    if stretch is None:
        notes.fault(
            "BW-JOINT-001",
            f"Nothing to bolt together at joint {joint.id}: boards {' and '.join(joint.boards)} do not both "
            "have a straight frame member on the joint line.",
            here,
            "Move the joint to where both boards have a straight end or side on it.",
        )
        return ()
    middle = (stretch[0] + stretch[1]) / 2
    top, bottom = band_of(joint, ours, theirs)
    depth = top - bottom
    bolt, dowel = bolt_bore(settings), dowel_bore(settings)
    if depth < 2 * min(bolt.diameter_mm, dowel.diameter_mm):
        notes.fault(
            "BW-JOINT-010",
            f"Boards {' and '.join(joint.boards)} do not meet in height at joint {joint.id}: their frames "
            f"have {max(depth, 0.0):g} mm in common.",
            here,
            "Make the frame of the higher board deeper, or hold its edge on legs of its own.",
        )
        return ()
    below = -(depth / 2 if settings.fixings_below_mm is None else settings.fixings_below_mm)
    tell_shallow(joint, depth, -below, settings, here, notes)

    fastener, catches = _fastener(joint, first, second, settings, here, notes)
    clear = clear_for(ours, theirs, bolt)
    held = rows(moment_nmm, depth, clear, bolt, settings, fastener)
    wanted = 0 if catches else held.wanted
    places = clear
    heights = [round(top + z, 6) for z in held.z_mm]
    drops = (0.0, joint.drop_mm)
    for z in heights:
        for half, strips, drop in zip(halves, rails, drops, strict=True):
            places = without(places, taken_by_rails(joint, half, strips, z + drop, bolt))
        places = turned(places, ours, theirs, (z, z + joint.drop_mm), fastener, settings)
    handy = places
    for half, side, drop in zip(halves, (ours, theirs), drops, strict=True):
        thick = min(m.member.thickness_mm for m in side)
        for z in heights:
            handy = common(handy, in_reach(joint, half, thick, z + drop, settings))
    bolts = choose(handy, middle, wanted, settings.spacing_mm, "spread")
    if len(bolts.at_mm) < wanted:
        bolts = choose(places, middle, wanted, settings.spacing_mm, "spread")
    lost: tuple[float, ...] = ()
    if settings.bolts_at_mm and not catches:
        bolts, lost = fixed(places, middle, settings.bolts_at_mm)
    _check_hands(joint, [t for t in bolts.at_mm if not holds(handy, t)], settings, here, notes)
    room = without(
        clear_for(ours, theirs, dowel),
        ((t - settings.spacing_mm, t + settings.spacing_mm) for t in bolts.at_mm),
    )
    dowels = choose(room, middle, settings.dowels_per_joint, settings.spacing_mm, "spread")
    if settings.dowels_at_mm:
        dowels, more = fixed(clear_for(ours, theirs, dowel), middle, settings.dowels_at_mm)
        lost += more
    if lost:
        notes.fault(
            "BW-JOINT-007",
            f"Joint {joint.id} cannot have what joints.bolts_at_mm and joints.dowels_at_mm fix at "
            f"{', '.join(f'{p:g}' for p in lost)} mm from its middle: wood or a device is in the way, or the "
            "ends are too short.",
            here,
            "Make the ends as long as the rule wants, move what stands behind them, or change these places.",
        )
    if settings.pattern == "handed" and not settings.dowels_at_mm:
        dowels = handed(dowels, room, middle, settings.spacing_mm)
    if not bolts.at_mm and wanted:
        why, mend = why_none_fits(joint, ours, theirs, settings, bolt, top + below)
        notes.fault(
            "BW-JOINT-002",
            f"No room for a single {settings.bolt_size} bolt in joint {joint.id} "
            f"({joint.length_mm:.0f} mm long): {why}.",
            here,
            mend,
        )
    _say_what_is_missing(joint, len(bolts.at_mm), len(dowels.at_mm), bool(catches), settings, here, notes)
    if bolts.at_mm:
        pull = pull_n(settings.bolt_size, fastener, bolt.diameter_mm, settings.bolt_grade)
        _check_moment(joint, moment_nmm, held_nmm(held.z_mm, len(bolts.at_mm), pull), here, notes)
    if settings.pattern == "symmetric" and not (bolts.mirrored and dowels.mirrored):
        notes.note(
            "BW-JOINT-004",
            f"The holes of joint {joint.id} are not mirrored about its middle: joists or devices are in "
            "the way.",
            here,
            "Nothing, unless the board must also fit turned round: then shift what stands behind the joint.",
        )
    placed = sorted(
        [(t, FixingKind.BOLT, z) for t in bolts.at_mm for z in heights]
        + [(t, FixingKind.DOWEL, top + below) for t in dowels.at_mm]
        + [(t, FixingKind.CATCH, top + below) for t in catches]
    )
    return tuple(
        _fixing(joint, n, kind, t, z, ours, theirs, fastener, settings)
        for n, (t, kind, z) in enumerate(placed)
    )


def _fastener(
    joint: Joint, first: Half, second: Half, settings: JointSettings, here: Place, notes: Notes
) -> tuple[Fastener, tuple[float, ...]]:
    """What holds this joint, and where catches go (none: bolts)."""
    wanted = settings.fastener_of(first.board, second.board)
    if wanted != "toggle catch":
        return wanted, ()
    ends = flush_ends(joint, first, second) if not joint.drop_mm else ()
    if len(ends) == 2:
        return wanted, ends
    turned = settings.nut == "tee nut" or settings.fastener == "hex bolt"
    instead: Fastener = "hex bolt" if turned else "cup bolt"
    notes.note(
        "BW-JOINT-006",
        f"No toggle catches at joint {joint.id}: the sides of {' and '.join(joint.boards)} do not run on "
        "from one to the other at both of its ends; bolts hold it.",
        here,
        "Nothing, or let both boards be equally wide there.",
    )
    return instead, ()


def _fixing(
    joint: Joint,
    number: int,
    kind: FixingKind,
    t_mm: float,
    z_mm: float,
    ours: tuple[Mate, ...],
    theirs: tuple[Mate, ...],
    fastener: Fastener,
    settings: JointSettings,
) -> Fixing:
    x, y = point_on(joint, t_mm)
    is_bolt = kind is FixingKind.BOLT
    if kind is FixingKind.CATCH:
        return Fixing(
            id=f"{joint.id}-{letters(number)}",
            joint=joint.id,
            kind=kind,
            size="toggle",
            along_mm=round(t_mm, 6),
            x_mm=x,
            y_mm=y,
            z_mm=round(z_mm, 6),
            hole_diameter_mm=0.0,
            grip_mm=0.0,
            fastener=fastener,
        )
    return Fixing(
        id=f"{joint.id}-{letters(number)}",
        joint=joint.id,
        kind=kind,
        size=settings.bolt_size if is_bolt else f"{settings.dowel_diameter_mm:g}",
        along_mm=round(t_mm, 6),
        x_mm=x,
        y_mm=y,
        z_mm=round(z_mm, 6),
        hole_diameter_mm=(bolt_bore if is_bolt else dowel_bore)(settings).diameter_mm,
        grip_mm=sum(mate_at(side, t_mm).member.thickness_mm for side in (ours, theirs)),
        fastener=fastener if is_bolt else "",
        nut=settings.nut if is_bolt else "",
        grade=settings.bolt_grade if is_bolt else "",
    )


def letters(number: int) -> str:
    """0 → A, 25 → Z, 26 → AA."""
    tail = chr(ord("A") + number % 26)
    return tail if number < 26 else letters(number // 26 - 1) + tail


def _check_hands(
    joint: Joint, hidden: list[float], settings: JointSettings, here: Place, notes: Notes
) -> None:
    if hidden:
        notes.caution(
            "BW-JOINT-008",
            f"At joint {joint.id} no hand {settings.hand_mm:g} mm wide gets to the bolts "
            f"{', '.join(f'{t:.0f}' for t in hidden)} mm from its start: wood or a device is in the way.",
            here,
            "Move what stands behind the joint there, or set joints.hand_mm lower (0: do not look).",
        )


def _check_moment(joint: Joint, moment_nmm: float, held: float, here: Place, notes: Notes) -> None:
    if held < moment_nmm - 1e-6:
        notes.caution(
            "BW-JOINT-009",
            f"The bolts of joint {joint.id} hold {held / 1e3:.0f} N m; a hand that leans on it makes "
            f"{moment_nmm / 1e3:.0f} N m between the nearest legs.",
            here,
            "Put legs nearer (supports.from_end lower), choose thicker bolts, or make the frame deeper.",
        )


def _say_what_is_missing(
    joint: Joint, bolts: int, dowels: int, caught: bool, settings: JointSettings, here: Place, notes: Notes
) -> None:
    short = [
        f"{got or 'none'} of {wanted} {name}"
        for name, got, wanted in (
            ("bolts", bolts, 0 if caught or settings.bolts_at_mm else settings.bolts_per_joint),
            ("dowels", dowels, 0 if settings.dowels_at_mm else settings.dowels_per_joint),
        )
        if got < wanted and (got or name == "dowels")
    ]
    if short:
        only = "" if short[0].startswith("none") else "only "
        notes.caution(
            "BW-JOINT-003",
            f"Joint {joint.id} ({joint.length_mm:.0f} mm long) has room for {only}{' and '.join(short)}.",
            here,
            "Make the joint longer, or set joints.spacing_mm or the number of fixings lower.",
        )
