"""A bare list of pieces and a stock file: what is read, what is refused and in which words."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Notes
from boardwright.errors import InputError
from boardwright.plan.source import SourceFile
from boardwright_stages.nesting.nest import nest
from boardwright_stages.nesting.piece_list import read_pieces
from boardwright_stages.nesting.stock_file import read_stock
from boardwright_timber.model import Grain, Nested

HEAD = "id,material,thickness_mm,length_mm,width_mm,quantity,grain\n"
STOCK = """
[saw]
kerf_mm = 3
trim_mm = 0
stages = 0
[[sheet]]
material = "ply"
thickness_mm = 9
length_mm = 1000
width_mm = 500
price = 30.10
"""


def rows(text: str, notes: Notes | None = None) -> list:
    return read_pieces(SourceFile("parts.csv", text.encode()), notes or Notes())


def cut(text: str, stock: str = STOCK, notes: Notes | None = None) -> Nested:
    return nest(
        SourceFile("parts.csv", text.encode()), SourceFile("stock.toml", stock.encode()), notes or Notes()
    )


def refused(text: str) -> list[tuple[str, int | None, str]]:
    with pytest.raises(InputError) as told:
        rows(text)
    return [(f.code, f.where[0].row, f.says) for f in told.value.findings]


def test_every_column_is_read() -> None:
    (row,) = rows(HEAD + "side,birch ply,9,1200,85.5,4,width\n")
    assert (row.id, row.material, row.thickness_mm) == ("side", "birch ply", 9.0)
    assert (row.length_mm, row.width_mm, row.quantity, row.grain, row.row) == (
        1200.0,
        85.5,
        4,
        Grain.WIDTH,
        2,
    )


def test_quantity_and_grain_may_be_left_out() -> None:
    (row,) = rows("id,material,thickness_mm,length_mm,width_mm\nA,ply,9,100,50\n")
    assert (row.quantity, row.grain) == (1, Grain.FREE)


def test_a_spreadsheet_with_decimal_commas_and_semicolons() -> None:
    (row,) = rows("\ufeffID;Material;Thickness mm;Length mm;Width mm\r\nA;ply;6,5;100,25;50\r\n")
    assert (row.thickness_mm, row.length_mm) == (6.5, 100.25)


def test_points_between_thousands_are_asked_about() -> None:
    """2.440 is 2 mm and a bit, or a sheet's length: in a list with decimal commas nobody can tell."""
    head = HEAD.replace(",", ";")
    found = refused(head + "A;ply;6,5;2.440;50;1;free\n")
    says = "length_mm may be meant with thousands, since the list has decimal commas: '2.440'"
    assert ("BW-NEST-005", 2, says) in found
    (row,) = rows(head + "A;ply;9;244.125;50;1;free\n")
    assert row.length_mm == 244.125


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("A,ply,9,0,50,1,free", "length_mm must be a number of mm above 0, not '0'"),
        ("A,ply,9,-5,50,1,free", "length_mm must be a number of mm above 0, not '-5'"),
        ("A,ply,9,nan,50,1,free", "length_mm must be a number of mm above 0, not 'nan'"),
        ("A,ply,9,inf,50,1,free", "length_mm must be a number of mm above 0, not 'inf'"),
        ("A,ply,9,1e9,50,1,free", "length_mm must be a number of mm above 0, not '1e9'"),
        ("A,ply,9,100,50,0,free", "quantity must be 1 or more, not '0'"),
        ("A,ply,9,100,50,1.5,free", "quantity must be 1 or more, not '1.5'"),
        ("A,ply,9,100,50,²,free", "quantity must be 1 or more, not '²'"),
        ("A,ply,9,100,50,1,along", "grain must be length, width or free, not 'along'"),
        (",ply,9,100,50,1,free", "id is empty"),
        ("A,,9,100,50,1,free", "material is empty"),
        ("A,ply,9,100,5,0,1,free", "this row has more cells than there are columns: 'free' is left over"),
    ],
)
def test_a_wrong_cell_is_told_with_its_row(line: str, says: str) -> None:
    found = refused(HEAD + "first,ply,9,10,10,1,free\n" + line + "\n")
    assert ("BW-NEST-005", 3, says) in found


