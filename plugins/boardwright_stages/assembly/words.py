"""A step in words: what to do with each part, what to check before going on.

Common practice throughout, no source: work upside down on a flat sheet so that the tops come flush, glue
before screws, wipe off what comes out, measure from corner to corner before the glue sets.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from boardwright.plan.model import Point
from boardwright_timber.model import BoardParts, EdgeKind, Frame, Member, MemberRole, Part, StepKind, StepLine

from ..edging.words import TITLES as EDGINGS
from ..framing.bent import SKIN_MM
from ..framing.staggered import chains
from ..hardware.screwing import FISHPLATE_ROWS, splice_row
from ..hardware.settings import HardwareSettings
from .holding import Held, Holding
from .order import rests_on

SAME_DIAGONALS_MM = 1.0
SHORT_MM = 0.1
FLUSH_MM = 0.2  # faces this near lie on one another
TALL_MM = 100.0

TITLES = {
    StepKind.LENGTHS: "Strips of several lengths",
    StepKind.GIRDERS: "Girders",
    StepKind.FLANGES: "Flanges on the girders",
    StepKind.FRAME: "The frame",
    StepKind.WELLS: "Round the wells",
    StepKind.JOISTS: "Joists",
    StepKind.NOGGINS: "Noggins between joists",
    StepKind.RISERS: "Risers",
    StepKind.EDGES: "Curved edges",
    StepKind.DECK: "The deck",
    StepKind.FASCIA: EDGINGS[EdgeKind.FASCIA],
    StepKind.BACKSCENE: EDGINGS[EdgeKind.BACKSCENE],
}
_FIRST = {
    StepKind.LENGTHS: "First, on the bench: lay the lengths of each strip end to end on a flat sheet, along "
    "a straightedge. Glue the fishplate over the seam, half of it on each length, top edges in line, clamp "
    "it, drive the screws, and let the glue set before the strip is lifted.",
    StepKind.GIRDERS: "Stand the girders on edge, parallel, a spacer between them at each end.",
    StepKind.FLANGES: "Glue each flange flat on its girder, centred, and screw it down from above.",
    StepKind.FRAME: "Work upside down on a flat sheet, tops down: then they come flush by themselves. "
    "Dry-fit first; then glue, clamp, and drive the screws.",
    StepKind.WELLS: "Glue and screw the strips round each well, tops down on the sheet.",
    StepKind.JOISTS: "Mark where each joist goes on the strips that hold it; glue its ends, set it on its "
    "marks and drive the screws from outside.",
    StepKind.NOGGINS: "Set the noggins between their joists: glue, clamp, screw through the joists.",
    StepKind.RISERS: "Glue and screw each riser upright to its face, its top at the deck's underside, two "
    "screws side by side at half the height that lies on the face; glue a cleat of square strip along its "
    "top for the deck.",
    StepKind.EDGES: "Bend each strip round the frame, its top flush with the other tops, its face where the "
    "deck's edge will be: lay the deck on loosely to find the line. Glue and screw blocks behind it, to the "
    "members where they touch or stand near, before the clamps come off.",
    StepKind.DECK: "Turn the board right way up. Glue on all tops, lower the deck, line it up at the joint "
    "ends, and screw it down from the middle outward.",
}
_ON_GIRDERS = {
    StepKind.FRAME: "Glue and screw the ends to the girders, square to them.",
    StepKind.JOISTS: "Lay each joist across the girders on its marks, square to them, and screw it from "
    "below through the flanges.",
}
_UNDER_A_CLIMB = {
    StepKind.RISERS: "Read the number on each riser: no two need be alike. Mark how far its foot is below "
    "the top edge of what it stands on, glue and screw it upright there, its drawn face as on its drawing, "
    "two screws side by side at half the height that lies on the face; glue a cleat of square strip along "
    "its top, at the slope of that top, for the deck.",
    StepKind.DECK: "Turn the board right way up. Glue on all tops and cleats. Lay each piece of deck on from "
    "its level or lower end and screw it down from there along the climb, a riser at a time: the sheet bends "
    "to them.",
}
_AGAIN = "Go on in the same way: dry-fit, glue, clamp, screw."
_TOPS = "Tops flush: a straightedge laid over any two of them touches both along its length."


def part_lines(
    holding: Holding, members: Sequence[Member], kind: StepKind, again: bool
) -> tuple[StepLine, ...]:
    """The step's first word (another one where a kind goes on ``again``), then what holds each member."""
    ids = {m.id for m in members}
    made = holding.completed(ids)
    girders = any(m.role is MemberRole.GIRDER for m in holding.frame.members)
    first = _ON_GIRDERS.get(kind, _FIRST[kind]) if girders else _FIRST[kind]
    first = _UNDER_A_CLIMB.get(kind, first) if holding.frame.climbs else first
    lines = [StepLine(says=_AGAIN if again else first), *_tall(holding, members)]
    for member in members:
        said = [
            *_made_up(member, holding),
            *_butted(member, holding),
            *_marked(member),
            *_resting(member, holding),
            *_narrow(member, holding),
            *(_as_butting(h) for h in made if h.butt.butting.id == member.id),
            *(
                _as_through(h)
                for h in made
                if h.butt.through.id == member.id and h.butt.butting.id not in ids
            ),
            *_mitred(member, holding),
            *_flush(member, holding),
        ]
        lines.append(StepLine(part=member.id, says="; ".join(said) + "." if said else "stand it up."))
    return tuple(lines)


