"""Sizing: the lightest or cheapest strip and deck of the stock that hold, taken for all boards or only told.

Claim: sizes are tried from the lightest (or cheapest) on; each makes the whole frame of every board anew,
joists and parts with their holes left out, on supports by the same rule. ``frame_size`` takes the first
deck, then with it the first strip, that keep every limit on every board; ``sizing`` tells for each board by
itself the first strip whose frame keeps every limit, and the last lighter one with the limit it breaks.

One size for all boards: their ends are bolted together, and their tops and bolts must agree.

What this does not know: bolts and wire holes (they weaken a little), the number of sheets (see the cost),
styles of a plugin; advice for one board does not know posts: one on posts is tried on legs, one below bears
none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from boardwright import All, Notes, Place, stage
from boardwright_timber.model import Board, BoardPlan, BoardSizing, FrameSize, Strip, TriedStrip

from ..framing.girder_settings import GirderSettings
from ..framing.open_settings import OpenTopSettings
from ..framing.sandwich_settings import SOLID, SandwichSettings
from ..framing.settings import FramingSettings
from ..joists.settings import JoistSettings
from ..nesting.settings import CuttingSettings, StockSettings
from ..strength.levels import AS_ALL, NO_LEVELS, BoardSupports
from ..strength.settings import StrengthSettings, SupportSettings
from .settings import SizingSettings

GIRDER, OPEN_TOP = GirderSettings(), OpenTopSettings()
STOCK, CUTTING = StockSettings(), CuttingSettings()


@stage()
def frame_size(
    boards: All[Board],
    board_plans: All[BoardPlan],
    settings: SizingSettings,
    framing: FramingSettings,
    joist_settings: JoistSettings,
    limits: StrengthSettings,
    supports: SupportSettings,
    notes: Notes,
    girder: GirderSettings = GIRDER,
    open_top: OpenTopSettings = OPEN_TOP,
    stock: StockSettings = STOCK,
    cutting: CuttingSettings = CUTTING,
    sandwich: SandwichSettings = SOLID,
    levels: All[BoardSupports] = NO_LEVELS,
) -> FrameSize:
    """The sizes for all boards; empty when they are fixed, nothing holds, or the style is a plugin's."""
    from .candidates import by_mass, by_price, decks, strips
    from .trying import BUILT_IN, Rules, Tried, tried, tried_together

    if settings.choose == "fixed" or framing.style not in BUILT_IN or not boards:
        return FrameSize()
    cheap = settings.choose == "cheapest"
    rules = Rules(framing, girder, open_top, joist_settings, limits, supports, sandwich)
    place = Place(key="sizing.choose")
    on_posts = any(levels.get(n, AS_ALL).over(supports).kind == "posts" for n in boards)

    def broken(strip: Strip | None, deck_mm: float | None, *, deck: bool) -> str:
        """The first limit that one board breaks; empty: none does."""
        for name, each in made(strip, deck_mm, sorted(boards)):
            if why := each.breaks(deck=deck):
                return f"{why} on board {name}"
        return ""

    suspects: dict[bool, str] = {}  # what broke under the last size most likely breaks under the next

    def fails(strip: Strip | None, deck_mm: float | None, *, deck: bool) -> str | None:
        """As ``broken``; None where a board breaks, but not known which is the first by name, or by what."""
        first = "" if on_posts else suspects.get(deck, "")
        in_order = sorted(boards, key=lambda name: (name != first, name))
        for name, each in made(strip, deck_mm, in_order, alone=not deck):
            if each.early:
                suspects[deck] = name
                return None
            if why := each.breaks(deck=deck):
                suspects[deck] = name
                return f"{why} on board {name}" if name != first or name == min(boards) else None
        return ""

    def made(
        strip: Strip | None, deck_mm: float | None, names: Sequence[str], *, alone: bool = False
    ) -> Iterator[tuple[str, Tried]]:
        """Board by board, all of them first only where some stand on others."""
        if on_posts:
            return tried_together(boards, board_plans, strip, deck_mm, rules, levels)
        return (
            (n, tried(boards[n], board_plans[n], strip, deck_mm, rules, levels.get(n, AS_ALL), alone=alone))
            for n in names
        )

    def told(strip: Strip | None, why: str | None, deck_mm: float | None) -> str:
        """Why the last size that did not hold is not taken; empty: there is none."""
        if strip is None:
            return ""
        return f"{strip} fails by {broken(strip, deck_mm, deck=False) if why is None else why}"

    offered = [d for d in decks(framing.deck_material, stock) if not cheap or d[2] is not None]
    offered.sort(key=lambda d: (d[2] if cheap and d[2] is not None else d[1], d[0]))
    deck_mm: float | None = None
    why: str | None = ""
    for thickness, _, _ in offered:
        if (why := fails(None, thickness, deck=True)) == "":
            deck_mm = thickness
            break
    if deck_mm is None:
        deck_told = broken(None, offered[-1][0], deck=True) if why is None else why
        notes.caution(
            "BW-SIZE-004",
            f"No deck of {framing.deck_material} in the stock holds: "
            f"{f'the last tried fails by {deck_told}' if deck_told else 'the stock has none with a price'}. "
            f"The {framing.deck_thickness_mm:g} mm of [framing] stay.",
            place,
            "Set joists.spacing_mm smaller, or put a thicker sheet in [stock].",
        )
    every = [s for s in strips(settings, stock, cutting) if not cheap or s.price is not None]
    every.sort(key=by_price if cheap else by_mass)
    lighter: tuple[Strip | None, str | None] = (None, "")
    for strip in every:
        why = fails(strip, deck_mm, deck=False)
        if why == "":
            _tell_choice(strip, deck_mm, cheap, told(*lighter, deck_mm), notes)
            return FrameSize(strip=strip, deck_mm=deck_mm)
        lighter = (strip, why)
    tells = told(*lighter, deck_mm)
    notes.caution(
        "BW-SIZE-004",
        f"No strip of the stock holds every board{f': {tells}' if tells else ', for none has a price'}. The "
        f"{framing.member_thickness_mm:g} × {framing.depth_mm:g} of [framing] stays.",
        place,
        "Put deeper or thicker wood in [stock] or sizing.depths_mm, or set supports closer.",
    )
    return FrameSize(deck_mm=deck_mm)