def test_all_wrong_cells_are_told_not_only_the_first() -> None:
    assert [row for _, row, _ in refused(HEAD + "A,ply,9,0,50,1,free\nB,ply,9,5,x,1,free\n")] == [2, 3]


def test_contradictory_grain_is_told_as_such() -> None:
    ((code, row, says),) = refused(HEAD + "A,ply,9,100,50,1,length\nA,ply,9,100,50,1,width\n")
    assert (code, row) == ("BW-NEST-006", 3)
    assert says == "A is listed twice with its grain along length and width"


def test_no_list_no_columns_too_many() -> None:
    assert refused("")[0][0] == "BW-NEST-002"
    assert refused(HEAD)[0][0] == "BW-NEST-002"
    assert [says for _, _, says in refused("id,material\nA,ply\n")] == [
        f"the list of pieces has no column {name!r}" for name in ("thickness_mm", "length_mm", "width_mm")
    ]
    assert refused(HEAD + "A,ply,9,10,10,100001,free\n")[0][0] == "BW-NEST-007"
    with pytest.raises(InputError) as told:
        read_pieces(SourceFile("parts.csv", b"\xff\xfe\x00"), Notes())
    assert told.value.findings[0].code == "BW-NEST-001"


def test_a_column_nobody_reads_is_a_caution() -> None:
    notes = Notes()
    rows("id,material,thickness_mm,length_mm,width_mm,colour\nA,ply,9,100,50,red\n", notes)
    assert [(f.code, f.says) for f in notes.findings] == [("BW-NEST-003", "column 'colour' is not read")]


@settings(deadline=None, max_examples=150, derandomize=True)
@given(
    st.one_of(
        st.binary(max_size=80), st.text(max_size=80).map(lambda t: (HEAD + t).encode("utf-8", "replace"))
    )
)
def test_any_bytes_are_read_or_refused_in_words(data: bytes) -> None:
    got, told = [], ()
    try:
        got = read_pieces(SourceFile("parts.csv", data), Notes())
    except InputError as error:
        told = error.findings
    assert bool(got) != bool(told)
    assert all(row.length_mm > 0 and row.quantity >= 1 for row in got)
    assert all(f.code.startswith("BW-NEST-") and f.says and f.mend for f in told)


# -- stock -------------------------------------------------------------------------------------------------


def stock_refused(text: str | bytes) -> tuple[str, str, str | None]:
    data = text if isinstance(text, bytes) else text.encode()
    with pytest.raises(InputError) as told:
        read_stock(SourceFile("stock.toml", data))
    (finding,) = told.value.findings
    return finding.code, finding.says, finding.where[0].key


def test_prices_stay_exact_decimals() -> None:
    stock, saw = read_stock(SourceFile("stock.toml", STOCK.encode()))
    assert stock.sheets[0].price == Decimal("30.10")
    assert (saw.kerf_mm, saw.trim_mm, saw.stages) == (3.0, 0.0, 0)
    assert stock.sheets[0].quantity == 0  # as many as needed


@pytest.mark.parametrize("saw", ["", "[saw]\n", "[saw]\nkerf_mm = 3.0\n"])
def test_a_stock_file_that_says_nothing_asks_for_no_trim_and_no_limit(saw: str) -> None:
    plain = saw + '[[sheet]]\nmaterial = "ply"\nthickness_mm = 9\nlength_mm = 100\nwidth_mm = 50\n'
    _, settings = read_stock(SourceFile("stock.toml", plain.encode()))
    assert (settings.kerf_mm, settings.trim_mm, settings.stages) == (3.0, 0.0, 0)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        (STOCK.replace("= 1000", "= 0"), "sheet[0].length_mm"),
        (STOCK.replace("= 1000", "= -1"), "sheet[0].length_mm"),
        (STOCK.replace("= 1000", '= "long"'), "sheet[0].length_mm"),
        (STOCK.replace("= 1000", "= nan"), "sheet[0].length_mm"),
        (STOCK.replace("30.10", "-1"), "sheet[0]"),
        (STOCK.replace("30.10", "nan"), "sheet[0]"),
        (STOCK.replace("stages = 0", "stages = 7"), "saw.stages"),
        (STOCK.replace("kerf_mm", "curf_mm"), "saw"),
        ("[[sheet]\n", None),
        (b"\xff\xfe", None),
    ],
)
def test_a_stock_file_that_cannot_be_used_is_refused_with_its_key(text: str | bytes, key: str | None) -> None:
    code, says, found = stock_refused(text)
    assert code == "BW-NEST-010"
    assert says.startswith("the stock file cannot be used: ")
    assert found is None or key is None or found.startswith(key)


