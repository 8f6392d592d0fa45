"""Price lists, currencies, suppliers, thicknesses that are not what they are called, and cheaper choices."""

from __future__ import annotations

import io
import random
from decimal import Decimal as D

import openpyxl
import pytest
from msgspec.structs import replace

from boardwright import Notes
from boardwright.errors import InputError
from boardwright.plan.source import SourceFile
from boardwright_outputs.workbook.build import built
from boardwright_outputs.workbook.buying import CostCells
from boardwright_outputs.workbook.buying import cost as cost_table
from boardwright_outputs.workbook.exchange import exchange
from boardwright_outputs.workbook.shares import shares, shares_by_line
from boardwright_outputs.workbook.sheet import Front
from boardwright_stages.costing.currencies import CurrencySettings
from boardwright_stages.costing.price_list import read_prices
from boardwright_stages.costing.settings import CostingSettings, Price, Supplier
from boardwright_stages.costing.stages import cost
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.nesting.stages import cutting
from boardwright_timber.model import (
    BoardHardware,
    BoardParts,
    Cost,
    CuttingPlan,
    Grain,
    HardwareLine,
    Part,
    Placement,
)

PLY = StockSheet(name="ply", material="birch ply", thickness_mm=12.0, price=D("60.00"), supplier="Yard")
BOXES = CostingSettings(prices={"screw-4x50": Price(price=D("9.00"), holds=200, currency="USD")})


def part(id_: str, board: str = "A", thickness: float = 12.0) -> Part:
    return Part(
        id=id_,
        board=board,
        role="side",
        label=id_,
        material="birch ply",
        thickness_mm=thickness,
        length_mm=1200.0,
        width_mm=100.0,
        grain=Grain.LENGTH,
        ring=((0.0, 0.0), (1200.0, 0.0), (1200.0, 100.0), (0.0, 100.0)),
        area_mm2=120_000.0,
        mass_kg=0.0,
        placement=Placement(x_mm=0.0, y_mm=0.0, z_mm=0.0, angle_deg=0.0, stands=True),
    )


def screw_line(quantity: float) -> HardwareLine:
    return HardwareLine(item="screw-4x50", says="screws", quantity=quantity, unit="piece", why="")


def costed(
    settings: CostingSettings,
    stock: StockSettings | None = None,
    rates: dict[str, D] | None = None,
    screws: float = 200,
    boards: tuple[str, ...] = ("A",),
    times: tuple[int, ...] = (1, 2, 3),
) -> tuple[Cost, CuttingPlan, Notes]:
    notes = Notes()
    stock = stock or StockSettings(sheets=(PLY,))
    money = CurrencySettings(rates=rates or {})
    parts = {b: BoardParts(board=b, parts=(part(f"{b}-S1", b), part(f"{b}-S2", b))) for b in boards}
    plan = cutting(parts, stock, CuttingSettings(), notes, currencies=money)
    needs = [
        BoardHardware(
            board=b,
            lines=(screw_line(screws * n),),
        )
        for n, b in zip(times, boards, strict=False)
    ]
    hardware = {h.board: h for h in needs}
    made = cost(plan, hardware, {}, stock, settings, notes, parts=parts, currencies=money)
    return made, plan, notes


def listed(name: str, data: str | bytes) -> SourceFile:
    return SourceFile(name, data if isinstance(data, bytes) else data.encode())


def xlsx(rows: list[tuple[object, ...]]) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    saved = io.BytesIO()
    book.save(saved)
    return saved.getvalue()


LISTS = (
    listed("prices.csv", "Item,Price,currency,holds\nscrew-4x50,8.40,,100\nply,55.5,USD,\nnot asked,,,\n"),
    listed("prices.csv", "item;price;currency;holds\nscrew-4x50;8,40;;100\nply;55,5;usd;1\n"),
    listed(
        "prices.xlsx",
        xlsx(
            [
                ("item", "price", "currency", "holds"),
                ("screw-4x50", 8.4, None, 100),
                ("ply", 55.5, "USD", None),
            ]
        ),
    ),
    listed(
        "prices.toml",
        '[[price]]\nitem = "screw-4x50"\nprice = 8.40\nholds = 100\n'
        '[[price]]\nitem = "ply"\nprice = 55.5\ncurrency = "USD"\n',
    ),
)