def _tall(holding: Holding, members: Sequence[Member]) -> list[StepLine]:
    """Risers that stand so high that they want holding."""
    tops = {m.id: m.top_mm for m in holding.every if m.role is not MemberRole.RISER}
    tall = []
    for m in members if holding.frame.climbs else ():
        held = [tops[b] for b in _below(m, holding) if b in tops]
        if m.role is MemberRole.RISER and held and m.top_mm - max(held) > TALL_MM:
            tall.append(m.id)
    if not tall:
        return []
    return [
        StepLine(
            says=f"More than {TALL_MM:g} mm above what holds them: {', '.join(tall)}. Glue and screw a strip "
            "along an upright edge of each, from top to foot, or brace it along the track (common practice, "
            "no source)."
        )
    ]


def _below(member: Member, holding: Holding) -> list[str]:
    """What a member rests on, or whose face it is fixed to, of what is placed before it."""
    return [
        m.id
        for m in holding.every
        if m is not member and holding.at[m.id] < holding.at[member.id] and rests_on(member, m)
    ]


def _made_up(member: Member, holding: Holding) -> list[str]:
    """How a side of two skins is glued up before it goes in."""
    if member.sandwich is None:
        return []
    own = [p for p in holding.parts.parts if member.id in (p.id, p.of)]
    blocks = sum(p.role == "block" for p in own)
    outer = [p.id for p in own if p.role == member.role]
    inner = [p.id for p in own if p.role == "inner skin"]
    first = (
        f"lay the lengths of its outer skin, {' and '.join(outer)}, end to end along a straightedge, "
        if len(outer) > 1
        else ""
    )
    second = f"inner skin on, {' and '.join(inner)} end to end" if len(inner) > 1 else "inner skin on"
    return [
        f"{first}glue its {blocks} blocks to the back of its outer skin, where the skin's drawing has them, "
        f"lay the {second}, clamp it flat, and drill its holes right through when the glue has set"
    ]


def _butted(member: Member, holding: Holding) -> list[str]:
    """How a strip of several lengths is made of them, and how a fishplate goes on."""
    if member.role is MemberRole.FISHPLATE:
        (part,) = (p for p in holding.parts.parts if p.id == member.id)
        (seam,) = (j for j in holding.joists.joined if j.plate == member.id)
        strip = next(m for m in holding.frame.members if m.id == seam.member)
        ends = sorted(strip.along(p) for p in member.outline)
        rows = f"{FISHPLATE_ROWS} rows of {splice_row(part)} screws on each side"
        return [
            f"over the seam of {strip.id}, from {ends[0]:.0f} to {ends[-1]:.0f} mm of it, glue and {rows}"
        ]
    seams = [j for j in holding.joists.joined if j.member == member.id]
    if not seams:
        return []
    lengths = [p.id for p in holding.parts.parts if member.id in (p.id, p.of)]
    how = "" if seams[0].plate else ", glue between them"
    return [f"butt {' and '.join(lengths)} end to end, in this order from its left end{how}"]


