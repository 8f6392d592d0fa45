"""Boards, cutting, sums and workbook that are wrong: what was done, how, the finding, what that must name."""

from __future__ import annotations

from corruptions import (
    THICK,
    THIN,
    Corruption,
    add_to,
    again,
    closer,
    cost_line,
    doubled,
    drop,
    move_board,
    on_top,
    one_on_another,
    placed,
    rename_sheet,
    set_in,
    sheet,
    sheet_file,
    total,
    turn_against_grain,
    unlabelled,
)
from forging import (
    board,
    both,
    cell,
    cut_short,
    data,
    drawing,
    first,
    largest_contour,
    leg,
    move_member,
    part,
    without_row,
)

BOARDS = [
    Corruption("a board moved", data(move_board), "031", "B05"),
    Corruption("a board moved, outline bare", data(move_board), "030", "B03"),
    Corruption(
        "the drawn outline is larger",
        data(
            lambda p: p["plan"]["outlines"][0].update(
                ring=[[-50, -50], [3700, -50], [3700, 2500], [-50, 2500]]
            )
        ),
        "030",
        "O1",
    ),
    Corruption("a board of another outline", set_in(lambda p: board(p, "B02"), "outline", "O7"), "030", "O7"),
    Corruption(
        "a deck placed 2 mm aside",
        add_to(lambda p: part(p, "B05-D")["placement"], "x_mm", 2.0),
        "032",
        "B05-D",
    ),
    Corruption(
        "a deck turned", set_in(lambda p: part(p, "B04-D")["placement"], "angle_deg", 180.0), "032", "B04-D"
    ),
    Corruption(
        "a board's size told wrong", add_to(lambda p: board(p, "B06"), "length_mm", -10.0), "033", "B06"
    ),
    Corruption(
        "a joist placed 5 mm aside",
        add_to(lambda p: part(p, "B04-J1")["placement"], "x_mm", 5.0),
        "034",
        "B04-J1",
    ),
    Corruption(
        "a joist 2 mm too high",
        add_to(lambda p: part(p, "B04-J1")["placement"], "z_mm", 2.0),
        "034",
        "B04-J1",
    ),
    Corruption(
        "a bevel turned over", set_in(lambda p: part(p, "B01-S1"), "left_bevel_deg", -14.5), "034", "B01-S1"
    ),
    Corruption(
        "a joist missing",
        drop(lambda p: board(p, "B04")["parts"], lambda r: r["id"] != "B04-J1"),
        "035",
        "B04-J1",
    ),
    Corruption(
        "a part without a place",
        drop(lambda p: board(p, "B04")["frame"]["members"], lambda r: r["id"] != "B04-J1"),
        "035",
        "B04-J1",
    ),
    Corruption(
        "a board without a deck",
        drop(lambda p: board(p, "B04")["parts"], lambda r: r["role"] != "deck"),
        "035",
        "B04",
    ),
    Corruption("two joists in one place", data(one_on_another), "036", "B05-J1"),
    Corruption(
        "a joist out in the open", data(lambda p: move_member(p, "B04-J1", 0.0, 300.0)), "037", "B04-J1"
    ),
]

