"""A small layout made by hand for output tests: two boards joined at x = 1200, the second with a round end.

B01 is a plain rectangle 1200 × 600; B02 is 900 × 600 with a half round on its far end and a well. Numbers are
chosen so that a test can say where everything must be.
"""

from __future__ import annotations

from types import SimpleNamespace

import joined_money as money
import joined_steps
import joined_wires
import joined_wood as wood
from joined_ground import ground

from boardwright.display import IN_MM, DisplaySettings
from boardwright_outputs.drawings.drawing import Drawing
from boardwright_outputs.drawings.views.board import board_views, side_by_side
from boardwright_outputs.drawings.views.general import general_arrangement
from boardwright_outputs.drawings.views.part import part_drawing
from boardwright_outputs.drawings.views.sheet import sheet_drawings
from boardwright_timber.model import (
    BoardFixings,
    Splitting,
)


def make_layout(name: str = "Two board test", part_label: str = "") -> SimpleNamespace:
    g = ground(name)
    return SimpleNamespace(
        plan=g.plan,
        splitting=Splitting(boards=tuple(g.boards.values()), joints=(g.joint,)),
        boards=g.boards,
        plans=g.plans,
        frames=wood.frames(g),
        joists=wood.joists(),
        fixings={b: BoardFixings(board=b, fixings=wood.fixings()) for b in g.boards},
        wiring=wood.wiring(),
        parts=wood.parts(g, part_label),
        strengths=wood.strengths(),
        views=wood.views(),
        steps=joined_steps.steps(),
        cutting=money.make_cutting(),
        hardware=money.hardware(),
        cost=money.cost(),
        wires=joined_wires.wires(),
        checks=money.checks(),
        findings=money.findings(),
        provenance=money.provenance(),
    )


def views_of(layout: SimpleNamespace, b: str, show: DisplaySettings = IN_MM) -> tuple[Drawing, ...]:
    return board_views(
        layout.boards[b],
        layout.plans[b],
        layout.frames[b],
        layout.joists[b],
        layout.fixings[b],
        layout.wiring[b],
        layout.parts[b],
        layout.strengths[b],
        layout.views[b],
        show,
    )


def all_drawings(layout: SimpleNamespace, show: DisplaySettings = IN_MM) -> dict[str, Drawing]:
    found = {
        "general": general_arrangement(
            layout.plan, layout.splitting, layout.plans, layout.frames, layout.joists, show=show
        )
    }
    for b in layout.boards:
        found[b] = side_by_side(b, views_of(layout, b, show))
        found |= {part.id: part_drawing(part, show) for part in layout.parts[b].parts}
    return found | sheet_drawings(layout.cutting, layout.parts, show=show)
