"""The bench for plugin authors: the fixture, and the example of its own documentation."""

from __future__ import annotations

import msgspec

from boardwright import Items, Notes, Section, stage
from boardwright.plan.model import Outline, TrackPlan
from boardwright.testing import Bench

pytest_plugins = ["boardwright.testing.fixtures"]


class Deep(Section, frozen=True, kw_only=True, table="deep"):
    depth_mm: float = 70.0


class Piece(msgspec.Struct, frozen=True):
    id: str
    length_mm: float


class Sides(msgspec.Struct, frozen=True):
    area_mm2: float


@stage(items=True)
def pieces(plan: TrackPlan) -> Items[Piece]:
    return {o.id: Piece(o.id, o.level_mm) for o in plan.outlines}


@stage(each=True)
def sides(piece: Piece, deep: Deep, notes: Notes) -> Sides:
    if piece.length_mm > 1000:
        notes.caution("BW-TOY-001", f"{piece.id} is long", mend="Shorten it.")
    return Sides(2 * piece.length_mm * deep.depth_mm)


def plan(**lengths_mm: float) -> TrackPlan:
    ring = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0))
    outlines = tuple(Outline(id=n, ring=ring, level_mm=mm) for n, mm in lengths_mm.items())
    return TrackPlan(name="toy", drawing_file="toy", scale_ratio=1.0, outlines=outlines)


def test_only_what_changed_runs_again(bench: Bench) -> None:
    bench.put(pieces, sides)
    bench.plan = plan(B01=900.0, B02=1100.0)
    first = bench.run()
    assert first.ran == [("pieces", ""), ("sides", "B01"), ("sides", "B02")]
    assert [f.says for f in first.findings] == ["B02 is long"]
    bench.set(Deep(depth_mm=90.0))
    assert bench.run().ran == [("sides", "B01"), ("sides", "B02")]
    bench.plan = plan(B01=900.0, B02=1000.0)
    last = bench.run(jobs=2)
    assert last.ran == [("pieces", ""), ("sides", "B02")]
    assert last.values[Sides, "B02"].get() == Sides(180_000.0)  # 2 × 1000 × 90
    assert bench.run().ran == []
