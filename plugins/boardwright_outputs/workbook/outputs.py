"""The ``workbook.xlsx`` output."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType

from boardwright import NO_MEMO, All, Files, FindingList, Memo, Provenance, output
from boardwright.display import IN_MM, DisplaySettings
from boardwright.plan.model import TrackPlan
from boardwright_timber.model import (
    Board,
    BoardFastening,
    BoardFixings,
    BoardHardware,
    BoardParts,
    BoardPlan,
    BoardStand,
    BoardStrength,
    Cost,
    CuttingPlan,
    Frame,
    Joists,
    LayoutMovement,
    LayoutSpace,
    Splitting,
    WireSchedule,
)
from boardwright_timber.model.checks import CheckReport


@output()
def workbook(
    plan: TrackPlan,
    splitting: Splitting,
    boards: All[Board],
    plans: All[BoardPlan],
    joists: All[Joists],
    fixings: All[BoardFixings],
    parts: All[BoardParts],
    strengths: All[BoardStrength],
    cutting: CuttingPlan,
    hardware: All[BoardHardware],
    cost: Cost,
    wires: WireSchedule,
    checks: CheckReport,
    findings: FindingList,
    provenance: Provenance,
    space: LayoutSpace = LayoutSpace(),
    movement: LayoutMovement = LayoutMovement(),
    fastening: All[BoardFastening] = MappingProxyType({}),
    stands: All[BoardStand] = MappingProxyType({}),
    frames: All[Frame] = MappingProxyType({}),
    show: DisplaySettings = IN_MM,
    memo: Memo = NO_MEMO,
) -> Files:
    """Lists for the workshop and the merchant's counter, with a live bill: ``workbook.xlsx``."""
    from . import buying, climbing, devices, found, shares, strength, tables, walls
    from . import cutting as sawn
    from . import wires as wiring
    from .build import built
    from .displayed import displayed
    from .exchange import exchange
    from .fastening import fastening as screwed
    from .layout import seen_from_above
    from .summary import front

    sheets = (
        tables.boards(boards, joists, parts, splitting, seen_from_above(plan, boards.values())),
        tables.joints(splitting, fixings),
        tables.reasons(splitting),
        *([walls.anchors(fixings)] if any(f.anchors for f in fixings.values()) else []),
        devices.devices(plan, boards, plans),
        tables.parts(parts, cutting),
        sawn.stock(cutting, parts),
        sawn.cuts(cutting),
        *([sawn.routing(cutting)] if any(s.routing for s in cutting.sheets) else []),
        sawn.shaping(cutting),
        sawn.repeats(cutting),
        *([climbing.risers(boards, frames, joists, parts)] if climbing.climb(frames) else []),
        tables.drilling(parts),
        wiring.wires(wires),
        wiring.plugs(wires),
        screwed(fastening),
        buying.hardware(hardware, cutting.copies),
        buying.hardware_by_board(hardware),
        buying.cost(cost),
        *exchange(cost),
        shares.shares(cost),
        shares.shares_by_line(cost),
        shares.choices(cost),
        shares.work(cost),
        strength.strength(strengths),
        strength.legs(stands),
        strength.space(space),
        strength.movement(movement),
        found.checks(checks),
        found.findings(findings),
        found.sources(),
    )
    summary = front(plan, splitting, boards, parts, cutting, cost, findings, provenance, sheets, show)
    return Files(files={"workbook.xlsx": built(summary, displayed(sheets, show), show, memo)})


OUTPUTS: tuple[Callable[..., Files], ...] = (workbook,)
