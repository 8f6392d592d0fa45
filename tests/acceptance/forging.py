"""Hands of a forger: they change a pack's files, as a slip, a CAD program or bad luck on the way would.

Drawings are changed with ezdxf, the workbook's cells in its XML. Nothing of the tool under test is used.
"""

from __future__ import annotations

import hashlib
import io
import json
import re
import zipfile
from collections.abc import Callable
from typing import Any

import ezdxf
from ezdxf.document import Drawing
from ezdxf.math import Matrix44

type Files = dict[str, bytes]
type Change = Callable[[Files], None]

SUMS = "SHA256SUMS"


def summed(files: Files) -> None:
    """Write the list of digests anew, so that nothing but the contents can give a change away."""
    own = {p: hashlib.sha256(d).hexdigest() for p, d in sorted(files.items()) if p != SUMS}
    files[SUMS] = "".join(f"{digest}  {path}\n" for path, digest in own.items()).encode()


def both(*changes: Change) -> Change:
    def change(files: Files) -> None:
        for one in changes:
            one(files)

    return change


def without(path: str) -> Change:
    def change(files: Files) -> None:
        del files[path]

    return change


def cut_short(path: str, share: float = 0.6) -> Change:
    def change(files: Files) -> None:
        files[path] = files[path][: int(len(files[path]) * share)]

    return change


def swapped(one: str, two: str) -> Change:
    def change(files: Files) -> None:
        files[one], files[two] = files[two], files[one]

    return change


def replaced(path: str, old: bytes, new: bytes) -> Change:
    def change(files: Files) -> None:
        assert old in files[path]
        files[path] = files[path].replace(old, new, 1)

    return change


# --- the data --------------------------------------------------------------------------------------------


def data(edit: Callable[[Any], None]) -> Change:
    """Change ``pack.json``."""

    def change(files: Files) -> None:
        pack = json.loads(files["pack.json"])
        edit(pack)
        files["pack.json"] = json.dumps(pack).encode()

    return change


def board(pack: Any, id_: str) -> Any:
    return next(b for b in pack["boards"] if b["id"] == id_)


def leg(pack: Any, id_: str) -> Any:
    return next(x for b in pack["boards"] for x in b["legs"] if x["id"] == id_)


def part(pack: Any, id_: str) -> Any:
    return next(p for b in pack["boards"] for p in b["parts"] if p["id"] == id_)


def member(pack: Any, id_: str) -> Any:
    return next(m for b in pack["boards"] for m in b["frame"]["members"] if m["id"] == id_)


def joint_hole(pack: Any, id_: str, kind: str) -> Any:
    return next(h for h in part(pack, id_)["holes"] if h["joint"] and h["kind"] == kind)


def moved(points: list[Any], x: float, y: float) -> list[Any]:
    return [[p[0] + x, p[1] + y] for p in points]


def move_member(pack: Any, id_: str, x: float, y: float) -> None:
    """A member of the frame and its part, both: the data agree among themselves."""
    for end in ("outer_start", "outer_end", "inner_start", "inner_end"):
        member(pack, id_)[end] = moved([member(pack, id_)[end]], x, y)[0]
    part(pack, id_)["placement"]["x_mm"] += x
    part(pack, id_)["placement"]["y_mm"] += y


# --- drawings --------------------------------------------------------------------------------------------


def drawing(path: str, edit: Callable[[Drawing], None]) -> Change:
    def change(files: Files) -> None:
        document = ezdxf.read(io.StringIO(files[path].decode().replace("\r\n", "\n")))
        edit(document)
        text = io.StringIO()
        document.write(text)
        files[path] = text.getvalue().encode()

    return change


def first(document: Drawing, kind: str, layer: str) -> Any:
    return document.modelspace().query(f'{kind}[layer=="{layer}"]').first


def largest_contour(document: Drawing) -> Any:
    return max(
        document.modelspace().query('LWPOLYLINE[layer=="THROUGH_CUT"]'),
        key=lambda e: max(p[0] for p in e.get_points()) - min(p[0] for p in e.get_points()),
    )


def at(document: Drawing, x: float, y: float) -> Any:
    """The circle at a place."""
    return min(
        document.modelspace().query("CIRCLE"),
        key=lambda c: (c.dxf.center.x - x) ** 2 + (c.dxf.center.y - y) ** 2,
    )


def scaled(x: float, y: float) -> Callable[[Drawing], None]:
    def edit(document: Drawing) -> None:
        for entity in list(document.modelspace()):
            entity.transform(Matrix44.scale(x, y, 1))

    return edit


# --- the workbook ----------------------------------------------------------------------------------------


def sheet_path(files: Files, name: str) -> str:
    with zipfile.ZipFile(io.BytesIO(files["workbook.xlsx"])) as package:
        names = re.findall(r'<sheet [^>]*name="([^"]+)"', package.read("xl/workbook.xml").decode())
    return f"xl/worksheets/sheet{names.index(name) + 1}.xml"


def packed_again(files: Files, path: str, edit: Callable[[str], str]) -> None:
    """The workbook with one of its parts changed."""
    old = zipfile.ZipFile(io.BytesIO(files["workbook.xlsx"]))
    new = io.BytesIO()
    with zipfile.ZipFile(new, "w", zipfile.ZIP_DEFLATED) as package:
        for name in old.namelist():
            text = old.read(name)
            package.writestr(name, edit(text.decode()).encode() if name == path else text)
    files["workbook.xlsx"] = new.getvalue()


def cell(sheet: str, ref: str, old: str, new: str) -> Change:
    """Change what stands in a cell: ``old`` in its XML becomes ``new``."""

    def change(files: Files) -> None:
        def edit(text: str) -> str:
            (found,) = re.findall(rf'<c r="{ref}"[ >].*?</c>', text)
            assert re.search(old, found), found
            return text.replace(found, re.sub(old, new, found, count=1))

        packed_again(files, sheet_path(files, sheet), edit)

    return change


def without_row(sheet: str, number: int) -> Change:
    def change(files: Files) -> None:
        def edit(text: str) -> str:
            left, count = re.subn(rf'<row r="{number}"[ >].*?</row>', "", text)
            assert count == 1
            return left

        packed_again(files, sheet_path(files, sheet), edit)

    return change
