"""How the two boards of the test layout are put together: two steps each, their wood as plain slabs."""

from __future__ import annotations

from boardwright_timber.model import (
    BoardSteps,
    SeenBody,
    SeenFace,
    Step,
    StepKind,
    StepLine,
    StepUse,
    Tone,
)


def slab(part: str, n: int) -> SeenBody:
    """An upright rectangle on paper, 1000 × 80, each above the one before."""
    ring = ((0.0, 100.0 * n), (1000.0, 100.0 * n), (1000.0, 100.0 * n + 80), (0.0, 100.0 * n + 80))
    return SeenBody(part=part, faces=(SeenFace(Tone.LEFT, (ring,)),), at=(500.0, 100.0 * n + 40))


def steps() -> dict[str, BoardSteps]:
    return {b: of_board(b) for b in ("B01", "B02")}


def of_board(board: str) -> BoardSteps:
    side, end, deck = f"{board}-S1", f"{board}-E1", f"{board}-D"
    screws = StepUse(item="screw-4x50", says="Wood screw 4 × 50, countersunk", quantity=2, unit="piece")
    glue = StepUse(item="wood-glue", says="Wood glue", quantity=0.216, unit="ml")
    return BoardSteps(
        board=board,
        lift_mm=120.0,
        bodies=tuple(slab(part, n) for n, part in enumerate((side, end, deck))),
        steps=(
            Step(
                number=1,
                kind=StepKind.FRAME,
                title="The frame",
                adds=(side, end),
                do=(StepLine(says="Work on a flat sheet."), StepLine(part=end, says=f"against {side}.")),
                uses=(screws, glue),
                checks=(StepLine(says="Tops flush."),),
                short_drill=(end,),
            ),
            Step(number=2, kind=StepKind.DECK, title="The deck", adds=(deck,)),
        ),
    )
