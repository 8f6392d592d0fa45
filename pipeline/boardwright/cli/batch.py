"""`boardwright batch`: pack many projects, each by itself, and tell them side by side."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from ..many.model import Batch, Project, Series
    from ..many.one import Done
    from ..many.projects import Order

INDEX = "batch.json"


def add(commands: Any) -> None:
    p = commands.add_parser(
        "batch",
        help="pack many projects",
        description="Pack every project named, and every one in the folders named, each into its own pack, "
        "and write a summary. A bad project does not stop the others. Run it again and it goes on where it "
        "was: packs that stand are left alone.",
    )
    p.add_argument(
        "projects", nargs="+", type=Path, metavar="FILE_OR_FOLDER", help="project files, or folders"
    )
    p.add_argument(
        "-o", "--output", type=Path, default=Path("batch"), metavar="DIR", help="folder for the summary"
    )
    p.add_argument("--jobs", type=int, metavar="N", help="processes to work with (default: one a core)")
    p.add_argument(
        "--cluster", metavar="ADDRESS", help="let the workers of a running dask scheduler do the work"
    )
    p.add_argument(
        "--buy-together",
        action="store_true",
        help="one purchase and one cutting plan for all projects besides: sheets, boxes and delivery shared",
    )
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    def orders() -> tuple[Series | None, Mapping[str, Order]]:
        from ..many.projects import as_they_stand, project_files

        return None, as_they_stand(project_files(options.projects))

    return run_orders(options, orders)


def run_orders(
    options: argparse.Namespace, read: Callable[[], tuple[Series | None, Mapping[str, Order]]]
) -> int:
    """Pack what is ordered, and write the summary; ``read`` may raise InputError."""
    from .. import deliver
    from ..errors import BoardwrightError
    from ..many.batch import in_order
    from ..many.model import Batch
    from ..packing import shown
    from ..plugins import make_plugin_manager
    from .telling import ProgressLine, counted, tell_end, tell_findings
    from .together import joined_files

    out: Path = options.output.resolve() if options.output.name in ("", "..") else options.output
    try:
        series, orders = read()
        deliver.recover(out)
        deliver.check_place(out, INDEX)
        with ProgressLine(sys.stderr) as line:
            done = {d.project.label: d for d in _packed(orders, options, line.tell)}
        hook = make_plugin_manager().hook
        together, said = _bought_together(hook, orders, done, series) if options.buy_together else (None, ())
        batch = Batch(projects=in_order(orders, done), together=together, findings=said, series=series)
        files = joined_files(hook.boardwright_batch_files(batch=batch))
        deliver.deliver(out, files, {}, INDEX)
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        print("No summary was written.", file=sys.stderr)
        return error.exit_status
    _tell_each(orders, done)
    tell_findings([shown(f) for f in batch.findings])
    print("\n".join(_table(batch)))
    if batch.together is not None:
        for sentence in batch.together.says:
            tell_end(str(sentence))
    worst = max((p.status for p in batch.projects), default=0)
    bad = sum(not p.packed for p in batch.projects)
    tell_end(
        f"{len(batch.projects) - bad} of {len(batch.projects)} projects have their pack"
        + (f", {bad} {'has' if bad == 1 else 'have'} none" if bad else "")
        + f". Summary in {out}."
    )
    told = [f for f in map(shown, batch.findings) if f["severity"] == "fault"]
    if told and worst == 0:
        print(f"{counted(told)} in what is bought together.", file=sys.stderr)
    return max(worst, int(bool(told)))


def _packed(orders: Mapping[str, Order], options: argparse.Namespace, tell: Any) -> Iterator[Done]:
    from ..many.batch import batch

    if options.cluster:
        from ..many.cluster import batch_on_cluster

        return batch_on_cluster(orders, options.cluster, tell)
    return batch(orders, tell, options.jobs)


def _bought_together(
    hook: Any, orders: Mapping[str, Order], done: Mapping[str, Done], series: Series | None
) -> tuple[Any, tuple[Any, ...]]:
    from ..deliver import INDEX as PACK
    from ..findings import Notes, worst_first

    notes = Notes()
    packs = {
        label: (order.out / PACK).read_bytes()
        for label, order in orders.items()
        if done[label].project.packed
    }
    for label in orders:
        if label not in packs:
            notes.caution(
                "BW-MANY-003",
                f"{label} has no pack: it is not in what is bought together",
                mend="Mend its project file, then run the batch again: only that project is packed then.",
            )
    together = hook.boardwright_buy_together(packs=packs, notes=notes, series=series) if packs else None
    return together, worst_first(notes.findings)


def _tell_each(orders: Mapping[str, Order], done: Mapping[str, Done]) -> None:
    """What went wrong with each project, and what was carried over; what went well is in the table."""
    from .telling import keep_defects, tell_findings

    for label, order in orders.items():
        found = done[label]
        if found.project.status:
            faults = [f for f in found.project.findings if f["severity"] == "fault"]
            print(f"{label}: {found.project.says}.", file=sys.stderr)
            tell_findings(faults)
        for sentence in found.kept:
            print(f"{label}: {sentence}.", file=sys.stderr)
        if found.defects:
            keep_defects(order.file, list(found.defects))


def _table(batch: Batch) -> list[str]:
    from .columns import columns

    every = next((p.figures for p in batch.projects if p.figures), ())
    figures = [f for f in every if f.less_is_better]
    heading = ["project", *(f.says.lower() for f in figures), "faults", "cautions"]
    rows = [[p.label, *_values(p, [f.key for f in figures]), *_counts(p)] for p in batch.projects]
    return columns(heading, rows, frozenset(range(1, len(heading))))


def _values(project: Project, keys: list[str]) -> list[str]:
    by_key = {f.key: f.shown for f in project.figures}
    return [by_key.get(key, "–") for key in keys]


def _counts(project: Project) -> list[str]:
    return [str(project.count("fault")), str(project.count("caution"))]
