"""Measure joints and wiring on frames that are made: python tests/benchmarks/wiring.py

A shelf of 12 boards with 150 devices. Nothing here is asserted: machines differ. A line gives the seconds
of processor time for fixings, wire holes and the wire schedule, the least of three tries, libraries loaded.
``docs/benchmarks-wiring.md`` keeps what was measured; ``--write`` writes it anew.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from boardwright import Notes
from boardwright.plan.kinds import KINDS
from boardwright.plan.model import Device, DrawnJoint, Outline, Track, TrackPlan
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.stages import board_plan, boards, split
from boardwright_stages.wiring.demand import wire_demand
from boardwright_stages.wiring.network_settings import WireSettings
from boardwright_stages.wiring.schedule import wire_schedule
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_stages.wiring.stages import wiring
from boardwright_timber.model import WireSchedule

PAGE = Path(__file__).parents[2] / "docs" / "benchmarks-wiring.md"
BOARD_MM, WIDTH_MM = 1200.0, 600.0
#: What stands on a board, and where along and across it.
ON_A_BOARD = (
    *(("feed", x, y) for x, y in ((150, 200), (300, 260), (450, 200), (850, 260), (1000, 200))),
    *(("point_motor", x, 330) for x in (260, 560, 900)),
    *(("servo", x, 120) for x in (420, 760)),
    *(("signal_base", x, 450) for x in (320, 1020)),
)
BESIDES = (
    ("power_supply", 5, 600, 520),
    *(("panel", n, 680, 500) for n in range(1, 49, 4)),
    *(("lamp", n, 700, 540) for n in (0, 4)),
)


def shelf(count: int) -> TrackPlan:
    """So many boards, joints drawn, twelve devices on each, and six more."""
    places = [(kind, n * BOARD_MM + x, float(y)) for n in range(count) for kind, x, y in ON_A_BOARD]
    places += [(kind, n * BOARD_MM + x, float(y)) for kind, n, x, y in BESIDES if n < count]
    devices = []
    for k, (kind, x, y) in enumerate(places):
        row = KINDS[kind]
        devices.append(
            Device(
                id=f"D{k:03d}",
                kind=kind,
                x_mm=x,
                y_mm=y,
                length_mm=row.length_mm,
                width_mm=row.width_mm,
                depth_mm=row.depth_mm,
                clearance_mm=10.0,
                conductors=row.conductors,
                current_ma=row.current_ma,
            )
        )
    long = count * BOARD_MM
    return TrackPlan(
        name="measured",
        drawing_file="",
        scale_ratio=76.2,
        outlines=(Outline(id="A", ring=((0.0, 0.0), (long, 0.0), (long, WIDTH_MM), (0.0, WIDTH_MM))),),
        tracks=(Track(id="T1", points=((0.0, 200.0), (long, 200.0))),),
        devices=tuple(devices),
        drawn_joints=tuple(
            DrawnJoint(id=f"J{n}", start=(n * BOARD_MM, 0.0), end=(n * BOARD_MM, WIDTH_MM))
            for n in range(1, count)
        ),
    )


def measure(count: int, tries: int = 3) -> tuple[dict[str, float], WireSchedule, int]:
    """Seconds by stage, the schedule, and how many devices there are."""
    plan, notes = shelf(count), Notes()
    every = boards(split(plan, SplittingSettings(max_length_mm=1300, max_width_mm=750), notes))
    plans = {b: board_plan(board, plan) for b, board in every.items()}
    frames = {b: frame(board, FramingSettings(), notes) for b, board in every.items()}
    laid = {
        b: joists(board, plans[b], frames[b], FramingSettings(), JoistSettings(), notes)
        for b, board in every.items()
    }
    best: dict[str, float] = {}
    for _ in range(tries):
        start = time.process_time()
        args = {
            b: (
                board,
                {o: every[o] for o in board.neighbours},
                plans[b],
                {o: plans[o] for o in board.neighbours},
                frames[b],
                {o: frames[o] for o in board.neighbours},
                laid[b],
                {o: laid[o] for o in board.neighbours},
            )
            for b, board in every.items()
        }
        bolted = {b: fixings(*args[b], JointSettings(), notes) for b in every}
        bolts = time.process_time()
        demands = wire_demand(every, plans, WireSettings())
        drilled = {b: wiring(*args[b], bolted[b], WiringSettings(), notes, demands[b]) for b in every}
        holes = time.process_time()
        made = wire_schedule(every, plans, frames, laid, drilled, WireSettings(), notes)
        end = time.process_time()
        taken = {"joints": bolts - start, "wire holes": holes - bolts, "wire schedule": end - holes}
        taken["together"] = end - start
        best = {k: min(v, best.get(k, v)) for k, v in taken.items()}
    return best, made, len(plan.devices)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--write", action="store_true", help="write docs/benchmarks-wiring.md")
    chosen = options.parse_args()
    rows = []
    for count in (12, 24, 48):
        best, made, devices = measure(count)
        said = " | ".join(f"{best[k]:.2f}" for k in ("joints", "wire holes", "wire schedule", "together"))
        rows.append(f"| {count} | {devices} | {len(made.runs)} | {said} |")
    lines = [
        "# Benchmarks: joints and wiring",
        "",
        "Made by `python tests/benchmarks/wiring.py --write`: seconds of processor time of one process",
        "for the stages `fixings`, `wire_demand` with `wiring`, and `wire_schedule` when frames and joists",
        "are there, the least of three tries. No promise: machines differ.",
        "",
        "| boards | devices | buses and runs | joints s | wire holes s | wire schedule s | together s |",
        "|---|---|---|---|---|---|---|",
        *rows,
        "",
    ]
    print("\n".join(lines))
    if chosen.write:
        PAGE.write_text("\n".join(lines))


if __name__ == "__main__":
    main()
