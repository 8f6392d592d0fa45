"""Figures against limits: lines of the answer, and findings for what is over.

What this does not know: what your eye forgives. Limits are settings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from boardwright import Notes
from boardwright import Place as Where
from boardwright.plan.model import Point, Ring
from boardwright_timber.model import (
    Board,
    BoardStrength,
    Borne,
    Grain,
    Joined,
    Member,
    MemberRole,
    Panel,
    Part,
    SkinSeam,
    StrengthLine,
    SupportPoint,
)

from .deck import deck_sag
from .grillage import Array
from .handling import handled
from .lines import (
    CARRIED_RULE,
    CAUTIONS,
    DECK_RULE,
    EC0,
    EC5,
    FAULTY,
    ORDER,
    PLATE_RULE,
    POSTS_MEND,
    SAG_RULE,
    SKIN_RULE,
    SKINS_MEND,
    STATICS,
    USE_RULE,
    line_of,
    mend_of,
)
from .net import Net
from .open_deck import open_deck_places
from .plates import plate_use, skin_use
from .pressing import PRESS_RULE, PRESS_SOURCE, pressed
from .settings import StrengthSettings
from .sums import FrameFigures, deck_figures, deck_stiffness, frame_figures
from .telling import about_loose

# A sag of so many times its limit, and of so much, is no matter of taste: something is not held (judgement).
FAR_OVER, FAR_MM = 5.0, 5.0


class Judge:
    """Turns figures of one board into lines and findings."""

    def __init__(
        self, board: Board, members: tuple[Member, ...], settings: StrengthSettings, notes: Notes
    ) -> None:
        self.board, self.members, self.settings, self.notes = board, members, settings, notes
        self.carriers = members
        self.deck_slope = 0.0
        self.bends = self.shears = np.zeros(0)

    def answer(
        self, support: str, mass_kg: float, lines: list[StrengthLine], points: list[SupportPoint]
    ) -> BoardStrength:
        for line in lines:
            self._tell(line)
        return BoardStrength(
            board=self.board.id,
            support=support,
            points=tuple(points),
            mass_kg=round(mass_kg, 6),
            service_class=self.settings.climate,
            lines=tuple(lines),
        )

    def deck(
        self,
        deck: Part,
        ring: Ring,
        wells: tuple[Ring, ...],
        load_n_mm2: float,
        panels: tuple[Panel, ...] = (),
        seams: tuple[float, ...] = (),
    ) -> list[StrengthLine]:
        turned = round(deck.placement.angle_deg / 90) % 2 == 1
        along = deck.grain is (Grain.WIDTH if turned else Grain.LENGTH)
        stiffness, _ = deck_stiffness(deck, along)
        across, _ = deck_stiffness(deck, not along)
        if panels:
            places = open_deck_places(panels, self.carriers, load_n_mm2, stiffness, across)
            deepest, longest = places.worst
            about_loose(self.board, places.loose, self.notes)
        else:
            open_sides = any(m.role is MemberRole.GIRDER for m in self.members)
            deepest, longest = deck_sag(
                ring, wells, self.carriers, load_n_mm2, stiffness, across, seams, open_sides=open_sides
            )
        if deepest is None or longest is None:
            return []
        found = deck_figures(deck, deepest, longest, along, self.settings)
        self.deck_slope = found.slope
        s = self.settings
        deep, deep_at = f"span of {deepest.span_mm:.0f} mm round ", (deepest.x_mm, deepest.y_mm)
        long, long_at = f"span of {longest.span_mm:.0f} mm round ", (longest.x_mm, longest.y_mm)
        hand = "P·L³/48EI on a strip as wide as its span, less at an open edge"
        return [
            line_of(
                "deck-sag",
                "Deck, lasting sag",
                found.lasting_mm,
                s.deck_sag_mm,
                "mm",
                deep,
                deep_at,
                DECK_RULE,
                EC5,
            ),
            line_of(
                "deck-hand",
                "Deck, under a hand",
                found.hand_mm,
                s.hand_sag_mm,
                "mm",
                long,
                long_at,
                hand,
                STATICS,
            ),
            line_of(
                "deck-bending",
                "Deck, bending strength",
                found.bending * 100,
                100,
                "%",
                deep,
                deep_at,
                USE_RULE,
                EC0,
            ),
        ]

    def frame(
        self,
        net: Net,
        under: list[int],
        lasting: Array,
        lies_on: dict[int, str],
        known: FrameFigures | None = None,
        above: Array | None = None,
    ) -> tuple[list[StrengthLine], list[SupportPoint]]:
        """``known``: the figures on just these supports, if they were worked out already."""
        found = known or frame_figures(net, self.members, under, lasting, self.settings, above)
        self.bends, self.shears = found.bends, found.shears
        s = self.settings

        def beam(n: int) -> tuple[str, Point]:
            return f"{self.members[net.pieces[n].member].id} at ", net.points[net.beams[n].start]

        steepest = (found.slope.value + self.deck_slope) * 100
        slope = "slope of the frame's sag between near points and 3.2·sag/span of the deck, added"
        hand = "the hand on every place in turn; sag under it"
        lines = [
            line_of(
                "frame-sag",
                "Frame, lasting sag",
                found.sag.value,
                s.frame_sag_mm,
                "mm",
                "",
                net.points[found.sag.at],
                SAG_RULE,
                EC5,
            ),
            line_of(
                "gradient",
                "Slope of a level track",
                steepest,
                s.gradient_percent,
                "%",
                *beam(found.slope.at),
                slope,
                STATICS,
            ),
            line_of(
                "frame-hand",
                "Frame, under a hand",
                found.hand.value,
                s.hand_sag_mm,
                "mm",
                "",
                net.points[found.hand.at],
                hand,
                STATICS,
            ),
            line_of(
                "bending",
                "Frame, bending strength",
                found.bending.value * 100,
                100,
                "%",
                *beam(found.bending.at),
                USE_RULE,
                EC0,
            ),
            line_of(
                "shear",
                "Frame, shear strength",
                found.shear.value * 100,
                100,
                "%",
                *beam(found.shear.at),
                USE_RULE,
                EC0,
            ),
        ]
        owner = {
            n: self.members[piece.member].id
            for beam, piece in reversed(list(zip(net.beams, net.pieces, strict=True)))
            for n in (beam.end, beam.start)
        }
        points = [
            SupportPoint(
                member=owner[n],
                x_mm=round(net.points[n][0], 3),
                y_mm=round(net.points[n][1], 3),
                load_n=round(most, 1),
                uplift_n=round(pull, 1),
                on=lies_on.get(n, ""),
            )
            for n, most, pull in zip(under, found.most_n, found.uplift_n, strict=True)
        ]
        if not self.board.joints and any(p.uplift_n > 0 for p in points):
            self.notes.note(
                "BW-STR-007",
                f"A hand of {s.hand_n:g} N on its worst place lifts board {self.board.id} off a support.",
                Where(board=self.board.id),
                "Bolt the board to its legs and to its neighbours, or set the legs nearer its ends.",
            )
        return lines, points

    def carried(self, net: Net, lasting: Array) -> list[StrengthLine]:
        """The board held at its ends; nothing for one that no member runs along from end to end."""
        found = handled(net, self.members, lasting, self.settings)
        if found is None:
            return []
        self.bends = np.maximum(self.bends, found.bends)
        named = f"{self.members[net.pieces[found.beam].member].id} at "
        return [
            line_of(
                "carried-sag",
                "Frame, carried by its ends",
                found.sag_mm,
                self.settings.carried_sag_mm,
                "mm",
                "",
                found.at,
                CARRIED_RULE,
                STATICS,
            ),
            line_of(
                "carried-bending",
                "Frame, carried, bending strength",
                found.use * 100,
                100,
                "%",
                named,
                net.points[net.beams[found.beam].start],
                f"{CARRIED_RULE}; 1.35 G over k_mod·f/γM, short",
                EC0,
            ),
        ]

    def plates(
        self,
        net: Net,
        joined: Sequence[Joined],
        plates: Mapping[str, Member],
        skins: Sequence[SkinSeam],
    ) -> list[StrengthLine]:
        """Fishplates and blocks below butted skins, by what bends there; after ``frame`` and ``carried``."""
        on_plates = plate_use(net, self.members, joined, plates, self.bends, self.shears)
        on_blocks = skin_use(net, self.members, skins, self.bends, self.shears)
        return [
            line_of(
                key,
                says,
                found.use * 100,
                100,
                "%",
                f"{found.plate} at ",
                net.points[net.beams[found.beam].start],
                rule,
                "statics; EN 1995-1-1 6.1.7(3) (memory)",
            )
            for key, says, found, rule in (
                ("plates", "Glue of a fishplate", on_plates, PLATE_RULE),
                ("skins", "Block below a butted skin, and its glue", on_blocks, SKIN_RULE),
            )
            if found is not None
        ]

    def posts(self, bears: Sequence[Borne]) -> list[StrengthLine]:
        """What the wood under the posts that stand on this board is pressed by; after ``frame``."""
        found = pressed(bears, {m.id: m.material for m in self.members}, self.settings)
        if found is None:
            return []
        use, post = found
        at = (post.on_x_mm, post.on_y_mm)
        where = f"{post.on_member} at "
        return [
            line_of("posts", "Wood under a post", use * 100, 100, "%", where, at, PRESS_RULE, PRESS_SOURCE)
        ]

    @staticmethod
    def ordered(lines: list[StrengthLine]) -> list[StrengthLine]:
        return sorted(lines, key=lambda line: ORDER.index(line.key))

    def _tell(self, line: StrengthLine) -> None:
        if line.passed:
            return
        x, y = self.board.to_plan(line.at or (0.0, 0.0))
        where = Where(board=self.board.id, x_mm=round(x, 1), y_mm=round(y, 1))
        says = f"{line.says} of board {self.board.id}: {line.measured:g} {line.unit}, "
        mend = mend_of(line.key)
        if line.key in FAULTY:
            self.notes.fault(
                "BW-STR-005",
                f"{says}more than all there is, at {line.where}.",
                where,
                "Use deeper or thicker members or a thicker deck, set supports closer (max_spacing_mm, "
                "most_added or points in [supports]), or carry less."
                + (SKINS_MEND if any(m.sandwich for m in self.members) else "")
                + (POSTS_MEND if line.key == "posts" else ""),
            )
        elif (
            line.unit == "mm"
            and line.key != "carried-sag"  # how it is lifted is no fault of the board
            and line.measured > max(FAR_OVER * line.limit, FAR_MM)
        ):
            self.notes.fault(
                "BW-STR-011",
                f"{says}more than {FAR_OVER:g} times the {line.limit:g} wanted, {line.where}: "
                "nothing holds it there.",
                where,
                mend,
            )
        else:
            spring = ". It springs back." if line.key.endswith(("hand", "carried-sag")) else "."
            self.notes.caution(
                CAUTIONS[line.key], f"{says}wanted at most {line.limit:g}, {line.where}{spring}", where, mend
            )
