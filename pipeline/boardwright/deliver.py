"""Delivery: a pack is written beside the old one, then swapped in: the old pack or the new, never half.

Where the system can let two folders change places in one step it does (``swap``); elsewhere two renames are
made, and a run killed between them is put right by the next one (``recover``).

What the builder put into the folder, or changed in it, is never lost: files we did not write are carried
over, files of ours that were edited are kept under another name and reported.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Mapping
from pathlib import Path, PurePosixPath

from .disk import on_disk
from .errors import DefectError, InputError, PluginError
from .findings import Place
from .swap import exchange

INDEX = "pack.json"  # a folder that holds this file is a pack of ours
SUMS = "SHA256SUMS"  # digests of all its other files


def recover(out: Path) -> None:
    """Finish a swap that was interrupted between its two renames."""
    older = _beside(out, "older")
    if older.is_dir() and not out.exists():
        older.rename(out)


def check_place(out: Path, index: str = INDEX) -> None:
    """Refuse to deliver where something else lives. Raises InputError."""
    if out.exists() and not out.is_dir():
        raise InputError.of(
            "BW-PACK-001",
            f"{out.name} is a file, not a folder",
            Place(file=out.name),
            "Name another folder with -o.",
        )
    if out.is_dir() and any(out.iterdir()) and not (out / index).is_file():
        raise InputError.of(
            "BW-PACK-002",
            f"the folder {out.name} holds other things and no earlier pack: nothing is written into it",
            Place(file=out.name),
            "Name a new or empty folder with -o.",
        )


def check_owner(out: Path, layout: str) -> None:
    """Refuse to write over the pack of a layout of another name. Raises InputError."""
    try:
        other = json.loads((out / INDEX).read_bytes()).get("name")
    except (OSError, ValueError, AttributeError):
        return  # no pack, or none that says whose it is
    if other is not None and other != layout:
        raise InputError.of(
            "BW-PACK-005",
            f"the folder {out.name} holds the pack of another layout, {other!r}",
            Place(file=out.name),
            "Name another folder with -o. If the layout was renamed, move the old pack away first.",
        )


def digests(files: Mapping[str, bytes]) -> dict[str, str]:
    return {path: hashlib.sha256(data).hexdigest() for path, data in sorted(files.items())}


def with_sums(files: Mapping[str, bytes]) -> tuple[dict[str, bytes], dict[str, str]]:
    """The files and beside them ``SHA256SUMS``: the digest of each, as ``sha256sum -c`` reads them; and the
    digests of all, this list's own in.

    Raises PluginError when an output wrote a file of that name.
    """
    if SUMS in files:
        raise PluginError.of("BW-PACK-006", f"an output writes {SUMS}, which is the pack's own list")
    sums = digests(files)
    listed = "".join(f"{digest}  {path}\n" for path, digest in sums.items()).encode()
    return {**files, SUMS: listed}, sums | digests({SUMS: listed})


def deliver(
    out: Path, files: Mapping[str, bytes], before: Mapping[str, str], index: str = INDEX
) -> list[str]:
    """Write a pack, known by its file ``index``. ``before`` is what the last delivery wrote (path -> digest).

    Returns sentences about files of the builder's that were carried over. Raises InputError when the place
    cannot be written; the old pack is then untouched.
    """
    _check_paths(files)
    check_place(out, index)
    fresh = _beside(out, "new")
    older = _beside(out, "older")
    try:
        for leftover in (fresh, older):
            if leftover.exists():
                shutil.rmtree(leftover)
        for path, data in sorted(files.items()):
            target = fresh / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
        kept = _carry_over(out, fresh, files, before)
        if out.exists() and exchange(fresh, out):
            fresh.rename(older)
        else:
            if out.exists():
                out.rename(older)
            fresh.rename(out)
    except OSError as problem:
        shutil.rmtree(fresh, ignore_errors=True)
        recover(out)
        raise InputError.of(
            "BW-PACK-003",
            f"the pack cannot be written: {problem.strerror or problem}",
            Place(file=out.name),
            "Check the free space and that you may write there, or name another folder with -o.",
        ) from problem
    shutil.rmtree(older, ignore_errors=True)
    return kept


def _beside(out: Path, what: str) -> Path:
    return out.with_name(f"{out.name}.{what}")


def _check_paths(files: Mapping[str, bytes]) -> None:
    """No output may reach outside the pack, whatever names a drawing brought."""
    for path in files:
        pure = PurePosixPath(path)
        if pure.is_absolute() or ".." in pure.parts or "\\" in path or "\0" in path or not pure.parts:
            raise DefectError.of("BW-PACK-004", f"an output asked for the path {path!r}, outside the pack")


def _carry_over(out: Path, fresh: Path, files: Mapping[str, bytes], before: Mapping[str, str]) -> list[str]:
    kept = []
    before = before or _told(out)
    for path, digest in on_disk(out).items():
        ours = before.get(path)
        if ours == digest or (ours is None and not before and _looks_ours(path)):
            continue
        if path in files and hashlib.sha256(files[path]).hexdigest() == digest:
            continue
        target = fresh / path
        if ours is not None or target.exists():
            target = target.with_name(f"{target.stem}.edited{target.suffix}")
            kept.append(
                f"{path} was changed by hand: your version is kept as {target.relative_to(fresh).as_posix()}"
            )
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(out / path, target)
    return kept


def _told(out: Path) -> dict[str, str]:
    """What a pack's own list says was delivered: for one that was copied here, and has no record of ours."""
    try:
        lines = (out / SUMS).read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return {}
    told = {path: digest for digest, _, path in (line.partition("  ") for line in lines)}
    return told | {SUMS: hashlib.sha256((out / SUMS).read_bytes()).hexdigest()} if told else {}


def _looks_ours(path: str) -> bool:
    """Without a record of the last delivery, files of these names are taken to be ours."""
    named = path in (
        INDEX,
        SUMS,
        "nest.json",
        "batch.json",
        "study.json",
        "index.html",
        "workbook.xlsx",
        "offcuts.toml",
        "labels.html",
    )
    return named or path.startswith(("dxf/", "templates/"))
