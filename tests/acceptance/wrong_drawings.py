"""Files, drawings and holes that are wrong: what was done, how, the finding, what that must name."""

from __future__ import annotations

from corruptions import (
    END,
    JOIST,
    LAST,
    THIN,
    Corruption,
    add_to,
    again,
    as_lines,
    copy_file,
    crossing,
    doubled,
    end_drawn,
    end_hole,
    extra_circle,
    flattened,
    header,
    layer,
    notched,
    part_file,
    radius,
    reopened,
    set_in,
    sheet_file,
    shift,
    standing_still,
    unlabelled,
    wider,
    without_end_hole,
)
from forging import (
    board,
    cut_short,
    data,
    drawing,
    joint_hole,
    replaced,
    scaled,
    swapped,
    without,
)

FILES = [
    Corruption("a part's drawing is lost", without(JOIST), "006", JOIST, forged=False),
    Corruption("the workbook is lost", without("workbook.xlsx"), "006", "workbook.xlsx", forged=False),
    Corruption("a template is lost", without("templates/B02.pdf"), "006", "templates/B02.pdf", forged=False),
    Corruption(
        "the page is edited", replaced("index.html", b"</h1>", b"!</h1>"), "007", "index.html", forged=False
    ),
    Corruption(
        "a drawing under another's digest", swapped(JOIST, part_file("B05-J1")), "007", JOIST, forged=False
    ),
    Corruption("the list of digests is lost", without("SHA256SUMS"), "005", "SHA256SUMS", forged=False),
    Corruption("the list is cut short", cut_short("SHA256SUMS", 0.497), "005", "SHA256SUMS", forged=False),
    Corruption(
        "a part's drawing is there twice",
        copy_file(JOIST, part_file("B04-J1 (2)")),
        "008",
        "B04-J1 (2)",
        forged=False,
    ),
    Corruption("a part has no drawing", without(JOIST), "010", "part B04-J1"),
    Corruption("a sheet has no drawing", without(sheet_file(THIN)), "010", f"sheet {THIN}"),
    Corruption("a board has no drawing", without("dxf/boards/B03.dxf"), "010", "board B03"),
    Corruption(
        "no general arrangement", without("dxf/general-arrangement.dxf"), "010", "general arrangement"
    ),
    Corruption("no workbook", without("workbook.xlsx"), "080", "workbook.xlsx"),
    Corruption("pack.json is cut short", cut_short("pack.json"), "003", "pack.json"),
    Corruption("a field is lost", data(lambda p: board(p, "B02").pop("ring")), "003", "ring"),
    Corruption(
        "a number became text", set_in(lambda p: board(p, "B02"), "level_mm", "nought"), "003", "level_mm"
    ),
    Corruption(
        "another form", set_in(lambda p: p, "schema", "boardwright-pack/99"), "002", "boardwright-pack/99"
    ),
    Corruption("a part told twice", again(lambda p: board(p, "B02")["parts"]), "004", "B02-D"),
    Corruption("a sheet told twice", again(lambda p: p["cutting"]["sheets"]), "004", THIN),
]

