"""What the joist stage has to say about decks and strips that are larger than the stock."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from boardwright import Notes, Place
from boardwright_timber.model import Board, LongSeam, Panel, Splice

from ..parts.parting import bounds

if TYPE_CHECKING:
    from .columns import Both
    from .lengths import Lengths
    from .long_seams import Below
    from .seams import Sheet


class SeamComplaints:
    """One board's seams; places are told in plan coordinates."""

    def __init__(self, board: Board, notes: Notes) -> None:
        self._board = board
        self._notes = notes

    def about_seams(self, seams: tuple[float, ...] | None, long_mm: float, longest_mm: float) -> None:
        """A deck that needs more than one sheet: where it is parted, or that no joist stands for a seam."""
        board = self._board
        needs = f"Board {board.id}: its deck, {long_mm:.0f} mm long, needs more than one sheet "
        needs += f"(at most {longest_mm:.0f} mm from one)"
        if seams is None:
            self._notes.fault(
                "BW-JOIST-010",
                f"{needs}, and no joist goes right across where a seam could be.",
                Place(board=board.id, x_mm=board.origin[0], y_mm=board.origin[1]),
                "Move the device that stands in the way of a joist, take longer sheets in [stock], or allow "
                "less splitting.max_length_mm.",
            )
            return
        self._notes.note(
            "BW-JOIST-011",
            f"{needs}: it is parted over the joists at {listed(f'{x:.0f}' for x in seams)} mm from the "
            "board's left end.",
            [
                Place(board=board.id, x_mm=round(x, 1), y_mm=round(y, 1))
                for seam in seams
                for x, y in [board.to_plan((seam, board.width_mm / 2))]
            ],
            "Glue a batten along each side of the joist there, so that both edges bear on 20 mm or more.",
        )

    def about_both(self, found: Both | None, below: Below, sheets: Sequence[Sheet]) -> None:
        """A whole deck wider than any sheet: where it is parted, or that it cannot be."""
        from .long_seams import in_the_way, widths_of

        if found is not None:
            x0, _, x1, _ = below.deck.bounds
            if found.seams:
                self.about_seams(found.seams, x1 - x0, max(s.length_mm for s in sheets))
            self.about_long_seams(found.long_seams)
            return
        board, (x0, y0, x1, y1) = self._board, below.deck.bounds
        widest = max(widths_of(sheets))
        names = in_the_way(below, sheets)
        why = (
            f"no line {y1 - widest:.0f} to {y0 + widest:.0f} mm from its lower edge is free for plates below "
            f"a seam ({listed(names)} {'is' if len(names) == 1 else 'are'} there)"
            if names and y1 - widest < y0 + widest
            else "its frame leaves no line along the board and no joist across it for seams and plates"
        )
        self._notes.fault(
            "BW-JOIST-017",
            f"Board {board.id}: its deck, {x1 - x0:.0f} mm long and {y1 - y0:.0f} mm wide, is "
            f"{y1 - y0 - widest:.0f} mm wider than any sheet gives ({widest:.0f} mm), and it cannot be "
            f"parted: {why}.",
            Place(board=board.id, x_mm=board.origin[0], y_mm=board.origin[1]),
            f"Move {listed(names)} off one line along the board, take wider sheets in [stock], or allow less "
            "splitting.max_width_mm."
            if names
            else "Take larger sheets in [stock], or allow less splitting.max_width_mm and max_length_mm.",
        )

    def about_long_seams(self, found: Sequence[LongSeam]) -> None:
        """Seams along the board, and the plates under each."""
        if not found:
            return
        board = self._board
        lines = [
            f"{s.y_mm:.0f} mm up between {s.piece[0]:.0f} and {s.piece[2]:.0f} mm from its left end "
            f"on {len(s.plates)} plate{'s' if len(s.plates) > 1 else ''}"
            for s in found
        ]
        self._notes.note(
            "BW-JOIST-018",
            f"Board {board.id}: its deck is wider than any sheet gives: it is parted along the board as "
            f"well, {listed(lines)}, of the same wood between what carries the deck.",
            [
                Place(board=board.id, x_mm=round(x, 1), y_mm=round(y, 1))
                for s in found
                for x, y in [board.to_plan(((s.piece[0] + s.piece[2]) / 2, s.y_mm))]
            ],
            "Glue and screw the plates below their seams on the bench, their grain across the seam, before "
            "the deck goes on. Wider sheets in [stock] or a smaller splitting.max_width_mm need none.",
        )

    def about_splices(self, found: Sequence[Splice], whole: Sequence[Panel], sheets: Sequence[Sheet]) -> None:
        """A narrow deck that needs more than one sheet: where it is parted, or where it cannot be."""
        for panel in whole:
            x, y = self._board.to_plan(panel.ring[0])
            x0, y0, x1, y1 = bounds(panel)
            long, wide = max(sheets)[:2]
            self._notes.fault(
                "BW-JOIST-014",
                f"Board {self._board.id}: a piece of deck from {panel.ring[0][0]:.0f} mm on, "
                f"{x1 - x0:.0f} mm long and {y1 - y0:.0f} mm wide, needs more than one sheet ({long:.0f} by "
                f"{wide:.0f} mm), and between its risers no place is free for a seam with a plate below it.",
                Place(board=self._board.id, x_mm=round(x, 1), y_mm=round(y, 1)),
                "Take longer sheets in [stock], move a device off the middle between two joists, set "
                "open_top.riser_spacing_mm higher, or allow less splitting.max_length_mm.",
            )
        if found:
            self._notes.note(
                "BW-JOIST-013",
                f"Board {self._board.id}: its deck under the tracks needs more than one sheet: it is parted "
                f"between joists at {listed(f'{s.x_mm:.0f}' for s in found)} mm from the board's left end, "
                "each seam on a plate of the same wood.",
                [
                    Place(board=self._board.id, x_mm=round(x, 1), y_mm=round(y, 1))
                    for s in found
                    for x, y in [self._board.to_plan((s.x_mm, s.plates[0].ring[0][1]))]
                ],
                "Glue and screw each plate below its seam before the deck goes on.",
            )

    def about_lengths(self, made: Lengths, rule: str) -> None:
        """Strips that are longer than any in the stock: how they are made, or that they cannot be; ``rule``:
        the setting by which joists stand as close as they do."""
        plates = {p.id: p for p in made.plates}
        for id_ in dict.fromkeys(j.member for j in made.joined):
            mine = [j for j in made.joined if j.member == id_]
            over = [plates[j.plate] for j in mine if j.plate]
            held = (
                f"with {listed(f'{p.id}, {p.length_mm:.0f} mm long,' for p in over)} over the seam"
                if over
                else "and held by its web"
            )
            self._notes.note(
                "BW-JOIST-015",
                f"{id_} is longer than any such strip in the stock: it is butted "
                f"{listed(f'{j.at_mm:.0f}' for j in mine)} mm from its left end, {held}.",
                Place(board=self._board.id, item=id_),
                "Nothing; longer wood in stock.sheets or a smaller splitting.max_length_mm makes it of one "
                "length.",
            )
        for id_ in dict.fromkeys(s.member for s in made.skins):
            own = [s for s in made.skins if s.member == id_]
            outer, inner = (
                listed(f"{s.at_mm:.0f}" for s in own if s.outer is side) for side in (True, False)
            )
            self._notes.note(
                "BW-JOIST-019",
                f"{id_} is longer than any skin the stock gives: its outer skin is butted {outer} mm from "
                f"its left end, its inner skin {inner} mm, each over a block {own[0].block_mm:.0f} mm long.",
                Place(board=self._board.id, item=id_),
                "Nothing; longer sheets in stock.sheets or a smaller splitting.max_length_mm makes them of "
                "one length.",
            )
        for member, longest, room, least in made.whole:
            x, y = self._board.to_plan(member.outer_start)
            seams = "a seam"
            if member.sandwich:
                seams = "staggered seams in its skins, each on a block as thick as a skin or thicker"
            elif room is not None:
                seams = f"a seam with a plate {least:.0f} mm long behind it"
                seams += f" (for one of {room:.0f} mm there is)" if room else ""
            self._notes.caution(
                "BW-JOIST-016",
                f"{member.id}, {member.length_mm:.0f} mm long, is longer than any such strip in the stock "
                f"({longest:.0f} mm), and there is no room between joists, devices and joints for {seams}.",
                Place(board=self._board.id, item=member.id, x_mm=round(x, 1), y_mm=round(y, 1)),
                f"Build boards no longer than {longest:.0f} mm (splitting.max_length_mm), take longer wood "
                f"in stock.sheets, or set {rule} higher.",
            )


def listed(names: Iterable[str]) -> str:
    """a; a and b; a, b and c."""
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
