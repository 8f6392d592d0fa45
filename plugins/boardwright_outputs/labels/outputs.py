"""The ``labels.html`` output: a label for every part that is cut, three in a row on paper, to stick on.

A label says whose part it is, its size, what it is fixed to, in which step, and how many are cut. Nothing on
the page is loaded from anywhere, and there is no script.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from importlib.resources import files
from typing import Any

import msgspec

from boardwright import NO_MEMO, All, Files, Memo, output
from boardwright.display import IN_MM, DisplaySettings
from boardwright.plan.model import TrackPlan
from boardwright_timber.model import BoardParts, BoardSteps, CuttingPlan

from ..workbook.inert import visible

PATH = "labels.html"
MOST_NAMES = 4


class Label(msgspec.Struct, frozen=True, kw_only=True):
    """``size_mm``: length, width and thickness. ``pieces`` says how many are cut."""

    part: str
    board: str
    role: str
    material: str
    size_mm: tuple[float, float, float]
    fixed_to: str
    step: str
    pieces: str


@output()
def labels(
    plan: TrackPlan,
    parts: All[BoardParts],
    steps: All[BoardSteps],
    cutting: CuttingPlan,
    show: DisplaySettings = IN_MM,
    memo: Memo = NO_MEMO,
) -> Files:
    """A label for every part, to print and stick on: ``labels.html``."""
    by_board = {board: list(of_board(found, steps[board], cutting)) for board, found in parts.items()}
    return Files(files={PATH: memo.of(page, plan.name, by_board, show, cutting.copies)})


def page(name: str, boards: dict[str, list[Label]], show: DisplaySettings, copies: int) -> bytes:
    text = _template().render(name=name, boards=boards, show=show, copies=copies)
    return visible(text).encode("utf-8", "replace")


def of_board(found: BoardParts, steps: BoardSteps, cutting: CuttingPlan) -> Iterator[Label]:
    """Labels in the order the parts are placed, those of tools last."""
    to = {tie.part: tie.to for tie in steps.ties}
    step = {part: n for n in steps.steps for part in n.adds}
    place = {part: n for n, part in enumerate(step)}
    for part in sorted(found.cut, key=lambda p: place.get(p.of or p.id, len(place))):
        where = step.get(part.of or part.id)
        yield Label(
            part=part.id,
            board=part.board,
            role=part.role,
            material=part.material,
            size_mm=(part.length_mm, part.width_mm, part.thickness_mm),
            fixed_to=part.of or _names(to.get(part.id, ())),
            step=f"step {where.number}" if where else "a tool, not built in",
            pieces=_pieces(cutting, part.id) if where else "1",
        )


def _pieces(cutting: CuttingPlan, part: str) -> str:
    """How many pieces a part is: one a copy, with the spare ones."""
    spare = cutting.spare.count(part)
    return f"{cutting.copies + spare}, {spare} of them spare" if spare else f"{cutting.copies}"


def _names(parts: tuple[str, ...]) -> str:
    shown = ", ".join(parts[:MOST_NAMES])
    return f"{shown} and {len(parts) - MOST_NAMES} more" if len(parts) > MOST_NAMES else shown


@cache
def _template() -> Any:
    from jinja2 import Environment, StrictUndefined

    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.from_string(files(__package__).joinpath("labels.html.j2").read_text("utf-8"))


OUTPUTS: tuple[Callable[..., Any], ...] = (labels,)
