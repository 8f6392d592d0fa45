"""Built-in stages, in the order a builder would do the work."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from boardwright import Notes, hookimpl
from boardwright.made import MadeList
from boardwright.many.model import Series
from boardwright.plan.source import SourceFile


@hookimpl
def boardwright_stages() -> list[Callable[..., Any]]:
    from .assembly.stages import steps
    from .checks.stages import checks
    from .costing.stages import cost
    from .edging.stages import edge_runs, edging
    from .fastening.stages import fastening
    from .figures.stages import figures
    from .hardware.legs import stand
    from .hardware.stages import hardware
    from .hardware.wiring import wire_hardware
    from .joints.ends import end_pattern, end_room
    from .joints.stages import fixings
    from .joists.stages import joists
    from .made.stages import held_joints, made_parts
    from .movement.stages import movement
    from .nesting.stages import cutting
    from .parts.stages import parts
    from .sizing.stages import frame_size, sizing
    from .space.stages import space
    from .splitting.stages import board_plan, boards, split
    from .strength.keep_off import keep_off
    from .strength.levels import board_supports
    from .strength.posts import board_posts, posts
    from .strength.stages import standing, strength
    from .viewing.stages import views
    from .wiring.demand import wire_demand
    from .wiring.schedule import wire_schedule
    from .wiring.stages import wiring

    return [
        held_joints,
        split,
        boards,
        board_plan,
        board_supports,
        frame_size,
        joists,
        end_pattern,
        end_room,
        fixings,
        wire_demand,
        wiring,
        wire_schedule,
        keep_off,
        edge_runs,
        edging,
        parts,
        posts,
        board_posts,
        strength,
        standing,
        space,
        movement,
        views,
        steps,
        sizing,
        checks,
        made_parts,
        cutting,
        stand,
        wire_hardware,
        hardware,
        fastening,
        cost,
        figures,
    ]


@hookimpl
def boardwright_styles() -> list[Callable[..., Any]]:
    from .framing.girder import l_girder
    from .framing.girder_open import l_girder_open
    from .framing.open_top import open_top
    from .framing.stages import frame

    return [frame, l_girder, l_girder_open, open_top]


@hookimpl
def boardwright_scaffold(name: str, module: str, version: str) -> dict[str, bytes]:
    from .scaffold import scaffold

    return scaffold(name, module, version)


@hookimpl
def boardwright_changes(before: bytes, after: bytes) -> Any:
    from .changes.compare import compare

    return compare(before, after)


@hookimpl
def boardwright_made(made: MadeList, pack: bytes, names: Sequence[str], undo: bool) -> Any:
    from .made.record import mark

    return mark(made, pack, names, undo)


@hookimpl
def boardwright_buy_together(packs: Mapping[str, bytes], notes: Notes, series: Series | None) -> Any:
    from .together.stages import buy_together

    return buy_together(packs, notes, series)


@hookimpl
def boardwright_nest(pieces: SourceFile, stock: SourceFile, notes: Notes) -> Any:
    from .nesting.nest import nest

    return nest(pieces, stock, notes)
