"""Cut sheets: parts on stock, with the cuts that free them."""

from __future__ import annotations

import math
from typing import Literal

import msgspec

from boardwright.plan.model import Point

from .routing import Routing


class PlacedPart(msgspec.Struct, frozen=True, kw_only=True):
    """A part's blank on a sheet: lower left corner and size as it lies; ``turned`` by 90°, anticlockwise;
    ``half_turn``: by 180° besides. ``rolled``: turned over about its length, its drawn face below (bars).
    ``shares``: the blank it shares with another part (left, bottom, length, width); None: its own."""

    part: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    turned: bool = False
    half_turn: bool = False
    rolled: bool = False
    shares: tuple[float, float, float, float] | None = None


class Cut(msgspec.Struct, frozen=True, kw_only=True):
    """One straight saw cut, edge to edge of the piece it divides.

    ``step`` counts from 1 in sawing order. ``along`` says which way the saw runs: along the sheet's length
    or its width. The waste of the kerf lies between ``at_mm`` and ``at_mm + kerf_mm`` (measured across
    the cut, from the sheet's datum corner); ``from_mm`` to ``to_mm`` is the saw's path. ``setting_mm`` is
    the fence setting: the width kept, measured from ``from_edge`` of the piece in hand.

    A ``slant`` of a bar's cut: ``bevel``, the blade tilted, or ``mitre``, the saw turned. ``at_mm`` is then
    where it meets the upper face, or the lower edge; it lies ``lean_mm`` further along at the lower face, or
    the upper edge, and takes more than ``kerf_mm`` along the bar. ``setting_mm`` is then from long point to
    long point.
    """

    step: int
    piece: str
    along: Literal["length", "width"]
    at_mm: float
    from_mm: float
    to_mm: float
    setting_mm: float
    from_edge: Literal["left", "right", "bottom", "top"]
    says: str
    slant: Literal["", "bevel", "mitre"] = ""
    lean_mm: float = 0.0


class CutPiece(msgspec.Struct, frozen=True, kw_only=True):
    """A rectangle of the sheet and what it is divided into: the sheet's usable area, strips, lengths.

    ``pieces`` lie side by side along the sheet's length or one above the other, a kerf apart. ``part`` is the
    part whose blank it is; a piece with neither is an offcut. ``name`` is the one the cuts use. On a bar,
    pieces that share a slanted cut reach into each other: lengths are from long point to long point.
    ``shared``: the parts whose common blank it is, ``part`` the first of them; empty: it is of one part.
    """

    name: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    part: str = ""
    pieces: tuple[CutPiece, ...] = ()
    shared: tuple[str, ...] = ()


class Offcut(msgspec.Struct, frozen=True, kw_only=True):
    """What is left of a sheet and worth keeping; ``piece`` is its name in the cuts. ``shape``: its corners
    from its lower left; empty: it is a rectangle."""

    piece: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    shape: tuple[Point, ...] = ()


class Contour(msgspec.Struct, frozen=True, kw_only=True):
    """A step after the saw cuts, on one part: what no straight cut from edge to edge can do."""

    step: int
    part: str
    kind: Literal["opening", "curve", "line", "bevel"]
    says: str


class CutSheet(msgspec.Struct, frozen=True, kw_only=True):
    """One sheet: length along x, width along y, datum at the lower left corner. ``tree`` says what is
    divided into what; ``alike`` names an earlier sheet with the same cuts: lay both on the saw together.
    ``times``: so many sheets are cut like this, with the same parts on them.
    ``offcuts``: what is left of each and worth keeping. ``contours``: what is sawn by hand after the cuts.
    ``bar``: planed timber; only its ends are trimmed. ``routing``: cut by a router, true shapes side by side;
    there are no saw cuts then, ``kerf_mm`` is the tool and ``trim_mm`` the margin for clamps. ``squared``:
    the offcut in stock is no rectangle and is sawn square first; the sheet's lower left corner lies there on
    it. ``outline`` and ``keep_out``: of an offcut that is not whole, in sheet axes."""

    id: str
    stock: str
    material: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    kerf_mm: float
    trim_mm: float
    parts: tuple[PlacedPart, ...] = ()
    cuts: tuple[Cut, ...] = ()
    used_fraction: float = 0.0
    tree: CutPiece | None = None
    alike: str = ""
    times: int = 1
    offcuts: tuple[Offcut, ...] = ()
    contours: tuple[Contour, ...] = ()
    bar: bool = False
    routing: Routing | None = None
    squared: Point | None = None
    outline: tuple[Point, ...] = ()
    keep_out: tuple[tuple[Point, ...], ...] = ()

    def kerf_along_mm(self, cut: Cut) -> float:
        """What the blade takes along the bar or across the cut: more where it cuts aslant."""
        across = self.thickness_mm if cut.slant == "bevel" else self.width_mm
        return self.kerf_mm * math.hypot(1.0, cut.lean_mm / across)

    @property
    def called(self) -> str:
        """What it is, for a title."""
        return "Bar" if self.bar else "Sheet"


class Unplaced(msgspec.Struct, frozen=True, kw_only=True):
    """A part no stock can give, and why."""

    part: str
    why: str


class Repeat(msgspec.Struct, frozen=True, kw_only=True):
    """Parts just alike, ``number`` of them over all copies, spare ones with them: saw them in a stack,
    drill them in one set-up."""

    number: int
    material: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    holes: int
    parts: tuple[str, ...]
    boards: tuple[str, ...]


class CuttingPlan(msgspec.Struct, frozen=True, kw_only=True):
    """All cut sheets. ``lower_bounds`` gives (material, thickness, fewest sheets possible).

    ``copies``: so many of every part are cut, one for each copy of the layout. ``made``: parts that are there
    already and are not cut. ``spare``: parts cut once more for each time they are named.
    """

    sheets: tuple[CutSheet, ...] = ()
    unplaced: tuple[Unplaced, ...] = ()
    lower_bounds: tuple[tuple[str, float, int], ...] = ()
    copies: int = 1
    repeats: tuple[Repeat, ...] = ()
    made: tuple[str, ...] = ()
    spare: tuple[str, ...] = ()

    @property
    def bar_count(self) -> int:
        """Bars among what is sawn up."""
        return sum(s.times for s in self.sheets if s.bar)

    @property
    def sheet_count(self) -> int:
        """Sheets of stock that are sawn up."""
        return sum(s.times for s in self.sheets)