def _tell_choice(strip: Strip, deck_mm: float | None, cheap: bool, last: str, notes: Notes) -> None:
    deck = f" and a deck of {deck_mm:g} mm" if deck_mm is not None else ""
    worth = f"{strip.kg_per_m:g} kg a metre"
    if strip.price is not None:
        worth += f", {strip.price:.2f} a metre of wood"
    notes.note(
        "BW-SIZE-003",
        f"Taken for all boards: strips of {strip}{deck}, the {'cheapest' if cheap else 'lightest'} that keep "
        f"every limit ({worth})"
        + (f"; the next {'cheaper' if cheap else 'lighter'}, {last}." if last else "."),
        Place(key="sizing.choose"),
        'Nothing; sizing.choose = "fixed" takes the sizes of [framing] again.',
    )


@stage(each=True)
def sizing(
    board: Board,
    board_plan: BoardPlan,
    settings: SizingSettings,
    framing: FramingSettings,
    joist_settings: JoistSettings,
    limits: StrengthSettings,
    supports: SupportSettings,
    notes: Notes,
    girder: GirderSettings = GIRDER,
    open_top: OpenTopSettings = OPEN_TOP,
    stock: StockSettings = STOCK,
    cutting: CuttingSettings = CUTTING,
    sandwich: SandwichSettings = SOLID,
    level: BoardSupports = AS_ALL,
) -> BoardSizing:
    """Advice for one board; empty when none is asked for, or for a style of a plugin."""
    from .candidates import by_mass, strips
    from .trying import BUILT_IN, Rules, tried

    if not settings.advise or framing.style not in BUILT_IN:
        return BoardSizing(board=board.id)
    rules = Rules(framing, girder, open_top, joist_settings, limits, supports, sandwich)
    found: list[TriedStrip] = []
    for strip in sorted(strips(settings, stock, cutting), key=by_mass):
        broken = tried(board, board_plan, strip, None, rules, level).breaks(deck=False)
        found.append(
            TriedStrip(
                thickness_mm=strip.thickness_mm,
                depth_mm=strip.depth_mm,
                material=strip.material,
                kg_per_m=round(strip.kg_per_m, 4),
                why=broken,
            )
        )
        if not broken:
            break
    if found:
        _tell(board, found, notes)
    return BoardSizing(board=board.id, tried=tuple(found))


def _tell(board: Board, tried: list[TriedStrip], notes: Notes) -> None:
    place = Place(board=board.id, key="sizing.strips")
    last = tried[-1]
    if last.why:
        notes.caution(
            "BW-SIZE-002",
            f"Board {board.id}: no strip of the list holds it; the heaviest, {_named(last)}, "
            f"fails by {last.why}.",
            place,
            "Add deeper strips to sizing.strips or wood to [stock], or set supports closer.",
        )
        return
    lighter = (
        f"; {_named(tried[-2])} fails by {tried[-2].why}" if len(tried) > 1 else ", the first of the list"
    )
    notes.note(
        "BW-SIZE-001",
        f"Board {board.id}: the lightest strip whose frame keeps every limit is {_named(last)}, "
        f"{last.kg_per_m:g} kg a metre{lighter}.",
        place,
        "Set framing.member_thickness_mm and framing.depth_mm to it if it suits the joints as well, or "
        'sizing.choose to "lightest".',
    )


def _named(strip: TriedStrip) -> str:
    return f"{strip.thickness_mm:g} × {strip.depth_mm:g} {strip.material}"
