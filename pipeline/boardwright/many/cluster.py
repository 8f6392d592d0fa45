"""A batch on a running dask scheduler: projects go out as bytes, packs come back as bytes.

Claim: a pack made there is the pack made here, byte for byte. Workers write nothing that lasts; a worker that
dies costs only its project's time, for the scheduler gives that project to another. The files are put into
place here, and the receipt is kept here, so that what is delivered stands.

What a worker needs is Boardwright as it is here: the same code, plugins and libraries. One that has another
is refused. Your files it does not need.

What this does not know: files that a project names by a whole path from the root; it is refused there.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor, Future, as_completed
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from typing import Any

import msgspec

from .. import canon, deliver, project
from ..disk import read_file
from ..engine import receipt
from ..engine.carried import packed_up, unpack
from ..engine.outcome import Progress
from ..errors import BoardwrightError, InputError
from ..made import MadeSettings
from ..packing import hand_over, opened_store, pack, store_path
from .batch import COUNTING
from .one import Done, broken, refused, standing, told
from .projects import Order

DEEP = 8  # folders above a project that its file may name: "../../rules/club.toml"
TRIES = 3  # processes that may die over one project


class Parcel(msgspec.Struct, frozen=True):
    """A project on its way out: its files by path from the project's folder, its name, its stored results."""

    label: str
    name: str
    files: dict[str, bytes]
    stored: bytes
    changes: dict[str, Any] = {}


class Returned(msgspec.Struct, frozen=True):
    """What came back: the pack's files and its receipt (None when nothing was delivered), stored results."""

    done: Done
    files: dict[str, bytes] = {}
    receipt: dict[str, Any] | None = None
    stored: bytes = b""


def parcel(label: str, project_file: Path, changes: Mapping[str, Any] = project.NO_CHANGES) -> Parcel:
    """Everything the project file names that is a file. Raises InputError when it cannot be read."""
    project.read_tables(project_file)
    own = {project_file.name: read_file(project_file)}
    waiting: list[Any] = [project.read_tables(project_file, changes), MadeSettings().file]
    while waiting:
        here = waiting.pop()
        if isinstance(here, dict):
            waiting += here.values()
        elif isinstance(here, list):
            waiting += here
        elif isinstance(here, str) and _is_beside(project_file.parent, here):
            own[here] = read_file(project_file.parent / here)
    return Parcel(label, project_file.name, own, packed_up(store_path(project_file)), dict(changes))


def _is_beside(folder: Path, name: str) -> bool:
    try:
        plain = PurePosixPath(name.replace("\\", "/"))
        return bool(name) and not plain.is_absolute() and (folder / name).is_file()
    except (OSError, ValueError):
        return False


def pack_elsewhere(sent: Parcel) -> Returned:
    """Called on a worker: the project unpacked, packed and sent back. Never raises."""
    with tempfile.TemporaryDirectory(prefix="boardwright-") as name:
        folder = Path(name, *(f"above{n}" for n in range(DEEP)), "project")
        out = folder / "pack"
        try:
            folder.mkdir(parents=True)
            for path, data in sent.files.items():
                (folder / path).parent.mkdir(parents=True, exist_ok=True)
                (folder / path).write_bytes(data)
            file = folder / sent.name
            with opened_store(file) as store:
                unpack(sent.stored, store_path(file))
                done = told(sent.label, pack(file, out, store, lambda _: None, changes=sent.changes))
                kept = store.receipt(str(out.resolve()))
            files = {p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*") if p.is_file()}
            return Returned(done, files, kept, packed_up(store_path(file)))
        except BoardwrightError as error:
            return Returned(refused(sent.label, error))
        except Exception as problem:  # a defect of ours in one project must not stop the others
            return Returned(broken(sent.label, problem))


def take_in(label: str, project_file: Path, out: Path, came: Returned) -> Done:
    """Put a pack that came back into its place. Never raises but for Ctrl-C."""
    if came.receipt is None:
        return came.done
    try:
        theirs = came.receipt["code"], came.receipt["versions"], came.receipt["door"]
        ours = (
            receipt.code_files(came.receipt["packages"]),
            receipt.versions_now(came.receipt["versions"]),
            receipt.door(),
        )
        if canon.encode(theirs) != canon.encode(ours):
            raise InputError.of(
                "BW-MANY-004",
                "a worker of the cluster has another Boardwright, other plugins or other libraries",
                mend="Install the same versions there as here, then start the workers anew.",
            )
        with opened_store(project_file) as store:
            unpack(came.stored, store_path(project_file))
            kept = hand_over(out, came.files, came.receipt, store, came.done.project.name)
        return msgspec.structs.replace(came.done, kept=tuple(kept))
    except BoardwrightError as error:
        return refused(label, error)
    except Exception as problem:  # a defect of ours in one project must not stop the others
        return broken(label, problem)


def batch_on_cluster(
    projects: Mapping[str, Order], address: str, tell: Callable[[Progress], None]
) -> Iterator[Done]:
    """As ``batch``, by the workers of a running scheduler. Raises InputError when it cannot be reached."""
    with scheduler(address) as executor:
        stood = 0
        for number, done in enumerate(by_executor(projects, executor), 1):
            stood += done.how.startswith("nothing changed")
            tell(Progress(COUNTING, number, len(projects), stood))
            yield done


def by_executor(projects: Mapping[str, Order], executor: Executor) -> Iterator[Done]:
    """All projects by any executor, near or far; each is put into its place as it comes back."""
    calls: dict[Future[Returned], str] = {}
    try:
        for label, order in projects.items():
            try:
                deliver.check_place(order.out)
                deliver.recover(order.out)
                if stood := standing(label, order):
                    yield stood
                    continue
                calls[executor.submit(pack_elsewhere, parcel(label, order.file, order.changes))] = label
            except BoardwrightError as error:
                yield refused(label, error)
        for call in as_completed(calls):
            label = calls[call]
            try:
                came = call.result()
            except Exception as problem:  # the worker died over it again and again, or the scheduler did
                yield broken(label, problem)
            else:
                yield take_in(label, projects[label].file, projects[label].out, came)
    finally:
        for call in calls:
            call.cancel()


@contextmanager
def scheduler(address: str) -> Iterator[Executor]:
    """A dask scheduler's executor. Raises InputError when dask is not installed or nobody answers."""
    try:
        from distributed import Client
    except ImportError as problem:
        raise InputError.of(
            "BW-MANY-005",
            f"--cluster needs dask.distributed, which is not installed here ({problem})",
            mend="Install it beside Boardwright: pip install 'boardwright[cluster]'.",
        ) from problem
    try:
        client = Client(address, timeout=10, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as problem:
        raise InputError.of(
            "BW-MANY-006",
            f"no dask scheduler answers at {address}: {problem}",
            mend="Start one with `dask scheduler`, workers with `dask worker ADDRESS`, and give its address.",
        ) from problem
    try:
        yield client.get_executor(pure=False, retries=TRIES)
    finally:
        client.close()
