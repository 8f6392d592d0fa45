"""Screws: one for each pilot hole of a butt joint; shorter ones along all sides of the deck, three per joist.

All of it is common practice, no source. A deck screw is about three deck thicknesses long.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from boardwright_timber.model import (
    BoardParts,
    Frame,
    HardwareLine,
    Hole,
    HoleKind,
    Joists,
    Member,
    MemberRole,
    Part,
)

from ..parts.screw_sizes import EDGE_DIAMETERS
from .blocking import BEHIND_BENT, BLOCK_MM, blocks
from .settings import HardwareSettings

# Lengths wood screws are sold in, mm: memory.
SCREWS_PER_RISER = 2
FISHPLATE_ROWS = 2  # each side of the seam: one near it, one near the plate's end
BLOCK, PLATE = "block", "splice plate"
ROW_MM = 40.0
DEEPER = 1.25  # so much longer a screw may be that goes along the grain of a member
TOUCH_MM = 0.05
BELOW_MM = 5.0  # of wood left under the point of a deck screw
SCREW_LENGTHS_MM = (12, 16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 120)


def screw_lines(
    frame: Frame, joists: Joists, parts: BoardParts, settings: HardwareSettings
) -> Iterator[HardwareLine]:
    yield from pilot_screws(h for p in parts.parts for h in p.holes)
    yield from deck_screws(frame, joists, parts, settings)
    yield from splice_screws(parts, settings)
    yield from fishplate_screws(fishplates(parts), settings)
    yield from bent_screws(frame, joists, parts, settings)
    yield from riser_screws(joists.members, joists, settings)
    flanges = [m for m in frame.members if m.role is MemberRole.FLANGE]
    yield from flange_screws(flanges, flanges, joists.joists, settings)


def pilot_screws(holes: Iterable[Hole]) -> Iterator[HardwareLine]:
    """A line for each size of screw that goes into pilot holes."""
    pilots = Counter(h.screw for h in holes if h.kind is HoleKind.PILOT and h.screw is not None)
    for (diameter, length), number in sorted(pilots.items()):
        why = f"{number} pilot holes of butt joints"
        yield screw_line(diameter, length, number, why, DEEPER * length)  # into end grain


def deck_screws(
    frame: Frame, joists: Joists, parts: BoardParts, settings: HardwareSettings
) -> Iterator[HardwareLine]:
    """One line for all pieces of a deck, if there is one."""
    for deck in [p for p in parts.parts if p.role == "deck"][:1]:
        edges = [m for m in frame.members if m.carries_deck and m.role is not MemberRole.JOIST]
        below = [m for m in (*frame.members, *joists.members) if m.carries_deck and m not in edges]
        along = sum(_along_edge(m, parts, settings.deck_screw_spacing_mm) for m in edges)
        risers = sum(m.role is MemberRole.RISER for m in below)
        edges_over = len(below) - risers + len(joists.seams)  # two edges meet over a joist at a seam
        across = settings.deck_screws_per_joist * edges_over + _into_risers(below, joists)
        if along + across:
            yield screw_line(
                settings.deck_screw_diameter_mm,
                deck_screw_length_mm(deck.thickness_mm, settings),
                along + across,
                f"{along} along sides, ends and wells at most {settings.deck_screw_spacing_mm:g} mm apart, "
                f"{across} into {_counted(len(below) - risers, risers)}",
                0.0 if risers else deck.thickness_mm + min(m.depth_mm for m in (*edges, *below)) - BELOW_MM,
            )


def splice_screws(parts: BoardParts, settings: HardwareSettings) -> Iterator[HardwareLine]:
    """Plates under the seams of a narrow deck, from below into both pieces."""
    plates = [p for p in parts.parts if p.role == PLATE]
    why = f"{len(plates)} splice plates under the deck, from below, a row each side of the seam"
    yield from _through_plates(plates, 1, why, settings)


def fishplate_screws(plates: Sequence[Part], settings: HardwareSettings) -> Iterator[HardwareLine]:
    """Plates over seams of strips, from inside into both lengths."""
    many = len(plates)
    why = f"{many} fishplate{'s' if many > 1 else ''} over seams of strips, two rows each side of the seam"
    yield from _through_plates(plates, FISHPLATE_ROWS, why, settings)


def fishplates(parts: BoardParts) -> list[Part]:
    return [p for p in parts.parts if p.role == MemberRole.FISHPLATE]


def _through_plates(
    plates: Sequence[Part], rows: int, why: str, settings: HardwareSettings
) -> Iterator[HardwareLine]:
    """Through plates into as thick a wood, so many rows each side of the seam."""
    number = sum(2 * rows * splice_row(p) for p in plates)
    if number:
        length = lapped_screw_mm(plates[0].thickness_mm)
        yield screw_line(settings.deck_screw_diameter_mm, length, number, why)


def lapped_screw_mm(thick_mm: float) -> int:
    """The longest screw that stays inside two strips so thick, face on face."""
    return next((n for n in reversed(SCREW_LENGTHS_MM) if n <= 2 * thick_mm - 1), SCREW_LENGTHS_MM[0])


def bent_screws(
    frame: Frame, joists: Joists, parts: BoardParts, settings: HardwareSettings
) -> Iterator[HardwareLine]:
    """Two through each block behind a curved edge: one into the strip, one into the member."""
    number = 2 * sum(b.why == BEHIND_BENT for b in blocks(frame, joists, parts))
    if number:
        length = next(n for n in reversed(SCREW_LENGTHS_MM) if n <= BLOCK_MM + frame.bent[0].thickness_mm - 2)
        why = "two through each block behind a curved edge, into the strip and into the member"
        yield screw_line(settings.deck_screw_diameter_mm, length, number, why)


def splice_row(plate: Part) -> int:
    """Screws in a row on one side of a seam: one for each ROW_MM of the plate's width, two at least."""
    return max(2, round(plate.area_mm2 / plate.length_mm / ROW_MM))


