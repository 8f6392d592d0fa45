"""What is needed of a finished pack's data file (docs/pack-json.md): parts, hardware, areas, settings."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Literal

import msgspec

from boardwright.plan.model import Ring
from boardwright_timber.model import Board, BoardHardware, BoardParts, HardwareLine, Part
from boardwright_timber.series import SeriesSettings

from ..costing.currencies import ONE_CURRENCY, CurrencySettings
from ..costing.settings import CostingSettings
from ..nesting.router_settings import SAWN, RouterSettings
from ..nesting.settings import CuttingSettings, StockSettings


class _Board(msgspec.Struct, frozen=True):
    id: str
    ring: Ring
    length_mm: float
    width_mm: float
    parts: tuple[Part, ...]
    hardware: tuple[HardwareLine, ...]
    wells: tuple[Ring, ...] = ()
    tools: tuple[Part, ...] = ()


class _Cost(msgspec.Struct, frozen=True):
    currency: str
    total: Decimal


class _Sheet(msgspec.Struct, frozen=True):
    times: int = 1


class _Cutting(msgspec.Struct, frozen=True):
    sheets: tuple[_Sheet, ...] = ()


class _File(msgspec.Struct, frozen=True):
    schema: Literal["boardwright-pack/1"]
    name: str
    settings: dict[str, dict[str, Any]]
    boards: tuple[_Board, ...]
    cost: _Cost
    cutting: _Cutting


class Bought(msgspec.Struct, frozen=True, kw_only=True):
    """One pack, its boards and parts named by its mark."""

    mark: str
    label: str
    name: str
    parts: dict[str, BoardParts]
    hardware: dict[str, BoardHardware]
    boards: dict[str, Board]
    copies: int
    currency: str
    alone: Decimal
    sheets: int
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
        copies=msgspec.convert(file.settings.get("series", {}), SeriesSettings).copies,
        currency=file.cost.currency,
        alone=file.cost.total,
        sheets=sum(s.times for s in file.cutting.sheets),
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
    """Enough of a board to measure its area."""
    return Board(
        id=name,
        outline="",
        level_mm=0.0,
        ring=board.ring,
        wells=board.wells,
        origin=(0.0, 0.0),
        angle_deg=0.0,
        length_mm=board.length_mm,
        width_mm=board.width_mm,
    )
