"""The posts stages: upper boards that stand on the frames below, from the top level down.

Claim: what a post lays on a lower frame is what the upper frame, worked out on supports that do not sink,
leaves to it: what lasts, and a hand on every place above in turn. With that the lower frame is worked out, so
its sag, strength and supports are those with everything that stands on it. Of three levels the uppermost
comes first.

Source: statics; posts as common practice, no source.

What this does not know: that a lower frame which gives takes load off the post there (the limits of sag keep
that small), posts that sway (a finding asks for bracing).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from boardwright import All, Notes, Place, stage
from boardwright.plan.model import Point
from boardwright_timber.model import (
    Board,
    BoardParts,
    BoardPlan,
    BoardPosts,
    Borne,
    Frame,
    Joists,
    Post,
    Posts,
)

from ..hardware.settings import HardwareSettings
from .levels import NO_LEVELS, BoardSupports
from .settings import StrengthSettings, SupportSettings

HARDWARE = HardwareSettings()
BESIDE = " The bolts of joints are reckoned without them: {}."


@stage()
def posts(
    boards: All[Board],
    plans: All[BoardPlan],
    frames: All[Frame],
    joists: All[Joists],
    parts: All[BoardParts],
    settings: StrengthSettings,
    supports: SupportSettings,
    notes: Notes,
    levels: All[BoardSupports] = NO_LEVELS,
    screws: HardwareSettings = HARDWARE,
) -> Posts:
    """Places of all posts, and what they lay on the boards below."""
    built = [n for n in boards if n in plans and n in frames and n in joists and n in parts]
    own = {n: levels[n].over(supports) if n in levels else supports for n in built}
    if all(each.kind != "posts" for each in own.values()):
        return Posts()
    from .posting import below, posts_under
    from .standing import is_chosen

    upper = [n for n in built if own[n].kind == "posts" and is_chosen(boards[n], own[n])]
    under: dict[str, tuple[Post, ...]] = {}
    borne: dict[str, list[Borne]] = {}
    for name in sorted(upper, key=lambda n: (-boards[n].level_mm, n)):
        board = boards[name]
        low = sorted(
            (n for n in built if boards[n].level_mm < board.level_mm), key=lambda n: (-boards[n].level_mm, n)
        )
        clear = own[name].post_clear_mm
        lower = [below(boards[n], plans[n], frames[n], joists[n], parts[n], clear) for n in low]
        under[name], lost = posts_under(board, frames[name], joists[name], lower, own[name])
        near = [each for p in under[name] for each in _beside_joints(p, boards[p.on], own[p.on].from_end)]
        _tell(board, under[name], lost, near, notes)
        made = (board, frames[name], joists[name], parts[name], settings, screws)
        for each in laid(*made, under[name], borne.get(name, [])):
            borne.setdefault(each.posts[0].on, []).append(each)
    return Posts(under=under, borne={n: tuple(each) for n, each in sorted(borne.items())})


def laid(
    board: Board,
    frame: Frame,
    joists: Joists,
    parts: BoardParts,
    settings: StrengthSettings,
    screws: HardwareSettings,
    under: tuple[Post, ...],
    bears: Sequence[Borne],
) -> list[Borne]:
    """What a board on these posts lays on each board below; nothing, where it does not rest on them."""
    from .loaded import bending, loaded
    from .loads import centre_of
    from .standing import on_posts, stands
    from .sums import frame_figures

    members = bending(frame, joists)
    _, places = on_posts(members, BoardPosts(placed=True, under=under))
    if not places:
        return []
    held = loaded(board, frame, joists, parts, settings, screws, list(places), bears)
    nodes = [held.net.node_of[p] for p in places]
    if not stands([held.net.points[n] for n in nodes], centre_of(held.net, held.whole)):
        return []
    pushes = frame_figures(held.net, members, nodes, held.whole, settings, held.hands).held
    found = []
    for on in sorted({p.on for p in under}):
        own = [k for k, p in enumerate(under) if p.on == on]
        found.append(
            Borne(
                board=board.id,
                posts=tuple(under[k] for k in own),
                lasting_n=tuple(round(float(n), 3) for n in pushes[own, 0]),
                hands_n=tuple(tuple(round(float(n), 3) for n in case) for case in pushes[own, 1:].T),
            )
        )
    return found


def _beside_joints(post: Post, on: Board, from_end: float) -> Iterator[str]:
    """In words: joints that a post stands nearer to than the nearest legs of the rule."""
    from .net import Line

    for joint in (j for j in on.joints if not j.lift_out):
        a, b = (on.to_local(p) for p in on.face(joint))
        _, off = Line(a, b).nearest((post.on_x_mm, post.on_y_mm))
        if off < from_end * on.length_mm:
            yield f"{post.id} {off:.0f} mm from {joint.id}"


def _tell(
    board: Board, under: Sequence[Post], lost: Sequence[Point], near: Sequence[str], notes: Notes
) -> None:
    if lost:
        (u, v), (x, y) = lost[0], board.to_plan(lost[0])
        one = len(lost) == 1
        notes.caution(
            "BW-STR-017",
            f"{len(lost)} of the posts of board {board.id} find{'s' if one else ''} no place, the first near "
            f"x {u:.0f}, y {v:.0f} from its datum corner: along that member no side, end or joist of a board "
            "below is clear of tracks, turnouts and devices (sides of skins, decks of foam and lift-outs "
            "carry none).",
            Place(board=board.id, x_mm=round(x, 1), y_mm=round(y, 1)),
            "Let the upper board's edge cross joists of the lower one (joists.spacing_mm), set post_clear_mm "
            'or leg_mm under [supports] smaller, or carry this level otherwise (kind = "brackets", or points '
            "of its own).",
        )
    if under:
        on = " and ".join(sorted({p.on for p in under}))
        notes.note(
            "BW-STR-018",
            f"Board {board.id} stands on {len(under)} posts on the frame of {on}; what they lay on it is in "
            "the figures there." + (BESIDE.format(", ".join(near)) if near else ""),
            [Place(board=board.id), *(Place(board=n) for n in sorted({p.on for p in under}))],
            "Hold each foot with two angle brackets and brace the posts against swaying both ways (gussets "
            "of ply, the backscene, or a fixing to the wall behind): sideways nothing is reckoned. Lift the "
            "upper board off before the lower one is carried.",
        )


@stage(each=True)
def board_posts(board: Board, posts: Posts) -> BoardPosts:
    """The posts under one board and what stands on it."""
    return BoardPosts(
        placed=board.id in posts.under,
        under=posts.under.get(board.id, ()),
        bears=posts.borne.get(board.id, ()),
    )
