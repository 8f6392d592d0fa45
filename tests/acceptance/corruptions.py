"""Ways in which a pack can be wrong: (what was done, how, the finding it must raise, what that must name).

All but the first few have their digests written anew, so that the contents alone must give them away.
The pack is that of the branch terminus: boards B01 to B06, joints J01 (B01, B02) to J05.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable
from typing import Any, NamedTuple

from forging import (
    Change,
    Files,
    at,
    board,
    cell,
    data,
    drawing,
    joint_hole,
    largest_contour,
    move_member,
    moved,
    packed_again,
    part,
    sheet_path,
)

THIN, LAST, THICK = "birch-ply-9-01", "birch-ply-9-02", "birch-ply-12-01"
END = "B02-E1"  # of board B02 at joint J01; its mate is B01-E1


class Corruption(NamedTuple):
    """``tells``: words that must stand in the finding or its place."""

    done: str
    change: Change
    code: str
    tells: str
    forged: bool = True


def part_file(id_: str) -> str:
    return f"dxf/parts/{id_}.dxf"


def sheet_file(id_: str) -> str:
    return f"dxf/sheets/{id_}.dxf"


def sheet(pack: Any, id_: str) -> Any:
    return next(s for s in pack["cutting"]["sheets"] if s["id"] == id_)


def placed(pack: Any, id_: str) -> Any:
    return next(p for s in pack["cutting"]["sheets"] for p in s["parts"] if p["part"] == id_)


def cost_line(pack: Any, item: str) -> Any:
    return next(line for line in pack["cost"]["lines"] if line["item"] == item)


def hole(path: str, near: tuple[float, float], edit: Callable[[Any], None]) -> Change:
    return drawing(path, lambda d: edit(at(d, *near)))


def end_hole(edit: Callable[[Any], None], kind: str = "bolt") -> Change:
    """Change a hole of the end in the data and in its drawing alike: only its mate can tell."""

    def change(files: Files) -> None:
        spots: list[tuple[float, float]] = []

        def of_data(pack: Any) -> None:
            found = joint_hole(pack, END, kind)
            spots.append((found["x_mm"], found["y_mm"]))
            edit(found)
            spots.append((found["x_mm"], found["y_mm"]))
            spots.append((found["diameter_mm"] / 2, 0.0))

        def of_drawing(document: Any) -> None:
            circle = at(document, *spots[0])
            circle.dxf.center = (*spots[1], 0)
            circle.dxf.radius = spots[2][0]

        data(of_data)(files)
        drawing(part_file(END), of_drawing)(files)

    return change


def without_end_hole(files: Files) -> None:
    def of_data(pack: Any) -> None:
        holes = part(pack, END)["holes"]
        found = joint_hole(pack, END, "bolt")
        holes.remove(found)
        drawing(part_file(END), lambda d: at(d, found["x_mm"], found["y_mm"]).destroy())(files)

    data(of_data)(files)


def set_in(find: Callable[[Any], Any], key: str, value: Any) -> Change:
    return data(lambda pack: find(pack).__setitem__(key, value))


def add_to(find: Callable[[Any], Any], key: str, value: float) -> Change:
    def edit(pack: Any) -> None:
        record = find(pack)
        record[key] += value

    return data(edit)


def move_board(pack: Any) -> None:
    found = board(pack, "B04")
    found["ring"] = moved(found["ring"], 10, 0)
    found["origin"][0] += 10


def drop(rows: Callable[[Any], list[Any]], keep: Callable[[Any], bool]) -> Change:
    def edit(pack: Any) -> None:
        found = rows(pack)
        found[:] = [r for r in found if keep(r)]

    return data(edit)


def again(rows: Callable[[Any], list[Any]], which: int = 0) -> Change:
    return data(lambda pack: rows(pack).append(rows(pack)[which]))


def turn_against_grain(pack: Any) -> None:
    found = placed(pack, "B04-J1")
    found["length_mm"], found["width_mm"] = found["width_mm"], found["length_mm"]
    found["turned"] = True


def reopened(document: Any) -> None:
    largest_contour(document).close(False)


def as_lines(document: Any) -> None:
    contour = largest_contour(document)
    points = [p[:2] for p in contour.get_points()]
    for a, b in zip(points, [*points[1:], points[0]], strict=True):
        document.modelspace().add_line(a, b, dxfattribs={"layer": "THROUGH_CUT"})
    contour.destroy()


def doubled(document: Any) -> None:
    document.modelspace().add_entity(largest_contour(document).copy())


def standing_still(document: Any) -> None:
    contour = largest_contour(document)
    points = [*contour.get_points()]
    contour.set_points([points[0], *points])


def crossing(document: Any) -> None:
    contour = largest_contour(document)
    points = [*contour.get_points()]
    points[0], points[1] = points[1], points[0]
    contour.set_points(points)


def flattened(document: Any) -> None:
    contour = largest_contour(document)
    contour.set_points([(x, y, s, e, 0.0) for x, y, s, e, _ in contour.get_points()])


def notched(document: Any) -> None:
    contour = largest_contour(document)
    points = [*contour.get_points()]
    points.insert(1, (points[0][0] + 50, 20, 0, 0, 0))
    points.insert(1, (points[0][0] + 20, 0, 0, 0, 0))
    contour.set_points(points)


def unlabelled(id_: str) -> Callable[[Any], None]:
    def edit(document: Any) -> None:
        for text in document.modelspace().query("TEXT"):
            if text.dxf.text == id_:
                text.destroy()

    return edit


def header(name: str, value: int) -> Callable[[Any], None]:
    def edit(document: Any) -> None:
        document.header[name] = value

    return edit


def extra_circle(document: Any) -> None:
    document.modelspace().add_circle((40, 60), 4, dxfattribs={"layer": "HOLE"})


def shift(x: float, y: float = 0.0) -> Callable[[Any], None]:
    return lambda entity: entity.translate(x, y, 0)


def radius(mm: float) -> Callable[[Any], None]:
    return lambda entity: entity.dxf.set("radius", mm)


def layer(name: str) -> Callable[[Any], None]:
    return lambda entity: entity.dxf.set("layer", name)


def wider(x: float) -> Callable[[Any], None]:
    def edit(document: Any) -> None:
        contour = largest_contour(document)
        right = max(p[0] for p in contour.get_points())
        contour.set_points([(px + x if px > right - 1 else px, *rest) for px, *rest in contour.get_points()])

    return edit


def copy_file(old: str, new: str) -> Change:
    def change(files: Files) -> None:
        files[new] = files[old]

    return change


JOIST = part_file("B04-J1")


def end_drawn(edit: Callable[[Any], None], kind: str = "bolt") -> Change:
    """Change a hole of the end in its drawing alone."""

    def change(files: Files) -> None:
        def of_data(pack: Any) -> None:
            found = joint_hole(pack, END, kind)
            hole(part_file(END), (found["x_mm"], found["y_mm"]), edit)(files)

        data(of_data)(files)

    return change


def rename_sheet(files: Files) -> None:
    packed_again(files, "xl/workbook.xml", lambda text: text.replace('name="Cost"', 'name="Bill"'))


def one_on_another(pack: Any) -> None:
    one, two = (part(pack, id_)["placement"] for id_ in ("B05-J1", "B05-J2"))
    move_member(pack, "B05-J1", two["x_mm"] - one["x_mm"], two["y_mm"] - one["y_mm"])


def on_top(pack: Any) -> None:
    one, two, *_ = sheet(pack, THIN)["parts"]
    two["x_mm"], two["y_mm"] = one["x_mm"], one["y_mm"]


def closer(pack: Any) -> None:
    """Of two parts a kerf apart along the sheet, the second a millimetre nearer."""
    found = sheet(pack, THICK)
    second = next(
        b
        for a in found["parts"]
        for b in found["parts"]
        if abs(b["x_mm"] - a["x_mm"] - a["length_mm"] - found["kerf_mm"]) < 1e-4
        and abs(b["y_mm"] - a["y_mm"]) < 1.0
    )
    second["x_mm"] -= 1.0


def total(old: str, new: str) -> Change:
    """Change the cell that holds the total of the cost."""

    def change(files: Files) -> None:
        with zipfile.ZipFile(io.BytesIO(files["workbook.xlsx"])) as package:
            text = package.read(sheet_path(files, "Cost")).decode()
        (row,) = re.findall(r'<c r="C(\d+)"[^>]*><is><t[^>]*>Total</t>', text)
        cell("Cost", f"G{row}", old, new)(files)

    return change