def test_a_stock_file_without_sheets() -> None:
    assert stock_refused("[saw]\nkerf_mm = 3\n")[0] == "BW-NEST-011"


@settings(deadline=None, max_examples=100, derandomize=True)
@given(st.binary(max_size=60))
def test_any_bytes_for_a_stock_are_refused_in_words(data: bytes) -> None:
    with pytest.raises(InputError) as told:
        read_stock(SourceFile("stock.toml", data))
    assert told.value.findings[0].code in ("BW-NEST-010", "BW-NEST-011")


# -- the cutting -------------------------------------------------------------------------------------------


def test_the_kerf_costs_the_piece_that_fits_on_paper() -> None:
    """Two of 500 out of 1000 need a sheet each: 500 + 3 + 500 = 1003. Two of 498.5 need one."""
    assert len(cut(HEAD + "A,ply,9,500,500,2,length\n").plan.sheets) == 2
    assert len(cut(HEAD + "A,ply,9,498.5,500,2,length\n").plan.sheets) == 1


def test_grain_along_the_width_turns_a_piece_and_free_lets_it() -> None:
    turned = cut(HEAD + "A,ply,9,400,900,1,width\n").plan.sheets[0].parts[0]
    assert (turned.turned, turned.length_mm, turned.width_mm) == (True, 900.0, 400.0)
    assert cut(HEAD + "A,ply,9,400,900,1,length\n").plan.unplaced[0].why.endswith("which would fit")
    assert cut(HEAD + "A,ply,9,400,900,1,free\n").plan.unplaced == ()


def test_what_fits_no_sheet_and_what_has_none_are_faults() -> None:
    notes = Notes()
    plan = cut(HEAD + "long,ply,9,1001,50,1,free\nthick,ply,12,100,50,1,free\n", notes=notes).plan
    assert sorted(u.part for u in plan.unplaced) == ["long", "thick"]
    assert sorted(f.code for f in notes.findings if f.severity == "fault") == ["BW-CUT-001", "BW-CUT-002"]


def test_a_kerf_wider_than_a_part_is_cautioned() -> None:
    notes = Notes()
    cut(HEAD + "A,ply,9,100,2.5,1,free\n", notes=notes)
    assert "BW-CUT-006" in [f.code for f in notes.findings]


def test_no_price_is_a_caution() -> None:
    notes = Notes()
    nested = cut(HEAD + "A,ply,9,100,50,1,free\n", STOCK.replace("price = 30.10", ""), notes)
    assert nested.prices[0][1] is None
    assert "BW-NEST-012" in [f.code for f in notes.findings]


def test_copies_get_names_that_no_row_has() -> None:
    nested = cut(HEAD + "A,ply,9,100,50,2,free\nA-1,ply,9,100,50,1,free\n")
    assert len({p.id for p in nested.parts}) == 3
    assert dict(nested.rows)["A-1"] == "A-1"


def test_the_cheapest_mix_of_sheets_is_bought() -> None:
    """Three of 400 × 500: two whole sheets of 30.10 are 60.20; a half sheet of 14 each is 42."""
    half = '[[sheet]]\nmaterial = "ply"\nthickness_mm = 9\nlength_mm = 500\nwidth_mm = 500\nprice = 14\n'
    nested = cut(HEAD + "A,ply,9,400,500,3,length\n", STOCK + half)
    price = dict(nested.prices)
    assert sum(price[s.stock] or 0 for s in nested.plan.sheets) == Decimal(42)


def test_offcuts_that_cost_nothing_go_first_and_no_more_than_there_are() -> None:
    offcut = (
        '[[sheet]]\nname = "offcut"\nmaterial = "ply"\nthickness_mm = 9\nlength_mm = 450\nwidth_mm = 500\n'
        "price = 0\nquantity = 2\n"
    )
    nested = cut(HEAD + "A,ply,9,400,500,5,length\n", STOCK + offcut)
    assert sorted(s.stock for s in nested.plan.sheets).count("offcut") == 2
    assert len(nested.plan.sheets) == 4  # two on offcuts, then two and one on whole sheets
