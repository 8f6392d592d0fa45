"""The strength stage: loads, supports, sag and use of strength of one board.

Claim: every figure stands beside its limit, its rule and the rule's source. Over a limit for sag is a caution
that says what to change; only a strength that is used up is a fault.

Not a structural design: an aid to judgement for boards that carry models. Nobody stands, sits or climbs on
one.

What this does not know: neighbours (each board stands alone, on the safe side), glue between deck and frame
(left out, on the safe side), legs and walls themselves.
"""

from __future__ import annotations

from boardwright import Notes, stage
from boardwright_timber.model import Board, BoardParts, BoardStrength, Frame, Joists

from .settings import StrengthSettings, SupportSettings


@stage(each=True)
def strength(
    board: Board,
    frame: Frame,
    joists: Joists,
    parts: BoardParts,
    settings: StrengthSettings,
    supports: SupportSettings,
    notes: Notes,
) -> BoardStrength:
    """Sag and strength of one board on its supports."""
    from .judging import Judge
    from .loads import G_N_KG, centre_of, lasting_loads
    from .net import net_of
    from .standing import is_chosen, standing, stands
    from .sums import added_legs

    members = (*frame.members, *joists.members)
    by_id = {p.id: p for p in parts.parts}
    deck = next(p for p in parts.parts if not p.placement.stands)
    judge = Judge(board, members, settings, notes)
    mass = parts.mass_kg + settings.layout_kg_per_m2 * deck.area_mm2 * 1e-6
    support, places = standing(board, frame, members, supports, notes)
    chosen = is_chosen(board, supports)
    if not members or not places:
        judge.about_standing(bool(members))
        return judge.answer(support, mass, [], [])

    ring = tuple(board.to_local(p) for p in board.ring)
    wells = tuple(tuple(board.to_local(p) for p in well) for well in board.wells)
    deck_load = (deck.mass_kg / deck.area_mm2 + settings.layout_kg_per_m2 * 1e-6) * G_N_KG
    net = net_of(members, by_id, places)
    under = list(dict.fromkeys(net.node_of[p] for p in places))
    lasting = lasting_loads(net, tuple(by_id[m.id] for m in members), deck_load, ring, wells)
    if not stands([net.points[n] for n in under], centre_of(net, lasting)):
        judge.about_standing(True)
        return judge.answer(support, mass, [], [])
    lines = judge.deck(deck, ring, wells, deck_load)
    added = added_legs(net, members, under, lasting, settings, supports.most_added if chosen else 0)
    more, points = judge.frame(net, [*under, *added], lasting)
    if added:
        support += f" and {len(added)} more where it gives most"
    return judge.answer(support, mass, judge.ordered([*more, *lines]), points)
