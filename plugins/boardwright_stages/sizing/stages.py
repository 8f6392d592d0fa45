"""The sizing stage: which strip of a list is the lightest that holds a board.

Claim: strips are tried from the lightest a metre on; each makes the board's whole box frame anew, joists and
parts with their holes left out, on supports by the same rule. The answer is the first whose frame keeps every
limit, and with it the last lighter one that does not, with the limit it breaks.

What this does not know: the deck (it is judged by itself, whatever the strip), prices, bolts and wire holes
(they weaken a little), other styles than the box.
"""

from __future__ import annotations

from boardwright import Notes, Place, stage
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardPlan,
    BoardSizing,
    BoardWiring,
    StrengthLine,
    TriedStrip,
)

from ..framing.settings import FramingSettings
from ..joists.settings import JoistSettings
from ..strength.settings import StrengthSettings, SupportSettings
from .settings import SizingSettings, StripSize


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
) -> BoardSizing:
    """Advice for one board; empty when none is asked for, or for another style."""
    from boardwright_timber.reference import density_kg_m3

    if not settings.advise or framing.style != "box":
        return BoardSizing(board=board.id)

    def kg_m(strip: StripSize) -> float:
        density = density_kg_m3(strip.material, strip.thickness_mm)
        return strip.thickness_mm * strip.depth_mm * density * 1e-6

    tried: list[TriedStrip] = []
    for strip in sorted(settings.strips, key=lambda s: (round(kg_m(s), 6), s.thickness_mm, s.depth_mm)):
        broken = _worst(_figures(board, board_plan, strip, framing, joist_settings, limits, supports))
        tried.append(
            TriedStrip(
                thickness_mm=strip.thickness_mm,
                depth_mm=strip.depth_mm,
                material=strip.material,
                kg_per_m=round(kg_m(strip), 4),
                why=broken,
            )
        )
        if not broken:
            break
    _tell(board, tried, notes)
    return BoardSizing(board=board.id, tried=tuple(tried))


def _figures(
    board: Board,
    plan: BoardPlan,
    strip: StripSize,
    framing: FramingSettings,
    joist_settings: JoistSettings,
    limits: StrengthSettings,
    supports: SupportSettings,
) -> tuple[StrengthLine, ...]:
    from msgspec.structs import replace

    from ..framing.stages import frame
    from ..joists.stages import joists
    from ..parts.stages import parts
    from ..strength.stages import strength

    unheard = Notes()
    own = replace(
        framing,
        member_thickness_mm=strip.thickness_mm,
        depth_mm=strip.depth_mm,
        member_material=strip.material,
    )
    framed = frame(board, own, unheard)
    found = joists(board, plan, framed, own, joist_settings, unheard)
    cut = parts(
        board,
        plan,
        framed,
        found,
        BoardFixings(board=board.id),
        BoardWiring(board=board.id),
        own,
        unheard,
    )
    return strength(board, framed, found, cut, limits, supports, unheard).lines


def _worst(lines: tuple[StrengthLine, ...]) -> str:
    """The limit of the frame that is passed by most, in words; empty when all are kept."""
    if not lines:
        return "no figures"
    frames = [line for line in lines if not line.key.startswith("deck") and not line.passed]
    if not frames:
        return ""
    worst = max(frames, key=lambda line: (line.measured / line.limit, line.key))
    return f"{worst.says}: {worst.measured:g} {worst.unit}, at most {worst.limit:g}"


def _tell(board: Board, tried: list[TriedStrip], notes: Notes) -> None:
    place = Place(board=board.id, key="sizing.strips")
    last = tried[-1]
    if last.why:
        notes.caution(
            "BW-SIZE-002",
            f"Board {board.id}: no strip of the list holds it; the heaviest, {_named(last)}, "
            f"fails by {last.why}.",
            place,
            "Add deeper strips to sizing.strips, or set supports closer.",
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
        "Set framing.member_thickness_mm and framing.depth_mm to it if it suits the joints as well.",
    )


def _named(strip: TriedStrip) -> str:
    return f"{strip.thickness_mm:g} × {strip.depth_mm:g} {strip.material}"
