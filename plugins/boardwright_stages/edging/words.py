"""The step of strips along edges in words. Common practice throughout, no source."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import combinations

from boardwright_timber.model import BoardEdging, EdgeKind, EdgeStrip, HoldKind, StepLine

from ..hardware.blocking import BLOCK_MM
from .screws import INTO

TOUCH_MM = 0.05
TITLES = {EdgeKind.FASCIA: "The fascia", EdgeKind.BACKSCENE: "The backscene"}
_FIRST = (
    "Last, best with the board on its legs and bolted to its neighbours: offer each strip up dry, the drawn "
    "face outward, its top edge level. Where something sticks out of the edge (a leg, a bolt's head, a "
    "control panel, a socket), cut the strip round it: none of these is looked at here."
)
_FIRST_BACK = (
    "Best before the layout goes back to its wall: offer each board up dry, the drawn face to the back, its "
    "top edge level, plumb with a level or a square off the deck."
)
_LAST = (
    "Clamp it, drill through strip and wood in one, countersink, drive the screws; pack a gap of a few "
    "millimetres behind one. No glue but at the ends of members, so that it comes off again."
)
_STIFF = (
    "It is more than {ratio:g} times as high as it is thick: glue an upright strip on its back at each joint "
    "and every {apart:g} mm or so, from its foot to its top (judgement; these strips are in no list)."
)
STIFF_RATIO, STIFF_APART_MM = 50.0, 600.0


def edging_step(edging: BoardEdging, deck_mm: float, kind: EdgeKind) -> tuple[StepLine, ...]:
    """The step of the strips of one kind; ``edging`` has them all, for those that meet."""
    own = [s for s in edging.strips if s.kind is kind]
    high = any(s.top_mm - deck_mm > STIFF_RATIO * s.thickness_mm for s in own if kind is EdgeKind.BACKSCENE)
    return (
        StepLine(says=_FIRST if kind is EdgeKind.FASCIA else _FIRST_BACK),
        *(StepLine(part=s.id, says=_of(s, edging, deck_mm)) for s in own),
        *([StepLine(says=_STIFF.format(ratio=STIFF_RATIO, apart=STIFF_APART_MM))] if high else []),
        StepLine(says=_LAST),
    )


def held_to(strip: EdgeStrip) -> tuple[str, ...]:
    """Members that a strip is screwed to, in their order along it."""
    return tuple(dict.fromkeys(h.on for h in strip.holds if h.on))


def _of(strip: EdgeStrip, edging: BoardEdging, deck_mm: float) -> str:
    over = strip.top_mm - deck_mm
    level = "level with" if abs(over) < TOUCH_MM else f"{abs(over):g} mm {'above' if over > 0 else 'below'}"
    said = [f"its top {level} the top of the deck"]
    if len(strip.pieces) > 1:
        names = " and ".join(p.id for p in strip.pieces)
        at = ", ".join(f"{p.from_mm:.0f} mm ({p.on or 'between two blocks'})" for p in strip.pieces[1:])
        said.append(f"butt {names} square, seams at {at}")
    if meets := _meeting(strip, edging.strips):
        said.append(
            f"it meets {' and '.join(meets)} at a corner: the longer one runs past, or both are mitred"
        )
    if not strip.pieces[0].is_straight or not strip.pieces[-1].is_straight:
        said.append("bend it round from one end to the other, screw by screw")
    screws: Counter[tuple[HoldKind, str]] = Counter()
    for hold in strip.holds:
        screws[hold.kind, "" if hold.is_block else hold.on] += len(hold.heights_mm)
    into = [f"{n} into {_onto(kind, on)}" for (kind, on), n in screws.items()]
    if blocks := sum(h.is_block for h in strip.holds):
        into.append(
            f"the {blocks} blocks are {BLOCK_MM} × {BLOCK_MM} and {edging.block_mm:g} long, glued before, an "
            "upright one planed to the room between strip and member"
        )
    said.append(f"screws: {', '.join(into)}" if into else "nothing stands behind it to screw to")
    return "; ".join(said) + "."


def _onto(kind: HoldKind, on: str) -> str:
    return on if kind is HoldKind.FACE else f"the end of {on}" if kind is HoldKind.END else INTO[kind]


def _meeting(strip: EdgeStrip, strips: Sequence[EdgeStrip]) -> list[str]:
    import shapely

    shapes = {s.id: shapely.union_all([shapely.Polygon(p.outline) for p in s.pieces]) for s in strips}
    pairs = [(a, b) for a, b in combinations(shapes, 2) if strip.id in (a, b)]
    return [b if a == strip.id else a for a, b in pairs if shapes[a].dwithin(shapes[b], TOUCH_MM)]
