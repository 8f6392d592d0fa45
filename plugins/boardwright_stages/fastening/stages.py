"""The fastening stage: for each kind of joint the screw, its holes, its distances and the glue.

Claim: butt joints are measured on the drilled parts: the least distance of a pilot hole to a long edge of its
part, and the least between two of them across the strip. Deck screws stand in the middle of what they go
into, so half its thickness is their edge distance. Beside each stands what EN 1995-1-1 Table 8.2 wants of
predrilled screws (a4,c and a2 at 90°; read); where that cannot be had the line says so, and the glue carries
it. Every screw of the board is in one line.

Glossary
    countersink   as wide as the screw's head, twice its diameter (memory)
    first         wood denser than 500 kg/m³ is always drilled first, thinner wood than 8.3.1.2(6) says too
                  (read second-hand); characteristic densities: birch ply 630, conifer ply 460, C24 350 (read)

What this does not know: loads on single screws, ends of strips (half a thickness is all there is at a corner
of a box, see ``parts.screw_sizes``).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from boardwright import stage
from boardwright_timber.model import (
    BoardEdging,
    BoardFastening,
    BoardParts,
    EdgeHold,
    EdgeStrip,
    FasteningLine,
    Frame,
    HardwareLine,
    HoldKind,
    HoleKind,
    Joists,
    MemberRole,
    Part,
)

from ..assembly.order import rests_on
from ..edging.holding import EDGE_MM
from ..edging.screws import INTO
from ..hardware.blocking import BLOCK_MM
from ..hardware.screwing import (
    bent_screws,
    deck_screw_length_mm,
    deck_screws,
    fishplate_screws,
    fishplates,
    flange_screws,
    riser_screw_aside_mm,
    riser_screws,
    splice_row,
    splice_screws,
)
from ..hardware.settings import HardwareSettings
from ..parts.screw_sizes import Screw

HEAD_DIAMETERS = 2.0
SOURCE = "EN 1995-1-1 Table 8.2, predrilled (read); pilot 0.7 d by 10.4.5 (memory)"
RHO_K = {"birch ply": 630.0, "conifer ply": 460.0, "softwood": 350.0, "osb3": 550.0, "mdf": 600.0}
DENSE = 500.0
GLUED = "wood glue on both faces, wiped off outside"
DECK, PLATE = "deck", "splice plate"

NO_EDGING = BoardEdging()


@stage(each=True)
def fastening(
    frame: Frame,
    joists: Joists,
    parts: BoardParts,
    settings: HardwareSettings,
    edging: BoardEdging = NO_EDGING,
) -> BoardFastening:
    """All screws of one board: butt joints first, its deck and strips along its edges last."""
    lines = (
        *_butts(parts),
        *_flanges(frame, joists, settings),
        *_risers(frame, joists, settings),
        *_bent(frame, joists, parts, settings),
        *_fishplates(parts, settings),
        *_splices(parts, settings),
        *_deck(frame, joists, parts, settings),
        *_edging(edging),
    )
    return BoardFastening(board=frame.board, lines=lines)


def _butts(parts: BoardParts) -> list[FasteningLine]:
    alike: dict[tuple[float, float, float, float, str], list[tuple[float, float | None]]] = {}
    for part in parts.parts:
        for hole in part.holes:
            if hole.kind is not HoleKind.PILOT or hole.screw is None:
                continue
            near = [
                abs(other.y_mm - hole.y_mm)
                for other in part.holes
                if other is not hole and other.kind is HoleKind.PILOT and abs(other.x_mm - hole.x_mm) < 1e-6
            ]
            key = (*hole.screw, hole.diameter_mm, part.thickness_mm, part.material)
            edge = min(hole.y_mm, part.width_mm - hole.y_mm)
            alike.setdefault(key, []).append((edge, min(near, default=None)))
    found = []
    for (diameter, length, pilot, thick, material), holes in sorted(alike.items()):
        apart = min((a for _, a in holes if a is not None), default=None)
        found.append(
            _line(
                f"{thick:g} mm {material} onto the end of another strip",
                (diameter, length, len(holes)),
                pilot,
                min(e for e, _ in holes),
                apart,
                (thick, material),
            )
        )
    return found


def _flanges(frame: Frame, joists: Joists, settings: HardwareSettings) -> list[FasteningLine]:
    """Flanges down onto their webs and joists on them from below, in the middle of what they go into."""
    flanges = [m for m in frame.members if m.role is MemberRole.FLANGE]
    below = [*(m for m in frame.members if m.role is MemberRole.GIRDER), *joists.joists]
    thin = min((m.thickness_mm for m in below), default=0.0)
    return [
        _line(
            f"flange of {flanges[0].depth_mm:g} mm {flanges[0].material} onto its web, and joists onto it",
            _bought(line),
            Screw(settings.deck_screw_diameter_mm, 0.0).pilot_mm,
            thin / 2,
            settings.deck_screw_spacing_mm,
            (flanges[0].depth_mm, flanges[0].material),
        )
        for line in flange_screws(flanges, flanges, joists.joists, settings)
    ]


def _risers(frame: Frame, joists: Joists, settings: HardwareSettings) -> list[FasteningLine]:
    """Risers onto the faces they stand on, at half the height of what lies on them: two side by side, one in
    the middle of a narrow riser."""
    every = [m for m in (*frame.members, *joists.members) if m.role is not MemberRole.RISER]
    found = []
    for narrow in (False, True):
        some = [m for m in joists.members if m.role is MemberRole.RISER and (m.id in joists.narrow) is narrow]
        wide = min((m.length_mm for m in some), default=0.0)
        laps = [
            min((o.top_mm for o in every if rests_on(m, o)), default=m.top_mm) - m.bottom_mm for m in some
        ]
        for line in riser_screws(some, joists, settings):
            d = settings.deck_screw_diameter_mm
            aside = wide / 2 if narrow else riser_screw_aside_mm(wide, d)
            found.append(
                _line(
                    f"{'narrow ' if narrow else ''}riser of {some[0].thickness_mm:g} mm {some[0].material} "
                    f"onto the face it stands on, {'in its middle' if narrow else 'side by side'}",
                    _bought(line),
                    Screw(d, 0.0).pilot_mm,
                    min(aside, min(laps) / 2),
                    None if narrow else wide - 2 * aside,
                    (some[0].thickness_mm, some[0].material),
                )
            )
    return found


def _bent(frame: Frame, joists: Joists, parts: BoardParts, settings: HardwareSettings) -> list[FasteningLine]:
    """Through the middle of blocks into strips bent round edges, and into the members behind."""
    return [
        _line(
            f"block of {BLOCK_MM} mm softwood behind a curved edge, into strip and member",
            _bought(line),
            Screw(settings.deck_screw_diameter_mm, 0.0).pilot_mm,
            BLOCK_MM / 2,
            None,
            (float(BLOCK_MM), "softwood"),
        )
        for line in bent_screws(frame, joists, parts, settings)
    ]


def _bought(line: HardwareLine) -> tuple[float, float, int]:
    """Diameter, length and number of a line of screws."""
    diameter, _, length = line.item.removeprefix("screw-").partition("x")
    return float(diameter), float(length), int(line.quantity)


def _splices(parts: BoardParts, settings: HardwareSettings) -> list[FasteningLine]:
    """Plates under seams of a narrow deck: a row a quarter of the plate from its end, evenly across it."""
    plates = [p for p in parts.parts if p.role == PLATE]
    return _plates(plates, splice_screws(parts, settings), "under a seam of the deck, from below", settings)


def _fishplates(parts: BoardParts, settings: HardwareSettings) -> list[FasteningLine]:
    """Fishplates over seams of strips: rows a quarter of each half from the seam and from the plate's end."""
    plates = fishplates(parts)
    return _plates(
        plates, fishplate_screws(plates, settings), "over a seam of a strip, from inside", settings
    )