def _marked(member: Member) -> list[str]:
    """Where a joist, a girder or a riser goes: what to mark on the strips that hold it."""
    lying = abs(member.direction[0]) > abs(member.direction[1])
    if member.role is MemberRole.RISER:
        across = 0 if lying else 1
        low, high = (f(p[across] for p in member.outline) for f in (min, max))
        edge = "datum end" if lying else "lower edge"
        return [f"from {low:.1f} to {high:.1f} mm from the {edge} of the board"]
    if member.role not in (MemberRole.JOIST, MemberRole.GIRDER):
        return []
    axis, edge = (1, "lower edge") if lying else (0, "datum end")
    at = min(p[axis] for p in sorted(member.outline, key=lambda p: p[1 - axis])[:2])
    return [f"its nearer face {at:.1f} mm from the {edge} of the board"]


def _resting(member: Member, holding: Holding) -> list[str]:
    """What it lies on, or whose face it is fixed to."""
    below = _below(member, holding)
    if not below:
        return []
    if member.role is MemberRole.RISER and holding.frame.climbs:
        held = min((m for m in holding.every if m.id in below), key=lambda m: m.top_mm)
        foot = held.top_mm - member.bottom_mm
        return [f"on the face of {' and '.join(below)}, its foot {foot:.1f} mm below the top edge"]
    how = {
        MemberRole.RISER: "on the face of",
        MemberRole.FISHPLATE: "on the face of",
        MemberRole.FLANGE: "flat on",
    }.get(member.role, "across")
    return [f"{how} {' and '.join(below)}"]


def _narrow(member: Member, holding: Holding) -> list[str]:
    """How a riser too narrow for two screws is held."""
    return ["narrow: one screw, in a pilot hole in its middle"] if member.id in holding.joists.narrow else []


def _flush(member: Member, holding: Holding) -> list[str]:
    """A well's side that lies along a joist or noggin, face to face: named with the one that comes later."""
    import shapely

    along = (MemberRole.JOIST, MemberRole.NOGGIN)
    found = []
    for other in holding.every:
        roles = (member.role, other.role)
        if MemberRole.WELL_SIDE not in roles or not any(r in along for r in roles):
            continue
        if holding.later(member.id, other.id) != member.id:
            continue
        near = shapely.Polygon(member.outline).buffer(FLUSH_MM)
        least = min(member.length_mm, other.length_mm) / 2
        if near.intersection(shapely.Polygon(other.outline)).area > FLUSH_MM * least:
            found.append(other.id)
    return [f"flush along {' and '.join(found)}, glue between, clamp"] if found else []


def _as_butting(held: Held) -> str:
    side = "right" if held.butt.at_end else "left"
    skew = abs(held.butt.skew_deg)
    turned = f", {skew:.0f}° off square" if skew >= 1 else ""
    through = f" through {held.butt.through.id}" if held.pilots else ""
    return f"its {side} end against {held.butt.through.id}{turned}, glue and {_screws(held)}{through}"


def _as_through(held: Held) -> str:
    return f"over the end of {held.butt.butting.id}, glue and {_screws(held)}"


def _screws(held: Held) -> str:
    if not held.pilots:
        return "a corner block inside: no screw fits"
    diameter, length = held.pilots[0].screw or (0.0, 0.0)
    number = len(held.pilots)
    return f"{number} screw{'s' if number > 1 else ''} {diameter:g} × {length:g}"


def _mitred(member: Member, holding: Holding) -> list[str]:
    others = [
        (a if b.id == member.id else b).id
        for a, b in holding.mitres
        if member.id in (a.id, b.id) and holding.later(a.id, b.id) == member.id
    ]
    return [f"mitred to {' and '.join(others)}, glue and a corner block inside each mitre"] if others else []