CUTTING = [
    Corruption(
        "a part on no sheet",
        drop(lambda p: sheet(p, THICK)["parts"], lambda r: r["part"] != "B04-J1"),
        "050",
        "B04-J1",
    ),
    Corruption("a part cut twice", again(lambda p: sheet(p, THICK)["parts"]), "050", "B01-E1"),
    Corruption("a sheet cut twice", set_in(lambda p: sheet(p, THIN), "times", 2), "050", "-D"),
    Corruption("two copies wanted", set_in(lambda p: p["cutting"], "copies", 2), "050", "B01-D"),
    Corruption(
        "a stranger on the sheet", set_in(lambda p: placed(p, "B04-J1"), "part", "B09-J1"), "050", "B09-J1"
    ),
    Corruption("a part in the trim", set_in(lambda p: placed(p, "B06-D"), "x_mm", 4.0), "051", "B06-D"),
    Corruption(
        "a part out of the sheet", add_to(lambda p: placed(p, "B03-D"), "y_mm", 500.0), "051", "B03-D"
    ),
    Corruption("nearer than the kerf", data(closer), "052", THICK),
    Corruption("one over another", data(on_top), "052", THIN),
    Corruption("a part against its grain", data(turn_against_grain), "053", "B04-J1"),
    Corruption(
        "a blank too short", add_to(lambda p: placed(p, "B04-J1"), "length_mm", -1.0), "054", "B04-J1"
    ),
    Corruption("a thinner sheet", set_in(lambda p: sheet(p, THICK), "thickness_mm", 9.0), "054", THICK),
    Corruption("a smaller stock", set_in(lambda p: sheet(p, THIN), "width_mm", 1200.0), "055", THIN),
    Corruption(
        "a stock nobody sells", set_in(lambda p: sheet(p, THIN), "stock", "driftwood"), "055", "driftwood"
    ),
    Corruption("a thinner saw", set_in(lambda p: sheet(p, THIN), "kerf_mm", 2.0), "056", THIN),
    Corruption("less trim", set_in(lambda p: sheet(p, THIN), "trim_mm", 5.0), "056", THIN),
    Corruption("a sheet told fuller", set_in(lambda p: sheet(p, THIN), "used_fraction", 0.99), "056", THIN),
    Corruption(
        "a cut left out", drop(lambda p: sheet(p, THIN)["cuts"], lambda r: r["step"] != 5), "062", THIN
    ),
    Corruption(
        "cuts in another order",
        data(lambda p: sheet(p, THIN)["cuts"].insert(0, sheet(p, THIN)["cuts"].pop(4))),
        "062",
        THIN,
    ),
    Corruption(
        "a cut not to the edge", add_to(lambda p: sheet(p, THIN)["cuts"][4], "to_mm", -20.0), "062", THIN
    ),
    Corruption(
        "a fence setting changed",
        add_to(lambda p: sheet(p, THIN)["cuts"][6], "setting_mm", 1.0),
        "063",
        f"{THIN}, cut 7",
    ),
    Corruption(
        "from the other edge",
        set_in(lambda p: sheet(p, THIN)["cuts"][6], "from_edge", "top"),
        "063",
        f"{THIN}, cut 7",
    ),
    Corruption("the last cut moved", add_to(lambda p: sheet(p, THIN)["cuts"][-1], "at_mm", 3.0), "064", THIN),
    Corruption(
        "a part drawn elsewhere on its sheet",
        drawing(sheet_file(THIN), lambda d: largest_contour(d).translate(1, 0, 0)),
        "060",
        THIN,
    ),
    Corruption(
        "a hole missing on a sheet",
        drawing(sheet_file(THICK), lambda d: first(d, "CIRCLE", "HOLE").destroy()),
        "060",
        THICK,
    ),
    Corruption("a part too many on a sheet", drawing(sheet_file(THICK), doubled), "060", THICK),
    Corruption(
        "a sheet's edge drawn smaller",
        drawing(sheet_file(THIN), lambda d: first(d, "LWPOLYLINE", "SHEET_EDGE").scale(0.9, 0.9, 1)),
        "060",
        THIN,
    ),
    Corruption(
        "a saw line moved",
        drawing(sheet_file(THIN), lambda d: first(d, "LINE", "SAW_CUT").translate(0, 1, 0)),
        "061",
        THIN,
    ),
    Corruption(
        "a saw line missing",
        drawing(sheet_file(THIN), lambda d: first(d, "LINE", "SAW_CUT").destroy()),
        "061",
        f"{THIN}, cut 1",
    ),
    Corruption(
        "a part on a sheet without label", drawing(sheet_file(THICK), unlabelled("B04-J1")), "029", "B04-J1"
    ),
]

SUMS = [
    Corruption("a part's area", add_to(lambda p: part(p, "B04-J1"), "area_mm2", 100.0), "070", "B04-J1"),
    Corruption(
        "a part of another board", set_in(lambda p: part(p, "B04-J1"), "board", "B03"), "070", "B04-J1"
    ),
    Corruption("a board's mass", add_to(lambda p: board(p, "B03"), "mass_kg", -1.0), "071", "B03"),
    Corruption(
        "a part's mass, and its board's with it",
        both(
            add_to(lambda p: part(p, "B04-J1"), "mass_kg", 0.1),
            add_to(lambda p: board(p, "B04"), "mass_kg", 0.1),
        ),
        "071",
        "B04",
    ),
    Corruption(
        "a line's total", set_in(lambda p: cost_line(p, "dowel-10"), "total", "0.01"), "072", "dowel-10"
    ),
    Corruption("a price", set_in(lambda p: cost_line(p, "dowel-10"), "price", "0.01"), "072", "dowel-10"),
    Corruption("the total", set_in(lambda p: p["cost"], "total", "499.99"), "072", "499.99"),
    Corruption(
        "the price of a square metre", set_in(lambda p: p["cost"], "per_square_metre", "1.00"), "072", "1.00"
    ),
    Corruption(
        "a sheet not bought",
        set_in(lambda p: p["cost"]["lines"][0], "quantity", "77"),
        "073",
        "birch ply",
    ),
    Corruption("a nut too few", set_in(lambda p: cost_line(p, "nut-M8"), "quantity", "1"), "073", "nut-M8"),
    Corruption(
        "a board's bolts",
        add_to(
            lambda p: next(h for h in board(p, "B01")["hardware"] if h["item"] == "bolt-M8x40"),
            "quantity",
            2.0,
        ),
        "073",
        "bolt-M8x40",
    ),
]