@pytest.mark.parametrize("source", LISTS, ids=["csv", "decimal commas", "xlsx", "toml"])
def test_one_list_prices_hardware_and_sheets(source: SourceFile) -> None:
    files = {"costing": source}
    settings = CostingSettings(price_list=source.name).completed(files)
    assert settings.file_beside() == ("price_list", source.name)
    assert (settings.prices["screw-4x50"].price, settings.prices["screw-4x50"].holds) == (D("8.4"), 100)
    unpriced = replace(PLY, price=None)
    (sheet,) = StockSettings(sheets=(unpriced,)).completed(files).sheets
    assert (sheet.price, sheet.currency) == (D("55.5"), "USD")
    # what the project file says itself stands
    (own,) = StockSettings(sheets=(PLY,)).completed(files).sheets
    assert own == PLY
    mine = CostingSettings(prices={"screw-4x50": Price(price=D(1))}).completed(files)
    assert mine.prices["screw-4x50"].price == 1


@pytest.mark.parametrize(
    ("source", "code", "word"),
    [
        (listed("p.csv", "thing,price\nx,1\n"), "BW-COST-010", "item"),
        (listed("p.csv", ""), "BW-COST-010", "empty"),
        (listed("p.csv", "item,price\nx,-1\n"), "BW-COST-011", "-1"),
        (listed("p.csv", "item,price\nx,12 EUR\n"), "BW-COST-011", "12 EUR"),
        (listed("p.csv", "item,price\nx,1\nx,2\n"), "BW-COST-011", "twice"),
        (listed("p.csv", "item,price,holds\nx,1,0.5\n"), "BW-COST-011", "holds"),
        (listed("p.csv", "item,price\n,1\n"), "BW-COST-011", "no item"),
        (listed("p.csv", "item,price\nx,9,50\n"), "BW-COST-011", "more cells than there are columns: '50'"),
        (listed("p.csv", "item,price,currency\nx,9,50\n"), "BW-COST-011", "currency of x is '50'"),
        (listed("p.csv", "item;price\nx;9,50\ny;1.062\n"), "BW-COST-011", "y may be meant with thousands"),
        (listed("p.csv", "item;price\ny;1.062,50\n"), "BW-COST-011", "1.062,50"),
        (listed("p.xlsx", b"PK no zip"), "BW-COST-010", "damaged"),
        (listed("p.toml", '[[price]]\nitem = "x"\ncost = 1\n'), "BW-COST-010", "cost"),
        (listed("p.toml", "= ="), "BW-COST-010", "cannot be read"),
        (listed("p.csv", b"\xff\xfe\x00"), "BW-COST-010", "cannot be read"),
    ],
)
def test_a_list_that_cannot_be_used_is_refused(source: SourceFile, code: str, word: str) -> None:
    with pytest.raises(InputError) as told:
        read_prices(source)
    assert (told.value.findings[0].code, word in told.value.findings[0].says) == (code, True)


def test_foreign_prices_at_the_stated_rate() -> None:
    """One box of 9.00 USD at 0.9217: 8.2953, to the cent 8.30; with spares two boxes: 16.60."""
    made, _, notes = costed(BOXES, rates={"USD": D("0.9217")})
    line = next(x for x in made.lines if x.item == "screw-4x50")
    assert (line.listed, line.currency, line.rate) == (D("9.00"), "USD", D("0.9217"))
    assert (line.quantity, line.price, line.total) == (2, D("8.30"), D("16.60"))
    assert made.total == D("76.60")
    assert made.complete
    assert "BW-COST-006" not in {f.code for f in notes.findings}


def test_without_a_rate_the_total_is_partial_and_says_so() -> None:
    made, _, notes = costed(BOXES)
    assert (made.total, made.complete) == (D("60.00"), False)
    (told,) = [f for f in notes.findings if f.code == "BW-COST-006"]
    assert "USD" in told.says
    assert "screw-4x50" in told.says
    assert "BW-COST-001" not in {f.code for f in notes.findings}  # said once


def test_the_cheaper_sheet_is_bought_whatever_its_currency() -> None:
    dear = replace(PLY, name="abroad", price=D("50.00"), currency="GBP")
    for rate, bought in ((D("1.30"), "ply"), (D("1.10"), "abroad")):  # 65.00 and 55.00 against 60.00
        made, _, _ = costed(CostingSettings(), StockSettings(sheets=(PLY, dear)), {"GBP": rate})
        assert [line.item for line in made.lines if line.group == "sheets"] == [bought]


def test_what_each_supplier_takes() -> None:
    yard = Supplier(delivery=D("25.00"), charge_per_cut=D("1.50"), minimum_order=D("100.00"))
    settings = CostingSettings(suppliers={"Yard": yard}, delivery=D("4.90"))
    made, plan, notes = costed(settings)
    cuts = len(plan.sheets[0].cuts)
    services = {line.item: (line.quantity, line.total) for line in made.lines if line.group == "services"}
    assert services == {
        "delivery": (1, D("4.90")),
        "saw-cuts-Yard": (cuts, cuts * D("1.50")),
        "delivery-Yard": (1, D("25.00")),
    }
    (told,) = [f for f in notes.findings if f.code == "BW-COST-005"]
    assert "60.00" in told.says  # the sheet; the screws are bought elsewhere
    assert "of Yard" in told.says
    assert "the least order is 100.00 EUR" in told.says
    assert told.mend.startswith("Order for 40.00 EUR more")


