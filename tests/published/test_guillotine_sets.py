"""Published sets of rectangles through what `boardwright nest` calls, beside an independent packer.

Two-dimensional bin packing, nothing turned, edge-to-edge cuts, any number of stages, no kerf, no trim. Sets:
Berkey & Wang 1987 and Martello & Vigo 1998, the instances whose optimum is known: ``optimum`` is proven, by a
solution that meets a lower bound (total area, items over half the sheet both ways, or a solver's own bound),
so where we meet it no other program can do with fewer sheets.
"""

from __future__ import annotations

import json
import time
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import rectpack
from rectpack import guillotine

from boardwright import Notes
from boardwright.plan.source import SourceFile
from boardwright_stages.nesting.nest import nest
from boardwright_timber.model import CutPiece, Nested

INSTANCES = json.loads(Path(__file__).with_name("guillotine_instances.json").read_text("utf-8"))
BY_NAME = {i["name"]: i for i in INSTANCES}


@cache
def nested(name: str) -> Nested:
    instance = BY_NAME[name]
    head = "id,material,thickness_mm,length_mm,width_mm,quantity,grain\n"
    rows = [f"i{n},ply,9,{x},{y},{copies},length\n" for n, (x, y, copies) in enumerate(instance["items"])]
    length, width = instance["sheet"]
    stock = (
        "[saw]\nkerf_mm = 0\ntrim_mm = 0\nstages = 0\n[[sheet]]\n"
        f'material = "ply"\nthickness_mm = 9\nlength_mm = {length}\nwidth_mm = {width}\nprice = 1\n'
    )
    return nest(
        SourceFile("parts.csv", (head + "".join(rows)).encode()),
        SourceFile("stock.toml", stock.encode()),
        Notes(),
    )


@pytest.mark.parametrize("name", BY_NAME)
def test_as_few_sheets_as_is_possible(name: str) -> None:
    instance, plan = BY_NAME[name], nested(name).plan
    assert len(plan.sheets) == instance["optimum"]
    assert plan.lower_bounds[0][2] <= instance["optimum"]
    placed = sorted((p.length_mm, p.width_mm) for s in plan.sheets for p in s.parts)
    assert placed == sorted((x, y) for x, y, copies in instance["items"] for _ in range(copies))
    for sheet in plan.sheets:
        assert sheet.tree is not None
        assert sorted(leaves(sheet.tree)) == sorted(
            (p.x_mm, p.y_mm, p.length_mm, p.width_mm) for p in sheet.parts
        )


def leaves(piece: CutPiece) -> list[tuple[float, float, float, float]]:
    """Pieces left by straight cuts; asserts that each piece is divided from edge to edge."""
    if not piece.pieces:
        return [(piece.x_mm, piece.y_mm, piece.length_mm, piece.width_mm)] if piece.part else []
    along = all(p.x_mm == piece.x_mm and p.length_mm == piece.length_mm for p in piece.pieces)
    across = all(p.y_mm == piece.y_mm and p.width_mm == piece.width_mm for p in piece.pieces)
    assert along or across
    return [leaf for inner in piece.pieces for leaf in leaves(inner)]


def packers() -> list[Any]:
    """The guillotine packers of rectpack, of every rule of choice and split that is complete there."""
    choices, splits = ("Baf", "Bssf", "Blsf"), ("Sas", "Las", "Slas", "Llas", "Maxas", "Minas")
    return [getattr(guillotine, f"Guillotine{c}{s}") for c in choices for s in splits]


def fewest_by_packers(instance: dict[str, Any]) -> int:
    best = 10**6
    for kind in packers():
        packer = rectpack.newPacker(
            mode=rectpack.PackingMode.Offline,
            bin_algo=rectpack.PackingBin.BBF,
            pack_algo=kind,
            sort_algo=rectpack.SORT_AREA,
            rotation=False,
        )
        for x, y, copies in instance["items"]:
            for _ in range(copies):
                packer.add_rect(x, y)
        packer.add_bin(*instance["sheet"], count=float("inf"))
        packer.pack()
        assert len(packer.rect_list()) == sum(copies for _, _, copies in instance["items"])
        best = min(best, len(packer))
    return best


def test_never_more_sheets_than_the_best_of_18_packers_and_fewer_in_total() -> None:
    """Ours are the optima on every one of them: the test above says so, and is not run again here."""
    theirs = {i["name"]: fewest_by_packers(i) for i in INSTANCES}
    ours = {i["name"]: i["optimum"] for i in INSTANCES}
    assert [n for n in theirs if ours[n] > theirs[n]] == []
    assert sum(ours.values()) < sum(theirs.values())  # 722 and 743 when this was written


def fewest_by_the_solver_alone(instance: dict[str, Any], seconds: float) -> int:
    """packingsolver as it comes, stopped by the clock; a huge number when time was too short."""
    from packingsolver import rectangleguillotine as rg

    builder = rg.InstanceBuilder()
    builder.set_objective(rg.Objective.BinPacking)
    builder.add_bin_type(*instance["sheet"], copies=sum(copies for _, _, copies in instance["items"]))
    builder.set_number_of_stages_unlimited()
    for x, y, copies in instance["items"]:
        builder.add_item_type(x, y, oriented=True, copies=copies)
    parameters = rg.OptimizeParameters()
    parameters.verbosity_level = 0
    parameters.messages_to_stdout = False
    parameters.time_limit = seconds
    solution = rg.optimize(builder.build(), parameters).solution
    return int(solution.number_of_bins()) if solution.full() else 10**6


def test_never_worse_than_the_solver_alone_at_equal_time() -> None:
    """One run of all three beside each other on every eleventh instance; the totals are above."""
    ours, packers_best, solver_best = [], [], []
    for name in list(BY_NAME)[::11]:
        start = time.perf_counter()
        nested.__wrapped__(name)
        taken = time.perf_counter() - start
        ours.append(len(nested(name).plan.sheets))
        packers_best.append(fewest_by_packers(BY_NAME[name]))
        solver_best.append(fewest_by_the_solver_alone(BY_NAME[name], max(taken, 0.1)))
    assert all(a <= b for a, b in zip(ours, packers_best, strict=True))
    assert all(a <= b for a, b in zip(ours, solver_best, strict=True))
