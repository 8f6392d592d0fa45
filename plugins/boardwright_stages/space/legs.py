"""Legs of an upper level that come down where a lower board is.

Claim: a leg is a square post from its board to the floor, its sides along the board's; it passes through
every lower board whose surface it overlaps in plan. How near it comes to a track is measured from its nearest
corner or side to the centre line.

A trestle stands below each row of a board's places, from the first to the last, with floor under all of it.
Posts that stand on a lower board are none of these.

What this does not know: how far a trestle's feet spread; brackets.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from boardwright import Notes, Place
from boardwright_timber.model import Board, BoardPlan, BoardStand, Frame, Leg, SupportPoint

from ..strength.rows import rows_of, way
from ..strength.settings import SupportSettings

if TYPE_CHECKING:
    from shapely import Polygon

TOUCH_MM2, TOUCH_MM = 1.0, 1.0
FEW = 4


def about_legs(
    boards: Mapping[str, Board],
    plans: Mapping[str, BoardPlan],
    shapes: Mapping[str, Polygon],
    stands: Mapping[str, BoardStand],
    notes: Notes,
) -> None:
    """A caution for each board that stands through another: its legs, and the track nearest to them."""
    for name in sorted(stands):
        for below in sorted(shapes):
            if boards[below].level_mm >= boards[name].level_mm:
                continue
            posts = [(leg, _post(boards[name], leg)) for leg in stands[name].legs if not leg.on]
            through = [(leg, p) for leg, p in posts if p.intersection(shapes[below]).area > TOUCH_MM2]
            if through:
                _tell(name, below, boards[name], plans[below], through, notes)


def _post(board: Board, leg: Leg) -> Polygon:
    """The leg's square, in plan coordinates."""
    import shapely

    (x, y), half = leg.middle, leg.side_mm / 2
    corners = [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]
    return shapely.Polygon([board.to_plan(p) for p in corners])


def _tell(
    name: str, below: str, board: Board, plan: BoardPlan, through: list[tuple[Leg, Polygon]], notes: Notes
) -> None:
    ids = [leg.id for leg, _ in through]
    listed = ", ".join(ids[:FEW]) + (f" and {len(ids) - FEW} more" if len(ids) > FEW else "")
    says = f"Legs of board {name} come down through board {below} below it: {listed}"
    nearest = _nearest(plan, through)
    if nearest is not None:
        gap_mm, track, leg = nearest
        stands = "on" if gap_mm == 0 else f"{gap_mm:.0f} mm from"
        says += f"; {leg.id} stands {stands} the centre line of track {track}"
    x, y = board.to_plan((through[0][0].x_mm, through[0][0].y_mm))
    notes.caution(
        "BW-SPACE-007",
        f"{says}.",
        [Place(board=name, item=ids[0], x_mm=round(x, 1), y_mm=round(y, 1)), Place(board=below)],
        _mend(board),
    )


def about_trestles(
    boards: Mapping[str, Board],
    frames: Mapping[str, Frame],
    shapes: Mapping[str, Polygon],
    places: Mapping[str, Sequence[SupportPoint]],
    supports: SupportSettings,
    notes: Notes,
) -> None:
    """A caution for each board whose trestles stand through another. ``places``: of boards on trestles."""
    import shapely

    from ..strength.standing import is_chosen

    for name in sorted(places):
        board = boards[name]
        own = [p for p in places[name] if not p.on and is_chosen(board, supports)]
        rows = rows_of(own, way(board, frames[name], "trestles"))
        lines = [
            shapely.LineString([board.to_plan((p.x_mm, p.y_mm)) for p in row]) for row in rows if row[1:]
        ]
        for below in sorted(n for n in shapes if boards[n].level_mm < board.level_mm):
            through = [line for line in lines if line.intersection(shapes[below]).length > TOUCH_MM]
            if not through:
                continue
            x, y = through[0].coords[0]
            many = f"{len(through)} trestles" if len(through) > 1 else "A trestle"
            come = "come" if len(through) > 1 else "comes"
            notes.caution(
                "BW-SPACE-007",
                f"{many} of board {name} {come} down through board {below} below it.",
                [Place(board=name, x_mm=round(x, 1), y_mm=round(y, 1)), Place(board=below)],
                _mend(board),
            )


def _mend(board: Board) -> str:
    return (
        f"Let the upper level stand on something else ([[supports.levels]] level_mm = {board.level_mm:g}): "
        'kind = "brackets" carries it from the wall, kind = "posts" on the frame below. For one board there '
        "are battens on the wall (supports.battens) and places beside the lower board (supports.points)."
    )


def _nearest(plan: BoardPlan, through: list[tuple[Leg, Polygon]]) -> tuple[float, str, Leg] | None:
    """Least distance of a leg to a track's centre line, the track and the leg."""
    import shapely

    found = [
        (round(post.distance(shapely.LineString(track.points)), 1), track.id, leg.id, leg)
        for track in plan.tracks
        if len(track.points) > 1
        for leg, post in through
    ]
    if not found:
        return None
    gap_mm, track, _, leg = min(found, key=lambda f: f[:3])
    return gap_mm, track, leg
