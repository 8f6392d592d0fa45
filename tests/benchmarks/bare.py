"""The same without the tool: what the libraries alone need for a pack of this size.

``python tests/benchmarks/bare.py PACK OUT`` imports the libraries, solves the cutting of the pack's parts,
and writes as many files as the pack has with as much in them, by ezdxf, openpyxl and reportlab themselves.
"""

from __future__ import annotations

import base64
import json
import re
import sys
import zlib
from collections import Counter
from pathlib import Path
from typing import Any


def main(pack: Path, out: Path) -> None:
    counts = json.loads((out / "counts.json").read_text())
    import jinja2  # noqa: F401  # loaded as the tool loads it
    import shapely  # noqa: F401  # loaded as the tool loads it

    solve(json.loads((pack / "pack.json").read_text()))
    draw(counts["drawings"], out)
    tabulate(counts["sheets"], out)
    paint(counts["papers"], out)
    for name in counts["others"]:
        (out / name).write_bytes((pack / name).read_bytes())


def count(pack: Path) -> dict[str, object]:
    """What a pack holds, for ``draw`` and ``tabulate``: not part of what is measured."""
    import ezdxf
    import openpyxl

    drawings = {
        p.name: Counter(e.dxftype() for e in ezdxf.readfile(p).modelspace())
        for p in sorted(pack.rglob("*.dxf"))
    }
    book = openpyxl.load_workbook(pack / "workbook.xlsx")
    sheets = {s.title: [[c.value for c in row] for row in s.iter_rows()] for s in book}
    papers = {p.relative_to(pack).as_posix(): pages(p.read_bytes()) for p in sorted(pack.rglob("*.pdf"))}
    return {
        "drawings": drawings,
        "sheets": sheets,
        "papers": papers,
        "others": ["index.html", "pack.json"],
    }


def pages(pdf: bytes) -> list[tuple[int, int]]:
    """Corners of lines and texts of each page."""
    found = []
    for stream in re.findall(rb"stream\r?\n(.*?)endstream", pdf, re.DOTALL):
        content = zlib.decompress(base64.a85decode(stream.strip().removesuffix(b"~>")))
        found.append((len(re.findall(rb" [lc]\b", content)), content.count(b" Tj")))
    return found


def solve(data: dict[str, Any]) -> None:
    """One call of the solver, deterministic and with a small queue, for each material and thickness."""
    from packingsolver import rectangleguillotine as rg

    kinds: dict[tuple[object, ...], list[dict[str, Any]]] = {}
    for sheet in data["cutting"]["sheets"]:
        usable = (sheet["length_mm"] - 2 * sheet["trim_mm"], sheet["width_mm"] - 2 * sheet["trim_mm"])
        kinds.setdefault((sheet["stock"], *usable, sheet["kerf_mm"]), []).extend(sheet["parts"])
    for (_, length, width, kerf), parts in kinds.items():
        builder = rg.InstanceBuilder()
        builder.set_objective(rg.Objective.BinPacking)
        builder.add_bin_type(round(10 * length), round(10 * width), copies=len(parts))
        builder.set_cut_thickness(round(10 * kerf))
        blanks = Counter((round(10 * p["length_mm"]), round(10 * p["width_mm"])) for p in parts)
        for (long, wide), copies in sorted(blanks.items()):
            builder.add_item_type(long, wide, oriented=True, copies=copies)
        parameters = rg.OptimizeParameters()
        parameters.optimization_mode = rg.OptimizationMode.NotAnytimeDeterministic
        parameters.use_tree_search = True
        parameters.not_anytime_tree_search_queue_size = 256
        parameters.verbosity_level = 0
        parameters.messages_to_stdout = False
        rg.optimize(builder.build(), parameters)


def draw(drawings: dict[str, dict[str, int]], out: Path) -> None:
    import ezdxf

    for name, kinds in drawings.items():
        document = ezdxf.new()
        space = document.modelspace()
        for _ in range(kinds.get("LWPOLYLINE", 0)):
            space.add_lwpolyline([(0, 0), (1, 0), (1, 1), (0, 1)], close=True)
        for _ in range(kinds.get("LINE", 0)):
            space.add_line((0, 0), (1, 1))
        for _ in range(kinds.get("CIRCLE", 0)):
            space.add_circle((0, 0), 1)
        for _ in range(kinds.get("TEXT", 0)):
            space.add_text("text")
        document.saveas(out / name)


def paint(papers: dict[str, list[tuple[int, int]]], out: Path) -> None:
    from reportlab.pdfgen.canvas import Canvas

    for name, on_pages in papers.items():
        canvas = Canvas(str(out / name.replace("/", "-")), pageCompression=1)
        for corners, texts in on_pages:
            path = canvas.beginPath()
            path.moveTo(0, 0)
            for n in range(corners):
                path.lineTo(100.123 + n, 200.456)
            canvas.drawPath(path)
            for n in range(texts):
                canvas.drawString(10.5, n, "B01-S1 1234.5")
            canvas.showPage()
        canvas.save()


def tabulate(sheets: dict[str, list[list[object]]], out: Path) -> None:
    import openpyxl

    book = openpyxl.Workbook()
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    book.save(out / "workbook.xlsx")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