def _plates(
    plates: Sequence[Part], lines: Iterable[HardwareLine], where: str, settings: HardwareSettings
) -> list[FasteningLine]:
    if not plates:
        return []
    (line,) = lines
    d, first = settings.deck_screw_diameter_mm, plates[0]
    across = min(p.area_mm2 / p.length_mm / splice_row(p) for p in plates)
    length = float(line.item.rpartition("x")[2])
    return [
        _line(
            f"plate of {first.thickness_mm:g} mm {first.material} {where}",
            (d, length, int(line.quantity)),
            Screw(d, 0.0).pilot_mm,
            min(across / 2, min(p.length_mm for p in plates) / 4),
            across,
            (first.thickness_mm, first.material),
        )
    ]


def _deck(frame: Frame, joists: Joists, parts: BoardParts, settings: HardwareSettings) -> list[FasteningLine]:
    decks = [p for p in parts.parts if p.role == DECK]
    below = [m for m in (*frame.members, *joists.members) if m.carries_deck]
    if not decks or not below:
        return []
    deck, d = decks[0], settings.deck_screw_diameter_mm
    if deck.material == "foam":
        return []
    thin = min(below, key=lambda m: m.thickness_mm)
    number = sum(int(line.quantity) for line in deck_screws(frame, joists, parts, settings))
    return [
        _line(
            f"deck of {deck.thickness_mm:g} mm {deck.material} onto {thin.thickness_mm:g} mm {thin.material}",
            (d, deck_screw_length_mm(deck.thickness_mm, settings), number),
            Screw(d, 0.0).pilot_mm,
            thin.thickness_mm / 2,
            settings.deck_screw_spacing_mm,
            (thin.thickness_mm, thin.material),
        )
    ]


