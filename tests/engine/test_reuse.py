"""What runs again after what: one case a row, on a plugin written into a folder, through the public bench.

Every row starts from a finished run of three boards in a chain, a – b – c, makes one change, and says
exactly what must run. Whatever ran, the files must be those of a run from nothing. (Kills are in
``test_kill.py``, a full disk and locks in ``test_trouble.py``, two processes at once in ``test_run.py`` and
``tests/acceptance/test_again.py``.)
"""

from __future__ import annotations

import importlib
import os
import sqlite3
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from boardwright.engine.outcome import Outcome
from boardwright.plan.model import Outline, TrackPlan
from boardwright.testing import Bench

SOURCES = {
    "__init__.py": "",
    "nouns.py": """
import msgspec
from boardwright import Section
class House(Section, frozen=True, kw_only=True, table="house"):
    factor: float = 2.0
    unread: str = ""
class Names(msgspec.Struct, frozen=True):
    names: tuple[str, ...]
class Board(msgspec.Struct, frozen=True):
    id: str
    size: float
    neighbours: tuple[str, ...] = ()
class Grown(msgspec.Struct, frozen=True):
    size: float
class Pair(msgspec.Struct, frozen=True):
    size: float
class Total(msgspec.Struct, frozen=True):
    size: float
""",
    "layout.py": """
from boardwright import Items, stage
from boardwright.plan.model import TrackPlan
from .nouns import Board, Names
@stage()
def names(plan: TrackPlan) -> Names:
    return Names(tuple(o.id for o in plan.outlines))
@stage(items=True)
def boards(plan: TrackPlan, names: Names) -> Items[Board]:
    ids = names.names
    near = {n: tuple(m for m in ids if abs(ids.index(m) - ids.index(n)) == 1) for n in ids}
    return {o.id: Board(o.id, o.level_mm, near[o.id]) for o in plan.outlines}
""",
    "growing.py": """
from boardwright import stage
from .helper import larger
from .nouns import Board, Grown, House
@stage(each=True)
def grown(board: Board, house: House) -> Grown:
    if board.size < 0:
        raise ValueError("cannot grow that")
    return Grown(larger(board.size, house.factor))
""",
    "helper.py": '''
def larger(size, factor):
    """Size by factor."""
    return size * factor  # as the club has it
''',
    "adding.py": """
from boardwright import All, Near, stage
from .nouns import Grown, Pair, Total
@stage(each=True)
def pair(grown: Grown, near: Near[Grown]) -> Pair:
    return Pair(grown.size + sum(near[b].size for b in sorted(near)))
@stage()
def total(pairs: All[Pair]) -> Total:
    return Total(sum(pairs[b].size for b in sorted(pairs)))
""",
    "showing.py": """
from boardwright import Files, FindingList, output
from .nouns import Board, Grown, Total
@output()
def report(total: Total, findings: FindingList) -> Files:
    return Files(files={"report.txt": f"{total.size} {len(findings.findings)}".encode()})
@output(each=True)
def card(board: Board, grown: Grown) -> Files:
    return Files(files={f"cards/{board.id}.txt": f"{grown.size}".encode()})
""",
}
STAGES = {
    "layout": ("names", "boards"),
    "growing": ("grown",),
    "adding": ("pair", "total"),
    "showing": ("report", "card"),
}

LAYOUT = "names boards"
GROWN = "grown@a grown@b grown@c"
AFTER_GROWN = "pair@a pair@b pair@c total card@a card@b card@c report"
NEAR_B, NEAR_C = "grown@b pair@b card@b", "grown@c pair@c card@c"  # a board knows its neighbours by name
EVERYTHING = f"{LAYOUT} {GROWN} {AFTER_GROWN}"


