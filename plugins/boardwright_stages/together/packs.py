"""What is needed of a finished pack's data file (docs/pack-json.md): parts, hardware, areas, settings."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Literal

import msgspec

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import (
    Board,
    BoardHardware,
    BoardParts,
    EndRoom,
    HardwareLine,
    Joint,
    JointPlug,
    Part,
    RailStrip,
)
from boardwright_timber.series import SeriesSettings

from ..costing.currencies import ONE_CURRENCY, CurrencySettings
from ..costing.settings import CostingSettings
from ..joints.settings import JointSettings
from ..nesting.router_settings import SAWN, RouterSettings
from ..nesting.settings import CuttingSettings, StockSettings
from ..strength.settings import SupportSettings
from ..wiring.settings import WiringSettings


class _Board(msgspec.Struct, frozen=True):
    id: str
    ring: Ring
    length_mm: float
    width_mm: float
    parts: tuple[Part, ...]
    hardware: tuple[HardwareLine, ...]
    wells: tuple[Ring, ...] = ()
    tools: tuple[Part, ...] = ()
    origin: Point = (0.0, 0.0)
    angle_deg: float = 0.0
    level_mm: float = 0.0
    ends: tuple[Joint, ...] = ()
    rails: tuple[RailStrip, ...] = ()


class _Cost(msgspec.Struct, frozen=True):
    currency: str
    total: Decimal


class _Sheet(msgspec.Struct, frozen=True):
    times: int = 1


class _Cutting(msgspec.Struct, frozen=True):
    sheets: tuple[_Sheet, ...] = ()
    spare: tuple[str, ...] = ()


class _Wires(msgspec.Struct, frozen=True):
    plugs: tuple[JointPlug, ...] = ()


class _File(msgspec.Struct, frozen=True):
    schema: Literal["boardwright-pack/1"]
    name: str
    settings: dict[str, dict[str, Any]]
    boards: tuple[_Board, ...]
    cost: _Cost
    cutting: _Cutting
    wires: _Wires = _Wires()
    end_room: EndRoom = EndRoom()


class Bought(msgspec.Struct, frozen=True, kw_only=True):
    """One pack, its boards and parts named by its mark."""

    mark: str
    label: str
    name: str
    parts: dict[str, BoardParts]
    hardware: dict[str, BoardHardware]
    boards: dict[str, Board]
    rails: dict[str, tuple[RailStrip, ...]]
    plugs: tuple[JointPlug, ...]
    copies: int
    currency: str
    alone: Decimal
    sheets: int
    spare: tuple[str, ...]
    floor_mm: float
    room: EndRoom
    joints: JointSettings
    wiring: WiringSettings
    stock: StockSettings
    cutting: CuttingSettings
    costing: CostingSettings
    router: RouterSettings = SAWN
    currencies: CurrencySettings = ONE_CURRENCY


def read_pack(mark: str, label: str, data: bytes) -> Bought:
    """A pack as it is bought. Raises ``msgspec.ValidationError`` for a file that is no pack of ours."""
    file = msgspec.json.decode(data, type=_File)
    names = {b.id: f"{mark}-{b.id}" for b in file.boards}
    return Bought(
        mark=mark,
        label=label,
        name=file.name,
        parts={names[b.id]: _parts(b, names[b.id], mark) for b in file.boards},
        hardware={names[b.id]: BoardHardware(board=names[b.id], lines=b.hardware) for b in file.boards},
        boards={names[b.id]: _board(b, names[b.id]) for b in file.boards},
        rails={names[b.id]: b.rails for b in file.boards},
        plugs=tuple(p for p in file.wires.plugs if p.half),
        copies=msgspec.convert(file.settings.get("series", {}), SeriesSettings).copies,
        currency=file.cost.currency,
        alone=file.cost.total,
        sheets=sum(s.times for s in file.cutting.sheets),
        spare=tuple(f"{mark}-{part}" for part in file.cutting.spare),
        room=file.end_room,
        joints=msgspec.convert(file.settings.get("joints", {}), JointSettings),
        wiring=msgspec.convert(file.settings.get("wiring", {}), WiringSettings),
        floor_mm=msgspec.convert(file.settings.get("supports", {}), SupportSettings).floor_below_mm,
        stock=msgspec.convert(file.settings.get("stock", {}), StockSettings),
        cutting=msgspec.convert(file.settings.get("cutting", {}), CuttingSettings),
        costing=msgspec.convert(file.settings.get("costing", {}), CostingSettings),
        router=msgspec.convert(file.settings.get("router", {}), RouterSettings),
        currencies=msgspec.convert(file.settings.get("currencies", {}), CurrencySettings),
    )


def _parts(board: _Board, name: str, mark: str) -> BoardParts:
    def marked(part: Part) -> Part:
        return msgspec.structs.replace(part, id=f"{mark}-{part.id}", board=name, label=f"{mark}-{part.label}")

    return BoardParts(
        board=name,
        parts=tuple(map(marked, board.parts)),
        tools=tuple(map(marked, board.tools)),
        mass_kg=round(sum(p.mass_kg for p in board.parts), 6),
    )


def _board(board: _Board, name: str) -> Board:
    """Enough of a board to measure its area, and to put its parts and ends in their places."""
    return Board(
        id=name,
        outline="",
        level_mm=board.level_mm,
        ring=board.ring,
        wells=board.wells,
        origin=board.origin,
        angle_deg=board.angle_deg,
        ends=board.ends,
        length_mm=board.length_mm,
        width_mm=board.width_mm,
    )