WORKBOOK = [
    Corruption("the total typed over", total("<f>.*</f>", ""), "085", "Cost, Total"),
    Corruption("another total typed over", total("<f>.*</v>", "<v>480.82</v>"), "084", "480.82"),
    Corruption("the total as it shows", total("<v>.*</v>", "<v>500.00</v>"), "083", "500.00"),
    Corruption("the total leaves a line out", total("SUM.G5", "SUM(G6"), "083", "Cost G"),
    Corruption("a formula nobody knows", total("SUM", "INDIRECT"), "082", "Cost G"),
    Corruption("a formula to nowhere", cell("Summary", "B11", "Cost!", "Bill!"), "082", "Summary B11"),
    Corruption("an error shown", total("><f>", ' t="e"><f>'), "082", "Cost G"),
    Corruption("a price changed", cell("Cost", "F5", "<v>.*</v>", "<v>38.0</v>"), "083", "Cost G5"),
    Corruption("a quantity changed", cell("Cost", "D5", "<v>.*</v>", "<v>77</v>"), "086", "sheets birch ply"),
    Corruption(
        "a board's screws changed",
        cell("Hardware by board", "D5", "<v>.*</v>", "<v>8</v>"),
        "086",
        "B01",
    ),
    Corruption("a part's length", cell("Parts", "G6", "<v>.*</v>", "<v>250.3</v>"), "086", "B01-S1"),
    Corruption("a part's wood", cell("Parts", "E6", "birch ply", "balsa"), "086", "B01-S1"),
    Corruption("a fence setting", cell("Cutting", "E5", "<v>.*</v>", "<v>1200.0</v>"), "086", f"{THIN} 1"),
    Corruption("a hole's place", cell("Drilling", "D5", "<v>.*</v>", "<v>505.0</v>"), "086", "B01-D"),
    Corruption("a hole's depth", cell("Drilling", "G6", "through", "half"), "086", "B01-S1"),
    Corruption("a board's length", cell("Boards", "D7", "<v>.*</v>", "<v>1200.0</v>"), "086", "B03"),
    Corruption("a joint's start", cell("Joints", "E6", "<v>.*</v>", "<v>1.0</v>"), "086", "J02"),
    Corruption("a sheet's kerf", cell("Stock", "G5", "<v>.*</v>", "<v>4.0</v>"), "086", THIN),
    Corruption("a row of cuts lost", without_row("Cutting", 6), "087", "Cutting"),
    Corruption("a worksheet lost", lambda f: rename_sheet(f), "081", "Cost"),
    Corruption("the workbook cut short", cut_short("workbook.xlsx"), "080", "workbook.xlsx"),
    Corruption(
        "the workbook is text",
        lambda f: f.update({"workbook.xlsx": b"Boards;Parts\n6;52\n"}),
        "080",
        "workbook.xlsx",
    ),
]

LEGS = [
    Corruption("a leg before a bolt", data(lambda p: leg(p, "B01-L2").update(x_mm=520.0)), "045", "J01-C"),
    Corruption("a leg in a device", data(lambda p: leg(p, "B01-L2").update(x_mm=430.0)), "045", "E03"),
    Corruption(
        "a leg before a wire hole", data(lambda p: leg(p, "B01-L4").update(x_mm=700.0)), "045", "wire hole"
    ),
    Corruption("a leg in another", data(lambda p: leg(p, "B01-L4").update(x_mm=250.0)), "045", "B01-L2"),
    Corruption(
        "a leg in the way that no finding tells of",
        data(lambda p: p.update(findings=[f for f in p["findings"] if f["code"] != "BW-HARD-009"])),
        "045",
        "B03-L3",
    ),
]
