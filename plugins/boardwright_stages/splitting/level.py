"""One level of a plan while it is split: what its joints must respect, in the plan and in its pose."""

from __future__ import annotations

from boardwright.findings import Notes
from boardwright.plan.model import TrackPlan
from boardwright_timber.model.made import HeldJoints

from . import drawn
from .held import hold
from .keepaway import KeepAway
from .piece import Piece, from_outline
from .pose import Pose
from .search import Search
from .settings import SplittingSettings
from .tracks import Tracks


class Level:
    """``obeyed``: its outlines cut along drawn joints and those that are held; ``made``: the edges of made
    boards, in the pose."""

    def __init__(
        self,
        plan: TrackPlan,
        height_mm: float,
        pose: Pose,
        settings: SplittingSettings,
        notes: Notes,
        held: HeldJoints,
    ) -> None:
        self.plan, self.posed = plan, pose.plan(plan)
        self.keep_away, self.tracks = KeepAway(plan, settings), Tracks(plan, settings)
        still = plan is self.posed
        self.posed_keep_away = self.keep_away if still else KeepAway(self.posed, settings)
        self.posed_tracks = self.tracks if still else Tracks(self.posed, settings)
        self.whole = [from_outline(o.ring, o.wells) for o in self.posed.outlines]
        lines = [pose.line(j.start, j.end) for j in held.joints if j.level_mm == height_mm]
        self.obeyed = hold(drawn.obey(self.whole, self.posed.drawn_joints, settings, notes), lines)
        self.made = [pose.points(b.ring) for b in held.boards if b.ring and b.level_mm == height_mm]

    def search(self, piece: Piece, settings: SplittingSettings) -> Search:
        return Search(settings, self.posed_keep_away, self.posed_tracks, piece.main_directions)
