"""What is said of strips along edges."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from boardwright import Notes, Place
from boardwright.plan.model import Point
from boardwright_timber.geometry import offset_path, path_length, tightest_radius_mm
from boardwright_timber.model import Board, BoardEdging, EdgeKind, Frame

from ..framing.bent import BEND_RATIO
from ..splitting.settings import SplittingSettings
from .choosing import Edges, Key
from .laying import LEAST_MM
from .parts import strip_kg
from .settings import Tables

SLACK_MM = 0.05
GRAM_KG = 0.001


def about_idle(kind: EdgeKind, notes: Notes) -> None:
    """A table in which something is set and no edge chosen: nothing comes of it."""
    all_ = "free" if kind is EdgeKind.FASCIA else "walls"
    notes.caution(
        "BW-EDGE-011",
        f"[{kind}] names no edge: no {kind} is made.",
        Place(key=f"[{kind}] edges"),
        f'Write edges = "{all_}" under [{kind}], or near = [[x, y]] with a point beside each edge that is to '
        "have one.",
    )


def about_bare(
    boards: Mapping[str, Board],
    edges: Edges,
    bare: Sequence[Key],
    kinds: Mapping[Key, EdgeKind],
    notes: Notes,
) -> None:
    """Stretches that were asked for and get none."""
    for kind in EdgeKind:
        told = [(b, edges[b][n]) for b, n in bare if kinds[b, n] is kind]
        if told:
            says = ", ".join(f"{s.length_mm:.0f} mm of board {b}" for b, s in told)
            notes.caution(
                "BW-EDGE-002",
                f"No {kind} stands along {says}: shorter than {LEAST_MM:g} mm, or without room for its "
                "thickness between boards.",
                [_place(boards[b], s.path[0]) for b, s in told],
                "Draw the edge there without the short piece or the narrow slot, or close the place with a "
                "block of solid wood.",
            )


class Told(NamedTuple):
    """What is said of one board's strips."""

    board: Board
    made: BoardEdging
    notes: Notes

    @property
    def kinds(self) -> str:
        return " and ".join(dict.fromkeys(s.kind.value for s in self.made.strips))

    def about_bends(self) -> None:
        for strip in self.made.strips:
            thick = strip.thickness_mm
            radius = min(tightest_radius_mm(offset_path(p.inner, -thick / 2)) for p in strip.pieces)
            if radius < BEND_RATIO * thick - SLACK_MM:
                thinnest = math.floor(radius / BEND_RATIO * 10) / 10
                first = f"Take {thinnest:g} mm or less ({strip.kind}.thickness_mm), "
                self.notes.caution(
                    "BW-EDGE-001",
                    f"Strip {strip.id} of {thick:g} mm is bent to a radius of {radius:.0f} mm: dry, it "
                    f"bends to {BEND_RATIO * thick:.0f} mm ({BEND_RATIO:g} times its thickness; common "
                    "practice, no source).",
                    _place(self.board, strip.pieces[0].inner[len(strip.pieces[0].inner) // 2], strip.id),
                    (first if thinnest >= 1 else "Ease the curve, ")
                    + "glue it of two thinner layers, or saw kerfs across its back till it goes round, on "
                    "waste first.",
                )

    def about_holds(self, tables: Tables) -> None:
        """Stretches of a strip with nothing to screw to."""
        for strip in self.made.strips:
            long = sum(path_length(p.inner) for p in strip.pieces)
            held = [0.0, *(h.at_mm for h in strip.holds), long]
            widest, at = max((b - a, a) for a, b in pairwise(held))
            if widest > 2 * tables[strip.kind].screw_spacing_mm or not strip.holds:
                self.notes.caution(
                    "BW-EDGE-005",
                    f"Strip {strip.id} has nothing to be screwed to for {widest:.0f} mm from {at:.0f} mm on: "
                    "no member's face or end stands behind it there, and no deck to glue a block to.",
                    _place(self.board, strip.pieces[0].inner[0], strip.id),
                    "Glue and screw upright blocks to the joists or the risers nearest to the edge, out to "
                    f"the strip's inner face; or leave this edge out ({strip.kind}.not_near).",
                )

    def about_climb(self, frame: Frame, deck_mm: float) -> None:
        """A deck that climbs above the level top of a strip."""
        ways = [way for panel in frame.deck for way in panel.ways or ()]
        high = max((p[2] for way in ways for p in way), default=0.0) + deck_mm
        low = [s for s in self.made.strips if high > s.top_mm + SLACK_MM]
        if low:
            kind = low[0].kind
            key = "above_mm" if kind is EdgeKind.FASCIA else "height_mm"
            self.notes.caution(
                "BW-EDGE-006",
                f"The deck of board {self.board.id} climbs {high - low[0].top_mm:.0f} mm above the level top "
                f"of its {kind}.",
                Place(board=self.board.id),
                f"Set {kind}.{key} to {math.ceil(high - deck_mm)} or more and saw the top to the ground's "
                "line, or leave the edge to scenery.",
            )

    def about_size(self, splitting: SplittingSettings) -> None:
        """A board that its strips make larger than the splitting was told."""
        points = [p for s in self.made.strips for piece in s.pieces for p in piece.outer]
        sizes = (self.board.length_mm, self.board.width_mm)
        xs, ys = ([0.0, size, *(p[n] for p in points)] for n, size in enumerate(sizes))
        grown = sorted((max(xs) - min(xs), max(ys) - min(ys)), reverse=True)
        own, most = sorted(sizes, reverse=True), splitting.box_mm
        if any(g > m + SLACK_MM >= o for g, m, o in zip(grown, most, own, strict=True)):
            self.notes.note(
                "BW-EDGE-007",
                f"With its {self.kinds} board {self.board.id} is {grown[0]:.1f} × {grown[1]:.1f} mm, more "
                f"than the {most[0]:.0f} × {most[1]:.0f} that [splitting] allows.",
                Place(board=self.board.id),
                f"Take the {self.kinds} off to carry it, or let [splitting] make the board smaller by so "
                "much.",
            )

    def about_height(self, splitting: SplittingSettings, frame_mm: float) -> None:
        """A board that its strips make higher than openings were reckoned with."""
        top = max(s.top_mm for s in self.made.strips)
        high = top + max(frame_mm, *(-s.bottom_mm for s in self.made.strips))
        if splitting.openings and high > splitting.height_mm + SLACK_MM:
            self.notes.caution(
                "BW-EDGE-010",
                f"With its {self.kinds} board {self.board.id} is {high:.0f} mm high; for openings "
                f"[splitting] reckons with {splitting.height_mm:g} mm.",
                Place(board=self.board.id, key="[splitting] height_mm"),
                f"Take the {self.kinds} off to carry it through, or set [splitting] height_mm to "
                f"{math.ceil(high)}.",
            )

    def about_mass(self, splitting: SplittingSettings) -> None:
        """A board that its strips make heavier than the guideline it was split by."""
        import shapely

        most = splitting.most_kg
        if most is None:
            return
        shape = shapely.Polygon(self.board.ring, self.board.wells)
        own = splitting.thought_kg(shape.area, shape.length)
        more = sum(map(strip_kg, self.made.strips))
        if own <= most + GRAM_KG < own + more:
            metres = sum(path_length(p.inner) for s in self.made.strips for p in s.pieces) / 1000
            self.notes.caution(
                "BW-EDGE-008",
                f"With {more:.1f} kg of {self.kinds} board {self.board.id} is thought to weigh "
                f"{own + more:.1f} kg, more than {most:.1f} kg.",
                Place(board=self.board.id),
                f"Take the {self.kinds} off to carry it, or let it be counted when boards are split: set "
                f"[splitting] kg_per_m to {splitting.kg_per_m + more / metres:.2f}.",
            )


def _place(board: Board, at: Point, item: str | None = None) -> Place:
    x, y = board.to_plan(at)
    return Place(board=board.id, item=item, x_mm=round(x, 1), y_mm=round(y, 1))
