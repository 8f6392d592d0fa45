"""Tidying bounds growth and never takes what the current pack needs."""

from __future__ import annotations

from pathlib import Path

import toy

from boardwright.engine.store import Store


def test_growth_is_bounded_and_the_present_is_kept(tmp_path: Path) -> None:
    store = Store(tmp_path / "store.sqlite")
    sizes = []
    for n in range(20):
        toy.run(store, toy.plan(a=n, b=2 * n))
        sizes.append(store.size_bytes())
    assert sizes == sorted(sizes)
    freed = store.tidy(0)
    assert freed > 0
    assert store.size_bytes() == sizes[-1] - freed
    assert store.size_bytes() <= 2 * sizes[0]
    # the last walk is whole: nothing is computed, and `why` still knows what changed
    assert toy.run(store, toy.plan(a=19, b=38)).computed == 0
    reasons = {r.stage: r.says for r in toy.foresee(store, toy.plan(a=19, b=40))}
    assert reasons["names"] == ("outline b level was 38, is 40",)


def test_newest_are_kept_within_the_limit(tmp_path: Path) -> None:
    stores = [Store(tmp_path / f"{i}.sqlite") for i in range(2)]
    for n in range(10):
        for store in stores:
            toy.run(store, toy.plan(a=n))
    stores[0].tidy(0)
    limit = stores[0].size_bytes() + 150  # room for about one more set of answers
    stores[1].tidy(limit)
    assert stores[1].size_bytes() <= limit
    assert toy.run(stores[1], toy.plan(a=8)).computed < toy.run(stores[1], toy.plan(a=1)).computed


def test_two_projects_in_one_folder(tmp_path: Path) -> None:
    one, two = Store(tmp_path / "s.sqlite", "one.toml"), Store(tmp_path / "s.sqlite", "two.toml")
    toy.run(one, toy.plan(a=1))
    toy.run(two, toy.plan(a=2))
    one.tidy(0)
    assert toy.run(one, toy.plan(a=1)).computed == 0
    assert toy.run(two, toy.plan(a=2)).computed == 0
