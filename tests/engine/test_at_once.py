"""A stage called once that answers for every board: each board's answer stands for itself."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from boardwright import All, Files, Items, output, stage
from boardwright.plan.model import Outline, TrackPlan
from boardwright.testing import Bench, StageContract

pytest_plugins = ["boardwright.testing.fixtures"]


class Piece(msgspec.Struct, frozen=True):
    id: str
    length_mm: float


class Share(msgspec.Struct, frozen=True):
    """``reached``: those before it that are no longer than it is."""

    reached: int


class Tag(msgspec.Struct, frozen=True):
    text: str


@stage(items=True)
def pieces(plan: TrackPlan) -> Items[Piece]:
    return {o.id: Piece(o.id, o.level_mm) for o in plan.outlines}


@stage()
def shares(pieces: All[Piece]) -> All[Share]:
    def before(piece: Piece) -> int:
        return sum(p.length_mm <= piece.length_mm for id_, p in pieces.items() if id_ < piece.id)

    return {id_: Share(before(piece)) for id_, piece in pieces.items()}


@stage(name="shares")
def shares_of_all_but_one(pieces: All[Piece]) -> All[Share]:
    return {b: Share(0) for b in [*list(pieces)[1:], "B99"]}


@stage(name="shares")
def shares_that_fail(pieces: All[Piece]) -> All[Share]:
    raise ValueError("no share today")


@stage(each=True, replaces="shares")
def own_share(piece: Piece) -> Share:
    return Share(7)


@stage(each=True)
def tag(share: Share) -> Tag:
    return Tag(f"{share.reached}")


@output()
def listed(pieces: All[Piece], tags: All[Tag], shares: All[Share]) -> Files:
    return Files(files={"list.txt": f"{sorted(pieces)} {[t.text for t in tags.values()]}".encode()})


def plan(**lengths_mm: float) -> TrackPlan:
    ring = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0))
    outlines = tuple(Outline(id=n, ring=ring, level_mm=mm) for n, mm in lengths_mm.items())
    return TrackPlan(name="toy", drawing_file="toy", scale_ratio=1.0, outlines=outlines)


@pytest.mark.parametrize("jobs", [1, 2])
def test_who_reads_it_runs_again_only_where_it_changed(bench: Bench, jobs: int) -> None:
    """B02 grows longer than B03: B03 has one less before it; B01 and B02 have as many as they had."""
    bench.put(listed, tag, shares, pieces)
    bench.plan = plan(B01=500.0, B02=600.0, B03=700.0)
    first = bench.run(jobs)
    assert [b for name, b in first.ran if name == "tag"] == ["B01", "B02", "B03"]
    assert first.files["list.txt"] == b"['B01', 'B02', 'B03'] ['0', '1', '2']"
    bench.plan = plan(B01=500.0, B02=800.0, B03=700.0)
    second = bench.run(jobs)
    assert second.ran == [("pieces", ""), ("shares", ""), ("tag", "B03"), ("listed", "")]
    assert second.values[Share, "B03"].get() == Share(1)
    assert bench.run(jobs).ran == []


def test_only_what_it_needs_is_run_for_one_stage(bench: Bench) -> None:
    bench.put(listed, tag, shares, pieces)
    bench.plan = plan(B01=500.0)
    assert bench.run(upto="shares").ran == [("pieces", ""), ("shares", "")]


@pytest.mark.parametrize(
    ("bad", "says"),
    [
        (shares_that_fail, "no share today"),
        (shares_of_all_but_one, "left out B01; boards that are not there: B99"),
    ],
)
def test_when_it_fails_no_board_has_one_and_the_next_run_tries_again(
    bench: Bench, bad: Callable[..., Any], says: str
) -> None:
    bench.put(listed, tag, bad, pieces)
    bench.plan = plan(B01=500.0, B02=600.0)
    failed = bench.run()
    assert failed.not_built == [("shares", ""), ("tag", "B01"), ("tag", "B02")]
    assert says in failed.findings[0].says
    assert len(failed.defects) == 1
    assert failed.files["list.txt"] == b"[] []"
    bench.put(listed, tag, shares, pieces)
    assert bench.run().files["list.txt"] == b"['B01', 'B02'] ['0', '1']"


def test_a_stage_called_for_each_board_may_take_its_place(bench: Bench) -> None:
    bench.put(listed, tag, shares, pieces, own_share)
    bench.plan = plan(B01=500.0, B02=600.0)
    run = bench.run()
    assert [(name, b) for name, b in run.ran if "share" in name] == [
        ("own_share", "B01"),
        ("own_share", "B02"),
    ]
    assert run.files["list.txt"] == b"['B01', 'B02'] ['7', '7']"


class TestContract(StageContract):
    stage = staticmethod(shares)

    def arguments(self) -> dict[str, Any]:
        return {"pieces": {"B01": Piece("B01", 500.0), "B02": Piece("B02", 600.0)}}