class House:
    """The plugin's folder, the plan and the bench they are run on."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.folder, self.patch = folder, monkeypatch
        self.code = folder / "toyhouse"
        self.code.mkdir()
        for name, text in SOURCES.items():
            (self.code / name).write_text(text)
        monkeypatch.syspath_prepend(str(folder))
        monkeypatch.setattr(sys, "dont_write_bytecode", True)
        self.sizes = {"a": 1.0, "b": 2.0, "c": 3.5}  # grown 2, 4, 7; pairs 6, 13, 11; total 30
        self.edge_mm = 1.0
        self.settings: dict[str, object] = {}
        self.versions = {"python": "3.12.0", "house-rules": "1.0"}
        self.store = folder / "kept" / "store.sqlite"

    def edit(self, file: str, old: str, new: str) -> None:
        text = (self.code / file).read_text()
        assert old in text
        (self.code / file).write_text(text.replace(old, new))

    def run(self, store: Path | None) -> Outcome:
        """A run as a new process would make it: the plugin's modules are loaded afresh."""
        for name in [n for n in sys.modules if n.partition(".")[0] == "toyhouse"]:
            del sys.modules[name]
        importlib.invalidate_caches()
        with Bench(store) as bench:
            for module, functions in STAGES.items():
                loaded = importlib.import_module(f"toyhouse.{module}")
                bench.put(*bench.functions, *(getattr(loaded, f) for f in functions))
            nouns = importlib.import_module("toyhouse.nouns")
            bench.set(nouns.House(**self.settings))
            ring = ((0.0, 0.0), (self.edge_mm, 0.0), (1.0, 1.0))
            outlines = tuple(Outline(id=n, ring=ring, level_mm=s) for n, s in self.sizes.items())
            bench.plan = TrackPlan(name="toy", drawing_file="toy", scale_ratio=1.0, outlines=outlines)
            bench.versions = self.versions
            return bench.run()


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> House:
    return House(tmp_path, monkeypatch)


def shown(outcome: Outcome) -> str:
    return " ".join(f"{stage}@{item}" if item else stage for stage, item in outcome.ran)


def by_name(outcome: Outcome) -> dict[tuple[str, str], bytes]:
    return {(kind.__name__, item): value.data for (kind, item), value in outcome.values.items()}


def set_size(name: str, size: float) -> Callable[[House], None]:
    return lambda house: house.sizes.update({name: size})


def edit(file: str, old: str, new: str) -> Callable[[House], None]:
    return lambda house: house.edit(file, old, new)


def setting(**values: object) -> Callable[[House], None]:
    return lambda house: house.settings.update(values)


def rename_c_to_d(house: House) -> None:
    house.sizes["d"] = house.sizes.pop("c")


def there_and_back(house: House) -> None:
    house.sizes["b"] = 7.0
    assert house.run(house.store).ran
    house.sizes["b"] = 2.0


def fail_and_mend(house: House) -> None:
    """b fails; its own results and those of its neighbours wait. Then its size is put right."""
    house.sizes["b"] = -2.0
    failed = house.run(house.store)
    assert ("grown", "b") in failed.not_built
    assert ("pair", "c") in failed.not_built
    house.sizes["b"] = 4.0


def fail_and_repair_the_rule(house: House) -> None:
    house.edit("growing.py", "board.size < 0", 'board.id == "b"')
    assert ("grown", "b") in house.run(house.store).not_built
    house.edit("growing.py", 'board.id == "b"', "board.size < -1")


def sql(text: str) -> Callable[[House], None]:
    def harm(house: House) -> None:
        with sqlite3.connect(house.store) as db:
            changed = db.execute(text).rowcount
        db.close()
        assert changed > 0

    return harm


def blob_of(stage: str, item: str, value: str) -> Callable[[House], None]:
    where = f"(SELECT output FROM results WHERE stage = '{stage}' AND item = '{item}')"
    return sql(f"UPDATE blobs SET data = {value} WHERE digest = {where}")


def garbage(house: House) -> None:
    house.store.write_bytes(b"this was a store once" * 50)


def cut_short(house: House) -> None:
    house.store.write_bytes(house.store.read_bytes()[:5000])


def gone(house: House) -> None:
    house.store.unlink()


def folder_that_takes_nothing(house: House) -> None:
    """A file where the store's folder should be: nothing can be kept there, whoever asks."""
    house.store.unlink()
    house.store.parent.rmdir()
    house.store.parent.write_text("in the way")


def clock_back(house: House) -> None:
    house.patch.setattr(time, "time", lambda: 0.0)
    for path in (*house.code.iterdir(), house.store):
        os.utime(path, (0, 0))