def _along_edge(member: Member, parts: BoardParts, apart_mm: float) -> int:
    """Screws along one side; into a side of skins and blocks only where its blocks are."""
    blocks = [p.length_mm for p in parts.parts if p.of == member.id and p.role == BLOCK]
    stretches = blocks if member.sandwich else [member.length_mm]
    return sum(math.ceil(length / apart_mm - 1e-9) for length in stretches)


def _counted(joists: int, risers: int) -> str:
    """In words, what the deck is screwed to between its edges."""
    said = [f"{joists} joists"] if joists or not risers else []
    return " and ".join(said + ([f"cleats on {risers} risers"] if risers else []))


def riser_screws(
    members: Sequence[Member], joists: Joists, settings: HardwareSettings
) -> Iterator[HardwareLine]:
    """The risers among some members onto the faces of joists."""
    risers = [m for m in members if m.role is MemberRole.RISER]
    if risers:
        t = risers[0].thickness_mm
        length = lapped_screw_mm(t)
        narrow = sum(m.id in joists.narrow for m in risers)
        why = f"{len(risers)} risers onto the faces of joists, {SCREWS_PER_RISER} each"
        why += f" but one in {narrow} narrow" if narrow else ""
        yield screw_line(
            settings.deck_screw_diameter_mm, length, _into_risers(risers, joists), why, 2 * t - 1
        )


def riser_screw_aside_mm(wide_mm: float, diameter_mm: float) -> float:
    """How far two screws side by side stand from a riser's upright edges: a quarter of its width, and
    EDGE_DIAMETERS at least where there is room.

    >>> riser_screw_aside_mm(80, 3.5), riser_screw_aside_mm(30, 3.5)
    (20.0, 10.5)
    """
    return min(max(wide_mm / 4, EDGE_DIAMETERS * diameter_mm), wide_mm / 2)


def _into_risers(members: Sequence[Member], joists: Joists) -> int:
    """Screws that hold the risers among some members to joists, or the deck to them: two each; one in the
    middle of a riser that is too narrow (BW-JOIST-020)."""
    risers = [m for m in members if m.role is MemberRole.RISER]
    return sum(1 if m.id in joists.narrow else SCREWS_PER_RISER for m in risers)


def flange_screws(
    flanges: Sequence[Member], laid: Sequence[Member], joists: Sequence[Member], settings: HardwareSettings
) -> Iterator[HardwareLine]:
    """``joists`` onto ``flanges`` from below, and the flanges that are ``laid`` down onto their webs."""
    if flanges:
        thick = flanges[0].depth_mm
        length = next((n for n in SCREW_LENGTHS_MM if n >= 2.5 * thick), SCREW_LENGTHS_MM[-1])
        crossed = sum(crosses(flange, joist) for flange in flanges for joist in joists)
        down = sum(math.ceil(m.length_mm / settings.deck_screw_spacing_mm - 1e-9) for m in laid)
        why = f"{crossed} joists on flanges, from below; {down} flanges down onto their webs"
        if crossed + down:
            yield screw_line(settings.deck_screw_diameter_mm, length, crossed + down, why)


def crosses(flange: Member, joist: Member) -> bool:
    """Whether a joist lies on a flange."""
    import shapely

    touching = abs(flange.top_mm - joist.bottom_mm) < TOUCH_MM
    return touching and bool(shapely.Polygon(flange.outline).intersects(shapely.Polygon(joist.outline)))


def deck_screw_length_mm(deck_mm: float, settings: HardwareSettings) -> int:
    """Next length sold, from the wanted number of deck thicknesses; the longest when none is enough.

    >>> deck_screw_length_mm(9, HardwareSettings())   # 3 × 9 = 27
    30
    """
    wanted = deck_mm * settings.deck_screw_length_in_thicknesses
    return next((n for n in SCREW_LENGTHS_MM if n >= wanted), SCREW_LENGTHS_MM[-1])


def screw_line(
    diameter_mm: float, length_mm: float, number: int, why: str, at_most_mm: float = 0.0
) -> HardwareLine:
    return HardwareLine(
        item=f"screw-{diameter_mm:g}x{length_mm:g}",
        says=f"Wood screw {diameter_mm:g} × {length_mm:g}, countersunk",
        quantity=number,
        unit="piece",
        why=why,
        at_most_mm=round(at_most_mm, 6),
    )
