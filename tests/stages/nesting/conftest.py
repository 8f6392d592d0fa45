"""A saw that knows only the cut list: it replays the cuts on a bare sheet and keeps the pieces."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from boardwright_timber.model import (
    BoardParts,
    Cut,
    CutSheet,
    CuttingPlan,
    Grain,
    Part,
    Placement,
)

EXACT_MM = 1e-5
type Box = list[float]  # left, bottom, right, top


def _part(
    id_: str, length: float, width: float, grain: Grain = Grain.LENGTH, thickness: float = 12.0
) -> Part:
    return Part(
        id=id_,
        board="A",
        role="joist",
        label=id_,
        material="birch ply",
        thickness_mm=thickness,
        length_mm=length,
        width_mm=width,
        grain=grain,
        ring=((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)),
        area_mm2=length * width,
        mass_kg=0.0,
        placement=Placement(x_mm=0.0, y_mm=0.0, z_mm=0.0, angle_deg=0.0, stands=False),
    )


@pytest.fixture
def part() -> Callable[..., Part]:
    return _part


@pytest.fixture
def one_board() -> Callable[..., dict[str, BoardParts]]:
    return lambda parts: {"A": BoardParts(board="A", parts=tuple(parts))}


def _saw(sheet: CutSheet) -> dict[str, Box]:
    """Pieces by name when all cuts are done. Asserts that every cut runs right across the piece in hand."""
    pieces: dict[str, Box] = {"sheet": [0.0, 0.0, sheet.length_mm, sheet.width_mm]}
    freed: dict[str, int] = {}
    assert [c.step for c in sheet.cuts] == list(range(1, len(sheet.cuts) + 1))
    for cut in sheet.cuts:
        if cut.piece not in pieces:
            _what_is_left_gets_its_name(cut.piece, pieces, freed)
        box = pieces[cut.piece]
        across, along = (1, 0) if cut.along == "length" else (0, 1)
        assert cut.from_mm == pytest.approx(box[along], abs=EXACT_MM)
        assert cut.to_mm == pytest.approx(box[along + 2], abs=EXACT_MM)
        assert cut.from_edge in (("bottom", "top") if across == 1 else ("left", "right"))
        low, high = list(box), list(box)
        low[across + 2] = cut.at_mm
        high[across] = cut.at_mm + sheet.kerf_mm
        if cut.says.startswith("Trim"):
            kept = low if cut.from_edge in ("left", "bottom") else high
            pieces[cut.piece] = kept
        else:
            assert cut.from_edge in ("left", "bottom")
            assert box[across] < cut.at_mm < box[across + 2]
            kept = low
            number = freed[cut.piece] = freed.get(cut.piece, 0) + 1
            pieces[_child(cut.piece, number)] = low
            pieces[cut.piece] = high
        assert kept[across + 2] - kept[across] == pytest.approx(cut.setting_mm, abs=EXACT_MM)
    return pieces


def _child(piece: str, number: int) -> str:
    return str(number) if piece == "sheet" else f"{piece}.{number}"


def _what_is_left_gets_its_name(name: str, pieces: dict[str, Box], freed: dict[str, int]) -> None:
    parent, _, number = name.rpartition(".")
    parent = parent or "sheet"
    assert int(number) == freed[parent] + 1, f"{name} was never freed"
    pieces[name] = pieces.pop(parent)


@pytest.fixture
def saw() -> Callable[[CutSheet], dict[str, Box]]:
    return _saw


@pytest.fixture
def sawn_right() -> Callable[[CuttingPlan, list[Part], bool], None]:
    """Asserts everything a cutting plan promises."""
    return _sawn_right


def _sawn_right(plan: CuttingPlan, parts: list[Part], grain: bool) -> None:
    by_id = {p.id: p for p in parts}
    got = [p.part for s in plan.sheets for p in s.parts] + [u.part for u in plan.unplaced]
    assert sorted(got) == sorted(by_id), "every part exactly once"
    for sheet in plan.sheets:
        boxes = list(_saw(sheet).values())
        for placed in sheet.parts:
            part = by_id[placed.part]
            own = (part.length_mm, part.width_mm)
            assert (placed.length_mm, placed.width_mm) == (own[::-1] if placed.turned else own)
            if grain:
                assert part.grain is Grain.FREE or placed.turned == (part.grain is Grain.WIDTH)
            for low, size, whole in (
                (placed.x_mm, placed.length_mm, sheet.length_mm),
                (placed.y_mm, placed.width_mm, sheet.width_mm),
            ):
                assert low >= sheet.trim_mm - EXACT_MM
                assert low + size <= whole - sheet.trim_mm + EXACT_MM
            mine = [
                b for b in boxes if _is_blank(b, placed.x_mm, placed.y_mm, placed.length_mm, placed.width_mm)
            ]
            assert len(mine) == 1, f"the cuts do not give {placed.part}"
            boxes.remove(mine[0])
        _apart(sheet)


def _is_blank(box: Box, x: float, y: float, length: float, width: float) -> bool:
    """A piece with this corner, as large as the part and at most 0.2 mm larger (settings in whole tenths)."""
    return (
        abs(box[0] - x) < EXACT_MM
        and abs(box[1] - y) < EXACT_MM
        and -EXACT_MM <= box[2] - box[0] - length <= 0.2 + EXACT_MM
        and -EXACT_MM <= box[3] - box[1] - width <= 0.2 + EXACT_MM
    )


def _apart(sheet: CutSheet) -> None:
    for n, a in enumerate(sheet.parts):
        for b in sheet.parts[:n]:
            gap_x = max(a.x_mm - b.x_mm - b.length_mm, b.x_mm - a.x_mm - a.length_mm)
            gap_y = max(a.y_mm - b.y_mm - b.width_mm, b.y_mm - a.y_mm - a.width_mm)
            assert max(gap_x, gap_y) >= sheet.kerf_mm - EXACT_MM, (
                f"{a.part} and {b.part} nearer than the kerf"
            )


@pytest.fixture
def cut_of() -> Callable[[CutSheet, str], list[Cut]]:
    return lambda sheet, along: [c for c in sheet.cuts if c.along == along and not c.says.startswith("Trim")]