def checks_of(kind: StepKind, frame: Frame, squared: bool) -> tuple[StepLine, ...]:
    """What to check when a step is done."""
    found = []
    if kind in (StepKind.FRAME, StepKind.WELLS, StepKind.JOISTS, StepKind.NOGGINS):
        found.append(StepLine(says=_TOPS))
    if squared:
        found += _diagonals(frame)
    if kind is StepKind.LENGTHS:
        found.append(
            StepLine(says="Straight: a straightedge along the outer face shows no light at the seam.")
        )
    if kind is StepKind.FLANGES:
        found.append(StepLine(says="Flanges straight and level: sight along them; no gap on the web below."))
    if kind is StepKind.RISERS and frame.climbs:
        found.append(StepLine(says="Each riser upright; sighted along a track, tops rise without a step."))
    elif kind is StepKind.RISERS:
        found.append(StepLine(says="Each riser upright, its top at the height of its neighbours'."))
    if kind is StepKind.DECK and frame.climbs:
        found.append(
            StepLine(
                says="At joint ends a straightedge from deck to deck of the next board rocks on neither."
            )
        )
        found.append(StepLine(says="No screw head stands proud where track or underlay will lie."))
    elif kind is StepKind.DECK:
        found.append(StepLine(says="At joint ends deck and end are flush: a straightedge shows no light."))
        found.append(StepLine(says="No screw head stands proud where track or underlay will lie."))
    return tuple(found)


def _diagonals(frame: Frame) -> list[StepLine]:
    """What each diagonal must measure, its corners named by the members that meet there."""
    lines = [
        StepLine(
            says=f"From the outer corner {_corner(d.start, frame)} to {_corner(d.end, frame)}: "
            f"{d.length_mm:.1f} mm, within {SAME_DIAGONALS_MM:g} mm."
        )
        for d in frame.diagonals
    ]
    if lines:
        lines.append(StepLine(says="If one is long, push its corners together until all agree."))
    return lines


def _corner(at: Point, frame: Frame) -> str:
    """The two members nearest a corner."""
    near = sorted(
        (round(min(math.dist(at, p) for p in m.outline), 3), n, m.id)
        for n, m in enumerate(frame.members)
        if not m.flat
    )
    return "/".join(sorted(id_ for _, _, id_ in near[:2]))


def edge_lines(frame: Frame) -> tuple[StepLine, ...]:
    """The step of the curved edges."""
    lines = [StepLine(says=_FIRST[StepKind.EDGES])]
    beside = {
        bent.id: f"; it is bent together with {' and '.join(b.id for b in chain if b is not bent)}, layer by "
        "layer, for their layers butt in steps"
        for chain in chains(frame.bent)
        if len(chain) > 1
        for bent in chain
    }
    for bent in frame.bent:
        how = (
            f"saw its {len(bent.kerfs)} kerfs at their lines, leave {SKIN_MM:g} mm, fill them with glue, bend"
            if bent.kerfs
            else f"glue its {bent.layers} layers together as they are bent, the outermost is {bent.id}"
            + beside.get(bent.id, "")
        )
        lines.append(StepLine(part=bent.id, says=f"{how}; a block behind it every 150 mm or so."))
    return tuple(lines)


def _spliced(plate: Part) -> str:
    return (
        "first, on the bench: glue it under the seam, half of it below each piece, faces flush on a flat "
        f"sheet, and drive {splice_row(plate)} screws from below on each side."
    )


def _short(frame: Frame) -> list[StepLine]:
    """Decks are cut to their plan: along a climb they come out short by what a slope is longer."""
    short = max((panel.longer_mm for panel in frame.deck), default=0.0)
    if short < SHORT_MM:
        return []
    return [
        StepLine(
            says=f"Decks are cut to their plan: along the climb up to {short:.1f} mm are lacking in all. Let "
            "that stay open at the joint or in the seams; a deck must not stand over the line of a joint."
        )
    ]


def deck_lines(parts: BoardParts, settings: HardwareSettings, frame: Frame) -> tuple[StepLine, ...]:
    """The deck's step."""
    decks = [p.id for p in parts.parts if p.role == "deck"]
    screws = (
        f"screws at most {settings.deck_screw_spacing_mm:g} mm apart along sides, ends and wells, "
        f"{settings.deck_screws_per_joist} into each joist."
    )
    return (
        StepLine(says=(_UNDER_A_CLIMB if frame.climbs else _FIRST)[StepKind.DECK]),
        *_short(frame),
        *(StepLine(part=p.id, says=_spliced(p)) for p in parts.parts if p.role == "splice plate"),
        *(StepLine(part=id_, says=screws) for id_ in decks),
    )