CASES: list[tuple[str, Callable[[House], None], str]] = [
    ("nothing at all", lambda house: None, ""),
    # --- code
    ("a comment edited", edit("helper.py", "as the club has it", "as it always was"), ""),
    ("a docstring edited", edit("helper.py", "Size by factor.", "The size, by the factor."), ""),
    ("blank lines added", edit("growing.py", "@stage", "\n\n@stage"), ""),
    ("a helper written otherwise, same answer", edit("helper.py", "size * factor", "factor * size"), GROWN),
    (
        "a helper that answers otherwise",
        edit("helper.py", "* factor", "* factor + 1"),
        f"{GROWN} {AFTER_GROWN}",
    ),
    ("a stage's version", edit("growing.py", "each=True", "each=True, version=2"), GROWN),
    ("an output's code", edit("showing.py", "{grown.size}", "{grown.size} m"), "card@a card@b card@c report"),
    ("a table beside the code", lambda house: (house.code / "t.csv").write_text("1"), EVERYTHING),
    ("a stranger's file elsewhere", lambda house: (house.folder / "t.csv").write_text("1"), ""),
    # --- settings
    ("a setting that is read", setting(factor=3.0), f"{GROWN} {AFTER_GROWN}"),
    ("a setting that nobody reads", setting(unread="new"), ""),
    ("a setting written out that was the default", setting(factor=2.0), ""),
    # --- input
    ("input changed, same answer", lambda house: setattr(house, "edge_mm", 2.0), LAYOUT),
    ("input changed and put back", there_and_back, ""),
    ("one board changed", set_size("c", 9.0), f"{LAYOUT} grown@c pair@b pair@c total card@c report"),
    ("a board added", set_size("d", 4.0), f"{LAYOUT} {NEAR_C} grown@d pair@d total card@d report"),
    ("a board removed", lambda house: house.sizes.pop("c"), f"{LAYOUT} {NEAR_B} total report"),
    ("a board renamed", rename_c_to_d, f"{LAYOUT} {NEAR_B} grown@d pair@d total card@d"),
    # --- what it is run with
    ("a plugin's release", lambda house: house.versions.update({"house-rules": "1.1"}), EVERYTHING),
    ("another Python", lambda house: house.versions.update({"python": "3.13.0"}), EVERYTHING),
    ("the clock set back", clock_back, ""),
    # --- failures
    (
        "a board that failed, put right",
        fail_and_mend,
        f"{LAYOUT} grown@b pair@a pair@b pair@c total card@b report",
    ),
    ("a rule that failed, put right", fail_and_repair_the_rule, GROWN),
    # --- the store
    ("a result cut short", blob_of("grown", "b", "substr(data, 1, 3)"), "grown@b"),
    ("a bit turned", blob_of("pair", "a", "CAST(replace(data, '6', '7') AS BLOB)"), "pair@a"),
    ("bytes turned to text", blob_of("pair", "c", "CAST(data AS TEXT)"), "pair@c"),
    ("a result emptied", blob_of("total", "", "x''"), "total"),
    (
        "findings that cannot be read",
        sql("UPDATE results SET findings = x'00' WHERE stage = 'total'"),
        "total",
    ),
    (
        "settings read that cannot be read",
        sql("UPDATE results SET reads = '{' WHERE item = 'a'"),
        "grown@a pair@a card@a",
    ),
    ("a row lost", sql("DELETE FROM results WHERE stage = 'report'"), "report"),
    ("bytes lost", sql("DELETE FROM blobs"), EVERYTHING),
    ("garbage for a store", garbage, EVERYTHING),
    ("half a store", cut_short, EVERYTHING),
    ("no store", gone, EVERYTHING),
    ("a folder that takes nothing", folder_that_takes_nothing, EVERYTHING),
]


@pytest.mark.parametrize(("change", "ran"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_what_runs_again(house: House, change: Callable[[House], None], ran: str) -> None:
    assert shown(house.run(house.store)) == EVERYTHING
    change(house)
    after = house.run(house.store)
    assert sorted(shown(after).split()) == sorted(ran.split())
    clean = house.run(None)
    assert after.files == clean.files
    assert after.findings == clean.findings
    assert by_name(after) == by_name(clean)
