"""Wires of the joined boards: a bus that loses too much, from PM1 on B01 to F1 on B02 across J01."""

from __future__ import annotations

from boardwright_timber.model import (
    HoleLoad,
    JointPlug,
    Pin,
    WireKind,
    WireLeg,
    WireRun,
    WireSchedule,
    WireTotal,
)


def wires() -> WireSchedule:
    return WireSchedule(
        runs=(
            WireRun(
                id="W01",
                label="P01 <main>",
                kind=WireKind.POWER,
                district="main",
                source="PM1",
                devices=("F1",),
                cores=2,
                colours=("red", "black"),
                size="0.75 mm²",
                area_mm2=0.75,
                current_a=3.0,
                drop_v=0.75,
                limit_v=0.6,
                far="F1",
                metres=1.2,
                legs=(
                    WireLeg(
                        board="B01",
                        start="PM1",
                        end="plug J01",
                        route_mm=400.0,
                        length_mm=720.0,
                        points=((400.0, 250.0), (800.0, 250.0)),
                        holes=(("joist-1", 241.0),),
                    ),
                    WireLeg(
                        board="B02", start="plug J01", end="F1", route_mm=171.0, length_mm=480.0, points=()
                    ),
                ),
            ),
        ),
        plugs=(
            JointPlug(
                id="J01-1",
                joint="J01",
                boards=("B01", "B02"),
                ways=15,
                pins=(
                    Pin(number=1, run="W01", core=1, colour="red"),
                    Pin(number=2, run="W01", core=1, colour="red"),
                    Pin(number=3, run="W01", core=2, colour="black"),
                ),
            ),
        ),
        holes=(
            HoleLoad(
                board="B01",
                member="joist-1",
                along_mm=241.0,
                joint=None,
                diameter_mm=30.0,
                cores=2,
                fill=0.0162,
                limit=0.31,
                runs=("W01",),
            ),
        ),
        totals=(
            WireTotal(size="0.75 mm²", colour="black", metres=1.2, longest_mm=720.0),
            WireTotal(size="0.75 mm²", colour="red", metres=1.2, longest_mm=720.0),
        ),
        said="Mains is never routed here.",
    )
