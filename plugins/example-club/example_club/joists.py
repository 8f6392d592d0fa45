"""Our joist rule: the built-in placement under our limit, and two joists at least (boards ride on edge)."""

from boardwright import Notes, stage
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists as built_in
from boardwright_timber.model import Board, BoardPlan, Frame, Joists

from .settings import ClubSettings


@stage(name="joists", each=True, replaces="joists")
def club_joists(
    board: Board,
    board_plan: BoardPlan,
    frame: Frame,
    framing: FramingSettings,
    club: ClubSettings,
    notes: Notes,
) -> Joists:
    """Joists of one board under the club's limit. Three bays or more, so two joists at least."""
    limit = min(club.joist_spacing_mm, board.length_mm / 3)
    return built_in(board, board_plan, frame, framing, JoistSettings(spacing_mm=limit), notes)