DRAWINGS = [
    Corruption("a drawing is cut short", cut_short(JOIST), "011", JOIST),
    Corruption("only its end mark is lost", replaced(JOIST, b"  0\r\nEOF\r\n", b""), "011", JOIST),
    Corruption(
        "it is a picture", lambda f: f.update({JOIST: b"\x89PNG\r\n\x1a\n\xff\xd8" * 9}), "011", JOIST
    ),
    Corruption("inches", drawing(JOIST, header("$INSUNITS", 1)), "012", JOIST),
    Corruption("no units", drawing(sheet_file(THIN), header("$INSUNITS", 0)), "012", sheet_file(THIN)),
    Corruption("a contour is open", drawing(JOIST, reopened), "020", "B04-J1"),
    Corruption("a contour of single lines", drawing(JOIST, as_lines), "020", "B04-J1"),
    Corruption("a contour twice", drawing(JOIST, doubled), "021", "B04-J1"),
    Corruption("a piece without length", drawing(JOIST, standing_still), "021", "B04-J1"),
    Corruption(
        "a point on the cut layer",
        drawing(JOIST, lambda d: d.modelspace().add_point((5, 5), dxfattribs={"layer": "THROUGH_CUT"})),
        "021",
        "B04-J1",
    ),
    Corruption("a contour crosses itself", drawing(JOIST, crossing), "022", "B04-J1"),
    Corruption("drawn in inches", drawing(JOIST, scaled(1 / 25.4, 1 / 25.4)), "023", "B04-J1"),
    Corruption("drawn at twice its size", drawing(part_file("B02-D"), scaled(2, 2)), "023", "B02-D"),
    Corruption("a joist 5 mm longer", drawing(JOIST, wider(5)), "024", "B04-J1"),
    Corruption("a joist 0.05 mm shorter", drawing(JOIST, wider(-0.05)), "024", "B04-J1"),
    Corruption("a curve made straight", drawing(part_file("B02-D"), flattened), "024", "B02-D"),
    Corruption("a notch nobody asked for", drawing(JOIST, notched), "024", "B04-J1"),
    Corruption("a label is lost", drawing(JOIST, unlabelled("B04-J1")), "029", "B04-J1"),
    Corruption("two parts' drawings exchanged", swapped(JOIST, part_file("B05-J1")), "029", "B05-J1"),
    Corruption("two sheets exchanged", swapped(sheet_file(THIN), sheet_file(LAST)), "029", THIN),
    Corruption("two boards exchanged", swapped("dxf/boards/B01.dxf", "dxf/boards/B02.dxf"), "029", "B01"),
    Corruption("a board's drawing scaled", drawing("dxf/boards/B03.dxf", scaled(0.5, 0.5)), "065", "B03"),
    Corruption(
        "the arrangement scaled", drawing("dxf/general-arrangement.dxf", scaled(1.01, 1.01)), "065", "B01"
    ),
]

HOLES = [
    Corruption("a hole drawn 1 mm aside", end_drawn(shift(1)), "025", END),
    Corruption("a hole drawn 0.05 mm aside", end_drawn(shift(0.05)), "041", "B01-E1"),
    Corruption("a hole not drawn", end_drawn(lambda c: c.destroy()), "025", END),
    Corruption("a hole too many", drawing(JOIST, extra_circle), "026", "B04-J1"),
    Corruption("a hole drawn too wide", end_drawn(radius(5)), "027", END),
    Corruption("a through hole as a pocket", end_drawn(layer("POCKET")), "028", END),
    Corruption(
        "a bolt's hole moved, drawing and data",
        end_hole(lambda h: h.update(x_mm=h["x_mm"] + 0.5)),
        "041",
        END,
    ),
    Corruption(
        "a dowel's hole 0.02 mm higher",
        end_hole(lambda h: h.update(y_mm=h["y_mm"] + 0.02), "dowel"),
        "041",
        END,
    ),
    Corruption(
        "a bolt's hole wider than its mate", end_hole(lambda h: h.update(diameter_mm=10.0)), "042", "B01-E1"
    ),
    Corruption("a mating hole missing, drawing and data", without_end_hole, "040", "J01, B01-E1"),
    Corruption(
        "a dowel's hole told as a bolt's",
        set_in(lambda p: joint_hole(p, END, "dowel"), "kind", "bolt"),
        "040",
        "J01",
    ),
    Corruption("a board 3 mm higher", add_to(lambda p: board(p, "B03"), "level_mm", 3.0), "041", "J02"),
    Corruption(
        "a joint to nowhere", set_in(lambda p: p["joints"][0], "boards", ["B01", "B09"]), "040", "B09"
    ),
    Corruption("a bolt of the list moved", add_to(lambda p: p["fixings"][0], "x_mm", 2.0), "043", "J01-A"),
    Corruption("a bolt of the list lower", add_to(lambda p: p["fixings"][0], "z_mm", -1.0), "043", "J01-A"),
    Corruption(
        "a wire hole of the list moved",
        add_to(lambda p: board(p, "B05")["wire_holes"][0], "along_mm", 4.0),
        "044",
        "B05",
    ),
]