def test_cheaper_choices_in_words_with_money() -> None:
    """60 − 48 for one sheet; the cuts at 1.10; the delivery."""
    other = replace(PLY, name="second grade", price=D("48.00"), quantity=0, material="poplar ply")
    settings = CostingSettings(charge_per_cut=D("1.10"), delivery=D("25.00"))
    made, plan, _ = costed(settings, StockSettings(sheets=(PLY, other)))
    cuts = len(plan.sheets[0].cuts)
    found = {c.saves: c.says for c in made.choices}
    assert found[D("12.00")].startswith("1 × second grade in place of ply: set the material")
    assert "Fetch the material" in found[D("25.00")]
    assert "yourself" in found[cuts * D("1.10")]
    assert [c.saves for c in made.choices] == sorted(found, reverse=True)


def test_frames_drawn_for_the_nominal_thickness_are_refused_and_the_measured_one_is_cut() -> None:
    """Sold as 12 mm, measures 11.7: a frame drawn for 12 would not fit."""
    real = StockSettings(sheets=(replace(PLY, actual_mm=11.7),))
    notes = Notes()
    plan = cutting({"A": BoardParts(board="A", parts=(part("P"),))}, real, CuttingSettings(), notes)
    assert [f.code for f in notes.findings] == ["BW-CUT-014"]
    assert "11.7" in notes.findings[0].mend
    assert [u.part for u in plan.unplaced] == ["P"]
    notes = Notes()
    fits = {"A": BoardParts(board="A", parts=(part("P", thickness=11.7),))}
    plan = cutting(fits, real, CuttingSettings(), notes)
    assert [(s.stock, s.thickness_mm) for s in plan.sheets] == [("ply", 11.7)]
    made = cost(plan, {}, {}, real, CostingSettings(), notes, parts=fits)
    assert (made.total, made.lines[0].says) == (
        D("60.00"),
        "birch ply 12 mm (measures 11.7), from Yard",
    )


def test_shares_and_foreign_prices_stay_live_in_the_workbook(calculator: type) -> None:
    """A changed rate, price or quantity changes the total, and the shares still add up to it."""
    made, _, _ = costed(BOXES, rates={"USD": D("0.9217")}, screws=150, boards=("A", "B", "C"))
    front = Front(name="Summary", title="x", purpose="x", blocks=())
    tables = (cost_table(made), *exchange(made), shares(made), shares_by_line(made))
    book = openpyxl.load_workbook(io.BytesIO(built(front, tables)))
    ws = book["Cost shares"]
    names = [(ws[f"A{r}"].value, ws[f"B{r}"].value) for r in range(5, 10)]
    assert names == [
        ("board", "A"),
        ("board", "B"),
        ("board", "C"),
        ("stage", "frames"),
        ("stage", "assembly"),
    ]
    draw = random.Random(3)
    for n in range(6):
        sums = calculator(book)
        amounts = [sums.cell("Cost shares", f"C{r}") for r in range(5, 10)]
        total = sums.cell("Cost", CostCells(made).total)
        if not n:
            assert amounts == [*(s.amount for s in made.by_board), *(s.amount for s in made.by_stage)]
            assert total == made.total
        assert sum(amounts[:3]) == sum(amounts[3:]) == total
        book["Currencies"]["B5"].value = round(draw.uniform(0.5, 1.5), 4)
        book["Foreign prices"]["C5"].value = round(draw.uniform(1, 20), 2)
        book["Cost"]["F5"].value = round(draw.uniform(20, 90), 2)
    assert total != made.total


def test_half_a_cent_is_rounded_alike_here_and_in_the_workbook(calculator: type) -> None:
    """A bears a twelfth, 0.083333333333 as it is stored, of 0.18: 1.5 cents, that is 2."""
    settings = CostingSettings(prices={"screw-4x50": Price(price=D("0.18"), holds=1000)})
    free = StockSettings(sheets=(replace(PLY, price=D("0.00")),))
    made, _, _ = costed(settings, free, screws=10, boards=("A", "B"), times=(1, 11))
    assert [s.amount for s in made.by_board] == [D("0.02"), D("0.16")]
    front = Front(name="Summary", title="x", purpose="x", blocks=())
    tables = (cost_table(made), shares(made), shares_by_line(made))
    sums = calculator(openpyxl.load_workbook(io.BytesIO(built(front, tables))))
    assert [sums.cell("Cost shares", f"C{r}") for r in (5, 6)] == [D("0.02"), D("0.16")]
