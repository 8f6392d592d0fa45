"""The ``pack.json`` output: gathers nouns into a ``Pack`` and writes it, the same bytes for the same nouns.

Layout of the file: one field a line, but a run of plain numbers (a point, an angle pair) stays on one line,
so that a ring reads as a column of points and a line-by-line comparison of two packs shows what moved.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

import msgspec
from msgspec import UNSET
from msgspec.structs import replace

from boardwright import All, Files, FindingList, Provenance, output
from boardwright.display import IN_MM, DisplaySettings
from boardwright.plan.model import TrackPlan
from boardwright_timber.model import (
    Board,
    BoardEdging,
    BoardFastening,
    BoardFixings,
    BoardHardware,
    BoardParts,
    BoardStand,
    BoardStrength,
    BoardWiring,
    Cost,
    CuttingPlan,
    EdgeStrip,
    EndRoom,
    FasteningLine,
    Fixing,
    Frame,
    Joists,
    LayoutMovement,
    LayoutSpace,
    RailStrip,
    Splitting,
    Standing,
    WallAnchor,
    WireSchedule,
)
from boardwright_timber.model.checks import CheckReport

from .model import Pack, PackBoard, PackFrame, PackStrength, Plan, Shown, Units


@output()
def manifest(
    plan: TrackPlan,
    splitting: Splitting,
    boards: All[Board],
    frames: All[Frame],
    joists: All[Joists],
    fixings: All[BoardFixings],
    wiring: All[BoardWiring],
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
    standing: Standing = Standing(),
    show: DisplaySettings = IN_MM,
    fastening: All[BoardFastening] = MappingProxyType({}),
    stands: All[BoardStand] = MappingProxyType({}),
    end_room: EndRoom = EndRoom(),
    edging: All[BoardEdging] = MappingProxyType({}),
) -> Files:
    """Everything the pack says, as data: ``pack.json``."""
    margins = {b.id: b.margins for b in splitting.boards}
    pack = Pack(
        name=plan.name,
        units=Units(money=cost.currency),
        sources=provenance.sources,
        versions=provenance.versions,
        settings=provenance.settings,
        rules=provenance.rules,
        plan=_plan(plan),
        boards=tuple(
            _board(
                replace(board, margins=margins[b]),
                frames[b],
                joists[b],
                wiring[b],
                parts[b],
                strengths.get(b),
                hardware[b],
                fixings[b].anchors,
                fastening[b].lines if b in fastening else (),
                stands.get(b),
                fixings[b].rails,
                edging[b].strips if b in edging else (),
            )
            for b, board in boards.items()
        ),
        joints=splitting.joints,
        splitting=splitting.costs,
        fixings=_fixings(fixings),
        cutting=cutting,
        cost=cost,
        wires=wires,
        checks=checks,
        findings=findings.findings,
        space=space.boards,
        movement=movement.boards,
        standing=standing.groups,
        shown=Shown(units=show.units, inch_fraction=show.inch_fraction, decimal_sign=show.decimal_sign),
        end_room=end_room,
    )
    return Files(files={"pack.json": written(pack)})


def written(pack: Pack) -> bytes:
    """A pack as the bytes of its file: UTF-8, dictionary keys sorted, ends with a line feed."""
    text = msgspec.json.format(msgspec.json.encode(pack, order="deterministic"), indent=1).decode()
    return _NUMBERS.sub(_one_line, text).encode() + b"\n"


_NUMBER = r"-?\d[\d.eE+-]*"
# An unescaped line break cannot be part of a JSON text value, so this never reaches into one.
_NUMBERS = re.compile(rf"\[\n\s*({_NUMBER}(?:,\n\s*{_NUMBER})*)\n\s*\]")


def _one_line(found: re.Match[str]) -> str:
    return f"[{', '.join(n.strip() for n in found[1].split(','))}]"


def _plan(plan: TrackPlan) -> Plan:
    return Plan(
        drawing_file=plan.drawing_file,
        scale_ratio=plan.scale_ratio,
        outlines=plan.outlines,
        tracks=plan.tracks,
        turnouts=plan.turnouts,
        devices=plan.devices,
        drawn_joints=plan.drawn_joints,
        obstacles=plan.obstacles,
        lift_outs=plan.lift_outs,
    )


def _board(
    board: Board,
    frame: Frame,
    joists: Joists,
    wiring: BoardWiring,
    parts: BoardParts,
    strength: BoardStrength | None,
    hardware: BoardHardware,
    anchors: tuple[WallAnchor, ...],
    fastening: tuple[FasteningLine, ...],
    stand: BoardStand | None,
    rails: tuple[RailStrip, ...],
    edging: tuple[EdgeStrip, ...],
) -> PackBoard:
    own = _fields_of(board, PackBoard)
    own["joints"] = tuple(j.id for j in board.joints)
    own["stays_whole"] = board.stays_whole or UNSET
    return PackBoard(
        **own,
        mass_kg=parts.mass_kg,
        frame=PackFrame(
            style=frame.style,
            outer=frame.outer,
            inner=frame.inner,
            wells=frame.wells,
            inner_wells=frame.inner_wells,
            diagonals=frame.diagonals,
            members=frame.members + joists.members,
            bed=frame.bed,
            deck=frame.deck,
            complete=frame.complete,
            joist_spacing_mm=joists.spacing_mm,
            joist_spacing_limit_mm=joists.limit_mm,
            joist_reasons=joists.why,
            bent=frame.bent,
            joined=joists.joined,
        ),
        wire_holes=wiring.holes,
        unreached_devices=wiring.unreached,
        parts=parts.parts,
        tools=parts.tools,
        anchors=anchors,
        hardware=hardware.lines,
        fastening=fastening,
        legs=stand.legs if stand else (),
        leg_rails=stand.rails if stand else (),
        rails=rails,
        edging=edging or UNSET,
        strength=None if strength is None else PackStrength(**_fields_of(strength, PackStrength)),
    )


def _fields_of(noun: msgspec.Struct, target: type[msgspec.Struct]) -> dict[str, Any]:
    """The fields a noun shares with its record in the pack, by name."""
    shared = set(noun.__struct_fields__) & set(target.__struct_fields__)
    return {name: getattr(noun, name) for name in noun.__struct_fields__ if name in shared}


def _fixings(by_board: Mapping[str, BoardFixings]) -> tuple[Fixing, ...]:
    """Each fixing once, by id. Should two boards ever disagree about one, both records are kept to be
    seen."""
    seen = {fixing: None for board in by_board.values() for fixing in board.fixings}
    return tuple(sorted(seen, key=lambda f: f.id))


OUTPUTS: tuple[Callable[..., Files], ...] = (manifest,)
