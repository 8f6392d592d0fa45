"""The ``templates/`` output: one PDF a board."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from boardwright import Files, output
from boardwright.display import IN_MM, DisplaySettings
from boardwright_timber.model import Board, BoardParts

from ..drawings import names
from .settings import TemplateSettings


@output(each=True)
def templates(
    board: Board, parts: BoardParts, settings: TemplateSettings, show: DisplaySettings = IN_MM
) -> Files:
    """Full-size paper templates of a board's parts: ``templates/B01.pdf``."""
    from .view import wanted

    chosen = wanted(parts.cut, settings.print)
    if not chosen:
        return Files(files={})
    from .pages import template_pages

    return Files(
        files={names.template_path(board.id): template_pages(f"Board {board.id}", chosen, settings, show)}
    )


OUTPUTS: tuple[Callable[..., Any], ...] = (templates,)
