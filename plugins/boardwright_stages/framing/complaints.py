"""What the framing stage has to say about a frame: every finding in one place, in the builder's words."""

from __future__ import annotations

import math

from boardwright import Notes, Place
from boardwright.plan.model import Point
from boardwright_timber.model import Board, Member

from .band import Band, Fitted, narrow_places
from .bent import Edged, tightest_mm, told, too_tight
from .settings import FramingSettings

NOTABLE_OVERHANG_MM = 1.0


class Complaints:
    """Judges bands and members of one board; places are told in plan coordinates."""

    def __init__(self, board: Board, settings: FramingSettings, notes: Notes) -> None:
        self._board = board
        self._settings = settings
        self._notes = notes

    def _place(self, at: Point, item: str | None = None) -> Place:
        x, y = self._board.to_plan(at)
        return Place(board=self._board.id, item=item, x_mm=round(x, 1), y_mm=round(y, 1))

    def heard(self, band: Band, fitted: list[Fitted]) -> list[Member]:
        """The members there is room for, after saying what is wrong with them."""
        self._about_outline(band)
        self._about_corners(band, fitted)
        return [f.member for f in fitted if self._has_room(f)]

    def _about_outline(self, band: Band) -> None:
        outline, limit = band.outline, self._settings.max_overhang_mm
        if outline.wrong_at is not None:
            self._notes.fault(
                "BW-FRAME-001",
                f"Board {self._board.id}: no frame of straight members was found that stays under the deck "
                f"here and lets the deck stand out by no more than {limit:g} mm.",
                self._place(outline.wrong_at),
                "Simplify the edge here, or allow more in framing.max_overhang_mm.",
            )

    def about_overhang(self, bands: list[Band]) -> None:
        """One line a board, whatever number of edges and wells it has."""
        widest = max((b.outline.overhang_mm for b in bands if b.outline.wrong_at is None), default=0.0)
        if widest > NOTABLE_OVERHANG_MM:
            self._notes.note(
                "BW-FRAME-007",
                f"Board {self._board.id}: the deck stands out over its straight members by up to "
                f"{widest:.0f} mm, at curves, notches or rounded corners.",
                Place(board=self._board.id),
                "Cut the deck to its own outline, not to the frame. The limit is framing.max_overhang_mm.",
            )

    def about_bends(self, made: Edged) -> None:
        """What is bent round the curved edges, what of it is too thick, and what could not be had."""
        s, board = self._settings, self._board.id
        if made.strips:
            self._notes.note(
                "BW-FRAME-011",
                f"Board {board}: {s.curved_edge} strips round its curved edges: "
                f"{'; '.join(told(b) for b in made.strips)}.",
                Place(board=board),
                "Try the bend on waste first. Kerfs go to the hollow side, filled with glue when it is bent; "
                "layers are glued round a form or round the members, all at once.",
            )
        for bent in made.strips:
            bends = too_tight(bent)
            if bends is not None:
                self._notes.caution(
                    "BW-FRAME-012",
                    f"Strip {bent.id} is bent to a radius of {tightest_mm(bent):.0f} mm, too tight for "
                    f"dry layers of {s.bend_layer_mm:g} mm (60 times their thickness; common practice, no "
                    "source).",
                    self._place(bent.outer[len(bent.outer) // 2], bent.id),
                    f"Set framing.bend_layer_mm to {math.floor(bends * 10) / 10:g} or less and put such a "
                    'sheet in [stock], steam the layers, or take curved_edge = "kerfed".',
                )
        if made.left_out:
            self._notes.caution(
                "BW-FRAME-013",
                f"Board {board}: no strip is bent round {', '.join(made.left_out)}: it would leave the "
                "board, cross another strip or leave too little behind it.",
                Place(board=board),
                "Nothing, if straight members below the deck will do there; else ease that edge's corners.",
            )

    def _about_corners(self, band: Band, fitted: list[Fitted]) -> None:
        settings = self._settings
        for k, corner in enumerate(band.corners):
            if abs(corner.turn_deg) < settings.max_mitre_deg:
                continue
            names = f"{fitted[k - 1].member.id} and {fitted[k].member.id}"
            angle, bevel = 180 - abs(corner.turn_deg), abs(90 - abs(corner.turn_deg))
            if angle < settings.sharpest_corner_deg:
                self._notes.fault(
                    "BW-FRAME-006",
                    f"{names} meet at a corner of only {angle:.0f}°: nothing can hold them together there.",
                    self._place(corner.at, fitted[k].member.id),
                    "Blunt the corner in the drawing, or move the joint.",
                )
            elif bevel > settings.max_bevel_deg + 0.05:
                self._notes.caution(
                    "BW-FRAME-005",
                    f"{names} meet at {angle:.0f}°: their ends are cut {bevel:.1f}° off square, more than "
                    f"your saw does ({settings.max_bevel_deg:g}°).",
                    self._place(corner.at, fitted[k].member.id),
                    "Blunt the corner in the drawing, or cut these ends by hand and glue a block behind.",
                )

    def _has_room(self, fitted: Fitted) -> bool:
        member = fitted.member
        if min(fitted.outer_mm, fitted.inner_mm) <= 0:
            middle = (
                (member.outer_start[0] + member.outer_end[0]) / 2,
                (member.outer_start[1] + member.outer_end[1]) / 2,
            )
            self._notes.fault(
                "BW-FRAME-002",
                f"There is no room for member {member.id}: its neighbours' thickness takes the whole edge.",
                self._place(middle, member.id),
                "Straighten the edge here, take thinner members, or allow more framing.max_overhang_mm.",
            )
            return False
        if member.length_mm < self._settings.shortest_member_mm:
            self._notes.caution(
                "BW-FRAME-004",
                f"Member {member.id} is only {member.length_mm:.0f} mm long.",
                self._place(member.outer_start, member.id),
                "Cut it from a longer strip and hold it with a glued block, or straighten the edge here.",
            )
        return True

    def about_collisions(self, members: list[Member]) -> None:
        for a, b, at in narrow_places(members):
            self._notes.fault(
                "BW-FRAME-003",
                f"{a.id} and {b.id} stand in each other's way: the board is too narrow here for two members.",
                self._place(at, a.id),
                "Widen the board here, or move the joint or the well.",
            )
