"""The page of the test layout, made as the engine makes it."""

from __future__ import annotations

from types import SimpleNamespace

from boardwright_outputs.book.outputs import index_page
from boardwright_outputs.book.step_pictures import step_pictures
from boardwright_outputs.drawings.stages import board_picture, general_picture, sheet_pictures
from boardwright_outputs.templates.settings import TemplateSettings

INPUTS = (
    *("plan", "splitting", "boards", "plans", "frames", "joists", "fixings", "wiring", "parts", "strengths"),
    *("cutting", "hardware", "cost", "wires", "checks", "findings", "provenance", "steps"),
)
BOARD_INPUTS = ("plans", "frames", "joists", "fixings", "wiring", "parts", "strengths", "views")


def made(layout: SimpleNamespace) -> bytes:
    given = {name: getattr(layout, name, None) for name in INPUTS}
    given["general_picture"] = general_picture(
        layout.plan,
        layout.splitting,
        layout.plans,
        layout.frames,
        layout.joists,
        layout.parts,
        layout.fixings,
    )
    given["board_pictures"] = {
        b: board_picture(board, *(getattr(layout, name)[b] for name in BOARD_INPUTS))
        for b, board in layout.boards.items()
    }
    given["step_pictures"] = {b: step_pictures(found) for b, found in layout.steps.items()}
    given["sheet_pictures"] = sheet_pictures(layout.splitting, layout.cutting, layout.parts)
    files = index_page(**given, templates=TemplateSettings()).files
    assert list(files) == ["index.html"]
    return files["index.html"]
