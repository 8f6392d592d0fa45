"""A toy layout with no carpentry: words on a plan, counted board by board."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import Executor
from typing import Any

import msgspec

from boardwright import All, Files, FindingList, Items, Near, Notes, Section, output, stage
from boardwright.catalogue import Catalogue, arrange
from boardwright.engine.codeprint import CodePrints
from boardwright.engine.outcome import Outcome
from boardwright.engine.reasons import Reason
from boardwright.engine.run import Run
from boardwright.engine.store import Store
from boardwright.engine.why import Foresight
from boardwright.plan.model import Outline, TrackPlan
from boardwright.stages import Provenance, wire


class ToySettings(Section, table="toy"):
    factor: float = 2.0
    unread: str = "nobody asks for this"


class Names(msgspec.Struct, frozen=True):
    names: tuple[str, ...]


class Item(msgspec.Struct, frozen=True):
    name: str
    size: float
    neighbours: tuple[str, ...] = ()


class Grown(msgspec.Struct, frozen=True):
    size: float


class Pair(msgspec.Struct, frozen=True):
    size: float


class Total(msgspec.Struct, frozen=True):
    size: float


CALLS: list[str] = []
KILLS_ITS_PROCESS = 13.5


@stage()
def names(plan: TrackPlan) -> Names:
    CALLS.append("names")
    return Names(tuple(o.id for o in plan.outlines))


@stage(items=True)
def items(plan: TrackPlan, names: Names) -> Items[Item]:
    CALLS.append("items")
    ids = names.names
    return {
        o.id: Item(o.id, o.level_mm, tuple(n for n in ids if n != o.id and abs(ids.index(n) - i) == 1))
        for i, o in enumerate(plan.outlines)
    }


@stage(each=True)
def grown(item: Item, settings: ToySettings, notes: Notes) -> Grown:
    CALLS.append(f"grown@{item.name}")
    if item.size < 0:
        raise ValueError("cannot grow a negative size")
    if item.size == KILLS_ITS_PROCESS:
        os._exit(9)
    if item.size > 100:
        notes.caution("BW-TOY-001", f"{item.name} is large")
    return Grown(item.size * settings.factor)


@stage(each=True)
def pair(grown: Grown, near: Near[Grown]) -> Pair:
    CALLS.append("pair")
    return Pair(grown.size + sum(g.size for g in near.values()))


@stage()
def total(pairs: All[Pair]) -> Total:
    CALLS.append("total")
    return Total(sum(p.size for p in pairs.values()))


@output()
def report(total: Total, findings: FindingList) -> Files:
    CALLS.append("report")
    return Files(files={"pack.json": f"{total.size} {len(findings.findings)}".encode()})


@output(each=True)
def card(item: Item, grown: Grown) -> Files:
    CALLS.append(f"card@{item.name}")
    return Files(files={f"cards/{item.name}.txt": f"{grown.size}".encode()})


TOYS: tuple[Callable[..., Any], ...] = (total, pair, report, items, card, grown, names)


def catalogue() -> Catalogue:
    return arrange([wire(f, "toy") for f in TOYS])


def plan(**sizes: float) -> TrackPlan:
    ring = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0))
    return TrackPlan(
        name="toy",
        drawing_file="toy",
        scale_ratio=1.0,
        outlines=tuple(Outline(id=n, ring=ring, level_mm=s) for n, s in sizes.items()),
    )


def run(
    store: Store,
    plan: TrackPlan,
    settings: ToySettings | None = None,
    libraries: dict[str, str] | None = None,
    executor: Executor | None = None,
) -> Outcome:
    CALLS.clear()
    return Run(
        catalogue(),
        {TrackPlan: (plan, ())},
        {"toy": settings or ToySettings()},
        Provenance(),
        store,
        CodePrints(()),
        libraries or {},
        lambda _: None,
        executor,
    ).go()


def foresee(store: Store, plan: TrackPlan, settings: ToySettings | None = None) -> list[Reason]:
    CALLS.clear()
    return Foresight(
        catalogue(),
        {TrackPlan: (plan, ())},
        {"toy": settings or ToySettings()},
        Provenance(),
        store,
        CodePrints(()),
        {},
        lambda _: None,
    ).look()