def _edging(edging: BoardEdging) -> list[FasteningLine]:
    """Strips along edges, by what they are screwed into; two screws there stand one above the other."""
    alike: dict[tuple[tuple[float, float], HoldKind], list[tuple[EdgeStrip, EdgeHold]]] = {}
    for strip in edging.strips:
        for hold in strip.holds:
            alike.setdefault((hold.screw, hold.kind), []).append((strip, hold))
    found = []
    for ((diameter, length), kind), held in sorted(alike.items()):
        first = held[0][0]
        each = [(s.top_mm, s.bottom_mm, h.heights_mm) for s, h in held]
        found.append(
            _line(
                f"{first.kind.value} of {first.thickness_mm:g} mm {first.material} into {INTO[kind]}",
                (diameter, length, sum(len(heights) for _, _, heights in each)),
                Screw(diameter, 0.0).pilot_mm,
                min(EDGE_MM, *(min(top - max(zs), min(zs) - low) for top, low, zs in each)),
                min((max(zs) - min(zs) for _, _, zs in each if len(zs) > 1), default=None),
                (first.thickness_mm, first.material),
                glue=GLUED if kind is HoldKind.END else "",
            )
        )
    return found


def _line(
    joins: str,
    screws: tuple[float, float, int],
    pilot_mm: float,
    edge_mm: float,
    apart_mm: float | None,
    wood: tuple[float, str],
    glue: str = GLUED,
) -> FasteningLine:
    from boardwright_timber.reference.fastening_rules import pilot_needed_below_mm, screw_distances

    diameter, length, number = screws
    thick, material = wood
    rho = RHO_K.get(material, DENSE + 1)
    needed = pilot_needed_below_mm(diameter, rho)
    if rho > DENSE:
        first = f"always: {material} is denser than {DENSE:g} kg/m³"
    elif thick < needed:
        first = f"yes: {thick:g} mm is thinner than {needed:.0f}"
    else:
        first = "it may be driven without"
    wants = screw_distances(diameter, 90.0)
    return FasteningLine(
        joins=joins,
        screw=f"{diameter:g} × {length:g}",
        quantity=number,
        pilot_mm=pilot_mm,
        countersink_mm=HEAD_DIAMETERS * diameter,
        first=first,
        edge_mm=round(edge_mm, 3),
        edge_wanted_mm=wants.a4_unloaded_mm,
        apart_mm=None if apart_mm is None else round(apart_mm, 3),
        apart_wanted_mm=wants.a2_mm,
        glue=glue,
        source=SOURCE,
    )
