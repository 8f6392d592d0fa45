"""The figures of a layout: what constructions are compared by, and layouts told apart.

Claim: each figure is taken from what another stage found and says where: nothing is worked out anew but sums
and the largest. Mass and depth are those of one copy of the layout; sheets, cost and work of all, told so.

Glossary
    mass    of all wood of the boards, without what stands on them
    sag     the worst lasting sag of any board, of its frame or its deck, whichever is more
    depth   how far the deepest frame reaches below the upper face of its deck

What this does not know: the hours of work beyond the estimate, and what a board is like to carry.
"""

from __future__ import annotations

from collections.abc import Iterable

from boardwright import All, stage
from boardwright.figures import Figure, Figures
from boardwright_timber.model import BoardParts, BoardStrength, Cost, CuttingPlan, Frame

SAGS = ("frame-sag", "deck-sag")
USES = ("bending", "shear", "deck-bending")
DECK = "deck"


@stage()
def figures(
    frames: All[Frame],
    parts: All[BoardParts],
    strengths: All[BoardStrength],
    cutting: CuttingPlan,
    cost: Cost,
) -> Figures:
    """What the layout comes to."""
    mass = {b: parts[b].mass_kg for b in parts}
    sags = _worst(strengths.values(), SAGS)
    uses = _worst(strengths.values(), USES)
    depths = {b: frames[b].depth_mm + _deck_mm(parts[b]) for b in parts if b in frames}
    alike = f"all {cost.copies} copies" if cost.copies > 1 else ""
    taxed = f"{cost.total_with_tax} {cost.currency} with tax" if cost.tax_percent else ""
    lacking = "" if cost.complete else "incomplete: a price or a sheet is missing"
    return Figures(
        figures=(
            Figure(key="boards", says="Boards", value=len(parts)),
            Figure(key="parts", says="Parts", value=sum(len(p.parts) for p in parts.values())),
            Figure(key="sheets", says="Sheets and bars", value=cutting.sheet_count, where=alike),
            Figure(
                key="cost",
                says="Materials",
                unit=cost.currency,
                value=float(cost.total),
                digits=2,
                less_is_better=True,
                where="; ".join(filter(None, (alike, taxed, lacking))),
                less="cheaper",
                more="dearer",
            ),
            Figure(
                key="mass",
                says="Mass of wood",
                unit="kg",
                value=round(sum(mass.values()), 6),
                digits=1,
                less_is_better=True,
                where=_heaviest(mass),
                less="lighter",
                more="heavier",
            ),
            _largest("sag", "Worst sag", "mm", sags, 1, ("less sag", "more sag")),
            _largest("depth", "Depth", "mm", depths, 1, ("shallower", "deeper")),
            Figure(
                key="use",
                says="Strength used",
                unit="%",
                value=max(uses.values(), default=None),
                digits=0,
                where=max(uses, key=lambda b: (uses[b], b), default=""),
            ),
            Figure(
                key="time",
                says="Work, estimated",
                unit="h",
                value=round(sum(line.minutes for line in cost.work) / 60, 3),
                digits=1,
                where=alike,
            ),
        )
    )


def _worst(strengths: Iterable[BoardStrength], keys: tuple[str, ...]) -> dict[str, float]:
    """Board -> the largest of its figures of these keys; a board without any is left out."""
    found = {s.board: [line.measured for line in s.lines if line.key in keys] for s in strengths}
    return {board: max(values) for board, values in found.items() if values}


def _deck_mm(parts: BoardParts) -> float:
    return max((p.thickness_mm for p in parts.parts if p.role == DECK), default=0.0)


def _heaviest(mass: dict[str, float]) -> str:
    board = max(mass, key=lambda b: (round(mass[b], 6), b), default="")
    return f"heaviest: {board}, {mass[board]:.1f} kg" if board else ""


def _largest(
    key: str, says: str, unit: str, values: dict[str, float], digits: int, words: tuple[str, str]
) -> Figure:
    board = max(values, key=lambda b: (round(values[b], 6), b), default="")
    return Figure(
        key=key,
        says=says,
        unit=unit,
        value=round(values[board], 6) if board else None,
        digits=digits,
        less_is_better=True,
        where=board,
        less=words[0],
        more=words[1],
    )
