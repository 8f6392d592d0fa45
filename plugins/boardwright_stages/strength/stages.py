"""The strength stage: loads, supports, sag and use of strength of one board.

Claim: every figure stands beside its limit, its rule and the rule's source. Over a limit for sag is a caution
that says what to change; only a strength that is used up is a fault.

Not a structural design: an aid to judgement for boards that carry models. Nobody stands, sits or climbs on
one.

What this does not know: what neighbours weigh on a board's legs where they are shared, glue between deck and
frame (left out, on the safe side), legs and walls themselves.
"""

from __future__ import annotations

from boardwright import All, Notes, Place, stage
from boardwright_timber.model import (
    Board,
    BoardParts,
    BoardPosts,
    BoardStrength,
    Frame,
    Joists,
    MemberRole,
    Standing,
    StandingGroup,
)

from ..hardware.settings import HardwareSettings
from .keep_off import NOTHING, KeepOff
from .levels import AS_ALL, NO_LEVELS, BoardSupports
from .settings import StrengthSettings, SupportSettings

HARDWARE, NO_POSTS = HardwareSettings(), BoardPosts()

ALONG = 2  # sides along a board, instead of which there are girders


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
    posts: BoardPosts = NO_POSTS,
    keep: KeepOff = NOTHING,
) -> BoardStrength:
    """Sag and strength of one board on its supports."""
    from .adding import added_legs, most_added
    from .judging import Judge
    from .loaded import bending, deck_of, loaded
    from .loads import centre_of
    from .standing import is_chosen, standing, stands
    from .telling import about_added, about_standing

    supports = level.over(supports)
    every = (*frame.members, *joists.members)
    members = bending(frame, joists)
    deck, area = deck_of(parts)
    judge = Judge(board, members, settings, notes)
    mass = parts.mass_kg + settings.layout_kg_per_m2 * area * 1e-6
    support, places = standing(board, frame, members, supports, notes, level.unshared, posts, keep.things)
    if not members or not places:
        about_standing(board, bool(members), notes)
        return judge.answer(support, mass, [], [])

    held = loaded(board, frame, joists, parts, settings, screws, list(places), posts.bears)
    net = held.net
    under = list(dict.fromkeys(net.node_of[p] for p in places))
    lies_on = {net.node_of[p]: neighbour for p, neighbour in places.items() if neighbour}
    if not stands([net.points[n] for n in under], centre_of(net, held.whole)):
        about_standing(board, True, notes)
        return judge.answer(support, mass, [], [])
    judge.carriers = tuple(m for m in every if m.carries_deck)
    lines = judge.deck(deck, held.ring, held.wells, held.deck_n_mm2, frame.deck, joists.seams)
    edge_sides = sum(m.role in (MemberRole.SIDE, MemberRole.END) for m in members)
    edge_sides += ALONG if any(m.role is MemberRole.GIRDER for m in members) else 0
    added_too = is_chosen(board, supports) and supports.kind != "posts"
    most = most_added(supports, held.wells, edge_sides) if added_too else 0
    added, known = added_legs(net, members, under, held.whole, settings, most, held.hands)
    more, points = judge.frame(net, [*under, *added], held.whole, lies_on, known, held.hands)
    more += judge.carried(net, held.lasting)
    plates = {m.id: m for m in every if m.role is MemberRole.FISHPLATE}
    more += judge.plates(net, joists.joined, plates, joists.skins)
    more += judge.posts(posts.bears)
    if added:
        support += f" and {len(added)} more where it gives most"
        about_added(board, [net.points[n] for n in added], most, supports.kind, edge_sides > 4, notes)
    return judge.answer(support, mass, judge.ordered([*more, *lines]), points)


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
    for names in joined(boards, strengths):
        kinds = {levels.get(n, AS_ALL).over(supports).kind for n in names}
        on_wall = "brackets" in kinds or any(n in supports.battens or boards[n].lift_out for n in names)
        if on_wall or any(n not in strengths or n not in parts or not strengths[n].points for n in names):
            continue
        own = {n: levels.get(n, AS_ALL).over(supports) for n in names}
        insets = {n: s.leg_mm / 2 for n, s in own.items() if s.kind == "legs" and s.leg_lap_mm}
        group = group_of(names, boards, strengths, parts, supports.floor_below_mm, insets)
        groups.append(group)
        _tell(group, settings, supports, notes)
    return Standing(groups=tuple(groups))


def short_of(force_n: float, limit_n: float) -> str:
    """A force in whole newtons, finer where that would be the very limit that it falls short of."""
    whole = f"{force_n:.0f}"
    return whole if force_n >= limit_n or float(whole) < limit_n else f"{force_n:.1f}"


def in_words(boards: tuple[str, ...]) -> str:
    """Names of boards: "B02 to B05" only where none between is missing."""
    first, last = boards[0].removeprefix("B"), boards[-1].removeprefix("B")
    if (
        len(boards) > 2
        and first.isdecimal()
        and last.isdecimal()
        and int(last) - int(first) + 1 == len(boards)
    ):
        return f"{boards[0]} to {boards[-1]}"
    return f"{', '.join(boards[:-1])} and {boards[-1]}"


def _tell(group: StandingGroup, settings: StrengthSettings, supports: SupportSettings, notes: Notes) -> None:
    one = len(group.boards) == 1
    who = (
        f"Board {group.boards[0]}"
        if one
        else f"Boards {in_words(group.boards)}, bolted together or one upon the other"
    )
    push = short_of(group.push_n, supports.push_n)
    edge = (
        ""
        if group.edge_n is None
        else f", or a load of {short_of(group.edge_n, settings.hand_n)} N on the worst edge"
    )
    figures = (
        f"empty ({group.mass_kg:.1f} kg of wood), tip{'s' if one else ''} over the feet at a push of "
        f"{push} N sideways at the deck, {group.height_mm:.0f} mm up{edge} (statics)"
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
