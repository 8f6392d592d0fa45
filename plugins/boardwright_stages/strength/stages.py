"""The strength stage: loads, supports, sag and use of strength of one board.

Claim: every figure stands beside its limit, its rule and the rule's source. Over a limit for sag is a caution
that says what to change; only a strength that is used up is a fault.

Not a structural design: an aid to judgement for boards that carry models. Nobody stands, sits or climbs on
one.

What this does not know: what neighbours weigh on a board's legs where they are shared, glue between deck and
frame (left out, on the safe side), legs and walls themselves.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from boardwright import All, Notes, Place, stage
from boardwright_timber.model import (
    Board,
    BoardParts,
    BoardStrength,
    Frame,
    Joists,
    MemberRole,
    Part,
    Standing,
    StandingGroup,
)

from ..hardware.settings import HardwareSettings
from .levels import AS_ALL, NO_LEVELS, BoardSupports
from .settings import StrengthSettings, SupportSettings

if TYPE_CHECKING:
    from .topping import Deck

HARDWARE = HardwareSettings()

DECK = "deck"
ALONG = 2  # sides along a board, instead of which there are girders
ON_DECK = (DECK, "splice plate", "curved side", "layer")  # their mass is spread over the deck
LOOSE = (
    MemberRole.RISER,
    MemberRole.FLANGE,
    MemberRole.FISHPLATE,
)  # they carry, but bend with what they are fixed to


@stage(each=True)
def strength(
    board: Board,
    frame: Frame,
    joists: Joists,
    parts: BoardParts,
    settings: StrengthSettings,
    supports: SupportSettings,
    notes: Notes,
    screws: HardwareSettings = HARDWARE,
    level: BoardSupports = AS_ALL,
) -> BoardStrength:
    """Sag and strength of one board on its supports."""
    from .adding import added_legs, most_added
    from .judging import Judge
    from .loads import G_N_KG, bearing_of, centre_of, lasting_loads
    from .net import net_of
    from .standing import is_chosen, standing, stands

    supports = level.over(supports)
    every = (*frame.members, *joists.members)
    members = tuple(m for m in every if m.role not in LOOSE)
    by_id = parts.by_member
    decks = [p for p in parts.parts if p.role == DECK]
    deck, area = decks[0], sum(p.area_mm2 for p in decks)
    judge = Judge(board, members, settings, notes)
    mass = parts.mass_kg + settings.layout_kg_per_m2 * area * 1e-6
    support, places = standing(board, frame, members, supports, notes, level.unshared)
    chosen = is_chosen(board, supports)
    if not members or not places:
        judge.about_standing(bool(members))
        return judge.answer(support, mass, [], [])

    ring = tuple(board.to_local(p) for p in board.ring)
    wells = tuple(tuple(board.to_local(p) for p in well) for well in board.wells)
    above = sum(p.mass_kg for p in parts.parts if p.role in ON_DECK)
    deck_load = (above / area + settings.layout_kg_per_m2 * 1e-6) * G_N_KG
    flanges = tuple(m for m in every if m.role is MemberRole.FLANGE)
    loose = tuple((m, by_id[m.id].mass_kg) for m in every if m.role in LOOSE)
    net = net_of(members, by_id, list(places), flanges, _topping(deck, frame, joists, settings, screws))
    under = list(dict.fromkeys(net.node_of[p] for p in places))
    lies_on = {net.node_of[p]: neighbour for p, neighbour in places.items() if neighbour}
    bearing = bearing_of(members, loose, frame)
    lasting = lasting_loads(net, tuple(by_id[m.id] for m in members), deck_load, ring, wells, bearing)
    if not stands([net.points[n] for n in under], centre_of(net, lasting)):
        judge.about_standing(True)
        return judge.answer(support, mass, [], [])
    judge.carriers = tuple(m for m in every if m.carries_deck)
    lines = judge.deck(deck, ring, wells, deck_load, frame.deck, joists.seams)
    edge_sides = sum(m.role in (MemberRole.SIDE, MemberRole.END) for m in members)
    edge_sides += ALONG if any(m.role is MemberRole.GIRDER for m in members) else 0
    most = most_added(supports, wells, edge_sides) if chosen else 0
    added, known = added_legs(net, members, under, lasting, settings, most)
    more, points = judge.frame(net, [*under, *added], lasting, lies_on, known)
    more += judge.carried(net, lasting)
    plates = {m.id: m for m in every if m.role is MemberRole.FISHPLATE}
    more += judge.plates(net, joists.joined, plates, joists.skins)
    if added:
        support += f" and {len(added)} more where it gives most"
        judge.about_added([net.points[n] for n in added], most, supports.kind)
    return judge.answer(support, mass, judge.ordered([*more, *lines]), points)


def _topping(
    deck: Part, frame: Frame, joists: Joists, settings: StrengthSettings, screws: HardwareSettings
) -> Deck | None:
    """The deck where it counts: a whole one, glued or screwed as the settings say."""
    if settings.deck_counts == "no" or frame.deck:
        return None
    from .topping import Deck

    glued = settings.deck_counts == "glued"
    return Deck(
        deck, glued, screws.deck_screw_diameter_mm, screws.deck_screw_spacing_mm, joists.spacing_mm / 2
    )


@stage()
def standing(
    boards: All[Board],
    strengths: All[BoardStrength],
    parts: All[BoardParts],
    settings: StrengthSettings,
    supports: SupportSettings,
    notes: Notes,
    levels: All[BoardSupports] = NO_LEVELS,
) -> Standing:
    """What tips each group of boards bolted together that stands on nothing but its own legs or trestles."""
    from .tipping import group_of, joined

    if not supports.push_n or supports.floor_below_mm <= 0:
        return Standing()
    groups = []
    for names in joined(boards):
        kinds = {levels.get(n, AS_ALL).over(supports).kind for n in names}
        on_wall = "brackets" in kinds or any(n in supports.battens or boards[n].lift_out for n in names)
        if on_wall or any(n not in strengths or n not in parts or not strengths[n].points for n in names):
            continue
        group = group_of(names, boards, strengths, parts, supports.floor_below_mm)
        groups.append(group)
        _tell(group, settings, supports, notes)
    return Standing(groups=tuple(groups))


def _tell(group: StandingGroup, settings: StrengthSettings, supports: SupportSettings, notes: Notes) -> None:
    one = len(group.boards) == 1
    who = (
        f"Board {group.boards[0]}"
        if one
        else f"Boards {group.boards[0]} to {group.boards[-1]} bolted together"
    )
    edge = "" if group.edge_n is None else f", or a load of {group.edge_n:.0f} N on the worst edge"
    figures = (
        f"empty ({group.mass_kg:.1f} kg of wood), tip{'s' if one else ''} over the feet at a push of "
        f"{group.push_n:.0f} N sideways at the deck, {group.height_mm:.0f} mm up{edge} (statics)"
    )
    weak = group.push_n < supports.push_n
    if not weak and (group.edge_n is None or group.edge_n >= settings.hand_n):
        return
    wanted = f"wanted are {supports.push_n:g} N" if weak else f"a hand is {settings.hand_n:g} N"
    notes.caution(
        "BW-STR-012",
        f"{who}, {figures}; {wanted}.",
        [Place(board=n) for n in group.boards],
        "Set feet wider than the board or splay the legs, hang a weight low between them, or fix it to a "
        "wall or a neighbour before anyone leans on it.",
    )
